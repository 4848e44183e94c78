"""Which verdicts could come out otherwise within a tolerance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.finding import Finding
from earshed.model.pairs import best_of_seats
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.tolerance import Spread, Tolerance
from earshed.model.units import format_angle


def tolerance_findings(scene: Scene, spreads: Sequence[Spread], tolerance: Tolerance) -> Iterator[Finding]:
    """A warning for each main seat that a speaker could leave out, a note on what else could flip where it counts."""
    within = f"within {tolerance.words(scene.print_units)}"
    counted = set(best_of_seats([spread.pair for spread in spreads]))
    main = main_seats(scene.seats)
    for speaker in scene.judged:
        flips = [s for s in spreads if s.pair.speaker is speaker and not s.sure and s.pair in counted]
        lost = [s for s in flips if s.pair.seat in main and s.pair.verdict != "outside" and "outside" in s.verdicts]
        for spread in lost:
            pair = spread.pair
            text = f"{pair.seat.name} is {pair.verdict}, {format_angle(pair.off_axis)} off axis, and could be outside: "
            yield Finding("warning", "could-flip", speaker.name, f"{text}{within} it comes to {_range(spread)}")
        others = [f"{s.pair.seat.name} {_range(s)}, {' or '.join(s.verdicts)}" for s in flips if s not in lost]
        if others:
            yield Finding("note", "could-flip", speaker.name, f"{within} could be otherwise: {'; '.join(others)}")


def _range(spread: Spread) -> str:
    return f"{format_angle(spread.least)} to {format_angle(spread.most)}"
