"""Mark-out: framing-square tables, the way back from printed figures, mirror rooms, and what tapes prove."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import mark_out
from earshed.model.mark_out.tapes import tapes_for
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.read import read_scene
from earshed.model.units import FOOT, INCH, parse_length
from earshed.viewer.markout_document import markout_document
from tests.marked_rooms import empty_scene, hole_in, marked, rebuilt, seconds_of, spot_on, up
from tests.test_room_mix import CHUNKS, rooms_of

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
SHIPPED = [(path, scheme) for path in SCENES for scheme in (None, *read_scene(path, None).schemes)]
IDS = [f"{path.stem}-{scheme}" for path, scheme in SHIPPED]
SIXTEENTH, EIGHTH = ruler_of("1/16in", "ft-in"), ruler_of("1/8in", "ft-in")
FRAMING_SQUARE = {
    2: 12.17, 3: 12.37, 4: 12.65, 5: 13.00, 6: 13.42, 7: 13.89, 8: 14.42, 9: 15.00, 10: 15.62, 11: 16.28, 12: 16.97,
    13: 17.69, 14: 18.44, 15: 19.21, 16: 20.00, 17: 20.81, 18: 21.63,
}  # fmt: skip
"""Length of a common rafter in inches per foot of run, by the rise in inches: the table on a framing square, as printed
in carpentry handbooks (7 in 12 in NAVEDTRA 14044, 6 in 12 in Griffith, Carpentry)."""


def shed(rise: float, run: str) -> str:
    """A room under a shed roof, the low side in front, a speaker some way up it."""
    return f"{{width: 12ft, length: 20ft, ceiling: {{shape: shed, low: 5ft, pitch: {rise} in 12, rises: rear}}}}", (
        f"{{name: up, type: flush, at: {{from_center: 0, from_front: {run}}}}}"
    )


def slope_tape(rise: float, run: str, step: str = "1/16in"):
    room, speaker = shed(rise, run)
    made = mark_out(marked(room, speaker), ruler_of(step, "ft-in"), Wish())
    return made.ruler.text(made.holes[0].tapes.square), made.holes[0].tapes


@pytest.mark.parametrize("rise", FRAMING_SQUARE)
def test_the_slope_tape_is_what_a_framing_square_says(rise):
    _, tapes = slope_tape(rise, "10ft")
    assert tapes.square / INCH / 10 == pytest.approx(FRAMING_SQUARE[rise], abs=0.005)


@pytest.mark.parametrize(
    ("rise", "run", "inches", "printed"),
    [
        (7, "8ft", 111.12, "9' 3-1/8\""),  # NAVEDTRA 14044, worked in the table's rounded inches
        (6, "12ft 6in", 167.75, None),  # Griffith, Carpentry
        (13, "10ft 4in", 182.79, "15' 2-13/16\""),  # Army carpentry text, which rounds it on to 15' 3"
    ],
)
def test_worked_rafters_of_handbooks_are_marked_out_as_they_print_them(rise, run, inches, printed):
    text, tapes = slope_tape(rise, run)
    assert tapes.square / INCH == pytest.approx(inches, abs=0.1)
    assert printed is None or text == printed


@pytest.mark.parametrize(("path", "scheme"), SHIPPED, ids=IDS)
def test_every_hole_of_a_shipped_scene_is_found_again_from_the_printed_figures_alone(path, scheme):
    """Each coordinate is within half of the printed step of the model."""
    scene = read_scene(path, scheme)
    exact = mark_out(scene, EIGHTH, Wish())
    for step in ("1/8in", "1/16in", "1mm"):
        mark = ruler_of(step, "ft-in").mark
        for hole in markout_document(replace(exact, ruler=ruler_of(step, "ft-in")), {}, [])["holes"]:
            place, frame = rebuilt(scene, hole)
            off = frame @ (place - np.array(hole["center_m"]))
            assert np.abs(off).max() <= mark / 2 + 1e-9, (hole["speaker"], off / INCH)
            assert np.linalg.norm(place - np.array(hole["center_m"])) <= mark / math.sqrt(2) + 1e-9


ROOMS = {
    "gable": "{{width: 14ft, length: 20ft, ceiling: {{shape: gable, ridge: front-to-back, low: {low}ft, peak: 9ft}}}}",
    "across": "{{width: 14ft, length: 20ft, ceiling: {{shape: gable, ridge: side-to-side, low: {low}ft, peak: 9ft}}}}",
    "shed": "{{width: 14ft, length: 20ft, ceiling: {{shape: shed, low: {low}ft, high: 9ft, rises: left}}}}",
    "flat": "{{width: 14ft, length: 20ft, ceiling: {{shape: flat, height: {low}ft}}}}",
    "hip": "{{width: 14ft, length: 20ft, ceiling: {{shape: hip, low: {low}ft, peak: 9ft}}}}",
    "wedge": (
        "{{outline: [[0, 0], [14ft, 0], [12ft, 20ft], [1ft, 20ft]], "
        "ceiling: {{shape: shed, low: {low}ft, high: 9ft, rises: rear}}}}"
    ),
}  # fmt: skip


@given(
    shape=st.sampled_from(sorted(ROOMS)),
    low=st.floats(5.0, 8.5).map(lambda x: round(x, 3)),
    x=st.floats(3.0, 11.0).map(lambda x: round(x, 4)),
    y=st.floats(2.0, 18.0).map(lambda x: round(x, 4)),
    wish=st.sampled_from([Wish(), Wish(start="front"), Wish(start="rear"), Wish(start="center")]),
)
def test_any_hole_is_found_again_wherever_its_tapes_begin(shape, low, x, y, wish):
    scene = marked(
        ROOMS[shape].format(low=low), f"{{name: up, type: flush, at: {{from_left: {x}ft, from_front: {y}ft}}}}"
    )
    ruler = SIXTEENTH
    try:
        made = mark_out(scene, ruler, wish)
    except ValueError:
        assume(False)  # no such beginning on its face, which is tried below
    hole = markout_document(made, {}, [])["holes"][0]
    place, frame = rebuilt(scene, hole)
    off = frame @ (place - np.array(hole["center_m"]))
    skew = 0.1 if shape == "wedge" else 0.0  # the walls lean by 2 ft and 1 ft in 20: as much of an error out goes along
    assert abs(off[1]) <= ruler.mark / 2 + 1e-9
    assert abs(off[0]) <= ruler.mark / 2 * (1 + skew) + 1e-9


@given(x=st.floats(2.0, 12.0).map(lambda x: round(x, 3)), y=st.floats(2.0, 18.0).map(lambda x: round(x, 3)))
def test_from_the_ridge_and_from_the_low_crease_the_tapes_add_up_to_the_slope(x, y):
    room = ROOMS["gable"].format(low=6)
    scene = marked(room, up(x, y))
    low, high = (mark_out(scene, SIXTEENTH, Wish(base=base)).holes[0].tapes for base in ("low", "ridge"))
    slope = math.hypot(7 * FOOT, 3 * FOOT)
    assert low.square + high.square == pytest.approx(slope)
    assert (low.across[1], high.across[1]) == pytest.approx((high.square, low.square))
    assert (low.across[0].name, high.base.name) == ("the ridge", "the ridge")
    assert low.along == pytest.approx(high.along)


@given(x=st.floats(2.0, 6.5).map(lambda x: round(x, 3)), y=st.floats(2.0, 18.0).map(lambda x: round(x, 3)))
def test_a_mirrored_pair_is_taped_alike_and_its_string_is_twice_its_distance_from_the_center(x, y):
    room = ROOMS["gable"].format(low=6)
    left, right = (
        f"{{name: {name}, type: flush, channel: {channel}, at: {{{side}: {x}ft, from_front: {y}ft}}}}"
        for name, channel, side in (("a", "U+045", "from_left"), ("b", "U-045", "from_right"))
    )
    made = mark_out(marked(room, left, right), EIGHTH, Wish())
    one, other = (mark.tapes for mark in made.holes)
    assert one.square == pytest.approx(other.square)
    assert one.along == pytest.approx(other.along)
    assert one.start.name == other.start.name
    (twin,) = made.twins
    assert twin.is_mirror
    (string,) = made.strings
    assert string.length == pytest.approx(2 * (7 - x) * FOOT)
    assert [corner.length for corner in one.checks] == pytest.approx([corner.length for corner in other.checks])


@given(x=st.floats(2.0, 12.0).map(lambda x: round(x, 3)), y=st.floats(2.0, 18.0).map(lambda x: round(x, 3)))
def test_tapes_from_both_ends_of_a_base_close_the_triangle(x, y):
    scene = marked(
        ROOMS["shed"].format(low=6), f"{{name: up, type: flush, at: {{from_left: {x}ft, from_front: {y}ft}}}}"
    )
    tapes = mark_out(scene, EIGHTH, Wish()).holes[0].tapes
    feet = [math.sqrt(corner.length**2 - tapes.square**2) for corner in tapes.checks]
    assert sum(feet) == pytest.approx(tapes.base.length)


def test_the_near_edge_is_half_the_cut_nearer_():
    room = "{width: 14ft, length: 20ft, ceiling: {shape: flat, height: 8ft}}"
    text = up(4, 6)
    tapes = mark_out(marked(room, text), EIGHTH, Wish()).holes[0].tapes
    assert tapes.square - tapes.square_edge == pytest.approx(4 * INCH)
    assert tapes.along - tapes.along_edge == pytest.approx(4 * INCH)


def test_the_sweep_of_the_wire_is_half_the_cut_and_what_the_clamps_reach():
    room = "{width: 14ft, length: 20ft, ceiling: {shape: flat, height: 8ft}}"
    scene = marked(room, up(4, 6))
    (mark,) = mark_out(scene, EIGHTH, Wish()).holes
    assert mark.sweep == pytest.approx(4 * INCH + scene.clearances.of("clamp"))


@pytest.mark.parametrize(("path", "scheme"), SHIPPED, ids=IDS)
def test_the_floor_mark_lies_plumb_under_the_hole(path, scheme):
    scene = read_scene(path, scheme)
    ruler = ruler_of(None, scene.print_units)
    for hole in markout_document(mark_out(scene, ruler, Wish()), {}, [])["holes"]:
        (across, back), up = hole["floor"]["tapes"], hole["floor"]["center_up"]
        aside = {"left": -1.0, "right": 1.0, None: 0.0}[across["side"]] * parse_length(across["printed"])
        right = np.array([scene.ahead[1], -scene.ahead[0]])
        there = scene.screen.center[:2] + aside * right - parse_length(back["printed"]) * scene.ahead
        assert np.abs(there - hole["center_m"][:2]).max() <= ruler.mark / 2 + 1e-9
        ground = float(scene.room.floor_under(np.array(hole["center_m"][:2])))
        assert parse_length(up["printed"]) + ground == pytest.approx(hole["center_m"][2], abs=ruler.mark / 2 + 1e-9)


@pytest.mark.parametrize(("path", "scheme"), SHIPPED, ids=IDS)
def test_second_choices_lie_a_foot_away_and_can_be_cut(path, scheme):
    scene = read_scene(path, scheme)
    speakers = [one for one in scene.speakers if one.surface is not None]
    for name, place in seconds_of(scene, speakers).items():
        here = next(one for one in speakers if one.name == name)
        assert np.linalg.norm(place.speaker.position - here.position) >= FOOT - 1e-6
        moved = replace(scene, speakers=tuple(place.speaker if one is here else one for one in scene.speakers))
        errors = [one for one in find_all(moved, []) if one.severity == "error" and one.subject == name]
        assert errors == []


def test_a_second_choice_of_one_of_a_pair_is_that_of_the_pair():
    scene = read_scene(SCENES[[path.stem for path in SCENES].index("bonus-room")], "proposed")
    one = next(one for one in scene.speakers if one.name == "upper rear left")
    alone = seconds_of(scene, [one])
    every = seconds_of(scene, scene.speakers)
    assert list(alone) == [one.name]
    np.testing.assert_allclose(alone[one.name].speaker.position, every[one.name].speaker.position)


def test_a_boxed_in_crease_is_not_taped_from():
    size = "width: 2ft, length: 20ft, height: 3ft"
    box = f"fixtures: [{{name: duct box, kind: box, from_left: 0, from_front: 0, bottom: 5ft, {size}}}]\n"
    room = "{width: 14ft, length: 20ft, ceiling: {shape: shed, low: 6ft, high: 10ft, rises: right}}"
    speaker = up(7, 6)
    free, boxed = (mark_out(marked(room, speaker, more=more), EIGHTH, Wish()) for more in ("", box))
    assert free.holes[0].tapes.base.name == "the low crease at the left wall"
    base = boxed.holes[0].tapes.base
    assert base.name == "the low crease at duct box"
    assert boxed.holes[0].tapes.square == pytest.approx(
        free.holes[0].tapes.square - 2 * FOOT / math.cos(math.atan(4 / 14))
    )


@pytest.mark.parametrize(
    ("wish", "says"),
    [
        (Wish(base="attic"), "no hole can be taped from attic; there are the rear wall, the ridge"),
        (Wish(start="chimney"), "no face with a hole in it has chimney to tape from; there are "),
    ],
)
def test_a_wish_that_no_hole_can_keep_is_refused_with_what_there_is(wish, says):
    scene = marked(ROOMS["gable"].format(low=6), up(3, 6))
    with pytest.raises(ValueError, match=says):
        mark_out(scene, EIGHTH, wish)


def test_a_datum_is_taped_from_where_it_is_on_a_face_with_a_hole_and_refused_elsewhere():
    room = ROOMS["gable"].format(low=6)
    speaker = up(3, 6)
    inside = marked(room, speaker, more="datums: {hatch: {from_left: 1ft, from_front: 9ft}}\n")
    (mark,) = mark_out(inside, EIGHTH, Wish(start="hatch")).holes
    assert (mark.tapes.start.name, mark.tapes.along) == ("the datum hatch", pytest.approx(3 * FOOT))
    outside = marked(room, speaker, more="datums: {hatch: {from_left: 1ft, from_front: 30ft}}\n")
    with pytest.raises(ValueError, match="has hatch to tape from"):
        mark_out(outside, EIGHTH, Wish(start="hatch"))


@pytest.mark.parametrize("chunk", range(0, CHUNKS, 3))
def test_in_any_room_a_hole_is_where_its_two_tapes_meet_and_they_begin_at_what_they_name(chunk):
    for rng, room in rooms_of(chunk):
        scene = empty_scene(room)
        for face in (*room.surfaces, *room.soffits):
            if face.kind == "floor" or face.area < 0.05:
                continue
            middle = spot_on(face, rng)
            hole = hole_in(scene, face, middle)
            (tapes,) = tapes_for(scene, [hole], Wish())
            base, start = tapes.base, tapes.start
            signed = tapes.along * float(tapes.way @ base.along)
            np.testing.assert_allclose(base.at(start.at + signed, tapes.square), middle, atol=1e-9)
            assert 0.0 <= tapes.along < 200.0
            assert base.name
            assert start.name
            if start.kind == "edge" and start.what == "wall":
                wall = room.surface(start.name.removeprefix("the "))
                there = face.to_room(base.at(start.at, tapes.square))
                assert abs(float((there - wall.origin) @ wall.normal)) < 1e-3
