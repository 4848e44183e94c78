"""The two tapes that place a hole on its face: square from a base edge, and along it from where a level tape begins.

Each is pulled from where it begins to the hole itself (running), so that no error is carried from hole to hole. Holes
that can share a base and a beginning do, so that an error there moves them together.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.hole import Hole
from earshed.model.mark_out.datum import CENTER, Start, starts_for
from earshed.model.mark_out.edges import SLOPES, Edge, edges_of, reachable
from earshed.model.scene import Scene

SAME_WAY = 0.01
"""Radians within which two bases run the same way."""


LEFT_THEN_FRONT = np.array([1.0, -0.7, -0.5])
"""Ways that go less along it are named first: left before right, front before rear, the upper one before the lower."""


@dataclass(frozen=True)
class Wish:
    """What tapes are to be pulled from where they can be: `base` is "low", "ridge" or what an edge meets, `start`
    "center", what an edge meets or a datum; None leaves it open."""

    base: str | None = None
    start: str | None = None


@dataclass(frozen=True, eq=False)
class Tapes:
    """How a hole is placed, metres: its center lies `square` from the base, and `along` it from the start, in the unit
    direction `way` (2,) of its face.

    `square_edge` and `along_edge` are to the nearer edge of the cut-out, negative where that reaches past it. `checks`
    are along the face to the center from the ends of the base, each by the way (3,) there along the base; without those
    from which the way leaves the face. `across` is from the edge opposite the base, where that runs along it.
    """

    base: Edge
    start: Start
    square: float
    square_edge: float
    along: float
    along_edge: float
    way: Array
    checks: tuple[tuple[Array, float], ...]
    across: tuple[Edge, float] | None

    @property
    def on_start(self) -> bool:
        """Whether the center is where the level tape begins."""
        return self.along < TOUCHING


@dataclass(frozen=True, eq=False)
class _Hung:
    """A hole with what it can be taped from."""

    scene: Scene
    hole: Hole
    board: shapely.Polygon
    edges: tuple[Edge, ...]
    base: Edge

    @cached_property
    def starts(self) -> tuple[Start, ...]:
        return tuple(starts_for(self.scene, self.base, self.edges, self.board, self.hole.middle))

    def length(self, start: Start) -> float:
        return abs(self.base.foot(self.hole.middle)[0] - start.at)

    def named(self, name: str) -> Start | None:
        """Its start of that name; at its own height before a corner, the nearer first."""
        found = [start for start in self.starts if start.name == name]
        return min(found, key=lambda start: (start.kind == "corner", self.length(start)), default=None)


def tapes_for(scene: Scene, holes: Sequence[Hole], wish: Wish) -> list[Tapes]:
    """The tapes of some holes, in their order. Raises ValueError where no hole can be taped from what is wished."""
    hung = [_hang(scene, hole, wish) for hole in holes]
    if wish.base is not None and hung and not any(_is_base(one.base, wish.base) for one in hung):
        known = dict.fromkeys(edge.name for one in hung for edge in one.edges)
        raise ValueError(f"no hole can be taped from {wish.base}; there are {', '.join(known)}")
    if wish.start is not None and hung and not any(_meant(one, wish.start) for one in hung):
        known = dict.fromkeys(start.name for one in hung for start in one.starts)
        raise ValueError(f"no face with a hole in it has {wish.start} to tape from; there are {', '.join(known)}")
    chosen = {id(one): start for group in _same_way(hung) for one, start in _starts(scene, group, wish)}
    return [_tapes(one, chosen[id(one)]) for one in hung]


def _hang(scene: Scene, hole: Hole, wish: Wish) -> _Hung:
    board = reachable(scene.room, hole.surface, hole.middle)
    edges = edges_of(scene.room, hole.surface, board)
    base = min(edges, key=lambda edge: _base_rank(scene, edge, hole, wish))
    return _Hung(scene, hole, board, edges, base)


def _base_rank(scene: Scene, edge: Edge, hole: Hole, wish: Wish) -> tuple[bool, bool, bool, int, float]:
    """Of edges the one wished for, then level ones before others, and those that the tape meets square."""
    foot, out = edge.foot(hole.middle)
    wished = wish.base is not None and _is_base(edge, wish.base)
    missed = not -TOUCHING <= foot <= edge.length + TOUCHING or out < 0.0
    return (not wished, not edge.is_level, missed, _usual(scene, edge), -edge.length)


def _usual(scene: Scene, edge: Edge) -> int:
    """On a wall the floor, on a slope the low side, on a level face the picture's wall come first, then other walls."""
    beyond, face = edge.beyond, edge.face
    if face.kind == "wall":
        return 0 if beyond is not None and beyond.kind == "floor" else 1 + (not edge.is_low)
    if face.slope >= SLOPES:
        return (0 if beyond is not None and beyond.kind == "wall" else 1) if edge.is_low else 2
    front = scene.screen.wall.name if scene.screen is not None else scene.room.plan.walls[0].name
    if beyond is not None and beyond.kind == "wall":
        return 0 if beyond.called == f"the {front}" or beyond.called == front else 1
    return 2


