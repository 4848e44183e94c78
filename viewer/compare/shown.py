"""Which speakers and which seat pictures of before and after are about."""

from __future__ import annotations

from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.seats import RANKS, SeatChange
from earshed.model.compare.signals import Signal


def shown_signals(change: BeforeAfter) -> list[Signal]:
    """The signals that are other than they were; where none is, those in the ceiling, or all."""
    overhead = [one for one in change.signals if any(s.type.mount == "in-ceiling" for s in (*one.before, *one.after))]
    return list(change.changed) or overhead or list(change.signals)


def seat_shown(change: BeforeAfter) -> str | None:
    """The main seat that both rooms have and that had the least before; None where they share none."""
    there = {seat.name for seat in change.before.seats} & {seat.name for seat in change.after.seats}
    both = [seat for seat in change.main_seats if seat.seat in there]
    return max(both, key=_had).seat if both else None


def _had(seat: SeatChange) -> tuple[int, int, int]:
    """Greater for less."""
    return seat.before.order if seat.before else (len(RANKS), 0, 0)
