"""Octave and third-octave bands, as IEC 61260-1:2014 has them (base 10)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from earshed.model.geometry import Array, frozen


@dataclass(frozen=True)
class Bands:
    """Bands side by side: the nominal mid-band frequencies that they are named by, Hz, and how many fill an octave."""

    nominal: tuple[float, ...]
    in_octave: int

    @cached_property
    def exact(self) -> Array:
        """Exact mid-band frequencies (B,), Hz: 1000 times powers of 10^(3/10) or 10^(1/10)."""
        step = 10 / 3 * self.in_octave
        return frozen([1000 * 10 ** (round(step * np.log10(hz / 1000)) / step) for hz in self.nominal])

    @cached_property
    def names(self) -> tuple[str, ...]:
        """As they are printed: "125 Hz", "4 kHz"."""
        return tuple(band_name(hz) for hz in self.nominal)

    @property
    def edge_ratio(self) -> float:
        """Of a band's upper edge to its exact mid-band frequency, and of that to its lower edge."""
        ratio: float = 10.0 ** (0.15 / self.in_octave)
        return ratio

    def __len__(self) -> int:
        return len(self.nominal)

    def index(self, hz: float) -> int:
        """The band that a frequency, Hz, falls into; the nearest where it lies beyond them."""
        return int(np.argmin(np.abs(np.log(self.exact / hz))))


OCTAVES = Bands((125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16000.0), 1)
THIRDS = Bands(
    (
        100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0,
        3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10000.0, 12500.0, 16000.0, 20000.0,
    ),
    3,
)  # fmt: skip
"""Those within the octaves of OCTAVES."""
BANDS: Mapping[str, Bands] = {"octaves": OCTAVES, "thirds": THIRDS}


def band_name(hz: float) -> str:
    return f"{hz / 1000:g} kHz" if hz >= 1000 else f"{hz:g} Hz"
