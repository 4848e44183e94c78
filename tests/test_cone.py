"""Cones: the ellipse of a closed section, and footprints against closed forms, counted cells and the angle itself."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat
from earshed.model.cone import cone_directions, ellipse_section, footprint, limit_lines
from earshed.model.geometry import FRONT, RIGHT, UP, angle_between, tilted, unit
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room

DOWN = -UP
EARS = 1.1
CHORD = math.radians(3e-4)
"""A footprint's edge is a chord between turns half a degree apart: in angle at most tan h (1 - cos 0.25 deg) short."""


def ellipse(height, tilt, half):
    return ellipse_section(height=height, tilt=math.radians(tilt), half_angle=math.radians(half))


# --- the ellipse (plane section of a right circular cone, solid analytic geometry)


@pytest.mark.parametrize(
    ("height", "tilt", "half", "major", "minor", "center", "hit", "area"),
    [
        # computed from K = cos 2t + cos 2a, and checked by tracing below
        (1.5, 20, 40, 1.572016, 1.406633, 1.026060, 0.545955, 6.946845),
        (1.6, 15, 45, 1.847521, 1.719312, 0.923760, 1.6 * math.tan(math.radians(15)), 9.979158),
    ],
)
def test_worked_ellipse(height, tilt, half, major, minor, center, hit, area):
    found = ellipse(height, tilt, half)
    assert found.semi_major == pytest.approx(major, abs=1e-6)
    assert found.semi_minor == pytest.approx(minor, abs=1e-6)
    assert found.center == pytest.approx(center, abs=1e-6)
    assert found.axis_hit == pytest.approx(hit, abs=1e-6)
    assert math.pi * found.semi_major * found.semi_minor == pytest.approx(area, abs=2e-6)


tilts = st.floats(0, 80)
halves = st.floats(1, 85)


@given(st.floats(0.2, 5), tilts, halves)
def test_ends_and_eccentricity(height, tilt, half):
    """The ends lie at h tan(t - a) and h tan(t + a); the eccentricity is sin t / cos a."""
    assume(tilt + half < 88)
    found, t, a = ellipse(height, tilt, half), math.radians(tilt), math.radians(half)
    assert found.center - found.semi_major == pytest.approx(height * math.tan(t - a), abs=1e-9, rel=1e-9)
    assert found.center + found.semi_major == pytest.approx(height * math.tan(t + a), abs=1e-9, rel=1e-9)
    squashed = 1 - (found.semi_minor / found.semi_major) ** 2
    assert squashed == pytest.approx((math.sin(t) / math.cos(a)) ** 2, abs=1e-9)


@given(st.floats(0.2, 5), tilts, halves, st.floats(-math.pi, math.pi))
def test_the_edge_of_the_cone_lands_on_the_ellipse(height, tilt, half, heading):
    assume(tilt + half < 85)
    lean = np.array([math.sin(heading), math.cos(heading), 0.0])
    axis = tilted(DOWN, lean, math.radians(tilt))
    edge = cone_directions(axis, math.radians(half), np.linspace(0, 2 * math.pi, 37))
    landing = edge * (height / -edge[:, 2:])
    found = ellipse(height, tilt, half)
    along = (landing @ lean - found.center) / found.semi_major
    across = landing @ np.cross(UP, lean) / found.semi_minor
    np.testing.assert_allclose(along**2 + across**2, 1.0, atol=1e-7)


@pytest.mark.parametrize(("tilt", "half"), [(50, 40), (45, 60), (0, 90)])
def test_a_cone_that_does_not_close_has_no_ellipse(tilt, half):
    with pytest.raises(ValueError, match="close"):
        ellipse(1.5, tilt, half)


@given(st.tuples(*[st.floats(-1, 1)] * 3), st.floats(0.01, 3.13))
def test_cone_directions_stand_at_the_half_angle_from_level_to_highest(axis, half):
    assume(np.linalg.norm(axis) > 0.1 and np.hypot(axis[0], axis[1]) > 0.01)
    axis = unit(axis)
    edge = cone_directions(axis, half, np.radians([0, 37, 90, 200, 270]))
    np.testing.assert_allclose(angle_between(edge, axis), half, atol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(edge, axis=1), 1.0, atol=1e-12)
    leans = edge - math.cos(half) * axis
    assert abs(leans[0, 2]) < 1e-12
    assert np.all(leans[2, 2] >= leans[:, 2] - 1e-12)


# --- footprints


def bare():
    return Room(rectangle(4.0, 6.0), flat(2.7))


def stepped():
    rear = Block.box("rear row", np.array([0.0, -6.0, 0.0]), np.array([4.0, -4.0, 0.3]))
    corner = Block.box("corner", np.array([2.5, -5.0, 0.0]), np.array([4.0, -3.5, 0.5]))
    return Room(rectangle(4.0, 6.0), flat(2.7), risers=(rear, corner))


def re_entrant():
    return Room(outline([[0, 0], [4, 0], [4, 3], [2, 3], [2, 6], [0, 6]]), flat(2.7))


def toward(heading, tilt):
    """Axis (3,) `tilt` degrees from straight down, leaning towards a heading in degrees clockwise from front."""
    lean = np.array([math.sin(math.radians(heading)), math.cos(math.radians(heading)), 0.0])
    return tilted(DOWN, lean, math.radians(tilt))


@pytest.mark.parametrize(("heading", "tilt", "half"), [(0, 0, 30), (0, 20, 25), (70, 20, 25), (215, 35, 12)])
def test_wholly_inside_the_room_it_is_the_ellipse(heading, tilt, half):
    position = np.array([2.0, -3.0, 2.6])
    found = ellipse(2.6 - EARS, tilt, half)
    area = footprint(bare(), position, toward(heading, tilt), math.radians(half), EARS)
    assert area.area == pytest.approx(math.pi * found.semi_major * found.semi_minor, rel=5e-5)
    lean = np.array([math.sin(math.radians(heading)), math.cos(math.radians(heading))])
    np.testing.assert_allclose(
        np.array(area.centroid.coords[0]) - position[:2], found.center * lean, atol=2e-4 * max(found.center, 1)
    )


