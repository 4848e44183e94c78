"""Shapes on a face: distances, overlaps and reach against closed forms and brute force."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.ceiling import CeilingPlane, flat
from earshed.model.face_shape import FaceShape, across_and_back, hull_shape, rectangle_shape, round_shape
from earshed.model.plan import rectangle
from earshed.model.room import Room
from tests.rooms import metres

spots = st.tuples(metres(-2, 2), metres(-2, 2))


@st.composite
def rectangles(draw: st.DrawFn) -> FaceShape:
    turn = math.radians(draw(st.integers(0, 359)))
    along = np.array([math.cos(turn), math.sin(turn)])
    return rectangle_shape(draw(spots), along, draw(metres(0.1, 2)), draw(metres(0.1, 2)))


circles = st.builds(round_shape, spots, metres(0.05, 2))
shapes = rectangles() | circles


@given(one=spots, other=spots, first=metres(0.05, 2), second=metres(0.05, 2))
def test_circles_are_as_far_apart_as_their_centers_less_their_radii(one, other, first, second):
    gap = round_shape(one, first).gap(round_shape(other, second))
    assert gap == pytest.approx(math.dist(one, other) - (first + second) / 2, abs=1e-12)


@given(one=shapes, other=shapes)
def test_a_gap_is_the_same_both_ways(one, other):
    assert one.gap(other) == pytest.approx(other.gap(one), abs=1e-12)


@given(one=shapes, other=shapes)
def test_shapes_apart_are_as_far_as_their_outlines(one, other):
    assume(one.gap(other) > 0)
    assert one.gap(other) == pytest.approx(one.outline.distance(other.outline), abs=0.002)


@given(one=shapes, other=shapes)
def test_an_overlap_is_the_shortest_move_that_parts_them(one, other):
    """Over 3,600 directions: the move along each that parts them is what they reach towards one another."""
    assume(one.gap(other) < -1e-6)
    turns = np.linspace(0, 2 * np.pi, 3600, endpoint=False)
    middles = [shapely.get_coordinates(shape.core.centroid)[0] for shape in (one, other)]
    moves = [
        (middles[0] - middles[1]) @ way + one.reach(way) + other.reach(-way)
        for way in np.column_stack([np.cos(turns), np.sin(turns)])
    ]
    assert -one.gap(other) == pytest.approx(min(moves), abs=2e-3)


@given(shape=shapes, turn=st.integers(0, 359))
def test_reach_is_the_farthest_point_of_the_outline(shape, turn):
    way = np.array([math.cos(math.radians(turn)), math.sin(math.radians(turn))])
    corners = shapely.get_coordinates(shape.outline) - shapely.get_coordinates(shape.core.centroid)[0]
    assert shape.reach(way) == pytest.approx((corners @ way).max(), abs=5e-4)


@given(shape=shapes, width=metres(0.5, 4), height=metres(0.5, 4))
def test_room_in_a_rectangle_is_the_least_of_four_distances(shape, width, height):
    """In or out: over the four sides, how far the shape's far point is from that side's line."""
    outline = shapely.box(-width / 2, -height / 2, width / 2, height / 2)
    middle = shapely.get_coordinates(shape.core.centroid)[0]
    assume(outline.covers(shape.core))
    ways = [([1, 0], width / 2), ([-1, 0], width / 2), ([0, 1], height / 2), ([0, -1], height / 2)]
    expected = min(at - middle @ np.array(way) - shape.reach(np.array(way, dtype=float)) for way, at in ways)
    assert shape.room_in(outline) == pytest.approx(expected, abs=1e-9)


def test_a_corner_that_juts_in_between_the_corners_of_a_rectangle():
    """All four corners of the rectangle lie in the L, but the L's own inner corner pokes into its long side."""
    outline = shapely.Polygon([(0, 0), (4, 0), (4, 1), (2, 1), (2, 4), (0, 4)])
    along = np.array([1.0, -1.0]) / math.sqrt(2)
    for wide in (0.3, 0.2, 0.12):
        shape = rectangle_shape((1.95, 0.95), along, 1.0, wide)
        assert all(outline.contains(shapely.Point(corner)) for corner in shapely.get_coordinates(shape.core))
        assert shape.room_in(outline) == pytest.approx(0.05 * math.sqrt(2) - wide / 2, abs=1e-9)
    outside = rectangle_shape((3.0, 0.9), np.array([1.0, 0.0]), 1.0, 0.4)
    assert outside.room_in(outline) == pytest.approx(-0.1, abs=1e-12)


def test_left_to_right_and_front_to_back_on_every_kind_of_face():
    room = Room(rectangle(4.0, 6.0), (CeilingPlane("slope", 0.5, 0.0, 2.0),))
    for name, right, back in (
        ("front wall", [1, 0, 0], [0, 0, 1]),
        ("left wall", [0, -1, 0], [0, 0, 1]),
        ("slope", np.array([2, 0, 1]) / math.sqrt(5), [0, -1, 0]),
    ):
        face = room.surface(name)
        across, along = across_and_back(face) @ face.frame
        np.testing.assert_allclose(np.abs(across), np.abs(right), atol=1e-12)
        np.testing.assert_allclose(along, back, atol=1e-12)
    level = Room(rectangle(4.0, 6.0), flat(2.5)).surface("ceiling")
    np.testing.assert_allclose(across_and_back(level) @ level.frame, [[1, 0, 0], [0, -1, 0]], atol=1e-12)
    steep = Room(rectangle(4.0, 6.0), (CeilingPlane("slope", 0.0, -0.75, 2.0),)).surface("slope")
    np.testing.assert_allclose(across_and_back(steep) @ steep.frame, [[1, 0, 0], [0, -0.8, 0.6]], atol=1e-12)


def test_a_hull_needs_points():
    with pytest.raises(ValueError, match="no points"):
        hull_shape(np.zeros((0, 2)))
    assert isinstance(hull_shape(np.zeros((1, 2))).core, shapely.Point)


@given(shape=shapes, height=metres(0.05, 2), across=metres(-3, 3), back=metres(-3, 3))
def test_how_far_a_point_of_the_room_is_from_a_shape_on_the_ceiling(shape, height, across, back):
    """Below it the height alone; else the hypotenuse of the height and how far beside it the point is."""
    face = Room(rectangle(8.0, 8.0), flat(2.6)).surface("ceiling")
    point = face.to_room(np.array([[across, back]])) + height * face.normal
    beside = float(shape.outline.distance(shapely.Point(across, back)))
    np.testing.assert_allclose(shape.away(face, point), np.hypot(beside, height), atol=2e-3)
