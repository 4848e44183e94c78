"""Aims from many positions: exact against enumeration and sampling, one position at a time, and under every law."""

import math
import tracemalloc

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earshed.model.aim import best_axis, worst_off_axis
from earshed.model.aims import BLOCK, best_axes
from earshed.model.geometry import RIGHT, UP, angle_between, unit
from earshed.model.speaker_type import Angled, Fixed, Pivoting
from tests.aim_witness import best_sample, cap_samples, enumerated_worst, random_case, round_the

DOWN = -UP
RAD = math.radians
EXACT = RAD(1e-6)
SAME = RAD(1e-9)


def rooms(rng, count, seats):
    """Normals (N, 3), and directions (N, S, 3) from as many places, near the ceiling or anywhere, to the seats."""
    normals, ears = [], rng.uniform([-3, -4, -2], [3, 4, -1], (seats, 3))
    for _ in range(count):
        normals.append(random_case(rng, 1)[0])
    places = rng.uniform([-4, -5, -2.5], [4, 5, 1.5], (count, 3))
    return np.array(normals), ears - places[:, None]


def aimings(rng):
    return [Pivoting(RAD(rng.uniform(2, 89))), Angled(RAD(rng.uniform(2, 60))), Pivoting(RAD(15)), Angled(RAD(25))]


def turn_of(rng):
    """A random turn about a random line."""
    a, b = unit(rng.normal(size=(2, 3)))
    return reflection(a) @ reflection(b)


def reflection(a):
    return np.eye(3) - 2 * np.outer(a, a)


@pytest.mark.parametrize("seats", [1, 2, 3, 12])
@pytest.mark.parametrize("seed", range(4))
def test_full_enumeration_and_the_one_position_solver_find_the_same_worst_angle(seed, seats):
    rng = np.random.default_rng(10 * seats + seed)
    normals, directions = rooms(rng, 40, seats)
    for aiming in aimings(rng):
        reach = aiming.angle if isinstance(aiming, Angled) else aiming.limit
        aims = best_axes(aiming, normals, directions)
        for normal, lines, axis, worst in zip(normals, directions, aims.axes, aims.worst, strict=True):
            assert abs(worst - worst_off_axis(axis, lines)) < SAME
            assert abs(worst - worst_off_axis(best_axis(aiming, normal, lines), lines)) < EXACT
            best = enumerated_worst(normal, unit(lines), reach, rim_only=isinstance(aiming, Angled))
            assert abs(worst - best) < EXACT


@pytest.mark.parametrize("seed", range(4))
def test_no_axis_of_a_dense_sampling_does_better(seed):
    rng = np.random.default_rng(50 + seed)
    limit, angle = RAD(rng.uniform(5, 89)), RAD(rng.uniform(5, 60))
    samples, radius = cap_samples(limit, 100_000)
    turns = np.arange(20_000) * (2 * math.pi / 20_000)
    rim = np.stack([math.sin(angle) * np.cos(turns), math.sin(angle) * np.sin(turns), np.full(20_000, math.cos(angle))])
    normals, directions = rooms(rng, 20, int(rng.integers(1, 20)))
    for aiming, tried, near in ((Pivoting(limit), samples, radius), (Angled(angle), rim, math.pi / 20_000)):
        for normal, lines, worst in zip(normals, directions, best_axes(aiming, normals, directions).worst, strict=True):
            sampled = best_sample(tried, normal, unit(lines))
            assert sampled - near <= worst <= sampled + SAME


@pytest.mark.parametrize("seed", range(6))
def test_axes_stay_within_what_the_type_can_do(seed):
    rng = np.random.default_rng(70 + seed)
    normals, directions = rooms(rng, 500, 7)
    for aiming in aimings(rng):
        axes = best_axes(aiming, normals, directions).axes
        np.testing.assert_allclose(np.linalg.norm(axes, axis=1), 1, atol=1e-14)
        tilts = angle_between(axes, normals)
        if isinstance(aiming, Angled):
            np.testing.assert_allclose(tilts, aiming.angle, atol=1e-14)
        else:
            assert np.all(tilts <= aiming.limit + 2e-12)


