"""What a speaker run loses to its cable, and what would lose less."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.wiring.conductor import Conductor, longest_run, loop_resistance, loss_db, size_needed
from earshed.model.wiring.spec import Cable, Wiring


@dataclass(frozen=True, eq=False)
class Loss:
    """What a speaker run loses: ohm of the loop, as a share of the load, in decibels; and how far that is allowed.

    `reaches` is how long its cable may be, metres, and `needs` the thinnest usual size that would do, None
    where none does.
    """

    load: float
    loop: float
    limit: float
    reaches: float
    needs: Conductor | None

    @property
    def share(self) -> float:
        return self.loop / self.load

    @property
    def decibels(self) -> float:
        return loss_db(self.loop, self.load)

    @property
    def is_within(self) -> bool:
        return self.share <= self.limit * (1 + 1e-9)


def loss_of(cable: Cable, length: float, load: float, wiring: Wiring) -> Loss | None:
    """What a run of a speaker cable loses; None for a cable of no known conductor."""
    wire = cable.conductor
    if wire is None:
        return None
    loop = loop_resistance(wire, length, wiring.celsius)
    reaches = longest_run(wire, load, wiring.loss_limit, wiring.celsius)
    needs = size_needed(wire, length, load, wiring.loss_limit, wiring.celsius)
    return Loss(load, loop, wiring.loss_limit, reaches, needs)
