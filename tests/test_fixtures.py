"""Fixtures, blocks and ceiling openings as a scene file places them: where they are, how large, how clear of others."""

from __future__ import annotations

import math

import numpy as np
import pytest

from earshed.model.clearances import Clearances
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.units import INCH

GABLE = "{width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}"
FLAT = "{width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}"
AT = "at: {from_left: 1, from_front: 2}"


def read(fixtures: str, room: str = FLAT, rest: str = ""):
    head = "format: 1\ntitle: Things\nbare_lengths: m\nprint_units: mm\n"
    return scene_from_tree(parse_tree(f"{head}room: {room}\nfixtures: [{fixtures}]\n{rest}", "things.yaml"))


def bounds(scene, name):
    box = next(box for box in scene.room.boxes if box.name == name)
    return [*box.lower, *box.upper]


def test_a_column_goes_round_its_center_and_up_to_the_ceiling():
    scene = read(f"{{name: post, kind: column, {AT}, width: 0.2, length: 0.3}}", GABLE)
    assert bounds(scene, "post")[:2] == pytest.approx([0.9, -2.15])
    assert bounds(scene, "post")[3:5] == pytest.approx([1.1, -1.85])
    assert scene.room.volume == pytest.approx(66 - 0.2 * 0.3 * 2.75, rel=1e-7)
    low = read(f"{{name: post, kind: column, {AT}, width: 0.2, length: 0.3, height: 1}}", GABLE)
    assert low.room.volume == pytest.approx(66 - 0.06, rel=1e-7)


def test_a_round_column_holds_its_circle():
    """The polygon stands round the circle, so its area is n tan(pi / n) r^2, under 1 percent more."""
    scene = read(f"{{name: post, kind: column, {AT}, diameter: 0.4}}")
    taken = 4 * 6 * 2.6 - scene.room.volume
    assert taken == pytest.approx(32 * math.tan(math.pi / 32) * 0.04 * 2.6, rel=1e-6)
    assert taken >= math.pi * 0.04 * 2.6


@pytest.mark.parametrize("kind", ["fireplace", "half wall", "counter"])
def test_what_is_built_in_stands_on_the_floor(kind):
    place = "from_right: 1, from_front: 2, width: 0.5, length: 1.5, height: 1"
    scene = read(f"{{name: thing, kind: {kind}, {place}}}")
    assert bounds(scene, "thing") == pytest.approx([3, -3.5, 0, 3.5, -2, 1])
    assert scene.room.boxes[0].keep_clear == Clearances().of(kind)


def test_a_fireplace_without_a_height_goes_up_to_the_ceiling():
    scene = read("{name: hearth, kind: fireplace, from_left: 0, from_front: 2, width: 1, length: 2}", GABLE)
    assert scene.room.volume == pytest.approx(66 - 2 * 2.375, rel=1e-7)


BEAMS = [
    # keys, the centers across the run that come of them (from the left or from the front), lowest point
    ("runs: front-to-back, center_from_left: 1, depth: 0.2", 0, [1.0], 2.4),
    ("runs: front-to-back, center_from_right: 1, depth: 0.2, spacing: 0.5, count: 3", 0, [3.0, 2.5, 2.0], 2.4),
    ("runs: side-to-side, center_from_front: 2, depth: 0.2, spacing: 1.5, count: 3", 1, [2.0, 3.5, 5.0], 2.4),
    ("runs: side-to-side, center_from_rear: 2, bottom: 2.1", 1, [4.0], 2.1),
    ("between: [[0, 3], [4, 3]], bottom: 2.1, depth: 0.2", 1, [3.0], 2.1),
]


@pytest.mark.parametrize(("keys", "axis", "centers", "lowest"), BEAMS)
def test_beams_are_where_their_center_lines_are_taped(keys, axis, centers, lowest):
    scene = read(f"{{name: beam, kind: beam, {keys}, width: 0.1}}")
    found = [(box.lower[axis] + box.upper[axis]) / 2 for box in scene.room.boxes]
    assert found == pytest.approx([center * (1, -1)[axis] for center in centers])
    assert [box.lower[2] for box in scene.room.boxes] == pytest.approx([lowest] * len(centers))
    names = ["beam"] if len(centers) == 1 else [f"beam {n + 1}" for n in range(len(centers))]
    assert [box.name for box in scene.room.boxes] == names
    length = scene.room.plan.length if axis == 0 else scene.room.plan.width
    plumb = 0.2 if "depth" in keys else 0.5
    assert 4 * 6 * 2.6 - scene.room.volume == pytest.approx(0.1 * plumb * length * len(centers), rel=1e-5)


def test_a_can_light_has_a_hole_and_a_body():
    light = read(f"{{name: can, kind: can light, {AT}, cutout: 0.16, body: 0.2}}", GABLE).fixtures[0]
    np.testing.assert_allclose(light.position, [1, -2, 2.75])
    assert (2 * light.seen.radius, 2 * light.shape.radius) == pytest.approx((0.16, 0.2))
    assert (light.surface.name, light.keep_clear) == ("left slope", Clearances().of("can light"))


