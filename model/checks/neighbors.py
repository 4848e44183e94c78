"""Whether what hangs in the room is in the way between speakers and seats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from earshed.model.finding import Finding
from earshed.model.fixture import Hanging
from earshed.model.geometry import TOUCHING
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.seating import main_seats


def neighbor_findings(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Findings on ways to the main seats past what hangs in the room."""
    main = main_seats(scene.seats)
    for pair in pairs:
        if pair.visible and pair.seat in main:
            yield from _past_hanging(scene, pair)


def _past_hanging(scene: Scene, pair: Pair) -> Iterator[Finding]:
    """Warnings where the straight way to a main seat passes blades or a shade."""
    for fixture in scene.fixtures:
        if fixture.hanging is not None and _meets(pair.speaker.position, pair.seat.ear, fixture.hanging):
            if fixture.kind == "fan":
                text = f"its way to {pair.seat.name} goes through the blades of {fixture.name}: chopped when it turns"
            else:
                text = f"{fixture.name} hangs between it and {pair.seat.name}"
            yield Finding("warning", "through-hanging", pair.speaker.name, text)


def _meets(start: np.ndarray, end: np.ndarray, hanging: Hanging) -> bool:
    """Whether a segment between two points (3,) passes within what hangs."""
    drop = float(end[2] - start[2])
    low, high = 0.0, 1.0
    if abs(drop) > TOUCHING:
        at = sorted(((hanging.bottom - start[2]) / drop, (hanging.top - start[2]) / drop))
        low, high = max(low, float(at[0])), min(high, float(at[1]))
    elif not hanging.bottom <= start[2] <= hanging.top:
        return False
    if low > high:
        return False
    ways = [start[:2] + share * (end - start)[:2] for share in (low, high)]
    way = shapely.Point(ways[0]) if np.allclose(*ways) else shapely.LineString(ways)
    return float(way.distance(shapely.Point(hanging.center))) < hanging.radius
