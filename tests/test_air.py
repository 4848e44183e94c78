"""Sound in air against printed tables, and levels by their laws.

Air: ISO 9613-1:1993, Table 1, and ISO 9613-2:1996, Table 2, as open test data of acoustics packages transcribe them.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.sound.air import air_loss, speed_of_sound
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.decibels import a_weighted, a_weighting, level_mean, level_sum, power_of, spread
from earshed.model.sound.exposure import exposure_table, minutes_a_day

LEVELS = st.lists(st.floats(0.0, 120.0), min_size=1, max_size=12)
EXACT = {hz: 1000 * 10 ** (0.3 * k) for k, hz in enumerate((1000, 2000, 4000))}


@pytest.mark.parametrize(
    ("celsius", "humidity", "hz", "printed"),
    [
        (20, 50, 1000, 4.66), (20, 50, 2000, 9.86), (10, 70, 1000, 3.66), (0, 20, 2000, 34.6), (30, 50, 4000, 24.5),
        (10, 50, 4000, 46.7), (15, 50, 1000, 4.16), (25, 50, 1000, 5.68), (25, 100, 2000, 11.4),
    ],
)  # fmt: skip
def test_air_loses_what_iso_9613_1_prints(celsius, humidity, hz, printed):
    assert 1000 * air_loss(EXACT[hz], celsius, humidity) == pytest.approx(printed, rel=0.004)


def test_air_loses_what_iso_9613_2_prints():
    """Table 2, 20 degrees and 70 per cent, octave bands 63 Hz to 8 kHz, dB a kilometre."""
    printed = [0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6]
    exact = 1000 * 10 ** (0.3 * np.arange(-4, 4))
    np.testing.assert_allclose(1000 * air_loss(exact, 20, 70), printed, atol=0.051)


@given(st.floats(-20, 50), st.floats(0, 100), st.floats(20, 20000))
def test_air_takes_more_of_higher_tones_and_never_gives(celsius, humidity, hz):
    low, high = air_loss([hz, 1.5 * hz], celsius, humidity)
    assert 0 < low < high


@pytest.mark.parametrize("air", [(20, -1), (20, 101), (-300, 50), (120, 50)])
def test_air_that_there_is_none_of_is_refused(air):
    with pytest.raises(ValueError, match="no air is"):
        air_loss(1000, *air)


@pytest.mark.parametrize(
    ("celsius", "metres"), [(0, 331.3), (15, 340.275), (20, 343.215), (25, 346.129), (30, 349.019)]
)
def test_sound_is_as_fast_as_the_root_of_warmth(celsius, metres):
    """Worked from 331.3 m/s at freezing."""
    assert speed_of_sound(celsius) == pytest.approx(metres, abs=0.001)


def test_three_sources_that_do_not_interfere_add_up_by_hand():
    """80, 85 and 90 dB: 10 lg (1e8 + 3.1623e8 + 1e9) = 91.511."""
    assert level_sum([80.0, 85.0, 90.0]) == pytest.approx(91.511, abs=0.001)
    assert level_sum([70.0] * 4) == pytest.approx(70 + 6.0206, abs=1e-4)


@given(LEVELS, st.floats(-40, 40))
def test_sums_and_means_move_with_the_levels_and_lie_where_they_must(levels, more):
    raised = np.array(levels) + more
    assert level_sum(raised) == pytest.approx(level_sum(levels) + more)
    assert max(levels) - 1e-9 <= level_sum(levels) <= max(levels) + 10 * np.log10(len(levels)) + 1e-9
    assert min(levels) - 1e-9 <= level_mean(levels) <= max(levels) + 1e-9
    assert level_sum(levels) == pytest.approx(level_mean(levels) + 10 * np.log10(len(levels)))
    assert spread(raised) == pytest.approx(spread(levels), abs=1e-9)
    np.testing.assert_allclose(power_of(levels).sum(), power_of(level_sum(levels)))


def test_the_a_weighting_is_what_the_standard_prints():
    """IEC 61672-1, Table 3, 125 Hz to 16 kHz, dB; values from memory."""
    printed = [-16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1, -6.6]
    np.testing.assert_allclose(a_weighting(OCTAVES.exact), printed, atol=0.1)


def test_a_weighted_levels_sum_bands_with_their_weights():
    levels = np.full(8, 60.0)
    assert a_weighted(levels, OCTAVES.exact) == pytest.approx(level_sum(levels + a_weighting(OCTAVES.exact)))


@pytest.mark.parametrize(
    ("level", "minutes"), [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (103, 7.5)]
)
def test_minutes_a_day_are_those_that_niosh_prints(level, minutes):
    """NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure (1998)."""
    assert minutes_a_day(level) == pytest.approx(minutes, rel=1e-12)


def test_the_table_of_exposure_ends_past_the_loudest():
    assert [level for level, _ in exposure_table(95.0)] == [85, 88, 91, 94, 97]
    assert [level for level, _ in exposure_table(60.0)] == [85]
