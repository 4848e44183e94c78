"""What Rec. ITU-R BS.2051-3 (05/2022) allows: from where each loudspeaker of its systems A to J may be heard.

Nominal azimuths and elevations from Table 1, what is allowed from Tables 3 (system A) to 12 (J). Azimuth is positive to
the LEFT, elevation up (section 3). Left and right are allowed the mirrored ranges in every table, so each pair is held
once, by its left one. Left open here: the screen's edges (M+SC, M-SC), which lie where the picture ends, and the
low-frequency channels, which most systems give no place and systems F and H a loose one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from earshed.model.channel import parse_channel

Row = tuple[str] | tuple[str, float, float, float, float]
"""A label, and where it has a direction, least and most azimuth, least and most elevation, degrees."""

_NOMINAL_ELEVATIONS = {"B": -30, "M": 0, "U": 30, "UH": 45, "T": 90}  # Table 1, by layer, degrees

_TABLES: Mapping[str, tuple[Row, ...]] = {
    "A": (("M+030", 30, 30, 0, 0),),
    "B": (("M+030", 30, 30, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+110", 100, 120, 0, 15)),
    "C": (
        ("M+030", 30, 30, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+110", 100, 120, 0, 15),
        ("U+030", 30, 45, 30, 55),
    ),
    "D": (
        ("M+030", 30, 30, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+110", 100, 120, 0, 0),
        ("U+030", 30, 45, 30, 55), ("U+110", 100, 135, 30, 55),
    ),
    "E": (
        ("M+030", 30, 30, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+110", 100, 120, 0, 0),
        ("U+030", 30, 45, 30, 55), ("U+110", 100, 135, 30, 55), ("B+000", 0, 0, -30, -15),
    ),
    "F": (
        ("M+000", 0, 0, 0, 0), ("M+030", 30, 30, 0, 0), ("U+045", 30, 45, 30, 45), ("M+090", 60, 150, 0, 0),
        ("M+135", 60, 150, 0, 0), ("UH+180", 180, 180, 45, 90), ("LFE1",), ("LFE2",),
    ),
    "G": (
        ("M+030", 30, 45, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+090", 85, 110, 0, 0), ("M+135", 120, 150, 0, 0),
        ("U+045", 30, 45, 30, 55), ("U+135", 100, 150, 30, 55), ("M+SC",),
    ),
    "H": (
        ("M+060", 45, 60, 0, 5), ("M+000", 0, 0, 0, 5), ("LFE1",), ("M+135", 110, 135, 0, 15),
        ("M+030", 22.5, 30, 0, 5), ("M+180", 180, 180, 0, 15), ("LFE2",), ("M+090", 90, 90, 0, 15),
        ("U+045", 45, 60, 30, 45), ("U+000", 0, 0, 30, 45), ("T+000", -180, 180, 90, 90), ("U+135", 110, 135, 30, 45),
        ("U+090", 90, 90, 30, 45), ("U+180", 180, 180, 30, 45), ("B+000", 0, 0, -30, -15), ("B+045", 45, 60, -30, -15),
    ),
    "I": (
        ("M+030", 30, 45, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+090", 85, 110, 0, 0), ("M+135", 120, 150, 0, 0),
    ),
    "J": (
        ("M+030", 30, 45, 0, 0), ("M+000", 0, 0, 0, 0), ("LFE1",), ("M+090", 85, 110, 0, 0), ("M+135", 120, 150, 0, 0),
        ("U+045", 30, 45, 30, 55), ("U+135", 100, 150, 30, 55),
    ),
}  # fmt: skip
"""By system. The overhead center (T+000) has no azimuth, so it may have any."""


@dataclass(frozen=True)
class Allowed:
    """From where one label may be heard, radians: nominal, and least and most; azimuths from their right end."""

    azimuth: float
    azimuths: tuple[float, float]
    elevation: float
    elevations: tuple[float, float]

    @property
    def mirrored(self) -> Allowed:
        """The same on the other side."""
        least, most = self.azimuths
        return Allowed(-self.azimuth, (-most, -least), self.elevation, self.elevations)


@dataclass(frozen=True)
class System:
    """A loudspeaker system: its letter, and for every label in it what is allowed, None where that is left open."""

    letter: str
    allowed: Mapping[str, Allowed | None]


def _allowed(row: Row) -> Allowed | None:
    if len(row) == 1:
        return None
    label, *limits = row
    least, most, low, high = (math.radians(limit) for limit in limits)
    nominal = math.radians(parse_channel(label).azimuth_deg or 0)
    layer = label.partition("+")[0]
    return Allowed(nominal, (least, most), math.radians(_NOMINAL_ELEVATIONS[layer]), (low, high))


def _system(letter: str, rows: tuple[Row, ...]) -> System:
    allowed: dict[str, Allowed | None] = {}
    for row in rows:
        channel, here = parse_channel(row[0]), _allowed(row)
        allowed[channel.label] = here
        allowed.setdefault(channel.mirrored.label, here.mirrored if here else None)
    return System(letter, allowed)


SYSTEMS: Mapping[str, System] = {letter: _system(letter, rows) for letter, rows in _TABLES.items()}
"""By letter."""