def test_a_vent_lies_left_to_right_by_front_to_back():
    vent = read(f"{{name: vent, kind: vent, {AT}, size: 0.6 x 0.3}}").fixtures[0]
    corners = vent.surface.to_room(np.array(vent.shape.outline.exterior.coords))
    np.testing.assert_allclose([np.ptp(corners[:, 0]), np.ptp(corners[:, 1])], [0.6, 0.3])
    sloped = read(f"{{name: vent, kind: vent, {AT}, size: 0.5 x 0.3}}", GABLE).fixtures[0]
    corners = sloped.surface.to_room(np.array(sloped.shape.outline.exterior.coords))
    np.testing.assert_allclose([np.ptp(corners[:, 0]), np.ptp(corners[:, 1])], [0.4, 0.3])  # a 3-4-5 slope
    on_wall = "{name: vent, kind: vent, wall: right, from_front: 2, height: 0.4, size: 0.5 x 0.2, keep_clear: 0}"
    wall = read(on_wall).fixtures[0]
    corners = wall.surface.to_room(np.array(wall.shape.outline.exterior.coords))
    np.testing.assert_allclose(corners.mean(axis=0)[0], 4.0)
    np.testing.assert_allclose([np.ptp(corners[:, 1]), np.ptp(corners[:, 2])], [0.5, 0.2])
    assert wall.keep_clear == 0


@pytest.mark.parametrize(("kind", "usual"), [("detector", 5.5), ("sprinkler", 3.0)])
def test_small_round_things_have_a_usual_size(kind, usual):
    assert 2 * read(f"{{name: it, kind: {kind}, {AT}}}").fixtures[0].shape.radius == pytest.approx(usual * INCH)
    assert 2 * read(f"{{name: it, kind: {kind}, {AT}, diameter: 0.1}}").fixtures[0].shape.radius == pytest.approx(0.1)


def test_a_fan_and_a_pendant_hang_from_the_ceiling():
    fan = read(f"{{name: fan, kind: fan, {AT}, blades: 1.3, drop: 0.4}}", GABLE).fixtures[0].hanging
    assert (fan.radius, fan.bottom, fan.top) == pytest.approx((0.65, 2.35, 2.35))
    lamp = read(f"{{name: lamp, kind: pendant, {AT}, drop: 0.9, diameter: 0.4, height: 0.3}}").fixtures[0].hanging
    assert (lamp.radius, lamp.bottom, lamp.top) == pytest.approx((0.2, 1.7, 2.0))


def test_a_hatch_is_taped_on_the_slope_from_its_corner_in_plan():
    hatch = "openings: [{name: hatch, wall: ceiling, from_left: 0.4, from_front: 1, width: 0.5, length: 0.8}]"
    opening = read("", GABLE, hatch).ceiling_openings[0]
    corners = opening.surface.to_room(np.array(opening.shape.outline.exterior.coords))
    np.testing.assert_allclose([corners[:, 0].min(), corners[:, 0].max()], [0.4, 0.8], atol=1e-12)
    np.testing.assert_allclose([corners[:, 1].max(), corners[:, 1].min()], [-1.0, -1.8], atol=1e-12)
    assert opening.shape.outline.area == pytest.approx(0.4)


def test_a_rectangular_hole_lies_along_its_long_axis():
    types = (
        "speaker_types: {slot: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2 x 0.4, bezel: 0.24 x 0.44}}"
    )
    for said, spread in (("front-to-back", (0.16, 0.4)), ("side-to-side", (0.32, 0.2)), ("up-slope", (0.32, 0.2))):
        speaker = f"speakers: [{{name: one, type: slot, {AT}, long_axis: {said}}}]"
        found = read("", GABLE, f"{types}\n{speaker}").speakers[0]
        corners = found.surface.to_room(np.array(found.hole.outline.exterior.coords))
        np.testing.assert_allclose([np.ptp(corners[:, 0]), np.ptp(corners[:, 1])], spread, atol=1e-12)
    types = types.replace("in-ceiling", "in-wall")
    for more, spread in (("", (0.2, 0.4)), (", long_axis: level", (0.4, 0.2))):
        speaker = f"speakers: [{{name: one, type: slot, wall: front, from_left: 1, height: 1{more}}}]"
        found = read("", FLAT, f"{types}\n{speaker}").speakers[0]
        corners = found.surface.to_room(np.array(found.hole.outline.exterior.coords))
        np.testing.assert_allclose([np.ptp(corners[:, 0]), np.ptp(corners[:, 2])], spread, atol=1e-12)


