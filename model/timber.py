"""Exposed beams as solids: level ones, and ones that follow the ceiling they hang under."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane
from earshed.model.geometry import TOUCHING, Array, frozen, unit
from earshed.model.zone import Zone

ABOVE = 1.0
"""Metres by which a beam that meets the ceiling is carried on above it, to be cut by it."""


def level_beam(
    name: str, line: Array, *, width: float, bottom: float, depth: float | None, zones: Sequence[Zone]
) -> Block:
    """A beam under the center line (2, 2) of its plan, level; without a `depth` it goes up to the ceiling. Metres."""
    top = bottom + depth if depth is not None else _highest(zones, line) + ABOVE
    return Block(name, _strip(line, width), CeilingPlane(name, 0.0, 0.0, bottom), top, "beam")


def following_beam(name: str, line: Array, *, width: float, depth: float, zones: Sequence[Zone]) -> tuple[Block, ...]:
    """A beam that hangs `depth` (square to its run) under the ceiling along its center line (2, 2), as one block for
    each slope that it follows. Level across its width, as a timber is.

    The region over the lowest of some planes is the union of the regions over each, so that the blocks meet where the
    ceiling bends.
    """
    blocks = []
    for zone in zones:
        for part in shapely.get_parts(shapely.LineString(line).intersection(zone.outline)):
            if part.length <= TOUCHING:
                continue
            start, end = np.array(part.coords)[[0, -1]]
            top = _highest([zone], np.array([start, end])) + ABOVE
            blocks += [
                (zone.face_name(plane.name), Block(name, _strip(np.array([start, end]), width), under, top, "beam"))
                for plane, under in _undersides(zone, start, end, depth)
            ]
    if len(blocks) < 2:
        return tuple(block for _, block in blocks)
    return tuple(Block(f"{name}, {face}", block.corners, block.under, block.top, block.kind) for face, block in blocks)


def wall_to_wall(plan: shapely.Polygon, through: Array, run: Array, width: float) -> list[Array]:
    """Center lines (2, 2) of a beam through a plan point (2,) along the unit `run` (2,), one for each part of the plan
    that it crosses.

    Each reaches as far as any part of the beam does, so that no gap is left at a wall on the skew.
    """
    far = 2 * float(np.hypot(*np.ptp(np.reshape([*plan.bounds, *through, *through], (4, 2)), axis=0))) + 1.0
    band = shapely.LineString([through - far * run, through + far * run]).buffer(width / 2, cap_style="flat")
    pieces = [part for part in shapely.get_parts(band.intersection(plan)) if part.area > TOUCHING**2]
    reaches = [(shapely.get_coordinates(piece) - through) @ run for piece in pieces]
    return [frozen([through + reach.min() * run, through + reach.max() * run]) for reach in reaches]


def _strip(line: Array, width: float) -> Array:
    """Plan corners (4, 2), counterclockwise, of a band round a center line."""
    start, end = line
    run = unit(end - start)
    aside = np.array([-run[1], run[0]]) * width / 2
    return frozen([start - aside, end - aside, end + aside, start + aside])


def _undersides(zone: Zone, start: Array, end: Array, depth: float) -> list[tuple[CeilingPlane, CeilingPlane]]:
    """Each plane that is the ceiling somewhere along a line, with the beam's underside below it."""
    run = unit(end - start)
    length = float(np.linalg.norm(end - start))
    found: dict[tuple[float, float], tuple[CeilingPlane, CeilingPlane]] = {}
    for plane in zone.planes:
        if not _shows(plane, zone, start, end):
            continue
        pitch = float(run @ [plane.rise_right, plane.rise_front])
        rise = pitch * run
        at_start = float(plane.height(start)) - depth * float(np.hypot(1.0, pitch))
        under = CeilingPlane(plane.name, float(rise[0]), float(rise[1]), at_start - float(rise @ start))
        key = (round(at_start, 9), round(at_start + pitch * length, 9))
        found.setdefault(key, (plane, under))  # under a ridge both slopes give the same
    return list(found.values())


def _shows(plane: CeilingPlane, zone: Zone, start: Array, end: Array) -> bool:
    """Whether a plane is the lowest of its zone anywhere along a line, more than at a point.

    How far it lies over another falls or rises evenly along the line, so each other plane leaves it one stretch.
    """
    low, high = 0.0, 1.0
    for other in zone.planes:
        over = plane.height(np.array([start, end])) - other.height(np.array([start, end]))
        if np.all(over > TOUCHING):
            return False
        if over.max() > TOUCHING >= over.min():
            at = float(over[0] / (over[0] - over[1]))
            low, high = (max(low, at), high) if over[0] > over[1] else (low, min(high, at))
    return high - low > TOUCHING


def _highest(zones: Sequence[Zone], line: Array) -> float:
    """The highest that the ceiling of some zones comes, metres."""
    corners = np.concatenate([shapely.get_coordinates(zone.outline) for zone in zones])
    return max(float(plane.height(np.concatenate([corners, line])).max()) for zone in zones for plane in zone.planes)
