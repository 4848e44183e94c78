"""Headings in words. Left and right are the room's own, as seen when facing the screen wall."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import FRONT, RIGHT, UP, angle_between, tilted, unit
from earshed.model.heading import heading_text, heading_words, lean_words, parse_heading
from earshed.model.units import MeasureError


def bearing(degrees):
    """Clockwise from front as seen from above, x to the right and y to the front."""
    return np.array([math.sin(math.radians(degrees)), math.cos(math.radians(degrees)), 0.0])


@pytest.mark.parametrize("degrees", range(360))
def test_words_and_vector_name_each_other_over_the_whole_circle(degrees):
    direction = bearing(degrees)
    words = heading_words(direction)
    assert np.allclose(parse_heading(words), direction, atol=1e-12)
    assert heading_words(parse_heading(words)) == words
    assert all(int(number) < 90 for number in words.split() if number.isdigit()), (
        "told from the nearer of front and rear"
    )
    assert np.allclose(parse_heading(str(degrees)), direction, atol=1e-12)


@given(degrees=st.floats(-360, 360), rise=st.floats(-3, 3), scale=st.floats(0.01, 100))
def test_words_are_within_half_a_degree_of_the_plan_direction(degrees, rise, scale):
    direction = bearing(degrees)
    words = heading_words(scale * (direction + rise * UP))
    assert math.degrees(float(angle_between(parse_heading(words), direction))) <= 0.5 + 1e-6


@given(degrees=st.floats(0.6, 179.4))
def test_mirrored_directions_have_mirrored_words(degrees):
    right, left = heading_words(bearing(degrees)), heading_words(bearing(-degrees))
    assert right.replace("right", "left") == left != right


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (0, "front"), (90, "right"), (180, "rear"), (-180, "rear"), (-90, "left"), (35, "35 degrees right of front"),
        (-1, "1 degree left of front"), (160, "20 degrees right of rear"), (-91, "1 degree rear of left"),
        (0.4, "front"), (90.4, "right"), (179.6, "rear"), (-89.6, "left"),
    ],
)  # fmt: skip
def test_words(degrees, words):
    assert heading_words(bearing(degrees)) == words


def test_straight_up_and_down_have_no_plan_direction():
    assert heading_words(-UP) == "straight down"
    assert heading_words(2 * UP) == "straight up"


@pytest.mark.parametrize(
    ("text", "vector"),
    [("front", FRONT), ("rear", -FRONT), ("left", -RIGHT), ("right", RIGHT), ("up", UP), ("down", -UP),
     (" Front ", FRONT), ("REAR", -FRONT)],
)  # fmt: skip
def test_named_headings(text, vector):
    assert np.array_equal(parse_heading(text), vector)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("35deg right of front", 35), ("35 degrees right of front", 35), ("35° right of front", 35),
        ("35 right of front", 35), ("35deg  LEFT of  Front", -35), ("20deg right of rear", 160),
        ("20deg left of rear", -160), ("10deg front of right", 80), ("10deg rear of right", 100),
        ("10deg front of left", -80), ("10deg rear of left", -100), ("90", 90), ("90deg", 90), ("-90", -90),
        ("270deg", -90), ("0", 0), ("120deg right of front", 120), ("-15deg right of front", -15),
    ],
)  # fmt: skip
def test_turned_headings(text, degrees):
    assert np.allclose(parse_heading(text), bearing(degrees), atol=1e-15)


def test_right_is_the_rooms_right_whatever_the_heading_starts_from():
    assert parse_heading("20deg right of rear")[0] > 0
    assert parse_heading("20deg right of front")[0] > 0
    assert parse_heading("20deg left of rear")[0] < 0


@pytest.mark.parametrize("text", ["20deg right of left", "20deg front of rear", "5deg left of left"])
def test_a_turn_along_its_own_line_is_refused(text):
    with pytest.raises(MeasureError, match="not square to each other"):
        parse_heading(text)


@pytest.mark.parametrize(
    "text", ["", "north", "35 front", "35deg front", "3 o'clock", "35deg right of up", "right of front"]
)
def test_what_names_no_heading_says_what_would(text):
    with pytest.raises(MeasureError, match="is not a heading; write front, rear, left, right, up, down"):
        parse_heading(text)


@given(text=st.text(max_size=40) | st.text(alphabet="0123456789deg leftrighofnup-.", max_size=30))
def test_any_text_is_a_unit_vector_or_a_measure_error(text):
    try:
        vector = parse_heading(text)
    except MeasureError:
        return
    assert np.linalg.norm(vector) == pytest.approx(1, abs=1e-12)


# --- the lean as drawn on a face


@given(degrees=st.integers(-179, 180), tilt=st.floats(1, 60))
def test_on_a_level_ceiling_the_lean_is_the_plan_direction(degrees, tilt):
    assert lean_words(-UP, tilted(-UP, bearing(degrees), math.radians(tilt))) == heading_words(bearing(degrees))


@given(right=st.floats(-2, 2), front=st.floats(-2, 2), degrees=st.integers(-179, 180), tilt=st.floats(1, 60))
def test_on_a_slope_the_lean_is_turned_in_the_face_itself(right, front, degrees, tilt):
    """Ahead is the direction in the face nearest to front, and aside is square to it, towards the right."""
    normal = unit([right, front, -1.0])
    aside = unit([1.0, 0.0, right])
    ahead = np.cross(aside, normal)
    assert ahead[1] > 0
    turn = math.radians(degrees)
    lean = math.cos(turn) * ahead + math.sin(turn) * aside
    assert lean_words(normal, tilted(normal, lean, math.radians(tilt))) == heading_words(bearing(degrees))


@pytest.mark.parametrize("normal", [-UP, unit([0.3, 0.2, -1.0]), RIGHT, -FRONT])
def test_no_lean_has_no_words(normal):
    assert lean_words(normal, normal) == ""


@pytest.mark.parametrize("normal", [RIGHT, -RIGHT, FRONT, -FRONT])
def test_on_a_wall_there_is_no_lean_from_front(normal):
    assert lean_words(normal, tilted(normal, -UP, 0.3)) == ""


@given(st.floats(-180, 180), st.floats(0, 89))
def test_a_heading_may_leave_the_level(clockwise, degrees):
    level = bearing(clockwise)
    for side, way in (("up", UP), ("down", -UP)):
        tipped = parse_heading(f"{clockwise:.9f}deg right of front and {degrees:.9f}deg {side}")
        expected = math.cos(math.radians(degrees)) * level + math.sin(math.radians(degrees)) * way
        np.testing.assert_allclose(tipped, expected, atol=1e-9)


@given(st.floats(-3, 3), st.floats(-3, 3).filter(lambda y: abs(y) > 1e-3))
def test_a_plan_direction_in_figures_reads_back(x, y):
    back = parse_heading(heading_text(np.array([x, y, 0.7])))
    assert math.degrees(angle_between([x, y, 0], back)) <= 0.0005 + 1e-9