CASES = [
    pytest.param(bare, [1.0, -1.0, 2.7], toward(0, 0), 45, id="clipped by two walls"),
    pytest.param(bare, [0.5, -1.0, 2.7], toward(140, 35), 45, id="clipped, leaning"),
    pytest.param(bare, [2.0, -1.0, 2.7], toward(180, 45), 45, id="a parabola"),
    pytest.param(bare, [2.0, 0.0, 1.5], toward(170, 80), 40, id="a hyperbola"),
    pytest.param(bare, [2.0, 0.0, 0.4], toward(180, 100), 45, id="from below the ears, upwards"),
    pytest.param(bare, [2.0, 0.0, 2.4], toward(180, 110), 30, id="the ceiling only: meets no ear"),
    pytest.param(stepped, [2.0, -3.0, 2.7], toward(160, 15), 40, id="over two risers that overlap"),
    pytest.param(stepped, [3.0, -5.9, 1.5], toward(0, 70), 50, id="between the heights of the risers' ears"),
    pytest.param(re_entrant, [1.0, -2.0, 2.7], toward(100, 20), 50, id="a re-entrant plan"),
    pytest.param(bare, [2.0, -2.0, 1.4], toward(180, 40), 100, id="more than a half space"),
    pytest.param(bare, [2.0, -2.0, 1.4], toward(180, 80), 135, id="all but a cone behind"),
    pytest.param(bare, [2.0, -2.0, 1.4], toward(180, 40), 90, id="a half space, leaning"),
    pytest.param(bare, [2.0, -2.0, 2.7], toward(0, 0), 90, id="a half space, straight down"),
    pytest.param(bare, [2.0, -2.0, 2.7], toward(0, 0), 89.9, id="all but a half space"),
    pytest.param(bare, [2.0, 0.0, EARS], -FRONT, 40, id="level with the ears"),
    pytest.param(bare, [0.0, -3.0, EARS], tilted(RIGHT, DOWN, 0.2), 35, id="level with the ears, leaning down"),
]


def cells_within(room, position, axis, half, step):
    """Which cells (N,) of a grid over the room have their center within the half angle."""
    columns, rows = round(room.plan.width / step), round(room.plan.length / step)
    x, y = (np.arange(columns) + 0.5) * step, -(np.arange(rows) + 0.5) * step
    xy = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    xy = xy[room.plan.contains(xy)]
    points = np.column_stack([xy, room.floor_under(xy) + EARS])
    return angle_between(points - position, axis) <= math.radians(half)


@pytest.mark.parametrize(("room", "position", "axis", "half"), CASES)
def test_its_area_is_that_of_the_cells_within_the_angle(room, position, axis, half):
    room, position = room(), np.array(position)
    within = cells_within(room, position, axis, half, step=0.02)
    area = footprint(room, position, axis, math.radians(half), EARS).area
    assert area == pytest.approx(within.sum() * 0.02**2, abs=0.02)


@settings(max_examples=40)
@given(
    room=st.sampled_from([bare, stepped, re_entrant]),
    position=st.tuples(st.floats(0, 4), st.floats(-6, 0), st.floats(1.6, 2.7)),
    heading=st.floats(0, 360),
    tilt=st.floats(0, 60),
    half=st.floats(10, 85),
)
def test_the_lines_of_a_limit_are_its_edge_without_walls_and_risers(room, position, heading, tilt, half):
    room, position, axis = room(), np.array(position), toward(heading, tilt)
    lines = limit_lines(room, position, axis, math.radians(half), EARS)
    drawn = [shapely.LineString(line[:, :2]) for line in lines]
    for line in lines:
        off = angle_between(axis, (line[1:] + line[:-1]) / 2 - position)
        assert off == pytest.approx(math.radians(half), abs=2e-3)
    others = [room.plan.polygon.exterior, *(riser.footprint.exterior for riser in room.risers)]
    area = footprint(room, position, axis, math.radians(half), EARS)
    assert not lines or not area.is_empty
    assume(not area.is_empty)
    left = area.boundary.difference(shapely.union_all([*others, *drawn]).buffer(1e-6))
    assert left.length < 1e-3


@given(
    room=st.sampled_from([bare, stepped, re_entrant]),
    position=st.tuples(st.floats(0, 4), st.floats(-6, 0), st.floats(0.2, 2.7)),
    heading=st.floats(0, 360),
    tilt=st.floats(0, 180),
    half=st.floats(2, 178),
    spot=st.tuples(st.floats(0.01, 3.99), st.floats(-5.99, -0.01)),
)
@example(bare, (2.0, 0.0, EARS), 180.0, 90.0, 45.0, (2.0, -3.0))
@example(bare, (2.0, -2.0, 2.7), 0.0, 0.0, 90.0, (1.0, -1.0))
def test_it_holds_exactly_the_points_within_the_angle(room, position, heading, tilt, half, spot):
    room, position, axis = room(), np.array(position), toward(heading, tilt)
    ear = np.array([*spot, float(room.floor_under(np.array(spot))) + EARS])
    assume(np.linalg.norm(ear - position) > 1e-3 and room.plan.contains(np.array(spot)))
    beyond = float(angle_between(ear - position, axis)) - math.radians(half)
    assume(abs(beyond) > CHORD)
    area = footprint(room, position, axis, math.radians(half), EARS)
    assert bool(shapely.intersects_xy(area, *spot)) == (beyond < 0)