def test_a_tile_grid_is_two_runs_of_tees():
    room = FLAT.replace("{shape", "{finish: {tiles: 0.6 x 1.2, from_left: 0.2, from_front: 0.3}, shape")
    across, along = read("", room).framing
    assert (across.spacing, across.first_center, across.direction) == pytest.approx((0.6, 0.2, "front-to-back"))
    assert (along.spacing, along.first_center, along.direction) == pytest.approx((1.2, 0.3, "side-to-side"))


TYPE = "speaker_types: {slot: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2 x 0.4MORE}}\n"
REFUSED = [
    ("{name: post, kind: column, AT}", FLAT, "", ["needs diameter, or width and length"]),
    ("{name: post, kind: column, AT, diameter: 1, width: 1}", FLAT, "", ["needs diameter, or width and length"]),
    ("{name: bar, kind: counter, from_left: 0, from_front: 0, width: 1, length: 1}", FLAT, "", ["needs `height`"]),
    ("{name: bar, kind: counter, from_left: 9, from_front: 0, width: 1, length: 1, height: 1}", FLAT, "",
     ['fixture "bar"', "the counter stands wholly outside"]),
    ("{name: b, kind: beam, width: 0.1, depth: 0.1}", FLAT, "", ["needs runs, or between"]),
    ("{name: b, kind: beam, runs: side-to-side, center_from_left: 1, width: 0.1, depth: 0.1}", FLAT, "",
     ["runs side-to-side needs one of center_from_front, center_from_rear"]),
    ("{name: b, kind: beam, runs: front-to-back, center_from_left: 1, width: 0.1}", FLAT, "",
     ["needs depth", "bottom"]),
    ("{name: b, kind: beam, runs: front-to-back, center_from_left: 1, width: 0.1, depth: 0.1, count: 2}", FLAT, "",
     ["needs spacing and count together"]),
    ("{name: b, kind: beam, runs: front-to-back, center_from_left: 1, width: 0.1, depth: 0.1, count: 2, spacing: 0.1}",
     FLAT, "", ["more than the width of a beam"]),
    ("{name: b, kind: beam, runs: front-to-back, center_from_left: 1, width: 0.1, depth: 0.1, count: 0, spacing: 1}",
     FLAT, "", ["0 must be a whole number from 1 to 99"]),
    ("{name: b, kind: beam, runs: front-to-back, center_from_left: 3, width: 0.1, depth: 0.1, count: 4, spacing: 0.5}",
     FLAT, "", ["number 4 of 4", "outside the room"]),
    ("{name: b, kind: beam, between: [[1, 1], [1, 1]], width: 0.1, depth: 0.1}", FLAT, "", ["ends are the same place"]),
    ("{name: v, kind: vent, AT}", FLAT, "", ["needs size, such as 6in x 12in, or diameter"]),
    ("{name: v, kind: vent, size: 1 x 1}", FLAT, "", ["needs at", "wall"]),
    ("{name: v, kind: vent, wall: top, height: 1, from_left: 1, size: 1 x 1}", FLAT, "", ["there is no wall top"]),
    ("{name: v, kind: vent, AT, size: 1 x 1, diameter: 1}", FLAT, "", ["size or diameter, not both"]),
    ("{name: v, kind: detector, AT, height: 1}", FLAT, "", ["not both"]),
    ("{name: f, kind: fan, AT, blades: 1, drop: 2.6}", FLAT, "", ["hang down to the floor"]),
    ("{name: lamp, kind: lantern, AT}", FLAT, "", ["can light", "pendant", "not lantern"]),
    ("", FLAT, "openings: [{name: hatch, wall: ceiling, from_left: 1, from_front: 1, width: 1}]", ["needs `length`"]),
    ("", FLAT, "openings: [{name: hatch, wall: ceiling, from_left: 1, from_front: 1, width: 1, length: 1, sill: 0}]",
     ["`sill` means nothing in a ceiling"]),
    ("", FLAT, "openings: [{name: door, wall: rear, from_left: 1, width: 1, length: 1, sill: 0, height: 2}]",
     ["`length` means nothing in a wall"]),
    ("", FLAT, TYPE + "speakers: [{name: one, type: slot, AT}]", ["needs `long_axis`", "front-to-back"]),
    ("", FLAT, TYPE.replace("MORE", ", bezel: 0.5"), ["bezel", "of its shape"]),
    ("", FLAT, TYPE.replace("MORE", ", bezel: 0.3 x 0.3"), ["bezel must be at least as wide"]),
    ("", FLAT, TYPE.replace("0.2 x 0.4", "0.2") + "speakers: [{name: one, type: slot, AT, long_axis: level}]",
     ["no rectangular hole to turn"]),
]  # fmt: skip


@pytest.mark.parametrize(("fixture", "room", "rest", "words"), REFUSED)
def test_what_cannot_be_placed(fixture, room, rest, words):
    fixture, rest = (text.replace("AT", AT).replace("MORE", "") for text in (fixture, rest))
    with pytest.raises(SceneError) as caught:
        read(fixture, room, rest)
    for word in words:
        assert word in str(caught.value)
