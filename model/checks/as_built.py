"""Whether what was built still gives the seats what the design gave them."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.as_built import Comparison, PairChange
from earshed.model.finding import Finding
from earshed.model.geometry import TOUCHING
from earshed.model.pairs import Pair
from earshed.model.seating import main_seats
from earshed.model.units import format_angle


def as_built_findings(comparison: Comparison) -> Iterator[Finding]:
    """A note for each speaker that went elsewhere, a warning for each main seat that lost what it was to get."""
    units = comparison.scene.print_units
    for change in comparison.speakers:
        if change.moved > TOUCHING:
            text = f"moved {change.way_words(units)} from where the scheme {comparison.against} has it"
            yield Finding("note", "as-built-moved", change.name, text)
    main = {seat.name for seat in main_seats(comparison.scene.seats)}
    for lost in comparison.lost:
        if lost.before.seat.name in main:
            yield _lost(comparison, lost)


def _lost(comparison: Comparison, change: PairChange) -> Finding:
    """A warning, or a note where another speaker of its channel gives the seat as much."""
    then = change.before
    was = f"{comparison.against} has {then.seat.name} {then.verdict}, {format_angle(then.off_axis)} off axis"
    now = f"it is now {_now(change.after)}" if change.after else "the speaker is not there"
    other = comparison.stand_in(change)
    instead = f"; {other.name} of the same channel gives it as much" if other else ""
    return Finding("note" if other else "warning", "verdict-lost", then.speaker.name, f"{was}; {now}{instead}")


def _now(pair: Pair) -> str:
    blocked = f", behind {pair.obstacle}" if pair.obstacle else ""
    return f"{pair.verdict}, {format_angle(pair.off_axis)}{blocked}"
