"""Directivity from a coverage angle and from pistons: closed forms, golden figures, and laws that hold for all."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import ArrayLike
from scipy.special import j1

from earshed.model.geometry import Array
from earshed.model.sound.bands import BANDS, OCTAVES, THIRDS
from earshed.model.sound.beam_width import UPRIGHT, beam_width, directivity_index
from earshed.model.sound.directivity import Symmetric, decibels, directions_at, polar
from earshed.model.sound.nominal import FLOOR_DB, Nominal
from earshed.model.sound.piston import SOUND_SPEED, Piston, average_over_bands, piston_pressure

ANGLES = np.radians(np.linspace(0.0, 180.0, 361))
HALF_ANGLES = st.floats(math.radians(5), math.radians(180))
STATED = st.sampled_from([None, *OCTAVES.nominal])
RADII = st.floats(0.005, 0.165)
COAXIAL = Piston(0.065, 0.0125, 2500.0)


def hertz_of(ka: float, radius: float = 0.1) -> float:
    return ka * SOUND_SPEED / (2 * math.pi * radius)


def level_of(ka: float, degrees: float) -> float:
    (power,) = Piston(0.1).power_at(math.radians(degrees), [hertz_of(ka)])
    return float(10 * np.log10(power))


# --- the piston's pressure, 2 J1(x) / x


@given(st.floats(1e-3, 400.0))
def test_it_is_the_bessel_function(x: float) -> None:
    """Against J1 of scipy (Cephes). On the way from 0 it is 1 - x^2 / 8 + x^4 / 192."""
    assert piston_pressure(x) == pytest.approx(2 * j1(x) / x, abs=1e-12)


@given(st.floats(0.0, 0.05))
def test_near_the_axis_it_is_its_series(x: float) -> None:
    assert piston_pressure(x) == pytest.approx(1 - x**2 / 8 + x**4 / 192, abs=1e-11)


@pytest.mark.parametrize(
    ("level_db", "x"), [(-3.0, 1.613741), (-6.0, 2.211785), (-10.0, 2.731379), (20 * math.log10(0.5), 2.215089)]
)
def test_where_it_is_so_far_down(level_db: float, x: float) -> None:
    """Roots of 2 J1(x) / x = 10^(L / 20), computed with scipy."""
    near = piston_pressure(np.array([x - 1e-6, x + 1e-6]))
    assert near[0] > 10 ** (level_db / 20) > near[1]


@pytest.mark.parametrize("x", [3.831706, 7.015587, 10.173468])
def test_its_nulls(x: float) -> None:
    """Zeros of J1, in any table of Bessel functions."""
    below, above = piston_pressure(np.array([x - 1e-6, x + 1e-6]))
    assert below * above < 0


@pytest.mark.parametrize(("x", "level_db"), [(5.135622, -17.570), (8.417244, -23.811)])
def test_its_side_lobes(x: float, level_db: float) -> None:
    """Extrema of 2 J1(x) / x are zeros of J2; levels computed with scipy."""
    at = piston_pressure(x)
    assert 20 * math.log10(abs(at)) == pytest.approx(level_db, abs=1e-3)
    assert abs(at) > np.abs(piston_pressure(np.array([x - 1e-3, x + 1e-3]))).max()


@pytest.mark.parametrize(
    ("ka", "levels"),
    [
        (1, [-0.033, -0.073, -0.127, -0.273, -0.549, -0.827, -1.033, -1.109]),
        (2, [-0.131, -0.293, -0.513, -1.109, -2.270, -3.491, -4.428, -4.781]),
        (3, [-0.296, -0.663, -1.169, -2.570, -5.455, -8.806, -11.712, -12.916]),
        (5, [-0.832, -1.887, -3.396, -8.009, -23.188, -21.534, -18.011, -17.652]),
        (10, [-3.510, -8.722, -20.011, -17.652, -46.579, -24.063, -31.665, -41.215]),
    ],
)
def test_levels_of_a_piston(ka: float, levels: list[float]) -> None:
    """20 lg |2 J1(x) / x|, x = ka sin(angle), computed with scipy."""
    found = [level_of(ka, degrees) for degrees in (10, 15, 20, 30, 45, 60, 75, 90)]
    assert found == pytest.approx(levels, abs=1e-3)


def test_the_beam_of_a_cone() -> None:
    """65 mm, 4 kHz, 343.2146 m/s: 2 asin(2.211785 / ka) is 55.379 degrees."""
    ka = 2 * math.pi * 4000 / SOUND_SPEED * 0.065
    assert math.degrees(2 * math.asin(2.211785 / ka)) == pytest.approx(55.379, abs=0.005)
    (power,) = Piston(0.065).power_at(math.radians(55.379 / 2), [4000.0])
    assert 10 * math.log10(power) == pytest.approx(-6.0, abs=0.001)


# --- how wide it is, and how much it gathers


class OneFrequency(Symmetric):
    """A piston at one ka in every band."""

    bands = OCTAVES
    guessed = (False,) * len(OCTAVES)

    def __init__(self, ka: float) -> None:
        self.hertz = np.full(len(OCTAVES), hertz_of(ka))

    def level_at(self, angles: ArrayLike) -> Array:
        return decibels(Piston(0.1).power_at(angles, self.hertz))


@pytest.mark.parametrize(("ka", "index"), [(1, 3.7338), (2, 5.8795), (3, 9.1593), (5, 14.0173), (10, 20.0291)])
def test_directivity_index_of_a_piston(ka: float, index: float) -> None:
    """Q = (ka)^2 / (1 - J1(2 ka) / ka) in half space; formula from memory, proved by this integral."""
    closed = 10 * math.log10(ka**2 / (1 - j1(2 * ka) / ka))
    found = directivity_index(OneFrequency(ka), within=math.pi / 2)
    assert closed == pytest.approx(index, abs=1e-4)
    assert found == pytest.approx(closed, abs=1e-8)


def test_a_small_piston_fills_half_the_space_or_all_of_it() -> None:
    """10 lg 2 = 3.0103 dB in half space as ka goes to 0; 0 dB in all of it."""
    small = OneFrequency(1e-4)
    assert directivity_index(small, within=math.pi / 2) == pytest.approx(3.0103, abs=1e-4)
    assert directivity_index(small) == pytest.approx(0.0, abs=1e-4)
    assert np.all(beam_width(small) == math.inf)


@given(st.floats(2.212, 40.0))
def test_beam_width_of_a_piston(ka: float) -> None:
    found = beam_width(OneFrequency(ka))
    assert found == pytest.approx(2 * math.asin(2.2117853 / ka), abs=1e-4)


# --- a beam of which the coverage angle is known


@given(HALF_ANGLES, st.sampled_from(OCTAVES.nominal), st.sampled_from(list(BANDS.values())))
def test_it_is_6_db_down_at_half_the_angle_in_the_stated_band(half, hz, bands) -> None:
    beam = Nominal(half, hz).in_bands(bands)
    band = bands.index(hz)
    assert beam.level_at(half)[band] == -6.0
    assert beam.level_at(half / math.sqrt(2))[band] == pytest.approx(-3.0, abs=1e-12)
    assert beam.level_at(0.0)[band] == 0.0
    assert [index for index, guessed in enumerate(beam.guessed) if not guessed] == [band]


def test_without_a_band_it_is_a_guess_at_4_khz() -> None:
    beam = Nominal(math.radians(45)).in_bands(OCTAVES)
    assert all(beam.guessed)
    assert beam.level_at(math.radians(45))[OCTAVES.index(4000)] == -6.0


@given(HALF_ANGLES, STATED)
def test_it_never_rises_and_keeps_its_floor(half: float, hz: float | None) -> None:
    levels = Nominal(half, hz).in_bands(OCTAVES).level_at(ANGLES)
    assert np.all(np.diff(levels, axis=0) <= 0)
    assert levels.min() >= -FLOOR_DB


@given(HALF_ANGLES, STATED)
def test_it_is_smooth(half: float, hz: float | None) -> None:
    """Second differences over the step squared stay at what the parabola and its bend to the floor have.

    The bend adds (2 / 18) 0.385 times the slope squared at the most, 2.1 times the parabola's own 12 / half^2.
    """
    beam = Nominal(half, hz).in_bands(OCTAVES)
    angles = np.linspace(0.0, math.pi, 20001)
    bend = np.diff(beam.level_at(angles), 2, axis=0) / (angles[1] - angles[0]) ** 2
    steepest = 12.0 / np.array(beam.half_angles) ** 2
    assert np.all(np.abs(bend) <= 2.5 * steepest + 1e-4)


@given(HALF_ANGLES, STATED)
def test_lower_bands_are_wider_down_to_all_round(half: float, hz: float | None) -> None:
    beam = Nominal(half, hz).in_bands(THIRDS)
    assert np.all(np.diff(beam.half_angles) <= 0)
    stated = THIRDS.index(hz or 4000)
    assert beam.half_angles[0] / half == pytest.approx(THIRDS.exact[stated] / THIRDS.exact[0])
    assert min(beam.half_angles) >= half / 2


def test_a_subwoofer_plays_all_round() -> None:
    beam = Nominal(math.inf).in_bands(OCTAVES)
    assert np.all(beam.level_at(ANGLES) == 0.0)
    assert all(beam.guessed)


# --- pistons by band


@settings(max_examples=20)
@given(RADII, st.booleans(), st.sampled_from(list(BANDS.values())))
def test_the_average_over_a_band_has_converged(radius: float, two_ways: bool, bands) -> None:
    piston = Piston(radius, radius / 3, 2500.0) if two_ways else Piston(radius)
    angles = ANGLES[:181:5]
    ours, finer = (average_over_bands(piston, angles, bands, finer) for finer in (1, 4))
    np.testing.assert_allclose(ours, finer, atol=1e-8)


def test_a_narrow_band_is_its_middle() -> None:
    """To second order in the width: a third is nearer to its exact frequency than an octave, by a factor of 9."""
    angles = np.radians([10.0, 20.0, 30.0])
    off = {}
    for name, bands in BANDS.items():
        band = bands.index(2000)
        middle = Piston(0.08).power_at(angles, bands.exact[band : band + 1])[:, 0]
        off[name] = np.abs(average_over_bands(Piston(0.08), angles, bands)[:, band] - middle)
    assert np.all(off["thirds"] < off["octaves"] / 8)


def test_drivers_hand_over_in_power() -> None:
    """Far below the crossover it is the woofer, far above the tweeter, and at it half of each."""
    angles = np.radians([0.0, 20.0, 50.0, 90.0])
    woofer, tweeter = Piston(0.065), Piston(0.0125)
    at = np.array([250.0, 2500.0, 25000.0])
    both, low, high = (each.power_at(angles, at) for each in (COAXIAL, woofer, tweeter))
    np.testing.assert_allclose(both[:, 0], low[:, 0], rtol=1e-7)
    np.testing.assert_allclose(both[:, 1], (low[:, 1] + high[:, 1]) / 2, rtol=1e-12)
    np.testing.assert_allclose(both[:, 2], high[:, 2], atol=1e-7)
    assert both[0] == pytest.approx(1.0)


def test_behind_its_baffle_a_piston_is_as_at_its_side() -> None:
    beam = COAXIAL.in_bands(OCTAVES)
    np.testing.assert_array_equal(beam.level_at([2.0, 3.0]), beam.level_at([math.pi / 2] * 2))


# --- all kinds


@pytest.mark.parametrize("source", [Nominal(0.8, 4000.0), COAXIAL], ids=["nominal", "piston"])
def test_all_round_the_axis_and_in_a_table_it_is_the_same(source) -> None:
    beam = source.in_bands(OCTAVES)
    rolls = np.radians([0.0, 77.0, 180.0, 301.0])
    toward = beam.level_toward(3.0 * directions_at(ANGLES[:, None], rolls))
    np.testing.assert_allclose(toward, np.broadcast_to(beam.level_at(ANGLES)[:, None], toward.shape), atol=1e-9)
    table = beam.power_table()
    middles = (np.arange(len(table)) + 0.5) / len(table)
    angles = 2 * np.arcsin(middles[middles < np.sin(np.radians(75.0))])  # to 150 degrees
    exact = 10 ** (beam.level_at(angles) / 10)
    assert table.shape == (16384, len(OCTAVES))
    np.testing.assert_allclose(table[: len(angles)], exact, rtol=1e-4, atol=1e-6)
    rises = np.abs(np.diff(10 * np.log10(np.maximum(exact, 0.01)), axis=0))
    assert rises.max() < 0.02  # so that one row is as good as the next
    assert beam_width(beam) == pytest.approx(beam_width(beam, UPRIGHT))


@given(st.floats(0.0, math.pi), st.floats(0.0, 6.28), st.floats(0.1, 10.0))
def test_angles_and_directions_are_each_other(angle: float, roll: float, length: float) -> None:
    found = polar(length * directions_at(angle, roll))
    assert found[0] == pytest.approx(angle, abs=1e-9)
    assert math.sin(angle) < 1e-6 or math.remainder(float(found[1]) - roll, 2 * math.pi) == pytest.approx(0, abs=1e-6)
