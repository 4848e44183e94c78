"""The map in a .glb: colors read back from its texture are the bands of the angles, at the places on the plane."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from earshed.model.coverage_map import map_coverage
from earshed.model.listening_plane import lay_plane
from earshed.model.scene_file.read import read_scene
from earshed.viewer import palette
from earshed.viewer.gltf.heat import MOST_TEXELS, TEXEL, texture_plane
from earshed.viewer.gltf.room_file import LIGHT, SET_MAP, Contents, own_map, room_glb
from earshed.viewer.light import OPACITY, light_colors, light_of
from tests.glb_files import Glb, areas, read_glb
from tests.test_gltf import FLAT, SCENES, scene_of

COLORS = np.array([[int(color[at : at + 2], 16) for at in (1, 3, 5)] for color in palette.OFF_AXIS_COLORS])
RISER = "risers: [{name: step, from_left: 0, from_front: 3, width: 4, length: 2, height: 0.3}]\n"


def seen_at(file: Glb, name: str, spots: NDArray[np.float64]) -> NDArray[np.int64]:
    """Texels (N, 4) at points (N, 2) of the plan, x and z in the file's axes, found as a renderer does: by the corners
    of the sheet's triangles and their places on the picture."""
    part = file.parts(name)[0]
    points, places = file.array(part["attributes"]["POSITION"]), file.array(part["attributes"]["TEXCOORD_0"])
    corners = file.array(part["indices"]).reshape(-1, 3)
    picture = file.picture(name)
    found = np.full((len(spots), 4), -1)
    for triangle in corners:
        (ax, _, az), (bx, _, bz), (cx, _, cz) = points[triangle].astype(np.float64)
        turn = np.linalg.inv(np.array([[bx - ax, cx - ax], [bz - az, cz - az]]))
        part_b, part_c = turn @ (spots - [ax, az]).T
        inside = (part_b >= 0) & (part_c >= 0) & (part_b + part_c <= 1)
        weights = np.stack([1 - part_b - part_c, part_b, part_c], axis=-1)[inside]
        u, v = (weights @ places[triangle].astype(np.float64)).T
        rows = np.clip((v * len(picture)).astype(int), 0, len(picture) - 1)
        columns = np.clip((u * picture.shape[1]).astype(int), 0, picture.shape[1] - 1)
        found[inside] = picture[rows, columns]
    return found


