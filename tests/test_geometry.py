"""Directions and angles in space."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.geometry import (
    FRONT,
    PARALLEL,
    RIGHT,
    UP,
    angle_between,
    face_frame,
    frozen,
    square_to,
    tilted,
    unit,
)

WHOLE = st.integers(-9, 9)
WHOLE_VECTORS = st.tuples(WHOLE, WHOLE, WHOLE).filter(any).map(lambda xyz: np.array(xyz, dtype=float))
ANGLES = st.floats(0, math.pi)


@st.composite
def directions(draw):
    vector = np.array([draw(st.floats(-1, 1)) for _ in range(3)])
    assume(np.linalg.norm(vector) > 1e-3)
    return vector / np.linalg.norm(vector)


def square_pair(vector):
    """A whole vector square to a whole vector, exactly."""
    x, y, z = vector
    return np.array([y, -x, 0.0]) if x or y else np.array([z, 0.0, 0.0])


def test_numpy_warnings_raise_in_this_session():
    with pytest.raises(FloatingPointError):
        np.array([1.0]) / np.array([0.0])
    with pytest.raises(FloatingPointError):
        np.array([np.inf]) - np.array([np.inf])


def test_axes_are_right_handed_and_cannot_be_written():
    assert np.array_equal(np.cross(RIGHT, FRONT), UP)
    for axis in (RIGHT, FRONT, UP):
        with pytest.raises(ValueError, match="read-only"):
            axis[0] = 2.0


def test_frozen_copies():
    source = np.array([1.0, 2.0])
    kept = frozen(source)
    source[0] = 9.0
    assert kept[0] == 1.0
    with pytest.raises(ValueError, match="read-only"):
        kept[0] = 3.0


# --- unit


@given(vector=WHOLE_VECTORS, scale=st.floats(1e-6, 1e6))
def test_unit_has_length_one_and_ignores_scale(vector, scale):
    assert np.linalg.norm(unit(vector)) == pytest.approx(1, abs=1e-15)
    assert np.allclose(unit(scale * vector), unit(vector), rtol=0, atol=1e-15)


def test_unit_broadcasts_and_refuses_no_length():
    stack = np.arange(1.0, 13.0).reshape(2, 2, 3)
    assert np.allclose(np.linalg.norm(unit(stack), axis=-1), 1)
    with pytest.raises(ValueError, match="no length"):
        unit([[1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])


# --- angle_between


@given(vector=WHOLE_VECTORS, power=st.integers(0, 40), opposite=st.booleans())
def test_angle_keeps_its_digits_near_0_and_near_pi(vector, power, opposite):
    """b = n a + s with s square to a, all whole numbers, so the angle is atan(|s| / (n |a|)) with nothing rounded.

    An arc cosine of the dot product is off by about 1e-8 here.
    """
    side, n = square_pair(vector), 2.0**power
    other = n * vector + side
    small = math.atan2(float(np.linalg.norm(side)), n * float(np.linalg.norm(vector)))
    if opposite:
        assert float(angle_between(vector, -other)) == pytest.approx(math.pi - small, rel=1e-15)
    else:
        assert float(angle_between(vector, other)) == pytest.approx(small, rel=1e-12)


@given(a=WHOLE_VECTORS, b=WHOLE_VECTORS, scale=st.floats(1e-3, 1e3))
def test_angle_is_symmetric_and_ignores_lengths(a, b, scale):
    angle = float(angle_between(a, b))
    assert 0 <= angle <= math.pi
    assert float(angle_between(b, a)) == pytest.approx(angle, abs=1e-15)
    assert float(angle_between(scale * a, b)) == pytest.approx(angle, abs=1e-14)
    assert float(angle_between(-a, b)) == pytest.approx(math.pi - angle, abs=1e-14)


@given(a=WHOLE_VECTORS)
def test_angle_with_itself_is_exactly_0_and_with_its_opposite_exactly_pi(a):
    assert float(angle_between(a, a)) == 0
    assert float(angle_between(a, -a)) == math.pi


@given(a=WHOLE_VECTORS, b=WHOLE_VECTORS, c=WHOLE_VECTORS)
def test_triangle_inequality_on_the_sphere(a, b, c):
    assert angle_between(a, c) <= angle_between(a, b) + angle_between(b, c) + 1e-12


def test_angles_of_a_cube():
    """Edge, face diagonal, space diagonal: 45, 54.7356 (acos 1/sqrt 3) and 35.2644 degrees."""
    corners = np.array([[1, 1, 0], [1, 1, 1]])
    assert np.allclose(angle_between(RIGHT, corners), [math.pi / 4, math.atan(math.sqrt(2))], rtol=1e-15)
    assert float(angle_between(*corners)) == pytest.approx(math.atan(1 / math.sqrt(2)), rel=1e-15)


def test_angle_with_a_vector_of_no_length_is_0():
    assert float(angle_between(RIGHT, np.zeros(3))) == 0


# --- leaning


@given(normal=directions(), toward=directions(), angle=ANGLES)
def test_tilted_leans_by_exactly_the_angle(normal, toward, angle):
    assume(np.linalg.norm(np.cross(normal, toward)) > 1e-3)
    axis = tilted(normal, toward, angle)
    assert np.linalg.norm(axis) == pytest.approx(1, abs=1e-12)
    assert float(angle_between(axis, normal)) == pytest.approx(angle, abs=1e-12)
    assert abs(axis @ np.cross(normal, toward)) < 1e-12, "it stays in the plane of the normal and the heading"
    assert axis @ toward >= math.cos(angle) * (normal @ toward) - 1e-12, "it leans towards the heading, not away"


@given(normal=directions(), toward=directions(), scale=st.floats(1e-3, 1e3))
def test_length_of_a_heading_does_not_matter(normal, toward, scale):
    assume(np.linalg.norm(np.cross(normal, toward)) > 1e-3)
    assert np.allclose(tilted(normal, scale * toward, 0.4), tilted(normal, toward, 0.4), atol=1e-12)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@given(normal=directions())
def test_a_heading_along_the_normal_names_no_lean(normal, sign):
    assert square_to(sign * normal, normal) is None
    with pytest.raises(ValueError, match="heading"):
        tilted(normal, sign * normal, 0.3)


def test_how_near_counts_as_parallel():
    near, off = [1.0, 0.0, 0.1 * PARALLEL], [1.0, 0.0, 10 * PARALLEL]
    assert square_to(near, RIGHT) is None
    assert np.allclose(square_to(off, RIGHT), UP, atol=1e-6)


def test_tilting_a_downward_baffle_in_numbers():
    """A baffle facing straight down, 30 degrees to the front: (0, sin 30, -cos 30)."""
    axis = tilted(-UP, FRONT, math.radians(30))
    assert np.allclose(axis, [0, 0.5, -math.sqrt(3) / 2], atol=1e-15)


# --- frames on a face


@given(normal=directions())
def test_frame_of_a_face(normal):
    assume(np.hypot(normal[0], normal[1]) > 1e-6)
    level, upslope = face_frame(normal)
    frame = np.array([level, upslope, normal])
    assert np.allclose(frame @ frame.T, np.eye(3), atol=1e-9)
    assert level[2] == 0
    assert upslope[2] > 0, "it points to the high side"
    assert level[0] > -PARALLEL, "level runs left to right"
    if abs(level[0]) <= PARALLEL:
        assert level[1] < 0, "or front to back where it does not cross the room"


@pytest.mark.parametrize("normal", [UP, -UP])
def test_frame_of_a_horizontal_face(normal):
    level, upslope = face_frame(normal)
    assert np.array_equal(level, RIGHT)
    assert np.array_equal(upslope, FRONT)


@pytest.mark.parametrize(
    ("normal", "level"), [(RIGHT, -FRONT), (-RIGHT, -FRONT), (FRONT, RIGHT), (-FRONT, RIGHT)], ids=str
)
def test_frame_of_a_wall(normal, level):
    assert np.allclose(face_frame(normal), [level, UP], atol=1e-15)
