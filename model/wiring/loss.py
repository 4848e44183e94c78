"""What a speaker run loses to its cable, and what would lose less."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.wiring.conductor import gauge_needed, longest_run, loop_resistance, loss_db
from earshed.model.wiring.spec import Cable, Wiring


@dataclass(frozen=True, eq=False)
class Loss:
    """What a speaker run loses: ohm of the loop, as a share of the load, in decibels; and how far that is allowed.

    `reaches` is how long its cable may be, metres, and `needs` the thinnest usual AWG that would do, None past 10.
    """

    load: float
    loop: float
    limit: float
    reaches: float
    needs: int | None

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
    needs = gauge_needed(length, load, wiring.loss_limit, wire.copper, wiring.celsius)
    return Loss(load, loop, wiring.loss_limit, reaches, needs)
