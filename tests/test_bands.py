"""Bands: exact frequencies of IEC 61260-1:2014 (base 10), their names, and which one a frequency falls into."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.sound.bands import BANDS, OCTAVES, THIRDS


def test_exact_frequencies_are_those_that_the_standard_prints():
    """IEC 61260-1, to five figures; values from memory."""
    printed = {
        125: 125.89,
        250: 251.19,
        500: 501.19,
        630: 630.96,
        1000: 1000.0,
        1250: 1258.9,
        4000: 3981.1,
        8000: 7943.3,
    }
    for hz, exact in printed.items():
        assert THIRDS.exact[THIRDS.nominal.index(hz)] == pytest.approx(exact, rel=5e-5)


@pytest.mark.parametrize("bands", BANDS.values(), ids=BANDS)
def test_bands_lie_side_by_side(bands):
    np.testing.assert_allclose(np.diff(np.log10(bands.exact)), 0.3 / bands.in_octave)
    np.testing.assert_allclose(bands.exact[:-1] * bands.edge_ratio, bands.exact[1:] / bands.edge_ratio)


def test_every_octave_holds_three_thirds():
    edges = OCTAVES.exact[:, None] * 10.0 ** np.array([-0.15, 0.15])
    for low, high in edges:
        assert np.sum((low < THIRDS.exact) & (high > THIRDS.exact)) == 3


@given(st.sampled_from(list(BANDS.values())), st.floats(100.0, 18000.0))
def test_a_frequency_falls_into_the_band_round_it(bands, hz):
    found = bands.exact[bands.index(hz)]
    half = 10 ** (0.15 / bands.in_octave)
    inside = bands.exact[0] / half <= hz <= bands.exact[-1] * half
    assert not inside or found / half * (1 - 1e-9) <= hz <= found * half * (1 + 1e-9)


def test_names_are_as_one_says_them():
    assert OCTAVES.names == ("125 Hz", "250 Hz", "500 Hz", "1 kHz", "2 kHz", "4 kHz", "8 kHz", "16 kHz")
