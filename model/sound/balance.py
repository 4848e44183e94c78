"""How loud and how even a scene's speakers are: at the reference position, at each main seat, from seat to seat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from earshed.model.geometry import Array
from earshed.model.listener import listener_of
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.sound.arrival import Arrival, arrivals
from earshed.model.sound.bands import OCTAVES, Bands
from earshed.model.sound.decibels import spread
from earshed.model.sound.level import Air, Drive, Heard, axis_level, heard, loudest_level, trims
from earshed.model.speaker import Speaker

REFERENCE = "reference position"


@dataclass(frozen=True, eq=False)
class Balance:
    """A speaker as it is heard: at the reference position, and at every seat in the scene's order.

    `trim` is what to turn it down by (dB, 0 or less, to a half), `loudest` what it can give at the reference position,
    None where its type does not say.
    """

    speaker: Speaker
    arrival: Arrival
    reference: Heard
    seats: tuple[Heard, ...]
    trim: float
    loudest: float | None

    @cached_property
    def main(self) -> tuple[Heard, ...]:
        """At the seats that count, upright."""
        shown = upright_seats(main_seats([one.seat for one in self.seats]))
        return tuple(one for one in self.seats if any(one.seat is seat for seat in shown))

    @property
    def spreads(self) -> Array:
        """From the softest to the loudest main seat, dB, by band (B,)."""
        return spread([one.levels for one in self.main], axis=0)

    @property
    def speech_spread(self) -> float:
        return float(spread([one.speech for one in self.main]))


def balances(scene: Scene, drive: Drive, air: Air | None = None, bands: Bands = OCTAVES) -> list[Balance]:
    """How each speaker with a coverage angle is heard. Raises ValueError for a scene without seats."""
    ear = listener_of(scene).ear
    here = Seat(REFERENCE, ear)
    speakers = scene.judged

    def at(speaker: Speaker, seat: Seat) -> Heard:
        return heard(speaker, seat, drive, bands=bands, air=air)

    there = [at(speaker, here) for speaker in speakers]
    turned = trims([one.speech for one in there])
    return [
        Balance(
            speaker, arrival, reference, tuple(at(speaker, seat) for seat in scene.seats), trim,
            _loudest(speaker, reference, drive),
        )
        for speaker, arrival, reference, trim in zip(speakers, arrivals(speakers, ear), there, turned, strict=True)
    ]  # fmt: skip


def _loudest(speaker: Speaker, reference: Heard, drive: Drive) -> float | None:
    most = loudest_level(speaker.type)
    return None if most is None else reference.speech + most - axis_level(speaker.type, drive)


def shown_seats(scene: Scene) -> tuple[Seat, ...]:
    """The seats that tables show: the main ones, upright."""
    return upright_seats(main_seats(scene.seats))
