"""The two tapes that place a hole on its face: square from a base edge, and along it from where a level tape begins.

Each is pulled from where it begins to the hole itself (running), so that no error is carried from hole to hole. Holes
that can share a base and a beginning do, so that an error there moves them together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.hole import Hole
from earshed.model.mark_out.beginnings import chosen_starts, meant
from earshed.model.mark_out.datum import Start
from earshed.model.mark_out.edges import Edge
from earshed.model.mark_out.footing import Footing, footing_under, hidden_foot
from earshed.model.mark_out.hung import Hung, Wish, hang, is_base
from earshed.model.scene import Scene

LEFT_THEN_FRONT = np.array([1.0, -0.7, -0.5])
"""Ways that go less along it are named first: left before right, front before rear, the upper one before the lower."""


@dataclass(frozen=True, eq=False)
class Corner:
    """An end of a base, by the way (3,) there along it: metres from there along the face to a hole, and what is there
    where that is no wall, as one names it."""

    way: Array
    length: float
    at: str


@dataclass(frozen=True, eq=False)
class Tapes:
    """How a hole is placed, metres: its center lies `square` from the base, and `along` it from the start, in the unit
    direction `way` (2,) of its face.

    `square_edge` and `along_edge` are to the nearer edge of the cut-out, negative where that reaches past it. `checks`
    are to the center from the ends of the base; without those from which the way leaves the face or is blocked.
    `across` is from the edge opposite the base, where that runs along it. `footing` is what stands at the foot of a
    wall under the hole and hides the floor there.
    """

    base: Edge
    start: Start
    square: float
    square_edge: float
    along: float
    along_edge: float
    way: Array
    checks: tuple[Corner, ...]
    across: tuple[Edge, float] | None
    footing: Footing | None

    @property
    def on_start(self) -> bool:
        """Whether the center is where the level tape begins."""
        return self.along < TOUCHING

    @property
    def paths(self) -> tuple[Array, Array]:
        """Both tapes (2, 3) in the room, from where each begins: the one square to the base, and the one along it,
        which from a corner is pulled along the base itself."""
        base, start = self.base, self.start
        foot = start.at + self.along * float(self.way @ base.along)
        out = 0.0 if start.kind == "corner" else self.square
        ways = np.array(
            [[base.at(foot, 0.0), base.at(foot, self.square)], [base.at(start.at, out), base.at(foot, out)]]
        )
        square, along = base.face.to_room(ways)
        return square, along

    def end_of(self, start: Start) -> Array:
        """The way (3,) along the base to the end of it that a corner is at."""
        return self.base.run if start.at > 0 else -self.base.run


def tapes_for(scene: Scene, holes: Sequence[Hole], wish: Wish) -> list[Tapes]:
    """The tapes of some holes, in their order. Raises ValueError where no hole can be taped from what is wished."""
    hung = [hang(scene, hole, wish) for hole in holes]
    if wish.base is not None and hung and not any(is_base(one.base, wish.base) for one in hung):
        known = dict.fromkeys(edge.name for one in hung for edge in one.edges)
        raise ValueError(f"no hole can be taped from {wish.base}; there are {', '.join(known)}")
    if wish.start is not None and hung and not any(meant(one, wish.start) for one in hung):
        known = dict.fromkeys(start.name for one in hung for start in one.starts)
        raise ValueError(f"no face with a hole in it has {wish.start} to tape from; there are {', '.join(known)}")
    return [_tapes(one, start) for one, start in zip(hung, chosen_starts(hung, wish.start), strict=True)]


def _tapes(one: Hung, start: Start) -> Tapes:
    base, hole = one.base, one.hole
    foot, square = base.foot(hole.middle)
    along = foot - start.at
    way = base.along if along >= 0 else -base.along
    near = abs(along) - hole.cut.reach(-way)
    out = square - hole.cut.reach(-base.inward)
    footing = footing_under(one.scene.room, hole.surface, hole.middle) if hole.surface.kind == "wall" else None
    return Tapes(base, start, square, out, abs(along), near, way, tuple(_checks(one)), _across(one), footing)


def _checks(one: Hung) -> Iterator[Corner]:
    base, middle, room = one.base, one.hole.middle, one.scene.room
    ends = [(base.start, 0.0, -base.run), (base.end, base.length, base.run)]
    for corner, at, outwards in sorted(ends, key=lambda end: float(end[2] @ LEFT_THEN_FRONT)):
        line = shapely.LineString([corner, middle])
        if one.board.buffer(TOUCHING).covers(line) and not hidden_foot(room, one.hole.surface, line):
            there = next((start for start in one.starts if (start.kind, start.at) == ("corner", at)), None)
            named = there.name if there is not None and there.what != "wall" else ""
            yield Corner(outwards, float(np.hypot(*(middle - corner))), named)


def _across(one: Hung) -> tuple[Edge, float] | None:
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
