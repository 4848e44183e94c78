"""The picture: its size from the diagonal, its viewing angle, and where it hangs."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.plan import Wall, outline, rectangle
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.screen import WallPatch, picture_size
from earshed.model.units import INCH


def viewing_angle(width, distance):
    """Degrees: 2 atan(W / 2D)."""
    return math.degrees(2 * math.atan(width / 2 / distance))


# --- sizes


@pytest.mark.parametrize(
    ("aspect", "width", "height"),
    [(16 / 9, 0.8715755, 0.4902612), (2.39, 0.9225050, 0.3859853), (4 / 3, 0.8, 0.6), (1.0, 0.5**0.5, 0.5**0.5)],
)
def test_width_and_height_over_diagonal(aspect, width, height):
    """16:9 is 16 / sqrt 337 by 9 / sqrt 337; 4:3 is the 3-4-5 triangle."""
    assert picture_size(1.0, aspect) == pytest.approx((width, height), abs=1e-7)


def test_a_hundred_inch_wide_picture():
    """87.158 by 49.026 in; seen under 30 degrees from W / (2 tan 15 deg) = 162.638 in."""
    width, height = (side / INCH for side in picture_size(100 * INCH, 16 / 9))
    assert (width, height) == pytest.approx((87.158, 49.026), abs=1e-3)
    assert viewing_angle(width, 162.638) == pytest.approx(30, abs=1e-4)


@pytest.mark.parametrize(("heights_away", "printed"), [(3, 33), (2, 48)])
def test_viewing_angles_as_printed_by_the_itu(heights_away, printed):
    """A 16:9 picture from 3 and 2 picture heights: Rec. ITU-R BS.775-3, Figure 1."""
    width, height = picture_size(2.5, 16 / 9)
    assert viewing_angle(width, heights_away * height) == pytest.approx(printed, abs=0.1)


@given(st.floats(0.2, 10), st.floats(0.2, 10))
def test_any_picture_has_its_diagonal_and_its_shape(diagonal, aspect):
    width, height = picture_size(diagonal, aspect)
    assert math.hypot(width, height) == pytest.approx(diagonal)
    assert width / height == pytest.approx(aspect)


# --- on the wall


@pytest.mark.parametrize("wall", rectangle(4.0, 6.0).walls + outline([[0, 0], [3, 1], [2, 5]]).walls)
def test_a_patch_is_an_upright_rectangle_in_its_wall(wall: Wall):
    patch = WallPatch("patch", wall, 0.4, 1.9, 0.7, 1.5)
    one, two, three, four = patch.corners
    sides = [two - one, three - two, four - three, one - four]
    np.testing.assert_allclose(np.linalg.norm(sides, axis=1), [1.5, 0.8, 1.5, 0.8])
    for side, following in pairwise(sides):
        assert side @ following == pytest.approx(0, abs=1e-12)
    np.testing.assert_allclose(patch.corners[:, 2], [0.7, 0.7, 1.5, 1.5])
    np.testing.assert_allclose((patch.corners[:, :2] - wall.start) @ wall.inward, 0, atol=1e-12)
    np.testing.assert_allclose(patch.corners.mean(axis=0), patch.center, atol=1e-12)
    assert np.linalg.norm(one[:2] - wall.start) == pytest.approx(0.4)
    np.testing.assert_allclose(patch.point(0.4, 0.7), one)


SCENE = """
format: 1
title: Screen
bare_lengths: m
room: {{width: 4, length: 6, ceiling: {{shape: flat, height: 2.6}}}}
screen: {{wall: {wall}, {size}, bottom: 0.6, {place}}}
"""


@pytest.mark.parametrize(
    ("wall", "place", "center"),
    [
        ("front", "center_from_left: 1.5", [1.5, 0.0]),
        ("front", "center_from_right: 1.5", [2.5, 0.0]),
        ("front", "center_from_center: -0.25", [1.75, 0.0]),
        ("rear", "center_from_left: 1.5", [1.5, -6.0]),
        ("left", "center_from_front: 2", [0.0, -2.0]),
        ("right", "center_from_rear: 2", [4.0, -4.0]),
    ],
)
@pytest.mark.parametrize(
    ("size", "width"), [("diagonal: 2", 2 * 0.8715755), ("width: 1.6, aspect: 2.39:1", 1.6), ("width: 1, aspect: 2", 1)]
)
def test_a_screen_hangs_where_its_center_is_taped(wall, place, center, size, width):
    screen = scene_from_tree(parse_tree(SCENE.format(wall=wall, place=place, size=size), "screen.yaml")).screen
    height = width * (9 / 16 if "diagonal" in size else 1 / 2.39 if "2.39" in size else 1 / 2)
    np.testing.assert_allclose(screen.center, [*center, 0.6 + height / 2], atol=1e-6)
    assert screen.end - screen.start == pytest.approx(width, abs=1e-6)
    assert screen.top - screen.bottom == pytest.approx(height, abs=1e-6)


def test_a_screen_with_no_place_hangs_in_the_middle_of_its_wall():
    text = SCENE.format(wall="right", place="", size="width: 1").replace(", }", "}")
    assert scene_from_tree(parse_tree(text, "screen.yaml")).screen.center[:2] == pytest.approx([4.0, -3.0])
