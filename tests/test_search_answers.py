"""What a search answers: places apart, in their order, on a tape, and true of what is built there."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.coverage import VERDICTS
from earshed.model.pairs import seat_pairs
from earshed.model.search.answer import DISTINCT, found_one
from earshed.model.search.ask import STEP, lines_through
from earshed.model.search.ground import ground_of
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.search.place import place_at
from earshed.model.search.search import MOST_PLACES, Search, apart
from earshed.model.search.spots import Spots, best_each
from earshed.model.units import INCH
from earshed.model.window import Window
from tests.search_rooms import (
    EAR,
    HEIGHT,
    LENGTH,
    ONE,
    TYPES,
    WIDTH,
    WINDOW,
    answer_one,
    asked,
    obstructed,
    read,
    search,
)  # fmt: skip

H = HEIGHT - EAR
MIDDLE = np.array([WIDTH / 2, -200 * STEP])


def test_choices_are_places_apart():
    one = Search(asked(obstructed()))
    one.finish()
    choices = answer_one(one, 6).choices
    points = np.array([place.speaker.position for (place,) in choices])
    gaps = np.linalg.norm(points[:, None] - points, axis=-1)[np.triu_indices(len(points), 1)]
    assert len(points) == 6
    assert gaps.min() >= DISTINCT - 2 * 0.001  # each is put on the marks of a tape
    worst = [place.worst.off_axis for (place,) in choices]
    assert worst == sorted(worst)


def test_places_rank_by_sight_then_window_then_partner_then_blades_then_verdict_then_angle_then_type():
    """Each row is better than the next by the first thing in which they differ, and worse in all that comes after."""
    rows = [
        (0.0, False, 0, 0, 0, 0.3, 2.0, 0), (0.0, False, 0, 0, 0, 0.3, 2.0, 1), (0.0, False, 0, 0, 0, 0.4, 2.04, 0),
        (0.0, False, 0, 0, 0, 0.2, 2.1, 0), (0.0, False, 0, 0, 1, 0.1, 0.0, 0), (0.0, False, 0, 1, 0, 0.0, 0.0, 0),
        (0.0, True, 0, 0, 0, 0.0, 0.0, 0), (0.08, False, 0, 0, 0, 0.0, 0.0, 0), (0.17, False, 0, 0, 0, 0.0, 0.0, 0),
        (0.0, False, 1, 0, 0, 0.0, 0.0, 0),
    ]  # fmt: skip
    off, uneven, blocked, chopped, verdict, worst, wanting, offers = (
        np.array(column) for column in zip(*rows, strict=True)
    )
    count = len(rows)
    told = (off, uneven, blocked, chopped, verdict, worst, wanting)
    spots = Spots(np.zeros((count, 3)), np.zeros(count, dtype=np.intp), offers, *told)
    assert spots.order.tolist() == list(range(count))
    assert spots.take(np.arange(count)[::-1]).order.tolist() == list(range(count))[::-1]
    tied, apart_by_angle = spots.take(np.array([1, 0])), spots.take(np.array([2, 1]))
    assert best_each(tied, np.array([0, 0])).tolist() == [1]
    assert best_each(apart_by_angle, np.array([0, 0])).tolist() == [1]


@settings(max_examples=15)
@given(low=st.integers(20, 60), left=st.integers(-170, 150))
def test_to_be_put_on_the_marks_of_a_tape_leads_out_of_no_window(low, left):
    """A room in metres, taped in sixteenths."""
    room = "{width: 3.011, length: 3.507, ceiling: {shape: flat, height: 2.6}}"
    seat = f"{{name: s, at: {{from_left: 1.313, from_front: 1.911}}, ear_height: {EAR}}}"
    window = Window((math.radians(left), math.radians(left + 15)), (math.radians(low), math.radians(low + 9)), "hand")
    one = Search(asked(read(room=room, seats=seat, units="ft-in"), types=("flush",), window=window), 2 * STEP)
    spots = one.finish()
    inside = float(spots.off.min()) == 0.0
    choices = found_one(one, 3).choices
    assert (choices[0][0].off == 0.0) == inside
    verdicts = [VERDICTS.index(place.worst.verdict) for (place,) in choices[:1]]
    assert verdicts[0] == spots.take(spots.order[:1]).verdict[0]


def test_places_apart_are_the_best_that_are():
    spots = search(read(), "flush", step=4 * STEP)
    chosen = apart(spots, 5, 0.5)
    order = spots.order.tolist()
    taken: list[int] = []
    for index in order:
        if all(np.linalg.norm(spots.points[index] - spots.points[other]) >= 0.5 - 1e-9 for other in taken):
            taken.append(index)
    assert chosen.tolist() == taken[:5]


def test_what_is_told_of_a_place_holds_where_it_is_built():
    one = Search(asked(obstructed(), window=WINDOW))
    one.finish()
    for (place,) in answer_one(one, 3).choices:
        assert place.off == 0.0
        assert [round(x * 1000, 6) % 1 for x in place.speaker.position[:2]] == pytest.approx([0, 0], abs=1e-5)
        face = place.speaker.surface
        ground = one.grounds.on(face, one.ask.offers.index(place.offer))
        middle = face.to_face(place.speaker.position)
        for slide in place.slides:
            way = face.frame @ slide.way
            assert ground.clear.distance(shapely.Point(middle + slide.distance * way)) < 1e-5
            past = shapely.Point(middle + (slide.distance + 1e-4) * way)
            assert ground.clear.distance(past) > 1e-6


@pytest.mark.parametrize(
    "room", ["", "{width: 6, length: 6, ceiling: {shape: shed, low: 2.4, high: 3.4, rises: front}}"]
)
def test_how_near_blades_are_is_told_from_the_blades(room):
    """A bezel with its middle 1.2 m from that of a fan of 1.2 m: on the plan 1.2 - 0.6 m less half the bezel, whatever
    is to be kept clear. Across the slope the bezel is as wide on the plan as it is."""
    fan = "fixtures: [{name: fan, kind: fan, at: {from_left: 1.5, from_front: 3}, drop: 0.5, blades: 1.2}]"
    scene = read(fan, room=room, seats="{name: sofa, at: {from_left: 1, from_front: 1}, ear_height: 1.1, main: true}")
    one = Search(asked(scene, types=("flush",)))
    (face,) = [face for face in scene.room.surfaces if face.kind == "ceiling"]
    place = place_at(one.ask, one.grounds, face, 0, face.over(np.array([2.7, -3.0])))
    assert place.nearest is not None
    assert (place.nearest.name, place.nearest.gap) == ("fan", pytest.approx(0.6 - 4.5 * INCH, abs=1e-4))


@pytest.mark.parametrize(("past", "bars"), [(-1e-3, False), (5e-7, False), (1e-4, True)])
def test_what_begins_as_deep_as_a_type_needs_bars_it_no_more_than_the_check_does(past, bars):
    """A type 0.1127 m deep through a usual board of 1/2 in needs 0.1 m behind it."""
    deep = TYPES.replace("bezel: 9in}", f"bezel: 9in, mounting_depth: {0.1127 + past:.7f}}}")
    place = "at: {from_left: 1.5, from_front: 1}, diameter: 0.2"
    duct = f"keep_outs: [{{name: duct, kind: duct, {place}, behind: 0.1, sure: 0}}]"
    ask = asked(read(duct, types=deep, speakers=ONE.replace("from_center: 0", "from_left: 1.5")), types=("flush",))
    assert any(one.name == "duct" for one in obstacles_for(ask, ask.faces[0], ask.offers[0])) == bars
    found = find_all(ask.scene, seat_pairs(ask.scene))
    assert ("too-deep" in [one.rule for one in found]) == bars


def test_what_is_found_is_in_line():
    point = np.array([1.4, -2.4])
    spots = search(obstructed(), lines=lines_through([("can", point)]), align_within=0.01)
    off = np.min(np.abs(spots.points[:, :2] - point), axis=1)
    assert len(spots) > 10
    assert off.max() <= 0.01 + 1e-9
    assert off.min() < 1e-9  # some are exactly so


@pytest.mark.parametrize("run", ["front-to-back", "side-to-side"])
@pytest.mark.parametrize("name", ["top", "side"])
def test_under_a_slope_and_in_a_wall_it_is_in_line_on_the_plan(run, name):
    room = f"{{width: {WIDTH}, length: {LENGTH}, ceiling: {{shape: gable, ridge: {run}, low: 1.9, peak: 3}}}}"
    two = "{name: top, type: flush, at: {from_center: 0, from_front: 1}}, "
    two += "{name: side, type: wall, wall: left, from_front: 2, height: 1.2}"
    point, within = np.array([0.9, -1.7]), 0.012
    ask = asked(read(room=room, speakers=two), name, lines=lines_through([("post", point)]), align_within=within)
    points = Search(ask).finish().points[:, :2]
    off = np.min(np.abs(points - point), axis=1)
    assert len(points) > 50
    assert off.max() <= within + 1e-9
    assert off.min() < 1e-9


def test_a_board_that_clamps_do_not_hold_takes_no_such_type():
    held = "{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, "
    held += "clamps: {count: 3, reach: 1in, thinnest: LOW, thickest: HIGH}}"
    for low, high, fits in (("3/8in", "1in", True), ("1in", "2in", False), ("1/8in", "3/8in", False)):
        kind = held.replace("LOW", low).replace("HIGH", high)
        scene = read("cavities: {ceiling: {board: 5/8in}}", types=f"speaker_types: {{flush: {kind}}}")
        assert (len(search(scene)) > 0) == fits


def test_a_room_of_60_m_is_searched_on_a_coarser_grid():
    room = "{width: 60, length: 60, ceiling: {shape: flat, height: 3}}"
    one = Search(asked(read(room=room), types=("flush",)))
    assert one.used_step == 4 * STEP
    assert 60 * 60 / one.used_step**2 <= MOST_PLACES < 60 * 60 / (one.used_step / 2) ** 2
    assert one.finish().worst.min() < math.atan(2 * STEP / 1.9)


def test_progress_goes_from_nothing_to_all_and_what_was_found_is_kept():
    one = Search(asked(obstructed()))
    shares = []
    for share in one.run():
        shares.append(share)
        if len(shares) == 1:
            kept = len(one.spots)
            assert kept > 0
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(1.0)
    assert len(one.spots) >= kept


def test_ground_is_what_a_bay_leaves_and_a_hole_too_long_for_it_has_none():
    scene = obstructed()
    ask = asked(scene)
    areas = {(offer.type.name, offer.way): ground_of(ask, ask.faces[0], offer).clear.area for offer in ask.offers}
    assert areas.pop(("slot", "up-slope")) == 0.0  # 12 in across joists 16 in apart, and 1-1/2 in either side
    assert all(0 < area < ask.faces[0].area for area in areas.values())
