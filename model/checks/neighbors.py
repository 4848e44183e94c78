"""Whether each hole keeps its distance: from other holes, and from what already sits on or hangs from the faces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from earshed.model.checks.elsewhere import Places
from earshed.model.finding import Finding
from earshed.model.fixture import STAYS, Fixture, Hanging
from earshed.model.geometry import STAND_OFF, TOUCHING
from earshed.model.hole import Hole
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.units import format_length


def neighbor_findings(scene: Scene, pairs: Sequence[Pair], places: Sequence[Places]) -> Iterator[Finding]:
    """Findings on holes that crowd what hangs, stands or sits round the corner, and on ways to the main seats past
    what hangs in the room."""
    for place in places:
        for fixture in scene.fixtures:
            yield from _near_hanging(scene, place, fixture)
            yield from _round_the_corner(scene, place, fixture)
        yield from _near_blocks(scene, place)
    main = main_seats(scene.seats)
    for pair in pairs:
        if pair.visible and pair.seat in main:
            yield from _past_hanging(scene, pair)


def _near_hanging(scene: Scene, place: Places, fixture: Fixture) -> Iterator[Finding]:
    hole = place.hole
    if fixture.hanging is not None and _gap_on_face(hole, fixture) >= fixture.keep_clear - TOUCHING:
        away = _in_plan(hole, shapely.Point(fixture.hanging.center)) - fixture.hanging.radius
        if away < fixture.keep_clear - TOUCHING and fixture.hanging.bottom < hole.center[2]:
            what = "the circle of its blades" if fixture.kind == "fan" else "its shade"
            yield _too_near(scene, place, fixture.name, what, away, fixture.keep_clear)


def _gap_on_face(hole: Hole, fixture: Fixture) -> float:
    """Metres from a hole's rim to what a fixture takes up of the same face."""
    return hole.rim.gap(fixture.shape) if fixture.surface.name == hole.surface.name else np.inf


def _round_the_corner(scene: Scene, place: Places, fixture: Fixture) -> Iterator[Finding]:
    """A fixture on another face may still be too near, as across a ridge."""
    hole = place.hole
    if fixture.surface.name == hole.surface.name:
        return
    middles = float(np.linalg.norm(hole.center - fixture.position))
    if middles > hole.rim.size + fixture.shape.size + fixture.keep_clear:
        return
    apart = hole.rim.edge_on(hole.surface)[:, None] - fixture.shape.edge_on(fixture.surface)
    gap = float(np.linalg.norm(apart, axis=-1).min())
    if gap < fixture.keep_clear - TOUCHING:
        what = f"the {fixture.kind} on {fixture.surface.called}"
        found = _too_near(scene, place, fixture.name, what, gap, fixture.keep_clear)
        note = STAYS.get(fixture.kind)
        yield replace(found, message=f"{found.message} ({note})") if note else found


def _near_blocks(scene: Scene, place: Places) -> Iterator[Finding]:
    hole = place.hole
    edge = hole.rim.edge_on(hole.surface)
    for block in scene.room.boxes:
        wanted = block.keep_clear
        if hole.surface.name == block.name or np.any(block.holds(hole.center + STAND_OFF * hole.surface.normal)):
            continue
        over = np.maximum(np.maximum(block.lower[2] - edge[:, 2], edge[:, 2] - block.upper[2]), 0.0)
        aside = shapely.distance(block.footprint, shapely.points(edge[:, :2]))
        away = float(np.hypot(aside, over).min())
        if away < wanted - TOUCHING:
            yield _too_near(scene, place, block.name, f"the {block.kind}", away, wanted)


def _in_plan(hole: Hole, thing: shapely.Geometry) -> float:
    """Metres on the plan from a hole's rim to something."""
    return float(shapely.Polygon(hole.rim.edge_on(hole.surface)[:, :2]).distance(thing))


def _too_near(scene: Scene, place: Places, name: str, what: str, gap: float, wanted: float) -> Finding:
    units = scene.print_units
    where = f"{format_length(gap, units)} from" if gap > 0 else "within"
    text = f"its bezel is {where} {name} ({what}), to be kept {format_length(wanted, units)} clear: "
    text += f"{format_length(wanted - gap, units)} short; {place.remedy(name)}"
    return Finding("warning", "too-near", place.hole.owner, text)


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
