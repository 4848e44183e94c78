"""Resolves places as they are taped: plan points, distances along walls, extents, headings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import cast

import numpy as np

from earshed.model.block import Block, BlockKind
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.plan import Plan, Wall
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_places import FROM_END, FROM_SIDE, PlanPlace, WallPlace
from earshed.model.taped import taped_along
from earshed.model.taped_from import End, Side, TapedFrom

_SIDES = {"front": "front wall", "right": "right wall", "rear": "rear wall", "left": "left wall"}


@dataclass(frozen=True, eq=False)
class Tape:
    """Measures in one room: its plan and the datums found so far."""

    plan: Plan
    datums: Mapping[str, Array]

    def point(self, place: PlanPlace, path: Path) -> Array:
        """Plan point (2,). Raises Misfit unless exactly one way of measuring each direction is given."""
        if place.datum is not None or place.right is not None or place.back is not None:
            return self._from_datum(place, path)
        side, end = _only(place, FROM_SIDE, path), _only(place, FROM_END, path)
        if side is None or end is None:
            missing = FROM_SIDE if side is None else FROM_END
            raise Misfit(f"needs one of {', '.join(missing)} (or datum, right, back)", path)
        return frozen([self._x(*side), self._y(*end)])

    def _x(self, key: str, distance: float) -> float:
        width = self.plan.width
        return {"from_left": distance, "from_right": width - distance, "from_center": width / 2 + distance}[key]

    def _y(self, key: str, distance: float) -> float:
        return -distance if key == "from_front" else distance - self.plan.length

    def _from_datum(self, place: PlanPlace, path: Path) -> Array:
        if place.datum is None:
            raise Misfit("right and back are measured from a datum: say which, as datum: NAME", path)
        if _given(place, (*FROM_SIDE, *FROM_END)):
            raise Misfit("measure from a datum or from the walls, not both", path)
        if place.datum not in self.datums:
            hint = suggest(place.datum, self.datums)
            raise Misfit(f"there is no datum called {place.datum} above this line{hint}", (*path, "datum"))
        return frozen(self.datums[place.datum] + [place.right or 0.0, -(place.back or 0.0)])

    def wall(self, name: str, path: Path) -> Wall:
        """The wall that a scene calls left, right, front or rear, or 1, 2, ... in an outline. Raises Misfit."""
        full = _SIDES.get(name, name) if self.plan.kind == "rectangle" else f"wall {name.removeprefix('wall ')}"
        for wall in self.plan.walls:
            if wall.name in (full, name):
                return wall
        main = ", ".join(_SIDES) if self.plan.kind == "rectangle" else f"1 to {len(self.plan.corners)}"
        allowed = ", ".join([main, *(wall.name for wall in self.plan.walls[len(self.plan.corners) :])])
        raise Misfit(f"there is no wall {name}; the walls are {allowed}", path)

    def along(self, place: WallPlace, wall: Wall, path: Path, *, prefix: str = "") -> float:
        """Metres from a wall's start. Raises Misfit unless it is measured in one way that suits the wall.

        `prefix` goes before the keys in messages.
        """
        if place.datum is not None and place.along is not None:
            raise Misfit("measure from a datum or along the wall, not both", path)
        if place.datum is not None:
            return float((self._from_datum(place, path) - wall.start) @ wall.along)
        if taped_along(self.plan, wall):
            if place.along is None or _given(place, (*FROM_SIDE, *FROM_END)):
                raise Misfit(f"on {wall.name} say {prefix}along: LENGTH, from the wall's first corner", path)
            return place.along
        across = bool(abs(wall.along[0]) > abs(wall.along[1]))
        keys, other = (FROM_SIDE, FROM_END) if across else (FROM_END, FROM_SIDE)
        found = _only(place, keys, path)
        if found is None or place.along is not None or _given(place, other):
            named = ", ".join(f"{prefix}{key}" for key in keys)
            raise Misfit(f"a place on the {wall.name} needs one of {named}, and nothing else", path)
        spot = np.array([self._x(*found), wall.start[1]]) if across else np.array([wall.start[0], self._y(*found)])
        ways = 0 if across else 1
        return float((spot - wall.start)[ways] / wall.along[ways])  # square to the room, whichever way the wall runs

    def span(self, place: WallPlace, wall: Wall, width: float, path: Path) -> tuple[float, float]:
        """Start and end along a wall of something `width` wide whose near left or near front edge is at the place."""
        near = self.along(place, wall, path)
        if taped_along(self.plan, wall):
            return near, near + width
        step = width if wall.along @ [1.0, -1.0] > 0 else -width  # to the right and to the rear run with the tape
        low, high = sorted((near, near + step))
        return low, high

    def block(
        self,
        name: str,
        place: PlanPlace,
        size: tuple[float, float, float],
        path: Path,
        *,
        bottom: float = 0.0,
        kind: BlockKind = "box",
        keep_clear: float = 0.0,
    ) -> Block:
        """An upright box of width, length and height whose front left corner is at the place."""
        left, front = self.point(place, path)
        width, length, height = size
        lower, upper = (left, front - length, bottom), (left + width, front, bottom + height)
        return Block.box(name, lower, upper, kind=kind, keep_clear=keep_clear)


def taped_from(place: WallPlace | PlanPlace) -> TapedFrom:
    """From where a place is measured that has been resolved already, so that it is said in one way."""
    side = next((key.removeprefix("from_") for key, _ in _given(place, FROM_SIDE)), None)
    end = next((key.removeprefix("from_") for key, _ in _given(place, FROM_END)), None)
    return TapedFrom(cast(Side | None, side), cast(End | None, end), place.datum)


def block_touches(block: Block, plan: Plan) -> bool:
    """Whether a block stands over the plan by more than a touch."""
    return bool(block.footprint.intersection(plan.polygon).area > TOUCHING**2)


def suggest(name: str, known: Mapping[str, object]) -> str:
    """A sentence that offers the nearest known name, or lists them."""
    near = get_close_matches(name, known, n=1)
    if near:
        return f"; did you mean {near[0]}?"
    return f"; there are {', '.join(list(known)[:12])}" if known else "; there are none yet"


def catalog_hint(catalogs: Sequence[object]) -> str:
    """A sentence for a scene that knows no type of that name and brings in no catalog."""
    return "" if catalogs else " (`catalogs: [generic]` brings types by size)"


def _given(place: PlanPlace, keys: tuple[str, ...]) -> list[tuple[str, float]]:
    return [(key, value) for key in keys if (value := getattr(place, key)) is not None]


def _only(place: PlanPlace, keys: tuple[str, ...], path: Path) -> tuple[str, float] | None:
    found = _given(place, keys)
    if len(found) > 1:
        raise Misfit(f"give one of {' and '.join(key for key, _ in found)}, not both", path)
    return found[0] if found else None