def test_a_fixed_type_keeps_its_normal():
    normals, directions = rooms(np.random.default_rng(1), 30, 5)
    aims = best_axes(Fixed(), normals, directions)
    assert np.array_equal(aims.axes, normals)
    np.testing.assert_allclose(aims.worst, angle_between(normals[:, None], directions).max(axis=1), atol=1e-14)


@pytest.mark.parametrize("seed", range(8))
def test_order_turning_everything_and_distance_are_nothing(seed):
    rng = np.random.default_rng(90 + seed)
    normals, directions = rooms(rng, 200, 6)
    turn = turn_of(rng)
    for aiming in aimings(rng):
        worst = best_axes(aiming, normals, directions).worst
        turned = best_axes(aiming, normals @ turn, directions @ turn)
        for again in (
            best_axes(aiming, normals, directions[:, rng.permutation(6)]).worst,
            best_axes(aiming, normals, directions * rng.uniform(0.1, 9, (200, 6, 1))).worst,
            best_axes(aiming, normals, directions[:, [0, 3, 1, 2, 3, 4, 5, 5, 0]]).worst,
            turned.worst,
            angle_between((turned.axes @ turn.T)[:, None], directions).max(axis=1),
        ):
            np.testing.assert_allclose(again, worst, atol=1e-9, rtol=0)


@pytest.mark.parametrize("seed", range(6))
def test_reach_helps_and_seats_cost(seed):
    rng = np.random.default_rng(110 + seed)
    normals, directions = rooms(rng, 200, 8)
    less, more = sorted(np.radians(rng.uniform(1, 89, 2)))
    narrow, wide = (best_axes(Pivoting(limit), normals, directions).worst for limit in (less, more))
    assert np.all(wide <= narrow + SAME)
    assert np.all(narrow <= best_axes(Fixed(), normals, directions).worst + SAME)
    assert np.all(wide <= best_axes(Angled(more), normals, directions).worst + SAME)
    for aiming in aimings(rng):
        fewer = best_axes(aiming, normals, directions[:, :5]).worst
        assert np.all(fewer <= best_axes(aiming, normals, directions).worst + SAME)


# --- hand cases


def test_one_seat_within_reach_is_pointed_at_and_two_are_met_midway():
    lines = np.array([[[1.0, 0, -1], [-1, 0.2, -2]], [[0, 1, -1], [0, -1, -1]], [[0, 0, -2], [0, 0, -1]]])
    one = best_axes(Pivoting(RAD(60)), DOWN, lines[:, :1])
    np.testing.assert_allclose(one.axes, unit(lines[:, 0]), atol=1e-15)
    np.testing.assert_allclose(one.worst, 0, atol=1e-15)
    two = best_axes(Pivoting(RAD(60)), DOWN, lines)
    np.testing.assert_allclose(two.axes, unit(unit(lines[:, 0]) + unit(lines[:, 1])), atol=1e-15)
    np.testing.assert_allclose(two.worst, angle_between(lines[:, 0], lines[:, 1]) / 2, atol=1e-12)


def test_seats_all_round_are_met_at_the_middle():
    """Seats at 40 degrees from one middle with no gap of half a turn between them."""
    middle, around = unit([0.3, -0.5, -1.0]), np.radians([10, 150, 200, 300])[:, None]
    one, other = round_the(middle)
    lines = math.cos(RAD(40)) * middle + math.sin(RAD(40)) * (np.cos(around) * one + np.sin(around) * other)
    aims = best_axes(Pivoting(RAD(70)), DOWN, lines[None])
    np.testing.assert_allclose(aims.axes[0], middle, atol=1e-12)
    assert math.degrees(aims.worst[0]) == pytest.approx(40, abs=1e-9)


def test_a_seat_farther_off_than_the_limit_is_met_on_the_rim():
    """One seat 70 degrees off a pivot of 20 stays 50 off; one straight behind stays 160 off, whichever the heading."""
    lines = np.array([[[math.sin(RAD(70)), 0, -math.cos(RAD(70))]], [[0, 0, 3.0]]])
    for aiming in (Pivoting(RAD(20)), Angled(RAD(20))):
        aims = best_axes(aiming, DOWN, lines)
        np.testing.assert_allclose(np.degrees(aims.worst), [50, 160], atol=1e-9)
        np.testing.assert_allclose(aims.axes[0], [math.sin(RAD(20)), 0, -math.cos(RAD(20))], atol=1e-12)


