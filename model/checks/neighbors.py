"""Whether each hole keeps its distance: from other holes, and from what already sits on or hangs from the faces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
import shapely

from earshed.model.checks.holes import Hole, speaker_holes
from earshed.model.finding import Finding
from earshed.model.fixture import Fixture, Hanging
from earshed.model.geometry import TOUCHING
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.units import format_length


def neighbor_findings(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Findings on holes that meet or crowd something, and on ways to the main seats past what hangs in the room."""
    holes = speaker_holes(scene)
    for one, other in combinations(holes, 2):
        if one.surface.name == other.surface.name:
            yield from _holes_meeting(scene, one, other)
    for hole in holes:
        for fixture in scene.fixtures:
            yield from _near_fixture(scene, hole, fixture)
        yield from _near_blocks(scene, hole)
    main = main_seats(scene.seats)
    for pair in pairs:
        if pair.visible and pair.seat in main:
            yield from _past_hanging(scene, pair)


def _holes_meeting(scene: Scene, one: Hole, other: Hole) -> Iterator[Finding]:
    if one.cut.gap(other.cut) < -TOUCHING:
        by = format_length(-one.cut.gap(other.cut), scene.print_units)
        yield Finding("error", "holes-meet", one.owner, f"its hole runs into that of {other.owner} by {by}")
    elif one.rim.gap(other.rim) < -TOUCHING:
        by = format_length(-one.rim.gap(other.rim), scene.print_units)
        yield Finding("warning", "rims-meet", one.owner, f"its bezel overlaps {other.owner} by {by}")


def _near_fixture(scene: Scene, hole: Hole, fixture: Fixture) -> Iterator[Finding]:
    units = scene.print_units
    if fixture.surface.name == hole.surface.name:
        cut = hole.cut.gap(fixture.seen)
        if cut < -TOUCHING:
            words = "that of " if fixture.cut else ""
            text = f"its hole runs into {words}{fixture.name} by {format_length(-cut, units)}"
            yield Finding("error", "holes-meet", hole.owner, text)
            return
        if (body := hole.cut.gap(fixture.shape)) < -TOUCHING:
            text = f"its hole runs into the body of {fixture.name} by {format_length(-body, units)}"
            yield Finding("error", "holes-meet", hole.owner, text)
            return
        if (gap := hole.rim.gap(fixture.shape)) < -TOUCHING:
            text = f"its bezel overlaps {fixture.name} by {format_length(-gap, units)}"
            yield Finding("warning", "rims-meet", hole.owner, text)
            return
        if gap < fixture.keep_clear - TOUCHING:
            yield _too_near(scene, hole, fixture.name, f"the {fixture.kind}", gap, fixture.keep_clear)
            return
    if fixture.hanging is not None:
        away = _in_plan(hole, shapely.Point(fixture.hanging.center)) - fixture.hanging.radius
        if away < fixture.keep_clear - TOUCHING and fixture.hanging.bottom < hole.center[2]:
            what = "the circle of its blades" if fixture.kind == "fan" else "its shade"
            yield _too_near(scene, hole, fixture.name, what, away, fixture.keep_clear)


def _near_blocks(scene: Scene, hole: Hole) -> Iterator[Finding]:
    for block in scene.room.boxes:
        if block.keep_clear == 0 or hole.surface.name == block.name:
            continue
        edge = hole.rim.edge_on(hole.surface)
        over = np.maximum(np.maximum(block.lower[2] - edge[:, 2], edge[:, 2] - block.upper[2]), 0.0)
        aside = shapely.distance(block.footprint, shapely.points(edge[:, :2]))
        away = float(np.hypot(aside, over).min())
        if away < block.keep_clear - TOUCHING:
            yield _too_near(scene, hole, block.name, f"the {block.kind}", away, block.keep_clear)


def _in_plan(hole: Hole, thing: shapely.Geometry) -> float:
    """Metres on the plan from a hole's rim to something."""
    return float(shapely.Polygon(hole.rim.edge_on(hole.surface)[:, :2]).distance(thing))


def _too_near(scene: Scene, hole: Hole, name: str, what: str, gap: float, wanted: float) -> Finding:
    units = scene.print_units
    where = f"{format_length(gap, units)} from" if gap > 0 else "within"
    text = f"its bezel is {where} {name} ({what}), which is to be kept {format_length(wanted, units)} clear: "
    return Finding("warning", "too-near", hole.owner, f"{text}{format_length(wanted - gap, units)} short")


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
