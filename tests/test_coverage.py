"""Coverage: verdicts, the off-axis map against a plain double loop, sets against the words of the design, shares."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.aim import Straight
from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane, flat
from earshed.model.channel import parse_channel
from earshed.model.coverage import (
    BLOCK_POINTS,
    VERDICTS,
    channel_groups,
    off_axis,
    off_axis_map,
    set_coverage,
    shares,
    verdict_map,
)
from earshed.model.geometry import FRONT, RIGHT, UP, tilted, unit
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane
from earshed.model.plan import rectangle
from earshed.model.room import Room
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage, Fixed, SpeakerType

DOWN = -UP


def speaker(name, coverage_deg=90.0, channel=None, position=(0.0, 0.0, 2.7), axis=DOWN):
    kind = SpeakerType("round", "in-ceiling", Fixed(), Coverage(math.radians(coverage_deg)))
    signal = parse_channel(channel) if channel else None
    return Speaker(name, kind, signal, np.array(position), axis, axis, Straight(), None)


def plane_over(width, length, step, height=1.1, **filling):
    return lay_plane(Room(rectangle(width, length), flat(2.7), **filling), PlaneSpec(height, step))


def block(name, near_left, size):
    lower = np.array([near_left[0], -near_left[1] - size[1], 0.0])
    return Block.box(name, lower, lower + size)


# --- one angle


def test_worked_angles_under_a_level_and_a_sloped_ceiling():
    """Ear 1.2 m right, 0.9 m ahead and 1.5 m below: 45 degrees off straight down, 31.8203 off a flush speaker on a
    4-in-12 slope that rises to the right, by the closed form acos(n . d / |d|) with n = (sin th, 0, -cos th)."""
    ear, position = np.array([1.2, 0.9, 1.2]), np.array([0.0, 0.0, 2.7])
    slope = CeilingPlane("slope", 4 / 12, 0.0, 2.7)
    assert math.degrees(off_axis(ear, position, DOWN)) == pytest.approx(45.0, abs=1e-4)
    assert math.degrees(off_axis(ear, position, slope.normal)) == pytest.approx(31.8203, abs=1e-4)
    assert np.linalg.norm(ear - position) == pytest.approx(2.121320, abs=1e-6)


# --- verdicts


@given(st.floats(1, 360))
def test_the_covered_limit_is_where_a_square_law_beam_is_3_db_down(coverage_deg):
    """A beam whose level falls with the square of the angle, 6 dB at h, has fallen 3 dB at h / sqrt 2."""
    coverage = Coverage(math.radians(coverage_deg))

    def level_db(angle):
        return -6.0 * (angle / coverage.limit) ** 2

    assert coverage.limit == pytest.approx(math.radians(coverage_deg / 2))
    assert level_db(coverage.limit) == pytest.approx(-6.0)
    assert level_db(coverage.covered_limit) == pytest.approx(-3.0)


@given(st.floats(1, 360))
def test_limits_belong_to_the_better_verdict(coverage_deg):
    coverage = Coverage(math.radians(coverage_deg))
    covered, limit = coverage.limit / math.sqrt(2), coverage.limit
    past = math.radians(1e-6)
    assert coverage.verdict(0.0) == coverage.verdict(covered) == "covered"
    assert coverage.verdict(covered + past) == coverage.verdict(limit) == "fringe"
    assert coverage.verdict(limit + past) == "outside"


# --- the map


def plain_map(plane, positions, axes):
    """Degrees by two loops and one atan2 a point, in double precision."""
    result = np.full((len(positions), *plane.height.shape), np.nan)
    for row, y in enumerate(plane.y):
        for column, x in enumerate(plane.x):
            if not plane.inside[row, column]:
                continue
            for index, (position, axis) in enumerate(zip(positions, axes, strict=True)):
                d = (x - position[0], y - position[1], plane.height[row, column] - position[2])
                cross = (
                    d[1] * axis[2] - d[2] * axis[1],
                    d[2] * axis[0] - d[0] * axis[2],
                    d[0] * axis[1] - d[1] * axis[0],
                )
                along = d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2]
                result[index, row, column] = math.degrees(math.atan2(math.hypot(*cross), along))
    return result


def same_map(plane, positions, axes):
    """Whether the map is the plain one within 2e-4 degrees beyond 0.3 m, nan in the same places."""
    found, plain = off_axis_map(plane, positions, axes), plain_map(plane, positions, axes)
    assert found.dtype == np.float32
    assert found.shape == plain.shape
    np.testing.assert_array_equal(np.isnan(found), np.broadcast_to(~plane.inside, found.shape))
    far = np.linalg.norm(plane.points - np.asarray(positions)[:, None, None], axis=-1) > 0.3
    np.testing.assert_allclose(found[far], plain[far], atol=2e-4, rtol=0)


@pytest.mark.parametrize("count", [1, 2, 24])
@pytest.mark.parametrize(("width", "length", "step"), [(4.2, 6.6, 0.2), (24.0, 18.0, 1.0), (60.0, 60.0, 2.0)])
def test_the_map_is_the_plain_one(count, width, length, step):
    """Speakers anywhere, half of them 0.32 m from a point of the plane, over a riser and a box."""
    rng = np.random.default_rng(count)
    riser = block("riser", [width / 3, length / 2], [width / 4, length / 4, 0.4])
    box = block("box", [0.0, length / 3], [width / 4, length / 5, 2.0])
    plane = plane_over(width, length, step, risers=(riser,), boxes=(box,))
    positions = rng.uniform([0, -length, 0.4], [width, 0, 2.7], (count, 3))
    near = rng.choice(plane.points[plane.inside], len(positions[::2]))
    positions[::2] = near + 0.32 * unit(rng.normal(size=near.shape))
    same_map(plane, positions, unit(rng.normal(size=(count, 3))))


@pytest.mark.parametrize("axis", [DOWN, UP, FRONT, -FRONT, RIGHT, -RIGHT, unit([1e-10, 0, -1]), unit([1, 1, 1e-7])])
@pytest.mark.parametrize("drop", [1.6, 0.0, -0.6])
def test_points_on_the_axis_behind_it_and_on_its_level_are_exact_too(axis, drop):
    plane = plane_over(1.5, 2.1, 0.3)
    same_map(plane, np.array([[plane.x[2], plane.y[3], 1.1 + drop]]), np.array([axis]))


@pytest.mark.parametrize(("columns", "rows"), [(BLOCK_POINTS + 809, 2), (2, BLOCK_POINTS + 809), (1, 1), (90, 93)])
def test_a_row_longer_than_a_block_and_many_blocks(columns, rows):
    x, y = (np.arange(columns) + 0.5) * 9.0 / columns, (np.arange(rows) + 0.5) * 9.0 / rows - 9.0
    inside = (np.arange(columns) % 7 > 0) | (np.arange(rows)[:, None] % 3 > 0)
    height = 1.0 + 0.3 * (np.arange(columns) % 2) + np.zeros((rows, 1))
    plane = ListeningPlane(x, y, height, inside, 0.1)
    same_map(plane, np.array([[3.0, -4.0, 2.7], [8.5, -8.0, 2.0]]), np.array([DOWN, unit([-1.0, 2.0, -1.0])]))


@given(
    position=st.tuples(st.floats(0, 4), st.floats(-6, 0), st.floats(0, 2.7)),
    axis=st.tuples(*[st.floats(-1, 1)] * 3),
)
def test_any_speaker_in_a_room(position, axis):
    assume(np.linalg.norm(axis) > 0.1)
    same_map(plane_over(4.0, 6.0, 0.8), np.array([position]), unit([axis]))


def test_straight_down_the_covered_circle_has_radius_drop_times_tan_of_the_half_angle():
    """A cone straight down marks a circle of diameter 2 (H - h) tan(C / 2), 3.28 m for 2.74 - 1.10 m and 90 degrees."""
    plane = lay_plane(Room(rectangle(6.0, 6.0), flat(2.74)), PlaneSpec(1.10, 0.02))
    (angles,) = off_axis_map(plane, [[3.0, -3.0, 2.74]], [DOWN])
    within = angles <= 45.0
    radius = np.linalg.norm(plane.xy - [3.0, -3.0], axis=-1)
    assert 2 * 1.64 * math.tan(math.radians(45)) == pytest.approx(3.280, abs=1e-9)
    np.testing.assert_array_equal(within, radius <= 1.64)
    assert within.sum() * 0.02**2 == pytest.approx(math.pi * 1.64**2, rel=2e-3)


# --- verdicts over the plane, sets, shares


def test_a_sets_coverage_is_its_channels_taken_one_by_one():
    """Speakers of one channel carry one signal: one counts. Other channels, or none, each serve by themselves, and none
    does in its shadow."""
    rng = np.random.default_rng(7)
    names = [("a", 90, "U+045"), ("b", 70, "U+045"), ("c", 100, "U-045"), ("d", 60, None), ("e", 120, None)]
    names.append(("f", 110, "upper front left"))  # U+045 in words
    speakers = [speaker(name, coverage, channel) for name, coverage, channel in names]
    angles = rng.uniform(0, 75, (len(speakers), 40, 30)).astype(np.float32)
    angles[:, :3, 5:9] = np.nan
    signals = [[0, 1, 5], [2], [3], [4]]
    assert channel_groups(speakers) == signals
    visible = rng.random(angles.shape) < 0.8
    counts = [rng.choice(signal, angles.shape[1:]) for signal in signals]
    found = set_coverage(speakers, angles, visible, counts)
    assert found.channels == 4
    for row, column in np.ndindex(40, 30):
        point = angles[:, row, column]
        if np.isnan(point[0]):
            assert (found.served[row, column], found.verdict[row, column]) == (-1, -1)
            assert np.isnan(found.worst[row, column])
            continue
        each = [VERDICTS.index(s.coverage.verdict(math.radians(a))) for s, a in zip(speakers, point, strict=True)]
        each = [verdict if seen else 2 for verdict, seen in zip(each, visible[:, row, column], strict=True)]
        counting = [choice[row, column] for choice in counts]
        assert found.served[row, column] == sum(each[number] < 2 for number in counting)
        assert found.verdict[row, column] == max(each[number] for number in counting)
        assert found.worst[row, column] == max(point[number] for number in counting)
        seen = [any(visible[number, row, column] for number in signal) for signal in signals]
        assert found.unseen[row, column] == (not all(seen))


def test_one_speaker_is_a_set_of_one():
    angles = np.linspace(0, 80, 321, dtype=np.float32).reshape(1, 3, 107)
    one = speaker("one", 90)
    everywhere = np.ones(angles.shape, dtype=bool)
    found = set_coverage([one], angles, everywhere, [np.zeros(angles.shape[1:], dtype=int)])
    np.testing.assert_array_equal(found.verdict, verdict_map(one, angles[0]))
    np.testing.assert_array_equal(found.worst, angles[0])
    np.testing.assert_array_equal(found.served, angles[0] <= 45)


@given(st.integers(0, 1000), st.floats(0, 1))
def test_shares_count_the_points_of_the_area_and_sum_to_one(seed, part):
    rng = np.random.default_rng(seed)
    verdict, area = rng.integers(-1, 3, (9, 13)).astype(np.int8), rng.random((9, 13)) < part
    found = shares(verdict, area)
    counts = [sum(1 for v, a in zip(verdict.flat, area.flat, strict=True) if a and v == index) for index in range(3)]
    assert list(found) == list(VERDICTS)
    if sum(counts):
        assert sum(found.values()) == pytest.approx(1.0)
        assert list(found.values()) == pytest.approx([count / sum(counts) for count in counts])
    else:
        assert list(found.values()) == [0, 0, 0]


def floor_shares(step):
    """Shares of a 4 x 5 m floor under a speaker straight down, 1.6 m over the ears, 90 degrees."""
    plane = plane_over(4.0, 5.0, step)
    one = speaker("one", 90, position=(2.0, -2.5, 2.7))
    return shares(verdict_map(one, off_axis_map(plane, [one.position], [DOWN])[0]), plane.inside)


def test_shares_converge_on_the_closed_form_as_the_step_is_halved():
    """Circles of radius drop tan(h) and drop tan(h / sqrt 2); a cell is miscounted only where a circle cuts it."""
    limit, covered = 1.6, 1.6 * math.tan(math.radians(45 / math.sqrt(2)))
    exact = [math.pi * covered**2 / 20, math.pi * (limit**2 - covered**2) / 20, 1 - math.pi * limit**2 / 20]
    errors = []
    for step in (0.32, 0.16, 0.08, 0.04, 0.02, 0.01):
        error = max(abs(share - value) for share, value in zip(floor_shares(step).values(), exact, strict=True))
        assert error <= 2 * math.pi * (limit + covered) * step / 20
        errors.append(error)
    assert errors[-1] < errors[0] / 10
    assert errors[-1] < 1e-3


def test_a_finer_grid_agrees_where_the_points_fall_together():
    coarse, fine = plane_over(3.6, 4.8, 0.3), plane_over(3.6, 4.8, 0.1)
    np.testing.assert_allclose(coarse.x, fine.x[1::3], atol=1e-12)
    position, axis = [[1.0, -1.7, 2.7]], [tilted(DOWN, FRONT, 0.4)]
    np.testing.assert_allclose(
        off_axis_map(coarse, position, axis), off_axis_map(fine, position, axis)[:, 1::3, 1::3], atol=2e-4
    )
