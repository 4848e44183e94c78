"""The nearest move that clears a conflict: it does, nothing shorter does, and it is told in marks of the tape."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from earshed.model.checks.conflicts import conflict_with
from earshed.model.checks.elsewhere import EDGES, Places, places_of
from earshed.model.checks.run import find_all
from earshed.model.clear_area import blocked_area, clear_area, gravest_only
from earshed.model.hole import HoleShape, hole_shape
from earshed.model.moves import MARKS, move_words, nearest_move, taped_move
from earshed.model.obstacle import Obstacle
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.surroundings import Surroundings, nearest_clear, obstacles_on
from earshed.model.units import INCH, parse_length
from tests.conflict_scenes import scene_of, scenes

slow = settings(
    deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
WAYS = np.linspace(0, 2 * np.pi, 72, endpoint=False)


def at(place: Places, move: np.ndarray) -> HoleShape:
    one, middle = place.speaker, place.hole.middle + move
    return hole_shape(one.type, place.hole.surface, middle, place.scene.ahead, long_axis=one.long_axis, axis=one.axis)


def step_of(words: str, face) -> np.ndarray:
    """A move (2,) in a face's coordinates, read from its words as an installer reads it."""
    move = np.zeros(2)
    plan = {"rear": (0, -1, 0), "front": (0, 1, 0), "left": (-1, 0, 0), "right": (1, 0, 0)}
    for part in words.split(" and "):
        found = re.fullmatch(r"(.+?) (?:towards the (\w+)|(up|down) the slope)", part)
        length = parse_length(found[1])
        if found[2]:
            way = face.frame @ np.array(plan[found[2]], dtype=float)
            way = way / np.linalg.norm(way)  # level, so a pure way along one axis of the face
            assert max(abs(way)) == pytest.approx(1)
        else:
            way = np.array([0.0, 1.0 if found[3] == "up" else -1.0])
        move += length * way
    return move


@slow
@given(scenes())
def test_what_is_told_to_clear_a_thing_clears_it(scene: Scene) -> None:
    """Read back from its words; moved so, the hole has no conflict with the thing left, nor with the board's edges."""
    for place in places_of(scene):
        names = {one.name for one in place.near if conflict_with(one, place.hole.shape) is not None}
        for name in names:
            words = place.alone_words(name)
            if words is None:
                continue
            shape = at(place, step_of(words, place.hole.surface))
            left = [one for one in place.around.obstacles if one.name == name or one.group == "edges"]
            assert [one.name for one in left if conflict_with(one, shape) is not None] == []


@slow
@given(scenes())
def test_what_is_told_to_clear_everything_does(scene: Scene) -> None:
    for place in places_of(scene):
        if place.clear_of_all is not None:
            words = place.words(place.clear_of_all)
            move = step_of(words, place.hole.surface) if place.clear_of_all.any() else np.zeros(2)
            assert [one.name for one in place.around.obstacles if conflict_with(one, at(place, move))] == []
        elif place.cut_at_all is not None:
            shape = at(place, place.cut_at_all)
            assert not [one for one in map(gravest_only, place.around.obstacles) if conflict_with(one, shape)]


OF_THE_PLACE = {
    "crosses-member", "near-member", "clamp-short", "cuts-hidden", "near-hidden", "holes-meet", "rims-meet", "too-near",
    "in-opening", "meets-old-hole", "near-old-hole", "cutout-past-edge", "bezel-past-edge", "near-edge", "too-deep",
    "cut-into-beam", "clear-of-all", "speaker-outside",
}  # fmt: skip


@slow
@given(scenes())
def test_moved_there_no_check_finds_anything_wrong_with_its_place(scene: Scene) -> None:
    """All checks again, with the hole where it was told to slide; those that look in three dimensions too."""
    for place in places_of(scene):
        if place.clear_of_all is not None and scene.room.plan.contains(place.hole.center[:2]):
            position = place.hole.surface.to_room(place.hole.middle + place.clear_of_all)
            speakers = tuple(replace(one, position=position) if one is place.speaker else one for one in scene.speakers)
            there = replace(scene, speakers=speakers)
            found = [one for one in find_all(there, seat_pairs(there)) if one.subject == place.hole.owner]
            assert [one.message for one in found if one.rule in OF_THE_PLACE and one.rule != "clear-of-all"] == []


