"""Where tapes begin: partners alike, walls apart from ceilings, beams and risers in the way, and what it is called."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import MarkOut, mark_out
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.units import FOOT, INCH
from earshed.viewer.markout_words import face_words
from earshed.viewer.tape_words import corner_words, square_from, tape_words
from tests.marked_rooms import marked

EIGHTH = ruler_of("1/8in", "ft-in")
FLAT = "{width: 14ft, length: 20ft, ceiling: {shape: flat, height: 8ft}}"
HIP = "{width: 14ft, length: 20ft, ceiling: {shape: hip, low: 5ft, peak: 9ft}%s}"


def pair(x: float, y: float) -> tuple[str, str]:
    """Partners, feet from the nearer side and from the front."""
    return (
        f"{{name: a, type: flush, channel: U+045, at: {{from_left: {x}ft, from_front: {y}ft}}}}",
        f"{{name: b, type: flush, channel: U-045, at: {{from_right: {x}ft, from_front: {y}ft}}}}",
    )


def box(name: str, rest: str) -> str:
    return f"fixtures: [{{name: {name}, kind: box, {rest}}}]\n"


def made_of(room: str, *speakers: str, more: str = "", wish: Wish | None = None) -> MarkOut:
    return mark_out(marked(room, *speakers, more=more), EIGHTH, wish or Wish())


def begins(made: MarkOut) -> list[str]:
    return [mark.tapes.start.name for mark in made.holes]


@given(y=st.floats(5.0, 9.0).map(lambda y: round(y, 3)))
def test_partners_in_a_hip_are_taped_from_the_same_end_though_a_dormer_is_nearer_to_one(y):
    dormer = (
        ", zones: [{name: dormer, from_left: 11ft, from_front: 10ft, width: 4ft, length: 5ft, projects: true, "
        "ceiling: {shape: flat, height: 7ft 6in}}]"
    )
    made = made_of(HIP % dormer, *pair(3.0, y))
    assert begins(made) == ["the front slope", "the front slope"]
    one, other = (mark.tapes.along for mark in made.holes)
    assert one == pytest.approx(other)


def test_what_only_one_of_two_partners_can_begin_at_is_left_for_a_wall_of_each():
    duct = box("duct", "from_left: 5ft, from_front: 0, bottom: 7ft, width: 1ft, length: 20ft, height: 1ft")
    made = made_of(FLAT, *pair(2.0, 6.0), more=duct)
    assert begins(made) == ["the left wall", "the right wall"]
    assert [mark.tapes.along for mark in made.holes] == pytest.approx([2 * FOOT, 2 * FOOT])
    assert begins(made_of(FLAT, *pair(2.0, 6.0))) == ["the picture's center line"] * 2


def test_between_beams_a_tape_begins_at_the_side_of_one_and_says_which():
    beams = (
        "fixtures: [{name: tie, kind: beam, runs: front-to-back, center_from_left: 5ft, width: 6in, depth: 8in, "
        "spacing: 4ft, count: 2}]\n"
    )
    gable = "{width: 14ft, length: 20ft, ceiling: {shape: gable, ridge: side-to-side, low: 6ft, peak: 9ft}}"
    middle = "{name: up, type: flush, at: {from_left: 6ft 2in, from_front: 6ft}}"
    scene = marked(gable, middle, more=beams)
    assert begins(mark_out(scene, EIGHTH, Wish())) == ["the picture's center line"]
    for wish in ("tie 1", "left side of tie 2"):
        (mark,) = mark_out(scene, EIGHTH, Wish(start=wish)).holes
        away = 11 * INCH if wish == "tie 1" else 31 * INCH
        assert (mark.tapes.start.kind, mark.tapes.along) == ("edge", pytest.approx(away))
    assert mark_out(scene, EIGHTH, Wish(start="tie 1")).holes[0].tapes.start.name == "the right side of tie 1"


def test_holes_of_a_wall_do_not_follow_those_of_the_ceiling():
    beam = "fixtures: [{name: tie, kind: beam, runs: front-to-back, center_from_left: 5ft, width: 6in, depth: 8in}]\n"
    gable = "{width: 14ft, length: 20ft, ceiling: {shape: gable, ridge: side-to-side, low: 6ft, peak: 9ft}}"
    text = [f"{{name: {side}, type: slot, channel: {label}, wall: front, {side_of}: 3ft, height: 3ft}}"
            for side, label, side_of in (("l", "M+030", "from_left"), ("r", "M-030", "from_right"))]  # fmt: skip
    made = made_of(gable, *pair(2.0, 6.0), *text, more=beam)
    assert begins(made)[2:] == ["the picture's center line"] * 2


def test_over_a_riser_or_a_shelf_the_height_is_told_from_there_too():
    shelf = box("shelf", "from_right: 1ft, from_front: 4ft, bottom: 0, width: 1ft, length: 4ft, height: 3ft")
    things = (
        f"{shelf}risers: [{{name: back row, from_left: 0, from_front: 12ft, width: 14ft, length: 8ft, height: 9in}}]\n"
    )
    speakers = [f"{{name: w{y}, type: slot, wall: right, from_front: {y}ft, height: 5ft}}" for y in (2, 6, 15)]
    made = made_of(FLAT, *speakers, more=things)
    free, shelf, row = (tape_words(mark.tapes, EIGHTH)[0] for mark in made.holes)
    assert (free.how, free.else_from) == ("up from the floor", "")
    assert (shelf.how, shelf.else_from) == ("up from the floor of the room", "that is 2' 0\" up from the top of shelf")
    assert row.else_from == "that is 4' 3\" up from the top of back row"
    assert row.line.endswith(row.else_from)
    assert corner_words(made.holes[2].tapes, EIGHTH) == ""  # the riser and the shelf are before both corners
    assert corner_words(made.holes[0].tapes, EIGHTH).endswith("from the front end of the foot of the wall")


def test_the_edge_of_a_duct_goes_by_its_side_and_ends_of_a_base_by_what_is_there():
    duct = box("duct", "from_left: 4ft, from_front: 0, bottom: 7ft, width: 2ft, length: 20ft, height: 1ft")
    made = made_of(FLAT, "{name: up, type: flush, at: {from_left: 4ft 10in, from_front: 6ft}}", more=duct)
    (mark,) = made.holes
    assert mark.tapes.start.name == "the left edge of the duct"
    assert mark.tapes.along == pytest.approx(10 * INCH)
    assert " (at the left edge of the duct) and " in corner_words(mark.tapes, EIGHTH)
    assert corner_words(mark.tapes, EIGHTH).endswith("(at the right edge of the duct) of the edge at the front wall")


def test_a_room_with_no_picture_is_taped_from_its_own_center_line():
    flush = "{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in}"
    speakers = "".join(f"  - {one}\n" for one in pair(2.0, 6.0))
    tree = f"format: 1\ntitle: Music\nroom: {FLAT}\nspeaker_types: {{flush: {flush}}}\nspeakers:\n{speakers}"
    made = mark_out(scene_from_tree(parse_tree(tree, "music.yaml"), None), EIGHTH, Wish())
    assert begins(made) == ["the room's center line"] * 2
    assert [mark.tapes.along for mark in made.holes] == pytest.approx([5 * FOOT, 5 * FOOT])


def test_where_a_slope_meets_a_skew_wall_the_tape_is_said_to_lie_on_the_slope():
    room = (
        "{outline: [[0, 0], [14ft, 0], [13ft, 20ft], [1ft, 20ft]], "
        "ceiling: {shape: shed, low: 7ft, high: 9ft, rises: left}}"
    )
    (mark,) = made_of(room, "{name: up, type: flush, at: {from_left: 8ft, from_front: 6ft}}").holes
    assert square_from(mark.tapes).endswith(", on the slope")


def test_no_string_runs_from_a_wall_to_the_ceiling():
    mixed = ("{name: c, type: flush, channel: M+090, at: {from_left: 2ft, from_front: 11ft}}",
             "{name: d, type: slot, channel: M-090, wall: right, from_front: 11ft, height: 4ft}")  # fmt: skip
    made = made_of(FLAT, *pair(3.0, 6.0), *mixed)
    assert len(made.twins) == 2
    assert [string.names for string in made.strings] == [("a", "b")]


def test_under_a_hip_front_is_the_end_at_the_front_slope_and_an_empty_name_is_refused():
    made = made_of(HIP % "", *pair(3.0, 12.0), wish=Wish(start="front"))
    assert begins(made) == ["the front slope"] * 2
    for wish in (Wish(start=""), Wish(base="")):
        with pytest.raises(ValueError, match="there are "):
            made_of(HIP % "", *pair(3.0, 12.0), wish=wish)


def test_on_the_rear_wall_it_is_said_whose_left_is_meant():
    rear, front = (
        made_of(FLAT, f"{{name: w, type: slot, wall: {wall}, from_left: 6ft, height: 4ft}}").holes[0]
        for wall in ("rear", "front")
    )
    assert face_words(rear) == "in the rear wall, left and right as you face the front of the room, not this wall"
    assert face_words(front) == "in the front wall"


def test_a_beam_on_the_skew_is_no_beginning_while_something_square_is_there():
    beam = "fixtures: [{name: skew, kind: beam, between: [[0, 9ft], [14ft, 11ft]], width: 6in, depth: 8in}]\n"
    gable = "{width: 14ft, length: 20ft, ceiling: {shape: gable, ridge: front-to-back, low: 6ft, peak: 9ft}}"
    assert begins(made_of(gable, *pair(3.0, 7.5), more=beam)) == ["the front wall"] * 2
