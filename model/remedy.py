"""What another type of speaker would give from the same place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.aim import best_axis, worst_off_axis
from earshed.model.cut_fit import SAME_CUT, laps
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hole import cut_shape
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage, Rectangular, Round, SpeakerType, Verdict


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
    """The scene's other types of a speaker's mount that its board and cavity take, the best first: those that reach all
    the seats, of these those that fit the hole, of these the one with most to spare."""
    found = []
    for kind in scene.speaker_types.values():
        if kind is not speaker.type and kind.coverage and _may_go(scene, speaker, kind):
            worst = best_worst(speaker, kind, seats)
            if worst is not None:
                found.append(Alternative(kind, kind.coverage, worst, fits_hole(kind, speaker)))
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


def _may_go(scene: Scene, speaker: Speaker, kind: SpeakerType) -> bool:
    """Whether a type may go where a speaker is: of its mount, and taken by the board and the cavity, if any."""
    if speaker.surface is None or kind.mount != speaker.type.mount:
        return kind.mount == speaker.type.mount
    return not any(short.severity == "error" for short in scene.cavity(speaker.surface).takes(kind))


def fits_hole(kind: SpeakerType, speaker: Speaker) -> bool:
    """Whether a type fits the hole of a speaker and its bezel laps the board round it, as far as their data say."""
    hole = speaker.hole
    if hole is not None and speaker.surface is not None and speaker.type.cutout is not None and kind.bezel is not None:
        middle = speaker.surface.to_face(speaker.position)
        if not laps(cut_shape(kind.bezel, speaker.surface, middle, speaker.long_axis), hole):
            return False
    return _same_cut(kind, speaker.type)


def _same_cut(kind: SpeakerType, now: SpeakerType) -> bool:
    if kind.cutout is None or now.cutout is None:
        return True
    if isinstance(kind.cutout, Round) and isinstance(now.cutout, Round):
        return abs(kind.cutout.diameter - now.cutout.diameter) <= SAME_CUT
    if isinstance(kind.cutout, Rectangular) and isinstance(now.cutout, Rectangular):
        sides = zip((kind.cutout.short, kind.cutout.long), (now.cutout.short, now.cutout.long), strict=True)
        return all(abs(one - other) <= SAME_CUT for one, other in sides)
    return False
