"""Rays against the room's faces, with the triangles of its shell as witness, and clear parts of faces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.clearance import KEPT_CLEAR, beyond, clear_part, nearest_place
from earshed.model.geometry import unit
from earshed.model.ray import first_hits
from earshed.model.sight import ray_distances
from tests.proposal_rooms import Plain, plain_rooms

SOME = settings(max_examples=40)
LEVEL = Plain(4, 6, {"shape": "flat", "height": 2.5}, None, ((0, 4, 1.0),))


def directions(seed: int, count: int) -> np.ndarray:
    return unit(np.random.default_rng(seed).normal(size=(count, 3)))


@SOME
@given(plain_rooms(), st.integers(0, 2**32 - 1))
def test_a_ray_ends_where_it_first_meets_a_triangle_of_the_shell(room: Plain, seed: int) -> None:
    """T. Moller and B. Trumbore's test on the triangles (1997) knows nothing of faces and their outlines."""
    scene = room.scene
    ear, ways = scene.seats[0].ear, directions(seed, 50)
    hits = first_hits(ear, ways, scene.room.surfaces)
    witness = ray_distances(np.broadcast_to(ear, ways.shape), ways, scene.room.shell).min(axis=1)
    assert np.linalg.norm(hits.points - ear, axis=1) == pytest.approx(witness, abs=1e-5)


@SOME
@given(plain_rooms(), st.integers(0, 2**32 - 1))
def test_a_ray_ends_on_the_face_it_names(room: Plain, seed: int) -> None:
    scene = room.scene
    hits = first_hits(scene.seats[0].ear, directions(seed, 50), scene.room.surfaces)
    assert np.all(hits.faces >= 0)
    for point, index in zip(hits.points, hits.faces, strict=True):
        face = scene.room.surfaces[index]
        assert abs((point - face.origin) @ face.normal) < 1e-9
        assert face.room_to_edge(point) > -1e-5


def test_a_ray_past_the_faces_asked_for_has_no_end() -> None:
    floor = [face for face in LEVEL.scene.room.surfaces if face.kind == "floor"]
    hits = first_hits(LEVEL.scene.seats[0].ear, np.array([[0, 0, 1.0], [0, 0, -1.0], [1.0, 0, 0]]), floor)
    assert hits.faces.tolist() == [-1, 0, -1]
    assert np.isnan(hits.points[[0, 2]]).all()
    assert hits.points[1] == pytest.approx([2, -4, 0])


def test_of_two_faces_in_the_way_the_nearer_counts_in_any_order() -> None:
    """Straight up from the ears a soffit hangs under the ceiling."""
    box = Block.box("soffit", [1, -5, 2.1], [3, -3, 2.5])
    room = replace(LEVEL.scene.room, boxes=(box,))
    ceiling, soffit = room.face("ceiling"), room.face("soffit")
    for faces in ((ceiling, soffit), (soffit, ceiling)):
        hits = first_hits(LEVEL.scene.seats[0].ear, np.array([[0, 0, 1.0]]), faces)
        assert hits.points[0, 2] == pytest.approx(2.1)
        assert faces[hits.faces[0]] is soffit


@pytest.mark.parametrize("kind", ["boxes", "risers"])
def test_boxes_and_risers_against_a_wall_are_kept_clear_of(kind: str) -> None:
    """One 0.5 m high and 2 m long along the left wall, from 2 m back."""
    block = Block.box("step", [0, -4, 0], [1, -2, 0.5])
    scene = replace(LEVEL.scene, room=replace(LEVEL.scene.room, **{kind: (block,)}))
    wall = scene.room.face("left wall")
    part = clear_part(scene, wall, 0.1, [])
    for back, height, clear in (
        (3, 0.6, False),
        (3, 0.66, True),
        (1.9, 0.3, False),
        (1.9, 0.7, True),
        (1.8, 0.3, True),
    ):
        assert shapely.intersects_xy(part, *wall.to_face([0, -back, height])) == clear, (back, height)
    right = scene.room.face("right wall")
    assert shapely.intersects_xy(clear_part(scene, right, 0.1, []), *right.to_face([4, -3, 0.3]))


@SOME
@given(plain_rooms(), st.floats(0.02, 0.2), st.integers(0, 2**32 - 1))
def test_a_clear_part_is_all_that_is_far_enough_from_everything(room: Plain, radius: float, seed: int) -> None:
    """Points of a face are clear exactly where they keep a rim's radius and two inches from edges, picture and hole."""
    scene, rng = room.scene, np.random.default_rng(seed)
    front = scene.room.face("front wall")
    hole = front.to_room(rng.uniform(0.3, 0.7, 2) * [room.width, 2.0])
    part = clear_part(scene, front, radius, [(hole, 0.1)])
    for spot in rng.uniform([0, 0], [room.width, 3.0], (40, 2)):
        point = front.to_room(spot)
        gaps = [front.room_to_edge(point) - radius, float(np.linalg.norm(point - hole)) - radius - 0.1]
        if scene.screen:
            picture = shapely.Polygon(front.to_face(scene.screen.corners))
            gaps.append(picture.distance(shapely.Point(spot)) - radius)
        if abs(min(gaps) - KEPT_CLEAR) > 2e-3:  # where round corners are drawn in steps
            assert shapely.intersects_xy(part, *spot) == (min(gaps) > KEPT_CLEAR)


@pytest.mark.parametrize(("way", "kept"), [([1, 0, 0], (2.5, 4)), ([-1, 0, 0], (0, 2.5)), ([0, 0, 1], (0, 4))])
def test_what_lies_beyond_a_point(way: list[float], kept: tuple[float, float]) -> None:
    """Of the level ceiling, all to the right of 2.5 m, all to the left, and all of it from a point below."""
    ceiling = LEVEL.scene.room.face("ceiling")
    part = ceiling.outline.intersection(beyond(ceiling, np.array(way, float), np.array([2.5, -1, 1.0])))
    corners = ceiling.to_room(np.array(part.exterior.coords))
    assert (corners[:, 0].min(), corners[:, 0].max()) == pytest.approx(kept)


def test_nothing_lies_beyond_a_point_above_a_level_face() -> None:
    ceiling = LEVEL.scene.room.face("ceiling")
    assert beyond(ceiling, np.array([0, 0, 1.0]), np.array([2, -1, 2.6])).is_empty
    assert nearest_place(ceiling, shapely.Polygon(), np.zeros(3)) is None
