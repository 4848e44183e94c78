"""The kernel of level maps: the inverse square law, an exact witness, and what adding and moving does."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import angle_between, unit
from earshed.model.sound.level_map import NEAREST, Field, Source

ROWS = 16384
SINES = (np.arange(ROWS) + 0.5) / ROWS


def beam(sharpness: np.ndarray) -> np.ndarray:
    """A smooth table (K, B): the power of the cosine of half the angle, to even powers."""
    return ((1 - SINES**2)[:, None] ** sharpness + 1e-3).astype(np.float32)


def witness(points, sources, exact):
    """The same in double precision, from the angle itself."""
    total = 0.0
    for source, sharpness in zip(sources, exact, strict=True):
        ways = points - source.position
        angle = angle_between(ways, source.axis)
        total = total + (np.cos(angle / 2)[:, None] ** (2 * sharpness) + 1e-3) / np.sum(ways**2, axis=1)[:, None]
    return total


def some(seed: int, count: int, bands: int = 8):
    rng = np.random.default_rng(seed)
    sharpness = rng.uniform(2.0, 12.0, (count, bands))
    sources = [Source(rng.uniform([-4, -4, 2], [4, 4, 10]), unit(rng.normal(size=3)), beam(s)) for s in sharpness]
    return rng, sources, sharpness


@given(st.integers(0, 10_000), st.integers(1, 6), st.floats(-1000.0, 1000.0))
def test_power_is_that_of_the_angle_and_the_distance_wherever_the_room_stands(seed, count, shift):
    rng, sources, sharpness = some(seed, count)
    points = rng.uniform(-5, 5, (300, 3)) * [1, 1, 0.2]
    moved = [Source(one.position + shift, one.axis, one.table) for one in sources]
    found = Field(points + shift).power(moved)
    np.testing.assert_allclose(10 * np.log10(found / witness(points, sources, sharpness)), 0.0, atol=0.01)


@given(st.integers(0, 10_000))
def test_sources_add_up(seed):
    rng, sources, _ = some(seed, 4)
    points = rng.uniform(-3, 3, (50, 3)) * [1, 1, 0.2]
    apart = sum(Field(points).power([one]).astype(float) for one in sources)
    np.testing.assert_allclose(Field(points).power(sources), apart, rtol=2e-5)


@given(st.integers(0, 10_000))
def test_one_that_moved_over_all_others_is_the_whole_anew(seed):
    rng, (first, *others), _ = some(seed, 4)
    field = Field(rng.uniform(-3, 3, (50, 3)) * [1, 1, 0.2])
    moved = Source(first.position + np.array([0.1, 0.2, 0.0]), first.axis, first.table)
    total = field.power(others)
    field.add(total, [moved])
    np.testing.assert_allclose(total, field.power([moved, *others]), rtol=2e-5)


@given(st.floats(0.2, 20.0))
def test_twice_as_far_is_six_decibels_less(distance):
    source = Source(np.zeros(3), np.array([0.0, 0.0, 1.0]), beam(np.array([3.0])))
    near, far = Field(np.array([[0, 0, distance], [0, 0, 2 * distance]])).power([source])[:, 0]
    assert 10 * np.log10(far / near) == pytest.approx(-6.0206, abs=1e-3)


def test_a_point_at_the_source_is_not_endless():
    source = Source(np.zeros(3), np.array([0.0, 0.0, 1.0]), beam(np.array([3.0])))
    assert Field(np.zeros((1, 3))).power([source])[0, 0] <= 1.001 / NEAREST**2


def test_blocks_make_no_difference_and_no_points_give_none():
    rng, sources, _ = some(3, 3)
    points = rng.uniform(-3, 3, (9001, 3)) * [1, 1, 0.2]
    whole = Field(points).power(sources)
    middle = points.mean(axis=0)
    part = Field(np.concatenate([points[5000:5100], 2 * middle - points[5000:5100]])).power(sources)[:100]
    np.testing.assert_allclose(whole[5000:5100], part, rtol=1e-4)
    assert Field(np.zeros((0, 3))).power(sources).shape == (0, 8)
