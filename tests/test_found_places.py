"""What a search finds can be built: the checks have nothing to say of it, and each seat gets what was promised."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.search.answer import found_one
from earshed.model.search.ask import STEP
from earshed.model.search.place import Place
from earshed.model.search.search import Search
from earshed.model.window import Window
from tests.proposal_rooms import Plain, plain_rooms
from tests.search_rooms import TYPES, asked, read

BUILT = {
    "crosses-member", "near-member", "clamp-short", "cuts-hidden", "near-hidden", "cutout-past-edge", "bezel-past-edge",
    "near-edge", "holes-meet", "rims-meet", "too-near", "too-deep", "in-opening", "meets-old-hole", "near-old-hole",
    "board-too-thick", "board-too-thin", "behind-screen",
}  # fmt: skip
"""Rules of findings on what a hole runs into or crowds."""


def complaints(scene: Scene, place: Place) -> list[str]:
    """Errors and warnings on how a place is built, with the speaker there."""
    there = replace(scene, speakers=tuple(place.speaker if s.name == place.speaker.name else s for s in scene.speakers))
    findings = find_all(there, seat_pairs(there))
    return [
        f"{one.rule}: {one.message}"
        for one in findings
        if one.subject == place.speaker.name and one.rule in BUILT and one.severity != "note"
    ]


def choices(scene: Scene, **changes: object) -> list[Place]:
    search = Search(asked(scene, **changes), 2 * STEP)
    search.finish()
    return [place for (place,) in found_one(search, 3).choices]


@st.composite
def fitted_rooms(draw: st.DrawFn) -> Scene:
    """A room with seats, joists or rafters, lights, a fan, a detector, what was found behind the board, old holes."""
    plain: Plain = draw(plain_rooms())
    spot = st.tuples(st.floats(0.12, 0.88), st.floats(0.12, 0.88))
    spots = [
        f"at: {{from_left: {plain.width * x:.3f}, from_front: {plain.length * y:.3f}}}"
        for x, y in draw(st.lists(spot, min_size=6, max_size=6))
    ]
    direction = draw(st.sampled_from(["front-to-back", "side-to-side"]))
    first, spacing = draw(st.integers(0, 40)) / 100, draw(st.sampled_from(["16in", "19.2in", "24in"]))
    lines = [
        f"framing: [{{name: joists, surface: ceiling, member: 2x6, spacing: {spacing}, direction: {direction}, "
        f"first_center: {first}}}]",
        f"fixtures: [{{name: can, kind: can light, {spots[0]}, cutout: 0.15}}, {{name: fan, kind: fan, {spots[1]}, "
        f"blades: 1.0, drop: 0.3}}, {{name: smoke, kind: detector, {spots[2]}}}, {{name: can 2, kind: can light, "
        f"{spots[3]}, cutout: 0.15}}]",
        f"keep_outs: [{{name: pipe, kind: pipe, {spots[4]}, diameter: 0.05}}]",
        f"existing_holes: [{{name: old, {spots[5]}, cutout: 8in}}]",
        "cavities: {ceiling: {board: 0.5in}}",
        "speakers: [{name: top, type: flush, at: {from_center: 0, from_front: 1}}]",
    ]
    ceiling = ", ".join(f"{key}: {value}" for key, value in plain.ceiling.items())
    seats = ", ".join(
        f"{{name: s{n}, at: {{from_center: {x}, from_front: {y}}}, ear_height: {z}, main: true}}"
        for n, (x, y, z) in enumerate(plain.seats)
    )
    room = f"room: {{width: {plain.width}, length: {plain.length}, ceiling: {{{ceiling}}}}}"
    kinds = TYPES.replace("{angled: 25deg}, coverage: 90deg", "{angled: 25deg}, coverage: 90deg, mounting_depth: 4in")
    kinds = kinds.replace("{pivoting: 18deg}", "{pivoting: 18deg}, clamps: {count: 3, reach: 1in}")
    text = [
        "format: 1", "title: A room", "bare_lengths: m", f"print_units: {draw(st.sampled_from(['mm', 'ft-in']))}", room,
        f"seats: [{seats}]", kinds, *lines,
    ]  # fmt: skip
    return scene_from_tree(parse_tree("\n".join(text), "room.yaml"))


@settings(max_examples=40)
@given(scene=fitted_rooms())
def test_in_any_room_what_is_found_is_clear_by_the_checks_and_serves_as_promised(scene):
    for place in choices(scene):
        assert complaints(scene, place) == []
        there = replace(scene, speakers=(place.speaker,))
        for pair, told in zip(seat_pairs(there), place.pairs, strict=True):
            assert pair.off_axis == pytest.approx(told.off_axis, abs=1e-9)
            assert (pair.verdict, pair.visible) == (told.verdict, told.visible)


def test_a_light_across_the_ridge_keeps_its_distance_too():
    room = "{width: 3, length: 3, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 2.6}}"
    light = "fixtures: [{name: smoke, kind: detector, at: {from_left: 1.53, from_front: 1.5}}]"
    seat = "{name: s, at: {from_left: 1.9, from_front: 1.5}, ear_height: 1}"
    scene = read(light, room=room, seats=seat)
    left = tuple(face for face in scene.room.surfaces if face.name == "left slope")
    places = choices(scene, types=("flush",), faces=left)
    assert len(places) == 3
    for place in places:
        assert complaints(scene, place) == []
        away = float(np.linalg.norm(place.speaker.position - scene.fixtures[0].position))
        assert away > 12 * 0.0254  # a detector keeps a foot


@pytest.mark.parametrize("reach", ["1in", "2in"])
def test_clamps_that_reach_farther_than_usual_land_on_no_member(reach):
    """Of a type that leans nobody knows where they land before it is aimed."""
    kind = "{mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 8in, bezel: 9in, "
    kind += f"clamps: {{count: 4, reach: {reach}}}}}"
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: side-to-side, "
    joists += "first_center: 3in}]\nclearances: {clamp: 0.5in}"
    scene = read(joists, types=f"speaker_types: {{flush: {kind}}}", speakers="{name: top, type: flush, "
                 "at: {from_center: 0, from_front: 1}, aim: {toward: rear}}")  # fmt: skip
    for place in choices(scene):
        assert complaints(scene, place) == []
        assert math.degrees(place.worst.off_axis) < 45


FAN = "fixtures: [{name: fan, kind: fan, at: {from_center: 0, from_front: 1.9}, drop: 0.6, blades: 1.2}]"


def test_the_search_and_the_check_agree_on_ways_through_the_blades():
    """The fan hangs halfway between the only places within the window and the seat; farther back the way is free."""
    narrow = Window((math.radians(-2), math.radians(2)), (math.radians(25), math.radians(50)), "by hand")
    scene = read(FAN)
    (chopped, *_) = choices(scene, window=narrow)
    there = replace(scene, speakers=(chopped.speaker,))
    rules = {one.rule for one in find_all(there, seat_pairs(there))}
    assert ("through-hanging" in rules) == bool(chopped.chopped) == (not chopped.is_good)
    free = choices(scene)[0]
    there = replace(scene, speakers=(free.speaker,))
    assert not free.chopped
    assert "through-hanging" not in {one.rule for one in find_all(there, seat_pairs(there))}


def test_a_way_past_blades_ranks_after_a_free_one_and_before_a_hidden_one():
    scene = read(FAN)
    search = Search(asked(scene, types=("pivot",)), 4 * STEP)
    spots = search.finish()
    ordered = spots.take(spots.order)
    assert 0 < ordered.chopped.sum() < len(ordered)
    assert (np.diff(ordered.chopped[ordered.blocked == 0]) >= 0).all()
    moved = Search(asked(scene, types=("pivot",), relaxed=frozenset({"fan"})), 4 * STEP).finish()
    assert not moved.chopped.any()
