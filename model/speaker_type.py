"""Speaker types: what a model is and can do, apart from where one hangs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from earshed.model.clamp import Clamps
from earshed.model.sound.directivity import Source

Mount = Literal["in-ceiling", "in-wall", "stand", "on-surface"]
Verdict = Literal["covered", "fringe", "outside"]
DepthFrom = Literal["face", "back"]
"""Of the board, from which a mounting depth is measured."""
Steers = Literal["whole", "tweeter"]
"""What leans or turns: all of it, or what plays above the crossover, while the woofer stays square to the baffle."""

ON_THE_LIMIT = 1e-9
"""Radians by which an angle may pass a limit through rounding and still lie on it."""


@dataclass(frozen=True)
class Fixed:
    """The axis is square to the baffle."""


@dataclass(frozen=True)
class Angled:
    """The axis stands at one set angle (radians) from the baffle normal, turned to any heading."""

    angle: float


@dataclass(frozen=True)
class Pivoting:
    """The axis goes anywhere within `limit` (radians) of the baffle normal."""

    limit: float


Aiming = Fixed | Angled | Pivoting


@dataclass(frozen=True)
class Coverage:
    """Coverage angle: full included angle (radians) between the -6 dB directions, at a band in Hz if it is known."""

    angle: float
    band_hz: float | None = None

    @property
    def limit(self) -> float:
        """Off-axis angle (radians) at which the level is down 6 dB."""
        return self.angle / 2

    @property
    def covered_limit(self) -> float:
        """Off-axis angle (radians) at which a square-law beam, 6 dB down at the limit, is down 3 dB."""
        return self.limit / math.sqrt(2)

    def verdict(self, off_axis: float) -> Verdict:
        """What a point at this off-axis angle (radians) gets; limits count as inside."""
        if off_axis <= self.covered_limit + ON_THE_LIMIT:
            return "covered"
        return "fringe" if off_axis <= self.limit + ON_THE_LIMIT else "outside"


@dataclass(frozen=True)
class Round:
    """A round hole or rim, its diameter in metres."""

    diameter: float

    @property
    def across(self) -> float:
        """The most that it measures across, metres."""
        return self.diameter

    @property
    def widest(self) -> float:
        """The most that it measures in any direction, metres."""
        return self.diameter


@dataclass(frozen=True)
class Rectangular:
    """A rectangular hole or rim: its short and its long side, metres."""

    short: float
    long: float

    @property
    def across(self) -> float:
        """The most that it measures along a side, metres."""
        return self.long

    @property
    def widest(self) -> float:
        """The most that it measures in any direction, corner to corner, metres."""
        return math.hypot(self.short, self.long)


Cutout = Round | Rectangular


@dataclass(frozen=True)
class Size:
    """Outside size of a cabinet, metres: across its face, up its face, behind its face."""

    width: float
    height: float
    depth: float


TYPICAL_CABINET = Size(width=0.20, height=0.32, depth=0.24)
"""Drawn where a stand or surface type states no size. Common practice, no source."""


@dataclass(frozen=True)
class SpeakerType:
    """Catalog facts of one model; lengths in metres, None where the scene does not say."""

    name: str
    mount: Mount
    aiming: Aiming
    coverage: Coverage | None
    cutout: Cutout | None = None
    bezel: Cutout | None = None
    mounting_depth: float | None = None
    size: Size = TYPICAL_CABINET
    subwoofer: bool = False
    depth_from: DepthFrom = "face"
    clamps: Clamps | None = None
    impedance: float | None = None
    """Nominal, ohm."""
    directivity: Source | None = None
    """How it radiates, where more is known than its coverage angle."""
    steers: Steers = "whole"
    crossover_hz: float | None = None
    sensitivity_db: float | None = None
    """Level at 1 m on its axis, dB re 20 uPa, at 2.83 V, or at `sensitivity_watts`."""
    sensitivity_watts: float | None = None
    """Into its nominal impedance; None for 2.83 V."""
    max_level_db: float | None = None
    """The most at 1 m, dB re 20 uPa."""
    power_watts: float | None = None
    """That it takes."""

    def depth_behind(self, board: float) -> float | None:
        """Metres that it needs behind the back of a board (metres thick); None where its depth is not known."""
        if self.mounting_depth is None:
            return None
        return self.mounting_depth - (board if self.depth_from == "face" else 0.0)

    @property
    def rim(self) -> Cutout:
        """What shows of it on a face: the bezel, else the cut-out, else a round as wide as its cabinet."""
        return self.bezel or self.cutout or Round(self.size.width)
