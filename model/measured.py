"""What was read of a speaker on site, once it was in and wired."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

Polarity = Literal["normal", "reversed"]
"""Whether + of the amplifier goes to + of the speaker, or to -."""


@dataclass(frozen=True)
class Photo:
    """A picture of a speaker as it was left: the name of its file, and where that is, None where it is not there."""

    name: str
    file: Path | None


@dataclass(frozen=True)
class Measured:
    """Readings of one speaker; None for what nobody wrote down.

    `ohm` is of its pair at the rack, inf where the meter reads endless. `distance` in metres, `delay` in seconds and
    `trim` in dB are what its channel is set to. `level` is at the reference position, `levels` at seats by their names,
    dB, all by one meter at one setting. `date` is as in 2026-11-26, `by` whose readings they are.
    """

    ohm: float | None = None
    polarity: Polarity | None = None
    distance: float | None = None
    delay: float | None = None
    trim: float | None = None
    level: float | None = None
    levels: Mapping[str, float] = field(default_factory=dict)
    photo: Photo | None = None
    date: str | None = None
    by: str | None = None