@slow
@given(scenes())
def test_a_place_with_nothing_wrong_needs_no_move_and_another_is_told_one(scene: Scene) -> None:
    """Where any check has anything to say of the place, obstacles have too: none is told to slide it by nothing."""
    found = find_all(scene, seat_pairs(scene))
    for place in places_of(scene):
        told = [one for one in found if one.subject == place.hole.owner and one.rule in OF_THE_PLACE]
        inside = scene.room.plan.contains(place.hole.center[:2])
        if told and inside and place.clear_of_all is not None:
            assert place.clear_of_all.any()
        assert not any(re.search(r"slide it 0 mm( to|;|$)", one.message) for one in told)


def on_the_safe_side(obstacle: Obstacle) -> Obstacle:
    """With what is off the face measured on it, where it keeps holes out of no less than all that is too near."""
    return replace(obstacle, levels=tuple(replace(level, in_room=None) for level in obstacle.levels))


@slow
@given(scenes())
def test_no_shorter_move_clears_it(scene: Scene) -> None:
    """Every way round, by a mark of the tape each way less, something is still in the way or the board ends."""
    place = places_of(scene)[0]
    move = place.clear_of_all
    assume(move is not None and np.hypot(*move) > 0.003)
    exact = nearest_move(place.hole.middle, place.everywhere(lambda one: one))
    assume(np.hypot(*move) < np.hypot(*exact) + 0.002)  # else a slit too narrow for a mark is nearer
    outline, rounding, everything = place.hole.surface.outline, 3e-4, place.around.obstacles
    for share in (1.0, 0.6, 0.2):
        for turn in WAYS:
            shorter = (np.hypot(*move) - math.sqrt(2) * 0.001 - rounding) * share
            tried = shorter * np.array([math.cos(turn), math.sin(turn)])
            inside = outline.contains(shapely.Point(place.hole.middle + tried))
            assert not inside or any(conflict_with(on_the_safe_side(one), at(place, tried)) for one in everything)


@slow
@given(scenes())
def test_a_window_finds_what_the_whole_face_does(scene: Scene) -> None:
    place = places_of(scene)[0]
    face, middle = place.hole.surface, place.hole.middle
    shape = at(place, -middle)
    everywhere = clear_area(face.outline, place.around.obstacles, shape)
    assert place.everywhere(lambda one: one).symmetric_difference(everywhere).area < 1e-9
    whole = nearest_move(middle, everywhere)
    found = nearest_clear(place.around, middle, shape, "mm", lambda one: one)
    if found is None:
        assert everywhere.buffer(-0.001).is_empty
    else:
        in_marks = taped_move(middle, everywhere, "mm")
        assert np.hypot(*found) == pytest.approx(np.hypot(*in_marks), abs=0.003)
        assert np.hypot(*found) >= np.hypot(*whole) - 1e-6


@slow
@given(scenes(), st.floats(0, 1), st.floats(0, 1))
def test_what_is_near_is_all_that_can_be_in_conflict(scene: Scene, across: float, back: float) -> None:
    place = places_of(scene)[0]
    face = place.hole.surface
    low, high = np.array(face.outline.bounds).reshape(2, 2)
    middle = low + [across, back] * (high - low)
    shape = at(place, middle - place.hole.middle)
    for everything in (Surroundings(face, obstacles_on(scene, face)), place.around):
        near = list(everything.near(middle, 0.3))
        assert {one.name for one in everything.obstacles if conflict_with(one, shape)} <= {one.name for one in near}


marks = st.floats(-300, 300)


@given(marks, marks, st.sampled_from(sorted(MARKS)))
def test_moves_into_the_open_are_rounded_up_to_the_mark(across, back, units) -> None:
    """Into a half plane square to the move: it goes to a mark either way, and never falls short."""
    mark = MARKS[units]
    way = np.array([across, back]) * mark
    assume(np.hypot(*way) > mark)
    normal = way / np.hypot(*way)
    aside = np.array([-normal[1], normal[0]])
    far = 1e3
    area = shapely.Polygon(
        [way - far * aside, way + far * aside, way + far * (aside + normal), way + far * (normal - aside)]
    )
    move = taped_move(np.zeros(2), area, units)
    assert move / mark == pytest.approx(np.round(move / mark), abs=1e-3)
    assert move @ normal >= np.hypot(*way) - 1e-6
    assert np.hypot(*move) <= np.hypot(*way) + math.sqrt(2) * mark + 1e-6


def test_a_slit_in_which_no_mark_lies_is_passed_over() -> None:
    slit = shapely.box(0.4 / 1000, -1, 0.6 / 1000, 1)
    assert taped_move(np.zeros(2), slit, "mm") is None
    field = shapely.box(0.2, -1, 1, 1)
    assert taped_move(np.zeros(2), slit.union(field), "mm") == pytest.approx([0.201, 0])


