"""Where a thing is, in the ways in which a scene file can say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import product
from typing import cast

import numpy as np

from earshed.model.editing.tape_text import exact_text
from earshed.model.editing.things import Named, Thing, place_of, the
from earshed.model.geometry import Array
from earshed.model.plan import Plan, Wall
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.tree import Plain
from earshed.model.speaker import Speaker
from earshed.model.taped import measured, taped_along
from earshed.model.taped_from import ALONG_THE_WALL, FROM_THE_CORNER, End, Side, TapedFrom

Keys = dict[str, Plain]
"""Keys of one thing of a scene file, with what they become."""
LengthText = Callable[[str, float], str]
"""The text of a length, by the key that it is for."""
SIDES: tuple[Side, ...] = ("left", "right", "center")
ENDS: tuple[End, ...] = ("front", "rear")
SQUARE = 1e-9
"""Cosine under which a wall runs along the room."""


@dataclass(frozen=True)
class At:
    """Where a thing is: metres by key, in the order of the tape; on a wall, which one."""

    lengths: Mapping[str, float]
    wall: Wall | None = None

    def keys(self, text: LengthText) -> Keys:
        """The keys that say so: under `at`, or on a wall beside the others."""
        texts: Keys = {key: text(key, metres) for key, metres in self.lengths.items()}
        return {"at": texts} if self.wall is None else texts


def way_of(scene: Scene, thing: Named) -> TapedFrom:
    """From where the scene tapes a thing. Raises ValueError for one that it does not have."""
    return scene.taped_from.get(the(scene, thing).name, FROM_THE_CORNER)


def wall_of(scene: Scene, thing: Thing) -> Wall | None:
    """The wall that a thing is in; None for what has its place on the plan."""
    if not isinstance(thing, Speaker) or thing.type.mount != "in-wall":
        return None
    if thing.surface is None:
        return nearest_wall(scene.room, thing.position)
    return next(wall for wall in scene.room.plan.walls if wall.name == thing.surface.name)


def nearest_wall(room: Room, point: Array) -> Wall:
    """The wall nearest to a point (3,), of those that show."""
    shown = [wall for wall in room.plan.walls if room.face(wall.name) is not None]
    return min(shown, key=lambda wall: _off(wall, point[:2]))


def wall_text(plan: Plan, wall: Wall) -> str:
    """A wall as a scene file names it."""
    if wall.name not in plan.wall_names:
        return wall.name
    return wall.name.removesuffix(" wall").removeprefix("wall ")


def ways(scene: Scene, thing: Named) -> tuple[TapedFrom, ...]:
    """Every way in which the scene file can say where a thing is, where it now is. Raises ValueError."""
    found = the(scene, thing)
    wall = wall_of(scene, found)
    names = list(scene.datums)
    if wall is None:
        return (
            *(TapedFrom(side, end) for side, end in product(SIDES, ENDS)),
            *(TapedFrom(datum=name) for name in names),
        )
    plain: tuple[TapedFrom, ...]
    if taped_along(scene.room.plan, wall):
        plain = (ALONG_THE_WALL,)
    elif _across(wall):
        plain = tuple(TapedFrom(side) for side in SIDES)
    else:
        plain = tuple(TapedFrom(end=end) for end in ENDS)
    return (*plain, *(TapedFrom(datum=name) for name in names))


def measured_at(scene: Scene, point: Array, way: TapedFrom, wall: Wall | None = None) -> At:
    """A place (3,), on a wall or on the plan, measured in one way. Raises ValueError where that cannot be."""
    plan, (x, y) = scene.room.plan, (float(point[0]), float(point[1]))
    if way.datum is not None:
        if way.datum not in scene.datums:
            raise ValueError(f"there is no datum called {way.datum[:60]}")
        right, back = x - float(scene.datums[way.datum][0]), float(scene.datums[way.datum][1]) - y
        lengths = {"right": right, "back": back}
        if wall is not None and min(np.abs(wall.along)) < SQUARE:  # the other one says nothing there
            lengths = {"right": right} if _across(wall) else {"back": back}
        return At(lengths, wall)
    across = {"left": x, "right": plan.width - x, "center": x - plan.width / 2}
    along = {"front": -y, "rear": plan.length + y}
    if wall is None:
        if way.side is None or way.end is None:
            raise ValueError("a place on the floor is taped from a side and from an end, or from a datum")
        return At({f"from_{way.side}": across[way.side], f"from_{way.end}": along[way.end]})
    if taped_along(plan, wall):
        return At({"along": float((point[:2] - wall.start) @ wall.along)}, wall)
    if _across(wall) and way.side is not None:
        return At({f"from_{way.side}": across[way.side]}, wall)
    if not _across(wall) and way.end is not None:
        return At({f"from_{way.end}": along[way.end]}, wall)
    raise ValueError(f"the {wall.name} runs the other way")


def usual_way(scene: Scene, point: Array, wall: Wall, mark: float) -> TapedFrom:
    """How a place (3,) on a wall is taped where nothing is said of it: from the nearer side, or from the front."""
    face = scene.room.face(wall.name)
    if taped_along(scene.room.plan, wall) or face is None:
        return ALONG_THE_WALL
    start = measured(point, face, scene.room.plan, mark).along[0][0]
    return TapedFrom(end="front") if start == "front" else TapedFrom(cast(Side, start))


def datum_keys(way: TapedFrom) -> Keys:
    """The key that names the datum, where it is measured from one."""
    return {"datum": way.datum} if way.datum is not None else {}


def _across(wall: Wall) -> bool:
    return bool(abs(wall.along[0]) > abs(wall.along[1]))


def _off(wall: Wall, spot: Array) -> float:
    along = float(np.clip((spot - wall.start) @ wall.along, 0.0, wall.length))
    return float(np.linalg.norm(spot - wall.start - along * wall.along))


def where_is(scene: Scene, thing: Named, way: TapedFrom | None = None) -> At:
    """Where a thing is, measured as the scene does it, or in another way. Raises ValueError."""
    found = the(scene, thing)
    return measured_at(scene, place_of(found), way or way_of(scene, found), wall_of(scene, found))


def remeasured(scene: Scene, thing: Named, way: TapedFrom) -> Keys:
    """Keys with which a thing is where it was, measured in another way. Raises ValueError where that cannot be."""
    return place_keys(where_is(scene, thing, way), way, lambda _, metres: exact_text(metres, scene.print_units))


def place_keys(at: At, way: TapedFrom, text: LengthText) -> Keys:
    """The keys of a place that was measured in one way."""
    keys = at.keys(text)
    inner = keys["at"] if at.wall is None else keys
    assert isinstance(inner, dict)
    whole: Keys = {**datum_keys(way), **inner}
    return {"at": whole} if at.wall is None else whole
