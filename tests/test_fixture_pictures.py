"""Fixtures as drawn: at their true size and place, on their face, and each kind with a sign of its own."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from earshed.model.face_shape import rectangle_shape, round_shape
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer.fixture_drawing import SIGNS, draw_fixtures, fixture_words
from earshed.viewer.fixture_meshes import fixture_parts, opening_parts, ring_mesh, shape_mesh
from earshed.viewer.meshes import PROUD

TEXT = """format: 1
title: Things
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2.4, peak: 3.9}}
openings: [{name: hatch, wall: ceiling, from_left: 2.4, from_front: 4, width: 0.6, length: 0.5}]
fixtures:
  - {name: light, kind: can light, at: {from_left: 1, from_front: 1}, cutout: 0.16, body: 0.2}
  - {name: grid, kind: vent, at: {from_left: 3, from_front: 1}, size: 0.5 x 0.2}
  - {name: spot, kind: vent, at: {from_left: 3, from_front: 2}, diameter: 0.2}
  - {name: low, kind: vent, wall: rear, from_left: 1, height: 0.3, size: 0.4 x 0.2}
  - {name: smoke, kind: detector, at: {from_left: 1, from_front: 2}, diameter: 0.14}
  - {name: head, kind: sprinkler, at: {from_left: 1, from_front: 3}, diameter: 0.08}
  - {name: fan, kind: fan, at: {from_left: 2, from_front: 3}, blades: 1.3, drop: 0.7, canopy: 0.15}
  - {name: lamp, kind: pendant, at: {from_left: 1, from_front: 5}, drop: 1, diameter: 0.4, height: 0.25, canopy: 0.1}
"""
SCENE = scene_from_tree(parse_tree(TEXT, "things.yaml"))
ON_FACE = [fixture for fixture in SCENE.fixtures if fixture.hanging is None]


def points(parts) -> np.ndarray:
    return np.concatenate([np.asarray(mesh.points) for mesh, _ in parts])


@pytest.mark.parametrize("fixture", ON_FACE, ids=lambda f: f.name)
def test_what_sits_on_a_face_fills_its_shape_and_no_more(fixture):
    drawn = points(fixture_parts(fixture))
    off = (drawn - fixture.surface.origin) @ fixture.normal
    assert off.min() > -1e-6
    assert off.max() < 0.06
    outline = fixture.seen.outline
    flat = fixture.surface.to_face(drawn)
    assert outline.buffer(2e-3).covers(shapely.MultiPoint(flat))
    np.testing.assert_allclose([flat.min(axis=0), flat.max(axis=0)], np.reshape(outline.bounds, (2, 2)), atol=2e-3)


def test_a_fan_reaches_its_circle_and_hangs_from_its_face():
    (fan,) = [fixture for fixture in SCENE.fixtures if fixture.kind == "fan"]
    drawn = points(fixture_parts(fan))
    blades = drawn[np.abs(drawn[:, 2] - fan.hanging.bottom) < 0.02]
    reach = np.hypot(*(blades[:, :2] - fan.hanging.center).T)
    assert reach.max() == pytest.approx(0.65, abs=0.01)
    assert drawn[:, 2].max() == pytest.approx(3.9, abs=1e-6)
    assert SCENE.room.holds(drawn[:, :3] - [0, 0, 1e-4])[np.hypot(*(drawn[:, :2] - [2, -3]).T) > 0.02].all()


def test_a_pendant_hangs_to_the_bottom_of_its_shade():
    (lamp,) = [fixture for fixture in SCENE.fixtures if fixture.kind == "pendant"]
    drawn = points(fixture_parts(lamp))
    assert drawn[:, 2].min() == pytest.approx(lamp.position[2] - 1.0, abs=1e-6)
    shade = drawn[drawn[:, 2] < lamp.hanging.top + 1e-6]
    assert np.hypot(*(shade[:, :2] - lamp.hanging.center).T).max() == pytest.approx(0.2, abs=1e-6)


@pytest.mark.parametrize("name", ["left slope", "right slope", "front wall", "floor"])
def test_shapes_are_turned_into_the_room(name):
    face = SCENE.room.surface(name)
    middle = shapely.get_coordinates(face.outline.representative_point())[0]
    for shape in (round_shape(middle, 0.2), rectangle_shape(middle, np.array([0.6, 0.8]), 0.3, 0.1)):
        for mesh, proud in ((shape_mesh(shape, face), PROUD), (ring_mesh(shape, face, 0.02, 0.01), 0.01)):
            np.testing.assert_allclose((np.asarray(mesh.points) - face.origin) @ face.normal, proud, atol=1e-6)
        assert shape_mesh(shape, face).face_normals[0] @ face.normal == pytest.approx(1, abs=1e-5)
        assert shape_mesh(shape, face).area == pytest.approx(shape.outline.area, rel=1e-3)
        drawn, reach = ring_mesh(shape, face, 0.02, 0.01), shape.reach(np.array([0.6, 0.8]))
        assert 0 < drawn.area < shape.outline.area
        assert np.abs(face.to_face(drawn.points) - middle).max() <= reach + 1e-6


def test_the_hatch_is_drawn_on_its_slope():
    (hatch,) = SCENE.ceiling_openings
    drawn = points(opening_parts(hatch))
    assert hatch.surface.name == "right slope"
    assert drawn[:, 0].min() == pytest.approx(2.4, abs=0.01)
    assert drawn[:, 1].min() == pytest.approx(-4.5, abs=0.01)


def test_in_plan_each_is_where_and_as_large_as_it_is():
    axes = Figure().add_subplot()
    draw_fixtures(axes, SCENE)
    drawn = [patch.get_xy() for patch in axes.patches if isinstance(patch, Polygon)]
    shown = [f for f in SCENE.fixtures if f.surface.kind == "ceiling"]
    assert len(drawn) == len(shown) + 1  # and the hatch; what is on a wall is not drawn in plan
    for fixture, ring in zip(shown, drawn, strict=False):
        expected = fixture.surface.to_room(shapely.get_coordinates(fixture.seen.outline))[:, :2]
        np.testing.assert_allclose(ring.min(axis=0), expected.min(axis=0), atol=1e-9)
        np.testing.assert_allclose(ring.max(axis=0), expected.max(axis=0), atol=1e-9)


def test_signs_are_explained_where_they_stand():
    words = fixture_words(SCENE)
    assert all(words.values())
    assert len(words) == len(SIGNS) + 1
    bare = scene_from_tree(parse_tree(TEXT.split("openings")[0], "bare.yaml"))
    assert not any(fixture_words(bare).values())