def bands(angles: NDArray[np.float64]) -> NDArray[np.int64]:
    return np.minimum(angles // palette.OFF_AXIS_STEP, len(COLORS) - 1).astype(int)


def test_colors_are_those_of_the_closed_form() -> None:
    """Under a flush speaker the angle is the arc tangent of how far aside over how far below; one texel decides."""
    scene = scene_of(FLAT)
    file = read_glb(room_glb(Contents(scene, own_maps=scene.judged)))
    spots = np.random.default_rng(5).uniform([0.02, 0.02], [3.98, 4.98], (4000, 2))
    aside, drop = np.hypot(*(spots - [1, 2]).T), 2.5 - scene.plane.height
    angles = np.degrees(np.arctan2(aside, drop))
    slack = math.degrees(TEXEL / drop)
    clear = np.abs(angles % 10 - 5) < 5 - slack
    assert clear.mean() > 0.8
    found = seen_at(file, own_map(scene.judged[0]), spots)
    assert np.array_equal(found[clear, :3], COLORS[bands(angles[clear])])
    assert np.all(found[:, 3] == 255)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_colors_are_those_of_the_coverage_map(path: Path) -> None:
    """At the points of the scene's own plane, but for those within a texel of the next band or of the room's faces."""
    scene = read_scene(path, "proposed")
    plane = lay_plane(scene.room, scene.plane)
    file = read_glb(room_glb(Contents(scene, set_map=scene.judged, own_maps=scene.judged[:1])))
    spots = plane.xy.reshape(-1, 2) * [1, -1]
    for name, speakers in ((SET_MAP, scene.judged), (own_map(scene.judged[0]), scene.judged[:1])):
        worst = map_coverage(scene, plane, speakers).of_set.worst.ravel().astype(np.float64)
        inside = ~np.isnan(worst)
        found = seen_at(file, name, spots)
        same = np.all(found[inside, :3] == COLORS[bands(worst[inside])], axis=1)
        assert same.mean() > 0.95
        near = bands(worst[inside])[:, None] + [-1, 0, 1]
        near = COLORS[np.clip(near, 0, len(COLORS) - 1)]
        solid = found[inside, 3] == 255
        assert solid.mean() > 0.99
        steep = np.all(found[inside, None, :3] == near, axis=2).any(axis=1)
        assert (steep | ~solid).mean() > 0.999
        assert np.mean(found[~inside, 3] == 0) > 0.97 if (~inside).sum() > 100 else True


def test_the_sheet_covers_the_plan_and_follows_the_riser() -> None:
    scene = scene_of(FLAT + RISER)
    file = read_glb(room_glb(Contents(scene, set_map=scene.judged)))
    corners = file.triangles(SET_MAP)
    assert areas(corners) == pytest.approx(20, rel=1e-3)
    assert corners[..., [0, 2]].min(axis=(0, 1)) == pytest.approx([0, 0], abs=TEXEL)
    assert corners[..., [0, 2]].max(axis=(0, 1)) == pytest.approx([4, 5], abs=TEXEL)
    for triangle in corners:
        raised = 0.3 if triangle[:, 2].mean() > 3 else 0.0
        assert triangle[:, 1] == pytest.approx(scene.plane.height + raised, abs=1e-6)


def test_beyond_the_walls_nothing_shows() -> None:
    """An L: the corner that is not of the room is transparent, the rest is not."""
    notch = FLAT.replace("width: 4, length: 5,", "outline: [[0, 0], [4, 0], [4, 3], [2, 3], [2, 5], [0, 5]],")
    scene = scene_of(notch.replace("wall: front", "wall: 1").replace("center_from_left", "center_along"))
    file = read_glb(room_glb(Contents(scene, set_map=scene.judged)))
    spots = np.random.default_rng(7).uniform([0.02, 0.02], [3.98, 4.98], (3000, 2))
    out = (spots > [2, 3]).all(axis=1)
    near = (np.abs(spots - [2, 3]) < 0.02).any(axis=1)
    alpha = seen_at(file, SET_MAP, spots)[:, 3]
    assert np.array_equal(alpha[~near] == 0, out[~near])
    assert set(alpha) == {0, 255}


def test_light_is_that_of_the_closed_form() -> None:
    """Under a flush speaker the angle is the arc tangent of how far aside over how far below; one texel decides."""
    scene = scene_of(FLAT)
    (speaker,) = scene.judged
    file = read_glb(room_glb(Contents(scene, lamps=scene.judged)))
    spots = np.random.default_rng(8).uniform([0.02, 0.02], [3.98, 4.98], (2000, 2))
    aside, drop = np.hypot(*(spots - [1, 2]).T), 2.5 - scene.plane.height
    angles, limit = np.degrees(np.arctan2(aside, drop)), math.degrees(speaker.coverage.limit)
    clear = np.abs(angles - limit) > math.degrees(TEXEL / drop)
    found = seen_at(file, LIGHT, spots)
    wanted = light_colors(light_of(angles, limit))
    assert np.abs(found[clear, :3] - wanted[clear, :3].astype(int)).max() <= 4  # which changes that much over a texel
    assert np.all(found[:, 3] == 255)
    assert file.material(LIGHT)["pbrMetallicRoughness"]["baseColorFactor"][3] == pytest.approx(OPACITY)


def test_a_large_room_keeps_to_what_a_texture_may_be() -> None:
    large = FLAT.replace("width: 4, length: 5", "width: 9, length: 45").replace("print_units: m\n", "")
    plane = texture_plane(scene_of(large))
    assert len(plane.y) <= MOST_TEXELS
    assert plane.step == pytest.approx(45 / MOST_TEXELS)


def test_the_map_is_seen_from_both_sides_in_its_own_colors() -> None:
    scene = scene_of(FLAT)
    file = read_glb(room_glb(Contents(scene, set_map=scene.judged)))
    look = file.material(SET_MAP)
    assert look["doubleSided"]
    assert look["alphaMode"] == "BLEND"
    assert "KHR_materials_unlit" in look["extensions"]
    assert file.document["samplers"] == [{"magFilter": 9728, "minFilter": 9729, "wrapS": 33071, "wrapT": 33071}]