def test_seats_over_more_than_half_of_all_directions():
    """Level seats on all four sides and one above: 90 degrees is the best from straight down without the one above,
    and it costs what a cap of 30 degrees leaves, 150, with it."""
    level = np.array([RIGHT, -RIGHT, [0, 1, 0], [0, -1, 0]])
    assert math.degrees(best_axes(Pivoting(RAD(30)), DOWN, level[None]).worst[0]) == pytest.approx(90, abs=1e-9)
    above = best_axes(Pivoting(RAD(30)), DOWN, np.concatenate([level, [UP]])[None])
    assert math.degrees(above.worst[0]) == pytest.approx(150, abs=1e-9)


def test_an_angled_type_straight_over_its_seat_is_off_by_its_angle():
    aims = best_axes(Angled(RAD(25)), DOWN, [[[0, 0, -2.0]], [[0, 0, -2.0]]])
    np.testing.assert_allclose(np.degrees(aims.worst), 25, atol=1e-12)


@pytest.mark.parametrize("aiming", [Fixed(), Angled(RAD(25)), Pivoting(RAD(18))])
def test_an_ear_in_the_baffle_asks_for_nothing(aiming):
    seats = np.array([[1.0, -1, -2], [-0.5, -2, -1]])
    with_it = np.array([[[0, 0, 0], *seats], [*seats, [0, 0, 0]], [[0, 0, 0]] * 3])
    found = best_axes(aiming, DOWN, with_it)
    alone = best_axes(aiming, DOWN, seats[None]).worst[0]
    np.testing.assert_allclose(found.worst, [alone, alone, 0], atol=1e-12)
    for axis, lines, worst in zip(found.axes, with_it, found.worst, strict=True):
        assert abs(worst - worst_off_axis(axis, lines)) < 1e-12


millimetres = st.integers
places = st.tuples(millimetres(-4000, 4000), millimetres(-6000, 6000), millimetres(-3000, 3000)).filter(any)


@given(
    st.lists(places, min_size=1, max_size=6), st.floats(0.01, 89.9), st.tuples(st.floats(-1.5, 1.5), st.floats(-2, 2))
)
@example([(1000, 0, 0), (-1000, 0, 0)], 40.0, (0.0, 0.0))
@example([(1000, 0, 0), (-1000, 0, 0), (0, 500, 0), (0, -700, 0), (0, 0, 100)], 60.0, (0.0, 0.0))
def test_seats_in_rows_on_one_spot_opposite_each_other_or_behind_the_baffle(seats, degrees, slope):
    normal, directions, angle = unit([*slope, -1.0]), unit(seats), RAD(degrees)
    for aiming in (Pivoting(angle), Angled(angle)):
        best = enumerated_worst(normal, directions, angle, rim_only=isinstance(aiming, Angled))
        assert abs(best_axes(aiming, normal, np.array(seats, dtype=float)[None]).worst[0] - best) < EXACT


# --- many at once


def test_each_position_is_answered_by_itself_in_blocks_of_little_memory():
    """Three blocks and a bit; what is used beyond input and output does not grow with the positions."""
    rng = np.random.default_rng(7)
    count = 3 * BLOCK + 5
    normals, directions = np.tile(unit([0.2, 0.1, -1]), (count, 1)), rng.normal(size=(count, 12, 3)) - [0, 0, 2]
    tracemalloc.start()
    aims = best_axes(Pivoting(RAD(30)), normals, directions)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 60e6
    for some in (slice(0, 40), slice(BLOCK - 20, BLOCK + 20), slice(count - 5, count)):
        alone = best_axes(Pivoting(RAD(30)), normals[0], directions[some])
        np.testing.assert_allclose(alone.worst, aims.worst[some], atol=1e-12)
    assert best_axes(Pivoting(0.3), DOWN, np.zeros((0, 4, 3))).axes.shape == (0, 3)
