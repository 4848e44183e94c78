"""What turning a speaker gains: today's axis against the best one that its type allows, seat by seat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from earshed.model.aim import best_axis
from earshed.model.geometry import frozen
from earshed.model.landing import Landing, landing
from earshed.model.pairs import Pair, pair
from earshed.model.remedy import Alternative, alternatives, directions_to
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict

WORTH_TURNING = math.radians(0.05)
"""Radians that the worst seat must gain: less does not show in a printed figure."""


@dataclass(frozen=True, eq=False)
class AimAdvice:
    """A speaker as it is aimed today, and `turned` to its best axis for some seats.

    `today` and `best` are its pairs with these seats, in one order; `others` what other types would give them from its
    place, the best first; `lands` where its best axis ends.
    """

    speaker: Speaker
    turned: Speaker
    today: tuple[Pair, ...]
    best: tuple[Pair, ...]
    others: tuple[Alternative, ...]
    lands: Landing | None

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
    return AimAdvice(
        speaker,
        turned,
        today=tuple(pair(scene, seat, speaker) for seat in seats),
        best=tuple(pair(scene, seat, turned) for seat in seats),
        others=tuple(alternatives(scene, speaker, seats)),
        lands=landing(scene.room, speaker.position, speaker.normal, axis),
    )


def _off_axis(pair: Pair) -> float:
    return pair.off_axis
