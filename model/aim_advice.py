"""What turning a speaker gains: today's axis against the best one that its type allows, seat by seat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from earshed.model.aim import best_axis
from earshed.model.even_aim import most_even
from earshed.model.geometry import frozen
from earshed.model.landing import Landing, landing
from earshed.model.pairs import Pair, pair
from earshed.model.remedy import Alternative, alternatives, directions_to
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.shadows import seating_shadows
from earshed.model.sound.served import Served, served
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict

WORTH_TURNING = math.radians(0.05)
"""Radians that the worst seat must gain: less does not show in a printed figure."""
WORTH_EVENING = 0.5
"""dB by which another aim must spread less: as finely as processors trim. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Even:
    """A speaker `turned` to spread least over some seats, its `pairs` with them, how it serves them, and where its axis
    ends."""

    turned: Speaker
    pairs: tuple[Pair, ...]
    served: Served
    lands: Landing | None

    @property
    def worst(self) -> Pair:
        return max(self.pairs, key=_off_axis)


@dataclass(frozen=True, eq=False)
class AimAdvice:
    """A speaker as it is aimed today, and `turned` to its best axis for some seats.

    `today` and `best` are its pairs with these seats, in one order, `served_today` and `served_best` how it serves
    them; `even` is the aim that spreads least, where that is less by half a dB. `others` are what other types would
    give them from its place, the best first; `lands` is where its best axis ends. `shadow` says what hides which share
    of the seating area from it, however it is aimed.
    """

    speaker: Speaker
    turned: Speaker
    today: tuple[Pair, ...]
    best: tuple[Pair, ...]
    served_today: Served
    served_best: Served
    even: Even | None
    others: tuple[Alternative, ...]
    lands: Landing | None
    shadow: dict[str, float]

    @property
    def worst_today(self) -> Pair:
        return max(self.today, key=_off_axis)

    @property
    def worst_best(self) -> Pair:
        return max(self.best, key=_off_axis)

    @property
    def worth_turning(self) -> bool:
        """Whether the seat served worst gains anything that shows."""
        return self.worst_today.off_axis - self.worst_best.off_axis >= WORTH_TURNING

    @property
    def verdict(self) -> Verdict:
        """What the seat served worst gets from the best axis."""
        return self.worst_best.verdict


def advise(scene: Scene, speaker: Speaker, seats: Sequence[Seat]) -> AimAdvice:
    """The best aim of a speaker that coverage is asked of, for at least one seat."""
    directions = directions_to(speaker, seats)
    axis = frozen(best_axis(speaker.type.aiming, speaker.normal, directions)) if len(directions) else speaker.axis
    turned = replace(speaker, axis=axis)
    best = served(scene, turned, seats)
    return AimAdvice(
        speaker,
        turned,
        today=_pairs(scene, speaker, seats),
        best=_pairs(scene, turned, seats),
        served_today=served(scene, speaker, seats),
        served_best=best,
        even=_even(scene, speaker, seats, best.spread - WORTH_EVENING),
        others=tuple(alternatives(scene, speaker, seats)),
        lands=landing(scene.room, speaker.position, speaker.normal, axis),
        shadow=seating_shadows(scene, [speaker])[0],
    )


def _even(scene: Scene, speaker: Speaker, seats: Sequence[Seat], most: float) -> Even | None:
    """The most even aim, if it spreads at most so many dB."""
    turned = most_even(speaker, seats) if most >= 0 else None
    if turned is None or (found := served(scene, turned, seats)).spread > most:
        return None
    lands = landing(scene.room, turned.position, turned.normal, turned.axis)
    return Even(turned, _pairs(scene, turned, seats), found, lands)


def _pairs(scene: Scene, speaker: Speaker, seats: Sequence[Seat]) -> tuple[Pair, ...]:
    return tuple(pair(scene, seat, speaker) for seat in seats)


def _off_axis(pair: Pair) -> float:
    return pair.off_axis
