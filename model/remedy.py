"""What another type of speaker would give from the same place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.aim import best_axis, worst_off_axis
from earshed.model.geometry import TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage, Rectangular, Round, SpeakerType, Verdict
from earshed.model.units import INCH

SAME_HOLE = INCH / 8
"""Metres by which two cut-outs may differ and still take each other's speaker. Common practice, no source."""


@dataclass(frozen=True)
class Alternative:
    """A type in a speaker's place at its best aim: its worst off-axis angle (radians), and whether the hole fits."""

    type: SpeakerType
    coverage: Coverage
    worst: float
    fits_hole: bool

    @property
    def beyond(self) -> float:
        """Radians by which the worst seat lies past its coverage limit; negative where it lies within."""
        return self.worst - self.coverage.limit

    @property
    def verdict(self) -> Verdict:
        """What its worst seat gets."""
        return self.coverage.verdict(self.worst)


def alternatives(scene: Scene, speaker: Speaker, seats: Sequence[Seat]) -> list[Alternative]:
    """The scene's other types of a speaker's mount, the best first: those that reach all the seats, of these those that
    fit the hole, of these the one with most to spare."""
    found = []
    for kind in scene.speaker_types.values():
        if kind.mount == speaker.type.mount and kind is not speaker.type and kind.coverage:
            worst = best_worst(speaker, kind, seats)
            if worst is not None:
                found.append(Alternative(kind, kind.coverage, worst, fits_hole(kind, speaker.type)))
    return sorted(
        found,
        key=lambda one: (one.beyond > 0, one.beyond <= 0 and not one.fits_hole, one.beyond, one.type.name),
    )


def best_worst(speaker: Speaker, kind: SpeakerType, seats: Sequence[Seat]) -> float | None:
    """Worst off-axis angle (radians) over the seats with a type in the speaker's place at its best aim.

    None for a type that has no direction, and where a seat's ear is in the speaker itself.
    """
    directions = directions_to(speaker, seats)
    if kind.subwoofer or len(directions) < len(seats):
        return None
    return worst_off_axis(best_axis(kind.aiming, speaker.normal, directions), directions)


def directions_to(speaker: Speaker, seats: Sequence[Seat]) -> Array:
    """Directions (S, 3) from a speaker to the ears of seats; those in the speaker itself left out."""
    directions = np.array([seat.ear - speaker.position for seat in seats]).reshape(-1, 3)
    away: Array = directions[np.linalg.norm(directions, axis=1) > TOUCHING]
    return away


def fits_hole(kind: SpeakerType, now: SpeakerType) -> bool:
    """Whether one type fits the hole of another, as far as their data say."""
    if kind.cutout is None or now.cutout is None:
        return True
    if isinstance(kind.cutout, Round) and isinstance(now.cutout, Round):
        return abs(kind.cutout.diameter - now.cutout.diameter) <= SAME_HOLE
    if isinstance(kind.cutout, Rectangular) and isinstance(now.cutout, Rectangular):
        sides = zip((kind.cutout.short, kind.cutout.long), (now.cutout.short, now.cutout.long), strict=True)
        return all(abs(one - other) <= SAME_HOLE for one, other in sides)
    return False