def test_nowhere_to_go() -> None:
    assert taped_move(np.zeros(2), shapely.Polygon(), "mm") is None


MOVES = [
    ("left slope", (1 + 3 / 8, 0), '1-3/8" towards the rear'),
    ("left slope", (-(1 + 3 / 8), 2), '1-3/8" towards the front and 2" up the slope'),
    ("left slope", (0, -0.51), '9/16" down the slope'),
    ("front wall", (13, -1), '1\' 1" towards the right and 1" down'),
    ("left wall", (0, 1), '1" up'),
]


@pytest.mark.parametrize(("name", "inches", "words"), MOVES)
def test_moves_in_words(name, inches, words) -> None:
    gable = "{width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}"
    face = scene_of(room=gable).room.surface(name)
    sign = 1 if name == "front wall" or face.frame[0] @ [0, -1, 0] > 0 else -1
    assert move_words(face, np.array(inches) * [sign, 1] * INCH, "ft-in") == words


def test_edges_alone_have_a_remedy() -> None:
    (place,) = places_of(scene_of(speakers="[{name: one, type: round, at: {from_left: 0.13, from_front: 3}}]"))
    assert place.remedy(EDGES) == "slide it 16 mm towards the right to clear"


def test_an_old_hole_is_left_alone_or_taken_in_whichever_is_nearer() -> None:
    hole = "[{name: old, at: {from_left: 2, from_front: 3}, cutout: 0.1}]"
    for left, words in ((2.06, "9 mm towards the left"), (2.19, "11 mm towards the right")):
        speaker = f"[{{name: one, type: round, at: {{from_left: {left}, from_front: 3}}}}]"
        (place,) = places_of(scene_of(existing_holes=hole, speakers=speaker))
        assert place.remedy("old") == f"slide it {words} to clear"


def test_one_note_gives_the_move_that_clears_all_at_once() -> None:
    scene = scene_of(
        keep_outs="[{name: pipe, kind: pipe, at: {from_left: 2.1, from_front: 3}, diameter: 0.1},"
                  " {name: duct, kind: duct, at: {from_left: 1.75, from_front: 3}, diameter: 0.1}]",
        speakers="[{name: one, type: round, at: {from_left: 2, from_front: 3}}]",
    )  # fmt: skip
    found = [one for one in find_all(scene, seat_pairs(scene)) if one.subject == "one"]
    told = [one.message for one in found if one.severity == "error"]
    assert len(told) == 1
    assert told[0].endswith("to clear it alone (only a plumber moves a pipe)")
    (note,) = [one.message for one in found if one.rule == "clear-of-all"]
    assert note.startswith("slide it ")
    assert note.endswith(" to clear pipe and run into nothing else")


def test_where_it_can_only_just_be_cut_is_told() -> None:
    """Bays of 0.262 m leave a hole of 0.2 its 3/4 in for the saw each side, but not its 1-1/4 in for clamps."""
    run = "member: 2x8, spacing: 0.3, direction: front-to-back, first_center: 0.15, tolerance: 0"
    framing = f"[{{name: joists, surface: ceiling, {run}}}]"
    scene = scene_of(framing=framing, speakers="[{name: one, type: round, at: {from_left: 2, from_front: 3}}]")
    found = {one.rule: one.message for one in find_all(scene, seat_pairs(scene)) if one.subject == "one"}
    assert found["crosses-member"].endswith("; no bay leaves that on both sides")
    told = (
        r"no place on the ceiling is clear of everything; slide it \d+ mm towards the (left|right) to where it can at "
    )
    assert re.fullmatch(told + "least be cut", found["clear-of-all"])


def test_a_blocked_area_is_none_where_a_hole_keeps_its_distance() -> None:
    """A pipe of 0.1 m and a hole of 0.2: 0.15 + 1 in + 1/4 in between their middles."""
    scene = scene_of(
        keep_outs="[{name: pipe, kind: pipe, at: {from_left: 2, from_front: 3}, diameter: 0.1}]",
        speakers="[{name: one, type: round, at: {from_left: 1, from_front: 3}}]",
    )  # fmt: skip
    (place,) = places_of(scene)
    (pipe,) = [one for one in place.around.obstacles if one.name == "pipe"]
    radius = 0.15 + 1.25 * INCH
    blocked = blocked_area(pipe, at(place, -place.hole.middle))
    assert blocked.area == pytest.approx(math.pi * radius**2, rel=1e-3)
    assert blocked.area >= math.pi * radius**2
    wider = replace(pipe, levels=pipe.levels[:1])
    assert blocked_area(wider, at(place, -place.hole.middle)).area < blocked.area
