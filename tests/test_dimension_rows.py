"""Running dimensions as data: what is merged, how texts are set apart, and what is measured from where."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.ruler import ruler_of
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.units import INCH, parse_length
from earshed.viewer.sheets.dimensions import Running, spread, ticks_of
from earshed.viewer.sheets.measured import ceiling_dimensions, wall_dimensions
from earshed.viewer.sheets.trade_scale import INCH_SCALES, METRIC_SCALES, parse_scale

MILLIMETRE = ruler_of(None, "mm")
EIGHTH = ruler_of(None, "ft-in")
ROOM = """\
format: 1
title: Loft
print_units: mm
bare_lengths: mm
room: {{width: 4000, length: 6000, ceiling: {{shape: shed, low: 2200, high: 3400, rises: {rises}}}}}
fixtures:
  - {{name: spot, kind: can light, at: {{{side}: 1500, from_front: 1000}}, cutout: 90, body: 100}}
openings: [{{name: door, wall: {wall}, from_front: 2500, sill: 0, width: 800, height: 2000}}]
screen: {{wall: front, diagonal: 2000, aspect: 16:9, center_from_left: {center}, bottom: 600}}
seats: [{{name: chair, at: {{{side}: 1200, from_front: 3000}}, ear_height: 1000}}]
speaker_types:
  flush: {{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 200, bezel: 230}}
  niche: {{mount: in-wall, aiming: fixed, coverage: 90deg, cutout: 200, bezel: 230}}
speakers:
  - {{name: near, type: flush, at: {{{side}: 1100, from_front: 2000}}}}
  - {{name: far, type: flush, at: {{{side}: 2900, from_front: 2000}}}}
  - {{name: side, type: niche, wall: {wall}, from_front: 1700, height: 1300}}
