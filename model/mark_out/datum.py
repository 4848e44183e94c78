"""Where a level tape may begin: a wall, a center line, a datum, the side of a thing, a corner of a crease."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import TOUCHING, Array
from earshed.model.mark_out.edges import ON_EDGE, Edge
from earshed.model.plan import Plan
from earshed.model.scene import Scene
from earshed.model.search.ask import picture_mirror

FAR = 1000.0
"""Metres past which no face reaches."""
SLANTED = 0.5
"""Sine of the angle between a level tape and an upright plane, under which it does not begin there."""
SQUARE = 0.999
"""The same between a level tape and an edge that is no wall, as a hip, at which it would end on a slant."""
CENTER, ROOM_CENTER = "the picture's center line", "the room's center line"
StartKind = Literal["edge", "plane", "corner"]
What = Literal["wall", "center", "datum", "other"]


@dataclass(frozen=True, eq=False)
class Start:
    """Where a tape along a base edge begins: at an edge that the level line through the hole ends at, at an upright
    plane that a laser draws, or at a corner of the base itself.

    `at` is metres along the base, at the height of the hole, or on the base for a corner; `is_slanted` where the tape
    would end at a hip or the like on a slant.
    """

    name: str
    kind: StartKind
    at: float
    what: What = "other"
    is_slanted: bool = False


def center_name(scene: Scene) -> str:
    """What the line is called about which partners mirror each other."""
    return CENTER if scene.screen is not None else ROOM_CENTER


def starts_for(scene: Scene, base: Edge, edges: Sequence[Edge], board: BaseGeometry, place: Array) -> Iterator[Start]:
    """All that a tape along a base to a place (2,) may begin at, on the part of the face that one can reach."""
    _, inward = base.foot(place)
    line = shapely.LineString([place - FAR * base.along, place + FAR * base.along]).intersection(board)
    reach = next((part for part in shapely.get_parts(line) if part.distance(shapely.Point(place)) < TOUCHING), None)
    if reach is not None and reach.length > 0:
        for end in shapely.get_coordinates(reach)[[0, -1]]:
            edge = min(edges, key=lambda one: _apart(one, end))
            slanted = _what(edge) != "wall" and abs(float(edge.inward @ base.along)) < SQUARE
            yield Start(edge.meets, "edge", base.foot(end)[0], _what(edge), slanted)
        for name, what, point, aside in _planes(scene, base):
            at = _crossing(base, base.at(0.0, inward), point, aside)
            if at is not None and reach.distance(shapely.Point(base.at(at, inward))) < ON_EDGE:
                yield Start(name, "plane", at, what)
    yield from _corners(base, edges)


def _what(edge: Edge) -> What:
    return "wall" if edge.beyond is not None and edge.beyond.kind == "wall" else "other"


def _corners(base: Edge, edges: Sequence[Edge]) -> Iterator[Start]:
    """The ends of a base, each named after what the next edge meets."""
    for edge in edges:
        if np.array_equal(edge.end, base.start):
            yield Start(edge.meets, "corner", 0.0, _what(edge))
        if np.array_equal(edge.start, base.end):
            yield Start(edge.meets, "corner", base.length, _what(edge))


def _planes(scene: Scene, base: Edge) -> Iterator[tuple[str, What, Array, Array]]:
    """The upright planes that a laser can draw across a level base: the name, what it is, a point (2,) of each, and the
    unit plan direction (2,) square to it."""
    if not base.is_level:
        return
    if scene.screen is not None or _is_true(scene.room.plan):
        mirror = picture_mirror(scene)
        yield center_name(scene), "center", mirror.point, np.array([mirror.run[1], -mirror.run[0]])
    for name, point in scene.datums.items():
        yield f"the datum {name}", "datum", point, base.run[:2]


def _is_true(plan: Plan) -> bool:
    """Whether a plan is a rectangle to a touch, so that one finds its center line by halving any width."""
    return plan.kind == "rectangle" and plan.width * plan.length - shapely.Polygon(plan.corners).area < TOUCHING


def _crossing(base: Edge, start: Array, point: Array, aside: Array) -> float | None:
    """Metres along a base from a place (2,) of its face to the plane through `point` square to `aside`; None where they
    meet on too much of a slant."""
    across = float(base.run[:2] @ aside)
    if abs(across) < SLANTED:
        return None
    return float((point - base.face.to_room(start)[:2]) @ aside) / across


def _apart(edge: Edge, place: Array) -> float:
    return float(shapely.LineString([edge.start, edge.end]).distance(shapely.Point(place)))
