"""Seating: the area within 2 ft of the hull of the seats, the main seats, the reference position."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import Array
from earshed.model.seating import AROUND_SEATS, Seat, main_seats, reference_position, seating_area

EDGE = 1 - math.cos(math.pi / 64 / 2)
"""Share by which the drawn edge, 32 chords a quarter turn, may fall short of the round one."""


def seats(*plan, main=()):
    return [Seat(f"seat {n}", np.array([x, y, 1.0 + n / 10]), n in main) for n, (x, y) in enumerate(plan)]


def area_of(*plan):
    return shapely.Polygon(seating_area(seats(*plan)).outline).area


def test_two_feet_are_0_6096_m():
    assert pytest.approx(0.6096, abs=1e-12) == AROUND_SEATS


# --- its size, by closed forms: hull + perimeter x r + pi r^2 (Steiner's formula for a convex hull)


@pytest.mark.parametrize(
    ("plan", "hull", "perimeter"),
    [
        pytest.param([(1, -3)], 0, 0, id="one seat: a circle"),
        pytest.param([(1, -3), (1, -3)], 0, 0, id="two on one spot: a circle"),
        pytest.param([(1, -3), (2.5, -5)], 0, 2 * 2.5, id="two: a stadium"),
        pytest.param([(1, -3), (2, -3), (3, -3), (1.5, -3)], 0, 2 * 2, id="a row: a stadium"),
        pytest.param([(0, 0), (3, 0), (0, -4)], 6, 12, id="three"),
        pytest.param([(0, 0), (3, 0), (3, -2), (0, -2), (1, -1)], 6, 10, id="two rows and one within"),
    ],
)
def test_its_area(plan, hull, perimeter):
    exact = hull + perimeter * AROUND_SEATS + math.pi * AROUND_SEATS**2
    assert exact - 3 * EDGE * math.pi * AROUND_SEATS**2 <= area_of(*plan) <= exact


@given(st.tuples(st.floats(-2, 4), st.floats(-5, 1)))
def test_it_holds_just_what_is_within_two_feet_of_the_row(spot):
    """The distance to a segment by hand: along it, clamped to its ends."""
    start, end = np.array([0.3, -1.0]), np.array([2.1, -2.2])
    along = np.clip((np.array(spot) - start) @ (end - start) / ((end - start) @ (end - start)), 0, 1)
    distance = np.linalg.norm(np.array(spot) - start - along * (end - start))
    area = seating_area(seats(start, end))
    assert bool(area.holds(spot)) == (distance <= AROUND_SEATS)
    outline = shapely.Polygon(area.outline)
    if abs(distance - AROUND_SEATS) > 2 * EDGE * AROUND_SEATS:
        assert shapely.intersects_xy(outline, *spot) == (distance < AROUND_SEATS)


def test_two_feet_away_still_belongs_to_it_and_between_the_rows_too():
    area = seating_area(seats((0, 0), (3, 0), (3, -4), (0, -4)))
    spots: Array = np.array([[[1.5, -2.0], [0, AROUND_SEATS]], [[-AROUND_SEATS, -1], [3 + AROUND_SEATS + 1e-6, -1]]])
    np.testing.assert_array_equal(area.holds(spots), [[True, True], [True, False]])
    assert not area.holds([-0.5, 0.5])  # past the round of the corner: sqrt(0.5) m away


@given(st.lists(st.tuples(st.integers(0, 5000), st.integers(-7000, 0)), min_size=1, max_size=8))
def test_every_seat_and_all_between_lie_in_it_and_order_is_nothing(millimetres):
    spots = np.array(millimetres) / 1000
    plan = [tuple(spot) for spot in spots]
    area = seating_area(seats(*plan))
    assert area.holds(spots).all()
    assert area.holds((spots[:, None] + spots) / 2).all()
    backwards = seating_area(seats(*plan[::-1]))
    grid = np.stack(np.meshgrid(np.linspace(-1, 6, 23), np.linspace(-8, 1, 23)), axis=-1)
    clear = np.abs(shapely.distance(area.hull, shapely.points(grid)) - AROUND_SEATS) > 1e-9
    np.testing.assert_array_equal(area.holds(grid)[clear], backwards.holds(grid)[clear])


# --- who counts


def test_main_seats_are_those_marked_or_else_all():
    marked, unmarked = seats((0, 0), (1, 0), (2, 0), main=(0, 2)), seats((0, 0), (1, 0))
    assert [seat.name for seat in main_seats(marked)] == ["seat 0", "seat 2"]
    assert [seat.name for seat in main_seats(unmarked)] == ["seat 0", "seat 1"]


def test_the_reference_position_is_midway_between_the_main_seats_ears():
    marked = seats((0, -3), (9, -9), (2, -4), main=(0, 2))
    assert reference_position(marked) == pytest.approx([1.0, -3.5, 1.1])
    assert reference_position(seats((1, -3))) == pytest.approx([1, -3, 1.0])
