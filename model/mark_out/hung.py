"""A hole with all that it can be taped from, and the edge from which the tape square to it is pulled."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import shapely

from earshed.model.geometry import TOUCHING
from earshed.model.hole import Hole
from earshed.model.mark_out.datum import Start, starts_for
from earshed.model.mark_out.edges import SLOPES, Edge, edges_of, reachable
from earshed.model.scene import Scene


@dataclass(frozen=True)
class Wish:
    """What tapes are to be pulled from where they can be: `base` is "low", "ridge" or what an edge meets, `start`
    "center", what an edge meets or a datum; None leaves it open."""

    base: str | None = None
    start: str | None = None


@dataclass(frozen=True, eq=False)
class Hung:
    """A hole with what it can be taped from: the board round it that one can reach, its edges, of them the base."""

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


def hang(scene: Scene, hole: Hole, wish: Wish) -> Hung:
    """A hole with the base that is wished for where its face has it, else the usual one."""
    board = reachable(scene.room, hole.surface, hole.middle)
    edges = edges_of(scene.room, hole.surface, board)
    base = min(edges, key=lambda edge: _base_rank(scene, edge, hole, wish))
    return Hung(scene, hole, board, edges, base)


def _base_rank(scene: Scene, edge: Edge, hole: Hole, wish: Wish) -> tuple[bool, bool, bool, int, float, float]:
    """Of edges the one wished for, then level ones before others, and those that the tape meets square; of like ones
    the longer, then the nearer."""
    foot, out = edge.foot(hole.middle)
    wished = wish.base is not None and is_base(edge, wish.base)
    missed = not -TOUCHING <= foot <= edge.length + TOUCHING or out < 0.0
    return (not wished, not edge.is_level, missed, _usual(scene, edge), -round(edge.length, 3), out)


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


def is_base(edge: Edge, wish: str) -> bool:
    """Whether an edge is the base that is wished for."""
    sloped = edge.face.kind != "wall" and edge.face.slope >= SLOPES
    if wish in ("low", "ridge"):
        return sloped and edge.is_level and edge.is_low == (wish == "low")
    return edge.beyond is not None and is_named(edge.beyond.called, wish)


def is_named(called: str, wish: str) -> bool:
    """Whether words for something are meant by a name: "the rear wall" by rear, rear wall and itself, "the left side of
    tie 1" by tie 1 too."""
    bare = called.removeprefix("the ")
    names = [called, bare, bare.removesuffix(" wall"), bare.removeprefix("datum ")]
    return wish in (*names, *bare.split(" side of ")[1:])
