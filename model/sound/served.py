"""How loud and how even a speaker is at some seats: what counts beside the worst off-axis angle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import Array
from earshed.model.listener import listener_of
from earshed.model.scene import Scene
from earshed.model.seating import Seat, upright_seats
from earshed.model.sound.balance import REFERENCE
from earshed.model.sound.bands import Bands
from earshed.model.sound.decibels import spread
from earshed.model.sound.level import Drive, Heard, heard_at
from earshed.model.speaker import Speaker

TONE_HZ = 4000.0
"""The band in which a tone off the axis is told: the usual one of coverage angles. Common practice, no source."""
COMPARED_HZ = (500.0, 8000.0)
"""From and to which bands are compared for the worst spread; what lies beyond is mostly a guess."""


@dataclass(frozen=True, eq=False)
class Served:
    """A speaker as it is heard at some seats, and at the reference position; the direct sound alone."""

    seats: tuple[Heard, ...]
    reference: Heard

    @property
    def softest(self) -> Heard:
        """Where its speech band is softest."""
        return min(self.seats, key=lambda one: one.speech)

    @property
    def re_reference(self) -> float:
        """dB of the softest seat against the reference position, where all speakers are set to one level."""
        return self.softest.speech - self.reference.speech

    @property
    def spread(self) -> float:
        """From the softest to the loudest seat in the speech band, dB."""
        return float(spread([one.speech for one in self.seats]))

    @property
    def spreads(self) -> Array:
        """The same by band (B,)."""
        return spread([one.levels for one in self.seats], axis=0)

    @property
    def worst_band(self) -> int:
        """Of the bands from 500 Hz to 8 kHz the one that spreads most."""
        low, high = map(self._bands.index, COMPARED_HZ)
        return low + int(np.argmax(self.spreads[low : high + 1]))

    @property
    def dullest(self) -> Heard:
        """Where 4 kHz is farthest down against the axis."""
        return min(self.seats, key=tone_of)

    @property
    def _bands(self) -> Bands:
        return self.reference.bands


def served(scene: Scene, speaker: Speaker, seats: Sequence[Seat], drive: Drive | None = None) -> Served:
    """How a speaker serves at least one seat, at 2.83 V unless told otherwise."""
    drive = Drive() if drive is None else drive
    here = Seat(REFERENCE, listener_of(scene).ear)
    *found, reference = heard_at(speaker, [*compared(seats), here], drive)
    return Served(tuple(found), reference)


def compared(seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """The seats between which levels are compared: those upright, and only where there are none those reclined."""
    return upright_seats(seats) or tuple(seats)


def tone_of(at: Heard) -> float:
    """What 4 kHz is against the axis at a seat, dB."""
    return float(at.tone[at.bands.index(TONE_HZ)])
