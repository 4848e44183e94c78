"""What is other in one scene than in the design that it is held against: speakers that went, verdicts that hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.coverage import VERDICTS
from earshed.model.geometry import FRONT, RIGHT, TOUCHING, UP, Array, angle_between
from earshed.model.moves import way_words
from earshed.model.pairs import Pair, seat_pairs
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.units import PrintUnits, format_length

SAME_AIM = 1e-9
"""Radians within which two axes count as one."""


@dataclass(frozen=True, eq=False)
class SpeakerChange:
    """A speaker as designed and as it is; None where the design has none of that name, or the scene no more."""

    name: str
    before: Speaker | None
    after: Speaker | None

    @property
    def moved(self) -> float:
        """Metres in a straight line; 0 where there is nothing to go from or to."""
        return float(np.linalg.norm(self._way))

    @property
    def turned(self) -> float:
        """Radians between its axes; 0 where there are not two, and for a subwoofer, which has none to speak of."""
        if not (self.before and self.after and self.before.has_verdict and self.after.has_verdict):
            return 0.0
        return float(angle_between(self.before.axis, self.after.axis))

    @property
    def faced(self) -> float:
        """Radians between the normals of its baffle; 0 where there are not two."""
        return float(angle_between(self.before.normal, self.after.normal)) if self.before and self.after else 0.0

    @property
    def retyped(self) -> bool:
        """Whether it is of another type, or its type is said to be other than it was."""
        return self.before is not None and self.after is not None and self.before.type != self.after.type

    @property
    def rewired(self) -> bool:
        """Whether it carries another channel."""
        return self.before is not None and self.after is not None and self.before.channel != self.after.channel

    @property
    def same(self) -> bool:
        """Whether it is where it was, of the type that it was, turned as it was, with the signal that it had."""
        both = self.before is not None and self.after is not None
        still = self.moved <= TOUCHING and self.turned <= SAME_AIM and self.faced <= SAME_AIM
        return both and still and not self.retyped and not self.rewired

    @property
    def _way(self) -> Array:
        if self.before is None or self.after is None:
            return np.zeros(3)
        way: Array = self.after.position - self.before.position
        return way

    def way_words(self, units: PrintUnits) -> str:
        """How far it went and which way, as one tapes it along its face: `1-3/8" towards the rear, 1/2" up the slope`.

        Off its face, or with none, along the room. Parts too short to print are left out.
        """
        parts = [(float(self._way @ along), ahead, back) for along, ahead, back in self._directions()]
        told = [
            f"{format_length(abs(part), units)} {ahead if part > 0 else back}"
            for part, ahead, back in parts
            if format_length(part, units) != format_length(0.0, units)
        ]
        return ", ".join(told) or f"by less than the tape shows ({self.moved * 1000:.1f} mm)"

    def _directions(self) -> Iterator[tuple[Array, str, str]]:
        """Unit directions (3,) in which its way is told, with the words for going along each and back."""
        face = self.before.surface if self.before else None
        there = self.after.surface if self.after else None
        if face is None or there is None or not face.continues(there):
            yield RIGHT, "towards the right", "towards the left"
            yield FRONT, "towards the front", "towards the rear"
            yield UP, "up", "down"
            return
        yield from ((way, way_words(face, way), way_words(face, -way)) for way in face.frame)


@dataclass(frozen=True, eq=False)
class SeatChange:
    """A seat as designed and as it is; None where the design has none of that name, or the scene no more."""

    name: str
    before: Seat | None
    after: Seat | None

    @property
    def moved(self) -> float:
        """Metres by which its ears are elsewhere; 0 where there are none to go from or to."""
        return float(np.linalg.norm(self.after.ear - self.before.ear)) if self.before and self.after else 0.0

    @property
    def same(self) -> bool:
        """Whether its ears are where they were."""
        return self.before is not None and self.after is not None and self.moved <= TOUCHING


@dataclass(frozen=True, eq=False)
class PairChange:
    """A seat and a speaker as designed and as they are; `after` is None where the speaker was taken out."""

    before: Pair
    after: Pair | None

    @property
    def change(self) -> float:
        """Radians by which the seat is further off axis."""
        return self.after.off_axis - self.before.off_axis if self.after else 0.0

    @property
    def holds(self) -> bool:
        """Whether the seat gets what it was to get: no worse a verdict, and nothing new in the way."""
        return self.after is not None and _as_good(self.after, self.before)


@dataclass(frozen=True, eq=False)
class Comparison:
    """What is other in `scene` than in `design`: speakers and seats that differ, and what the seats get.

    `pairs` are those of the design at seats that the scene still has, in the design's order; `now` are the scene's own.
    """

    design: Scene
    scene: Scene
    speakers: tuple[SpeakerChange, ...]
    seats: tuple[SeatChange, ...]
    pairs: tuple[PairChange, ...]
    now: tuple[Pair, ...]

    @property
    def against(self) -> str:
        """What the scene is held against: the name of a scheme, or base."""
        return self.design.scheme or "base"

    @property
    def lost(self) -> tuple[PairChange, ...]:
        """The pairs whose verdict of the design does not hold."""
        return tuple(pair for pair in self.pairs if not pair.holds)

    def stand_in(self, change: PairChange) -> Speaker | None:
        """Another speaker of the same channel that now gives the seat as much as this one was to."""
        then = change.before
        for pair in self.now:
            other = pair.speaker.channel == then.speaker.channel and pair.speaker.name != then.speaker.name
            if then.speaker.channel and other and pair.seat.name == then.seat.name and _as_good(pair, then):
                return pair.speaker
        return None


def compare(design: Scene, scene: Scene, pairs: Sequence[Pair]) -> Comparison:
    """A scene, of which `pairs` are the seat_pairs, against its design; things are known by their names."""
    old, new = ({speaker.name: speaker for speaker in one.speakers} for one in (design, scene))
    there, here = ({seat.name: seat for seat in one.seats} for one in (design, scene))
    speakers = [SpeakerChange(name, old.get(name), new.get(name)) for name in dict.fromkeys([*old, *new])]
    seats = [SeatChange(name, there.get(name), here.get(name)) for name in dict.fromkeys([*there, *here])]
    now = {(pair.seat.name, pair.speaker.name): pair for pair in pairs}
    return Comparison(
        design,
        scene,
        speakers=tuple(change for change in speakers if not change.same),
        seats=tuple(change for change in seats if not change.same),
        pairs=tuple(
            PairChange(pair, now.get((pair.seat.name, pair.speaker.name)))
            for pair in seat_pairs(design)
            if pair.seat.name in here
        ),
        now=tuple(pairs),
    )


def _as_good(now: Pair, then: Pair) -> bool:
    if then.verdict == "outside":
        return True
    return VERDICTS.index(now.verdict) <= VERDICTS.index(then.verdict) and (now.visible or not then.visible)