"""


def loft(*, mirrored: bool) -> Scene:
    words = {"side": "from_left", "wall": "left", "rises": "left", "center": 1900}
    if mirrored:
        words = {"side": "from_right", "wall": "right", "rises": "right", "center": 2100}
    return scene_from_tree(parse_tree(ROOM.format(**words), "loft.yaml"))


def values(running: Running) -> dict[str, list[float]]:
    return {row.caption: [tick.value for tick in row.ticks] for row in running.rows}


def best_by_force(wanted: list[int], gap: int, low: int, high: int) -> float:
    """The least sum of squared moves over all whole places."""
    places = itertools.combinations_with_replacement(range(low, high + 1), len(wanted))
    apart = (one for one in places if all(b - a >= gap for a, b in itertools.pairwise(one)))
    return min(sum((a - b) ** 2 for a, b in zip(one, wanted, strict=True)) for one in apart)


@given(st.lists(st.floats(0, 100), min_size=1, max_size=30).map(sorted), st.floats(0.1, 5), st.floats(0, 50))
def test_places_keep_order_gap_and_limits(wanted: list[float], gap: float, spare: float) -> None:
    low, high = -spare, max(100.0, (len(wanted) - 1) * gap) + spare
    places = spread(wanted, gap, low, high)
    assert np.all(np.diff(places) >= gap - 1e-9)
    assert places.min() >= low - 1e-9
    assert places.max() <= high + 1e-9


@given(st.lists(st.integers(0, 9), min_size=1, max_size=4).map(sorted), st.integers(0, 3))
def test_no_other_places_move_less(wanted: list[int], gap: int) -> None:
    """Against all whole places; those that are best may lie between, and are then better."""
    places = spread(wanted, gap, 0, 9)
    moved = float(((places - wanted) ** 2).sum())
    assert moved <= best_by_force(wanted, gap, 0, 9) + 1e-9
    assert moved >= best_by_force([2 * one for one in wanted], 2 * gap, 0, 18) / 4 - len(wanted) / 4


@given(st.lists(st.floats(0, 100), min_size=1, max_size=12).map(sorted), st.floats(0.1, 5))
def test_small_moves_of_the_answer_only_make_it_worse(wanted: list[float], gap: float) -> None:
    """The sum of squares is convex, so that no step that keeps the gaps may lower it."""
    places = spread(wanted, gap, -100, 200)
    least = float(((places - wanted) ** 2).sum())
    for first in range(len(wanted)):
        for last in range(first + 1, len(wanted) + 1):
            for step in (-1e-4, 1e-4):
                moved = places.copy()
                moved[first:last] += step
                if np.all(np.diff(moved) >= gap - 1e-12):
                    assert float(((moved - wanted) ** 2).sum()) >= least - 1e-9


def test_those_that_have_room_stay() -> None:
    assert spread([1.0, 5.0, 9.0], 2.0, 0.0, 10.0).tolist() == [1.0, 5.0, 9.0]
    assert spread([4.0, 4.0], 2.0, 0.0, 10.0).tolist() == [3.0, 5.0]
    assert spread([], 2.0, 0.0, 1.0).tolist() == []


def test_too_many_for_the_room_are_refused() -> None:
    with pytest.raises(ValueError, match="3 places 2 apart do not fit between 0 and 3"):
        spread([1.0, 1.0, 1.0], 2.0, 0.0, 3.0)


def test_what_reads_alike_is_one_distance_of_both() -> None:
    ticks = ticks_of([(1.2, 5.0), (0.5, 1.0), (1.2002, 7.0)], 0, 0.0, 1, MILLIMETRE)
    assert [tick.text for tick in ticks] == ["500", "1200"]
    assert ticks[1].points.tolist() == [[1.2, 5.0], [1.2002, 7.0]]


def test_what_lies_where_the_tape_begins_has_no_distance() -> None:
    assert ticks_of([(0.0001, 1.0)], 0, 0.0, 1, MILLIMETRE) == ()


@given(st.integers(1, 4000))
def test_feet_and_inches_are_rounded_to_the_step_and_read_back(sixteenths: int) -> None:
    exact = sixteenths * INCH / 16
    assert parse_length(ruler_of("1/16in", "ft-in").text(exact)) == pytest.approx(exact)
    assert abs(parse_length(EIGHTH.text(exact)) - exact) <= INCH / 16 + 1e-9
    assert parse_length(EIGHTH.text(exact)) / (INCH / 8) == pytest.approx(
        round(parse_length(EIGHTH.text(exact)) / (INCH / 8))
    )


def test_what_is_measured_on_a_ceiling() -> None:
    across, back = ceiling_dimensions(loft(mirrored=False), MILLIMETRE)
    assert values(across)["speakers"] == pytest.approx([1.1, 2.9])
    assert values(across)["other"] == pytest.approx([1.5, 1.9])  # the light, and the picture's center line
    assert values(back) == {"speakers": [pytest.approx(2.0)], "other": [pytest.approx(1.0)]}
    assert (across.whole.text, back.whole.text) == ("4000", "6000")
    assert (across.start, back.start) == ("left wall", "front wall")
    assert back.at(2.0) == -2.0


def test_a_mirrored_room_has_mirrored_distances() -> None:
    for axis, size in ((0, 4.0), (1, None)):
        one = ceiling_dimensions(loft(mirrored=False), MILLIMETRE)[axis]
        other = ceiling_dimensions(loft(mirrored=True), MILLIMETRE)[axis]
        for caption, found in values(one).items():
            mirrored = [size - value for value in found][::-1] if size else found
            assert values(other)[caption] == pytest.approx(mirrored)


def test_a_mirrored_wall_has_mirrored_distances_and_the_same_heights() -> None:
    """As seen from inside, the front is at the right end of the left wall and at the left end of the right one."""
    plain, mirrored = loft(mirrored=False), loft(mirrored=True)
    left = wall_dimensions(plain, plain.room.surface("left wall"), MILLIMETRE)
    right = wall_dimensions(mirrored, mirrored.room.surface("right wall"), MILLIMETRE)
    assert values(left[0])["speakers"] == pytest.approx([6.0 - 1.7])
    assert values(right[0])["speakers"] == pytest.approx([1.7])
    assert values(left[0])["other"] == pytest.approx([6.0 - 3.3, 6.0 - 2.5])
    assert values(right[0])["other"] == pytest.approx([2.5, 3.3])
    for side in (left, right):
        assert values(side[1]) == {"speakers": [pytest.approx(1.3)], "other": [pytest.approx(2.0)]}
        assert side[1].whole.value == pytest.approx(3.4)


@pytest.mark.parametrize("scale", [*INCH_SCALES, *METRIC_SCALES], ids=lambda scale: str(scale.ratio))
def test_every_scale_is_read_as_it_is_written(scale: object) -> None:
    assert parse_scale(scale.name.partition(" (")[0]) == scale  # type: ignore[attr-defined]
    assert parse_scale(f"1:{scale.ratio}") == scale  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "text",
    [
        "1/2in",
        "1/2 in",
        '1/2"',
        "1/2 inch = 1 foot",
        '1/2" = 1\'-0"',
        "1/2\"=1'",
        "1:24",
        "1 : 24",
        "1/2in = 1ft",
        "1/2″ = 1′-0″",
    ],
)
def test_ways_to_write_half_an_inch_to_the_foot(text: str) -> None:
    assert parse_scale(text).ratio == 24


@pytest.mark.parametrize(
    "text", ["", "1:33", "25", "1/0in", "0in", '1/2" = 1m', "1/2\" = 2'", "1:0", "half", "1:25:1", "1/2"]
)
def test_what_is_no_scale_is_refused_with_those_that_are(text: str) -> None:
    with pytest.raises(ValueError, match=r"is no scale that sheets are drawn to; write one of 1:10, .*1/2in") as caught:
        parse_scale(text)
    assert str(caught.value).startswith(f"{text} is")