def _is_base(edge: Edge, wish: str) -> bool:
    sloped = edge.face.kind != "wall" and edge.face.slope >= SLOPES
    if wish in ("low", "ridge"):
        return sloped and edge.is_level and edge.is_low == (wish == "low")
    return edge.beyond is not None and _is_named(edge.beyond.called, wish)


def _is_named(called: str, wish: str) -> bool:
    """Whether words for something are meant by a name: "the rear wall" by rear, rear wall and itself."""
    bare = called.removeprefix("the ")
    return wish in (called, bare, bare.removesuffix(" wall"), bare.removeprefix("datum "))


def _meant(one: _Hung, wish: str) -> str | None:
    """The name of the start of a hole that is wished for."""
    names = (start.name for start in one.starts)
    return next((name for name in names if (name == CENTER and wish == "center") or _is_named(name, wish)), None)


def _same_way(hung: Sequence[_Hung]) -> Iterator[list[_Hung]]:
    """Holes in groups whose bases run the same way on the plan."""
    groups: list[list[_Hung]] = []
    for one in hung:
        for group in groups:
            across = group[0].base.run[:2] @ np.array([one.base.run[1], -one.base.run[0]])
            if abs(across) < math.sin(SAME_WAY):
                group.append(one)
                break
        else:
            groups.append([one])
    yield from groups


def _starts(scene: Scene, group: Sequence[_Hung], wish: Wish) -> Iterator[tuple[_Hung, Start]]:
    """A start for each hole of a group: what is wished for, else what most of them have, of that what makes the longest
    tape shortest; the picture's center line before walls, and corners where there is neither."""
    names = [start.name for one in group for start in one.starts if start.is_wall or start.name == CENTER]
    order = sorted(dict.fromkeys(names), key=lambda name: _shared_rank(scene, group, name))
    for one in group:
        name = _meant(one, wish.start) if wish.start is not None else None
        at_height = [start for start in map(one.named, order) if start is not None and start.kind != "corner"]
        at_corner = sorted(one.starts, key=lambda start: (start.kind != "corner", not start.is_wall, one.length(start)))
        yield one, (one.named(name) if name else None) or next(iter([*at_height, *at_corner]))


def _shared_rank(scene: Scene, group: Sequence[_Hung], name: str) -> tuple[int, bool, float, int]:
    found = [(one, one.named(name)) for one in group]
    lengths = [one.length(start) for one, start in found if start is not None and start.kind != "corner"]
    walls = [wall.name for wall in scene.room.plan.walls]
    wall = name.removeprefix("the ")
    turn = walls.index(wall) if wall in walls else len(walls)
    return -len(lengths), name != CENTER, round(max(lengths, default=0.0), 3), turn


def _tapes(one: _Hung, start: Start) -> Tapes:
    base, hole = one.base, one.hole
    foot, square = base.foot(hole.middle)
    along = foot - start.at
    way = base.along if along >= 0 else -base.along
    checks = []
    ends = [(base.start, -base.run), (base.end, base.run)]
    for corner, outwards in sorted(ends, key=lambda end: float(end[1] @ LEFT_THEN_FRONT)):
        if one.board.buffer(TOUCHING).covers(shapely.LineString([corner, hole.middle])):
            checks.append((outwards, float(np.hypot(*(hole.middle - corner)))))
    near = abs(along) - hole.cut.reach(-way)
    return Tapes(
        base, start, square, square - hole.cut.reach(-base.inward), abs(along), near, way, tuple(checks), _across(one)
    )


def _across(one: _Hung) -> tuple[Edge, float] | None:
    """The edge that is met straight across a face from its base through the hole, and metres from there to the center;
    None where it does not run along the base."""
    base, middle = one.base, one.hole.middle
    for edge in one.edges:
        foot, out = edge.foot(middle)
        if (
            edge is not base
            and float(edge.along @ base.along) < -1 + TOUCHING
            and 0.0 <= foot <= edge.length
            and out > 0
        ):
            return edge, out
    return None
