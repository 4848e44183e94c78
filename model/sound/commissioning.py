"""What is to be measured once speakers are in and wired, and what it should come to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from earshed.model.scene import Scene
from earshed.model.sound.balance import Balance
from earshed.model.sound.level import USUAL_OHM
from earshed.model.wiring.schedule import Run, wire

COIL = 0.75
"""Direct-current resistance of a speaker as a share of its nominal impedance. Common practice, no source."""
SHORTED, OPEN = 0.5, 2.0
"""Shares of what is expected, under which a reading tells of a short circuit, and over which of an open one."""


@dataclass(frozen=True, eq=False)
class Expected:
    """A speaker as it should measure: `ohm` at the rack, its cable's loop included, where that is known; and how it is
    heard."""

    balance: Balance
    run: Run | None
    ohm: float

    @property
    def short(self) -> float:
        """Ohm at the rack under which something is shorted."""
        return SHORTED * self.ohm

    @property
    def open(self) -> float:
        """Ohm at the rack over which something is open."""
        return OPEN * self.ohm


def expected(scene: Scene, found: Sequence[Balance]) -> list[Expected]:
    """What each speaker should measure."""
    schedule = wire(scene)
    runs = {} if schedule is None else {run.pull.speaker.name: run for run in schedule.runs if run.pull.speaker}
    told = []
    for one in found:
        run = runs.get(one.speaker.name)
        loop = run.loss.loop if run is not None and run.loss is not None else 0.0
        told.append(Expected(one, run, COIL * (one.speaker.type.impedance or USUAL_OHM) + loop))
    return told
