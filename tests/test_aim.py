"""Aim: hand cases with known answers, ties, and laws that any best axis obeys."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.aim import AtSeats, CannotAim, Straight, Tilt, axis_of, best_axis, worst_off_axis
from earshed.model.geometry import FRONT, RIGHT, UP, angle_between, tilted, unit
from earshed.model.speaker_type import Angled, Fixed, Pivoting
from tests.aim_witness import best_sample, cap_samples, enumerated_worst, random_case, round_the

DOWN = -UP
WIDE = Pivoting(math.radians(60))
SLOPE = unit([0.4, 0.1, -1.0])
NO_SEATS = np.zeros((0, 3))
PAIR = unit([[-1.0, -2.0, -1.5], [1.4, -1.2, -1.5]])
ROW = unit([[x, -1.5, -1.4] for x in (-1.2, -0.5, 0.1, 0.6, 0.9)])


# --- hand cases


@pytest.mark.parametrize(
    ("aiming", "normal", "seats", "axis"),
    [
        pytest.param(Fixed(), DOWN, PAIR, DOWN, id="a fixed type keeps its normal"),
        pytest.param(WIDE, DOWN, PAIR[:1], PAIR[0], id="one seat within reach is pointed at"),
        pytest.param(WIDE, DOWN, PAIR, PAIR[0] + PAIR[1], id="two are met midway"),
        pytest.param(WIDE, DOWN, ROW, ROW[0] + ROW[-1], id="a row is met midway between the outer two"),
        pytest.param(WIDE, DOWN, [*PAIR, PAIR.sum(axis=0) + 0.02], PAIR.sum(axis=0), id="one between two is nothing"),
        pytest.param(Pivoting(0.2), SLOPE, [[2, 1, -1]], tilted(SLOPE, [2, 1, -1], 0.2), id="past the limit, rim"),
        pytest.param(Pivoting(0.2), SLOPE, [[-2, 0.5, 0.4]], tilted(SLOPE, [-2, 0.5, 0.4], 0.2), id="and from above"),
        pytest.param(Angled(0.4), SLOPE, PAIR[:1], tilted(SLOPE, PAIR[0], 0.4), id="an angled type turns to its seat"),
    ],
)
def test_hand_case(aiming, normal, seats, axis):
    np.testing.assert_allclose(best_axis(aiming, normal, unit(seats)), unit(axis), atol=1e-12)


@given(st.floats(-9, -1), st.floats(0.05, 1.5), st.floats(-math.pi, math.pi))
def test_no_axis_leans_past_the_limit_however_little_the_seat_does(exponent, limit, turn):
    lean = np.array([math.cos(turn), math.sin(turn), 0.0])
    seats = [tilted(DOWN, lean, limit + 10**exponent), tilted(DOWN, lean, limit + 2 * 10**exponent)]
    np.testing.assert_allclose(best_axis(Pivoting(limit), DOWN, seats), tilted(DOWN, lean, limit), atol=1e-12)


@pytest.mark.parametrize("turns", [(0, 120, 240), (10, 150, 200), (0, 90, 180, 270), (5, 100, 170, 250, 300)])
def test_seats_all_round_a_circle_are_met_at_its_middle(turns):
    """With no gap of half a turn or more between them, no other axis is as near to all."""
    middle, around = unit([0.3, -0.5, -1.0]), np.radians(turns)[:, None]
    one, other = round_the(middle)
    seats = math.cos(0.5) * middle + math.sin(0.5) * (np.cos(around) * one + np.sin(around) * other)
    np.testing.assert_allclose(best_axis(WIDE, DOWN, seats), middle, atol=1e-9)


@pytest.mark.parametrize("aiming", [WIDE, Pivoting(math.radians(8)), Angled(math.radians(25))])
def test_the_same_seat_given_again_changes_nothing(aiming):
    again = [*ROW, ROW[1], ROW[1], ROW[0]]
    np.testing.assert_allclose(best_axis(aiming, DOWN, again), best_axis(aiming, DOWN, ROW), atol=1e-9)


@pytest.mark.parametrize(
    ("aiming", "normal", "seats", "lean"),
    [
        pytest.param(Angled(0.4), DOWN, [[0, 0, -2]], FRONT, id="straight over the seat: front"),
        pytest.param(Angled(0.4), DOWN, [[0, 0, -2], [-0.5, -0.4, -2]], [-0.5, -0.4, 0], id="and a seat aside: to it"),
        pytest.param(Angled(0.4), DOWN, [[-1, 0, -2], [1, 0, -2]], FRONT, id="alike left and right: front"),
        pytest.param(Angled(0.4), DOWN, [[0, -1, -2], [0, 1, -2]], -RIGHT, id="alike ahead and behind: left"),
        pytest.param(Angled(0.4), -FRONT, [[0, -2, 0]], UP, id="straight out of the front wall: up"),
        pytest.param(Pivoting(0.3), DOWN, [[0, 0, 1]], FRONT, id="behind the baffle: front"),
        pytest.param(Pivoting(0.3), DOWN, [[0, 0, 1], [-1, -1, -1]], [-1, -1, 0], id="and a seat aside: to it too"),
    ],
)
def test_ties_go_to_the_least_sum_of_squares_then_nearest_to_front(aiming, normal, seats, lean):
    """Of the leans as good and as near to front the left one is taken, so that the answer is always the same."""
    angle = aiming.angle if isinstance(aiming, Angled) else aiming.limit
    np.testing.assert_allclose(best_axis(aiming, normal, unit(seats)), tilted(normal, lean, angle), atol=1e-9)


def test_over_one_seat_the_sum_of_squares_over_the_others_is_least():
    """Every heading leaves the seat straight below as far off; 36,000 headings do no better on the other two."""
    angle, seats = 0.45, unit([[0, 0, -2], [-0.5, -0.4, -2.0], [-0.1, -0.7, -2.0]])
    turns = np.arange(36_000) * (2 * math.pi / 36_000)
    leans = np.stack([np.cos(turns), np.sin(turns), np.zeros(len(turns))], axis=-1)
    angles = angle_between((math.cos(angle) * DOWN + math.sin(angle) * leans)[:, None], seats)
    tied = angles.max(axis=1) <= angle + 1e-9
    chosen = angle_between(best_axis(Angled(angle), DOWN, seats), seats)
    assert chosen.max() <= angle + 1e-9
    assert np.sum(chosen**2) <= np.sum(angles[tied] ** 2, axis=1).min() + 1e-6


# --- aims as a scene gives them


def test_an_angled_type_without_a_heading_is_refused():
    with pytest.raises(CannotAim, match="heading"):
        axis_of(Angled(0.4), DOWN, Straight(), NO_SEATS)
    for aiming in (Fixed(), Pivoting(0.3)):
        assert np.array_equal(axis_of(aiming, DOWN, Straight(), NO_SEATS), DOWN)


@given(
    normal=st.tuples(st.floats(-1, 1), st.floats(-1, 1)),
    heading=st.floats(-math.pi, math.pi),
    tilt=st.floats(0, math.radians(89)),
)
def test_a_tilt_toward_a_heading_is_that_tilt_in_the_plane_of_normal_and_heading(normal, heading, tilt):
    """With b the heading and n the normal: t = unit(b - (b.n) n), axis = cos A n + sin A t."""
    n = unit([*normal, -1.0])
    b = np.array([math.sin(heading), math.cos(heading), 0.0])
    axis = axis_of(Pivoting(tilt), n, Tilt(tilt, b), NO_SEATS)
    assert angle_between(n, axis) == pytest.approx(tilt, abs=1e-12)
    assert np.linalg.norm(axis) == pytest.approx(1.0, abs=1e-12)
    assert abs(axis @ np.cross(n, b)) < 1e-12
    assert axis @ b >= math.cos(tilt) * (n @ b) - 1e-12


def test_a_heading_along_the_normal_is_refused_and_seats_give_the_best_axis():
    with pytest.raises(ValueError, match="heading"):
        axis_of(Pivoting(0.3), DOWN, Tilt(0.2, UP), NO_SEATS)
    assert np.array_equal(axis_of(WIDE, DOWN, AtSeats(("a", "b")), PAIR), best_axis(WIDE, DOWN, PAIR))


# --- against dense sampling and full enumeration


@pytest.mark.parametrize("seed", range(8))
def test_no_axis_of_a_dense_sampling_beats_the_best_of_a_pivoting_type(seed):
    rng = np.random.default_rng(100 + seed)
    for _ in range(4):
        limit = math.radians(rng.uniform(5, 89))
        samples, radius = cap_samples(limit, 200_000)
        for _ in range(8):
            normal, seats = random_case(rng, 48)
            axis = best_axis(Pivoting(limit), normal, seats)
            assert abs(np.linalg.norm(axis) - 1) < 1e-12
            assert angle_between(normal, axis) <= limit + 1e-12
            sampled, found = best_sample(samples, normal, seats), worst_off_axis(axis, seats)
            assert sampled - radius <= found <= sampled + 1e-9


@pytest.mark.parametrize("seed", range(8))
def test_no_heading_of_a_dense_sampling_beats_the_best_of_an_angled_type(seed):
    rng = np.random.default_rng(200 + seed)
    turns = np.arange(20_000) * (2 * math.pi / 20_000)
    for _ in range(40):
        angle = math.radians(rng.uniform(5, 60))
        rim = np.stack([
            math.sin(angle) * np.cos(turns), math.sin(angle) * np.sin(turns), np.full(len(turns), math.cos(angle))
        ])  # fmt: skip
        normal, seats = random_case(rng, 48)
        axis = best_axis(Angled(angle), normal, seats)
        assert abs(angle_between(normal, axis) - angle) < 1e-12
        sampled, found = best_sample(rim, normal, seats), worst_off_axis(axis, seats)
        assert sampled - math.sin(angle) * math.pi / 20_000 <= found <= sampled + 1e-9


@pytest.mark.parametrize(("seed", "most"), [*((seed, 10) for seed in range(6)), (6, 48)])
def test_full_enumeration_finds_the_same_worst_angle(seed, most):
    rng = np.random.default_rng(300 + seed)
    for _ in range(25 if most == 10 else 3):
        normal, seats = random_case(rng, most)
        limit, angle = math.radians(rng.uniform(5, 89)), math.radians(rng.uniform(5, 60))
        for aiming, reach in ((Pivoting(limit), limit), (Angled(angle), angle)):
            found = worst_off_axis(best_axis(aiming, normal, seats), seats)
            best = enumerated_worst(normal, seats, reach, rim_only=aiming == Angled(reach))
            assert math.degrees(abs(found - best)) < 1e-6


millimetres = st.integers
ears = st.tuples(millimetres(-4000, 4000), millimetres(-6000, 6000), millimetres(-3000, -300))


@given(st.lists(ears, min_size=1, max_size=5), st.floats(1, 89), st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)))
def test_enumeration_agrees_for_seats_in_rows_on_one_spot_or_straight_below_too(seats, degrees, slope):
    normal, directions, angle = unit([*slope, -1.0]), unit(seats), math.radians(degrees)
    for aiming in (Pivoting(angle), Angled(angle)):
        found = worst_off_axis(best_axis(aiming, normal, directions), directions)
        best = enumerated_worst(normal, directions, angle, rim_only=aiming == Angled(angle))
        assert math.degrees(abs(found - best)) < 1e-6


@pytest.mark.parametrize("seed", range(40))
def test_order_mirror_turn_and_one_more_seat(seed):
    """The order of the seats is nothing; a mirrored or turned room has the mirrored or turned axis; a seat costs."""
    rng = np.random.default_rng(400 + seed)
    normal, seats = random_case(rng, 12)
    aiming = [Pivoting, Angled][seed % 2](math.radians(rng.uniform(5, 60)))
    axis = best_axis(aiming, normal, seats)
    np.testing.assert_allclose(best_axis(aiming, normal, rng.permutation(seats)), axis, atol=1e-6)
    mirror = np.diag([-1.0, 1.0, 1.0])
    np.testing.assert_allclose(best_axis(aiming, normal @ mirror, seats @ mirror), axis @ mirror, atol=1e-6)
    angle = rng.uniform(-math.pi, math.pi)
    turn = np.array([[math.cos(angle), -math.sin(angle), 0], [math.sin(angle), math.cos(angle), 0], [0, 0, 1]])
    np.testing.assert_allclose(best_axis(aiming, turn @ normal, seats @ turn.T), turn @ axis, atol=1e-6)
    more = np.concatenate([seats, random_case(rng, 1)[1]])
    assert worst_off_axis(best_axis(aiming, normal, more), more) >= worst_off_axis(axis, seats) - 1e-9
