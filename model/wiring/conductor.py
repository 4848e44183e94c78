"""Copper conductors: size, resistance, and what of the load a run of them loses."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from earshed.model.units import FOOT

Copper = Literal["stranded", "solid"]

COPPER = 1 / 58
"""Ohm mm2/m of annealed copper at 20 C: IEC 60028, value from memory; it reproduces printed tables of solid wire."""
PER_DEGREE = 0.00393
"""Rise of its resistance per degree Celsius, of that at 20 C: IEC 60028, value from memory."""
SEVEN_STRANDS = {10: 1.028, 12: 1.650, 14: 2.624, 16: 4.172, 18: 6.636}
"""Ohm per 1000 ft at 20 C of 7-strand wire by AWG, as a hardware handbook prints them."""
OTHER_STRANDS = 1.039
"""Resistance of stranded wire over that of solid wire of one AWG, as the handbook has it from 12 to 18 AWG."""
METRIC_STRANDS = 1.157
"""The same of a metric size: the limits of IEC 60228 for flexible (class 5) conductors, value from memory."""
STANDARD_GAUGES = (18, 16, 14, 12, 10)
"""AWG, the thinnest first, that speaker cable is sold in. Common practice, no source."""
STANDARD_AREAS = (0.75, 1.0, 1.5, 2.5, 4.0, 6.0)
"""The same in mm2, of the sizes of IEC 60228. Common practice, no source."""


@dataclass(frozen=True)
class Conductor:
    """One copper conductor: of a gauge (AWG), or of an area in mm2 where `gauge` is None."""

    area_mm2: float
    gauge: int | None = None
    copper: Copper = "stranded"

    def resistance(self, celsius: float = 20.0) -> float:
        """Ohm per metre."""
        return self._at_20() * (1 + PER_DEGREE * (celsius - 20.0))

    def _at_20(self) -> float:
        solid = COPPER / self.area_mm2
        if self.copper == "solid":
            return solid
        if self.gauge is None:
            return solid * METRIC_STRANDS
        printed = SEVEN_STRANDS.get(self.gauge)
        return solid * OTHER_STRANDS if printed is None else printed / (1000 * FOOT)

    @property
    def called(self) -> str:
        return f"{self.area_mm2:g} mm²" if self.gauge is None else f"{self.gauge} AWG"


def diameter_of_gauge(gauge: int) -> float:
    """Metres across solid wire of an AWG: 0.127 mm x 92^((36 - n) / 39), ASTM B258, formula from memory; it reproduces
    published tables."""
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def of_gauge(gauge: int, copper: Copper = "stranded") -> Conductor:
    """A conductor of an AWG. Stranded wire has the same area of copper as solid wire."""
    return Conductor(math.pi / 4 * (1000 * diameter_of_gauge(gauge)) ** 2, gauge, copper)


def loop_resistance(conductor: Conductor, length: float, celsius: float = 20.0) -> float:
    """Ohm there and back over a run of a length, metres."""
    return 2 * length * conductor.resistance(celsius)


def loss_db(loop: float, load: float) -> float:
    """Decibels, negative, that a load (ohm) loses to a loop in series with it (ohm): 20 lg(Z / (Z + R))."""
    return 20 * math.log10(load / (load + loop)) + 0.0


def longest_run(conductor: Conductor, load: float, limit: float, celsius: float = 20.0) -> float:
    """Metres one way over which the loop comes to a share `limit` of a load (ohm)."""
    return limit * load / (2 * conductor.resistance(celsius))


def usual_sizes(like: Conductor) -> tuple[Conductor, ...]:
    """The usual conductors of one kind of copper, by AWG or by area as the given one is, the thinnest first."""
    if like.gauge is None:
        return tuple(Conductor(area, None, like.copper) for area in STANDARD_AREAS)
    return tuple(of_gauge(gauge, like.copper) for gauge in STANDARD_GAUGES)


def size_needed(like: Conductor, length: float, load: float, limit: float, celsius: float = 20.0) -> Conductor | None:
    """The thinnest of the usual sizes whose loop over a length (metres) stays within a share of a load (ohm); None
    where none does."""
    fits = (size for size in usual_sizes(like) if longest_run(size, load, limit, celsius) >= length)
    return next(fits, None)
