"""Whether what hangs in the room is in the way between speakers and seats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.finding import Finding
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.sight import meets_hanging


def hanging_findings(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Findings on ways to the main seats past what hangs in the room."""
    main = main_seats(scene.seats)
    for pair in pairs:
        if pair.visible and pair.seat in main:
            yield from _past_hanging(scene, pair)


def _past_hanging(scene: Scene, pair: Pair) -> Iterator[Finding]:
    """Warnings where the straight way to a main seat passes blades or a shade."""
    for fixture in scene.fixtures:
        if fixture.hanging is not None and meets_hanging(pair.speaker.position, pair.seat.ear, fixture.hanging):
            if fixture.kind == "fan":
                text = f"its way to {pair.seat.name} goes through the blades of {fixture.name}: chopped when it turns"
            else:
                text = f"{fixture.name} hangs between it and {pair.seat.name}"
            yield Finding("warning", "through-hanging", pair.speaker.name, text)
