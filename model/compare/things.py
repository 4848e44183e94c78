"""What else is elsewhere, of another size, added or gone: seats, the picture, fixtures, boxes, openings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import FRONT, RIGHT, TOUCHING, UP, Array
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.units import PrintUnits, format_length

WHOLE = ("room", "picture")
"""Kinds of which a scene has one, without a name of its own."""


@dataclass(frozen=True, eq=False)
class Thing:
    """A thing of the room by its name: what it is, where its middle is (3,), and the points (N, 3) of its shape."""

    name: str
    kind: str
    middle: Array
    points: Array

    @property
    def shape(self) -> Array:
        """Its points about its middle."""
        return self.points - self.middle


@dataclass(frozen=True, eq=False)
class ThingChange:
    """A thing before and after; None where one of the scenes has none of that name."""

    name: str
    before: Thing | None
    after: Thing | None

    @property
    def kind(self) -> str:
        one = self.after or self.before
        assert one is not None
        return one.kind

    @property
    def way(self) -> Array:
        """From where it was to where it is (3,), metres; none where there are not two places."""
        return self.after.middle - self.before.middle if self.before and self.after else np.zeros(3)

    @property
    def moved(self) -> bool:
        return bool(np.linalg.norm(self.way) > TOUCHING)

    @property
    def reshaped(self) -> bool:
        """Whether it is of another kind, size or turn."""
        if self.before is None or self.after is None:
            return False
        then, now = self.before.shape, self.after.shape
        alike = then.shape == now.shape and np.allclose(then, now, atol=TOUCHING)
        return self.before.kind != self.after.kind or not alike

    @property
    def same(self) -> bool:
        return self.before is not None and self.after is not None and not self.moved and not self.reshaped

    def words(self, units: PrintUnits) -> str:
        """What became of it: `moved 1' 2" towards the rear`, "of another size", "new", "taken out"."""
        if self.before is None or self.after is None:
            return "new" if self.before is None else "taken out"
        told = [f"moved {' and '.join(self._ways(units))}"] if self.moved else []
        size = "of another shape" if self.kind == "room" else "of another size"
        return ", ".join([*told, size] if self.reshaped else told) or "as before"

    def _ways(self, units: PrintUnits) -> list[str]:
        ways = ((RIGHT, "towards the right", "towards the left"), (FRONT, "towards the front", "towards the rear"),
                (UP, "up", "down"))  # fmt: skip
        parts = [(float(self.way @ way), ahead, back) for way, ahead, back in ways]
        told = [
            f"{format_length(abs(part), units)} {ahead if part > 0 else back}"
            for part, ahead, back in parts
            if format_length(abs(part), units) != format_length(0.0, units)
        ]
        return told or ["by less than the tape shows"]


def thing_changes(before: Scene, after: Scene) -> tuple[ThingChange, ...]:
    """What of the rooms and their seats, picture, fixtures, boxes and openings is not as it was."""
    then, now = ({(thing.kind in WHOLE, thing.name): thing for thing in _things(scene)} for scene in (before, after))
    changes = (ThingChange(key[1], then.get(key), now.get(key)) for key in dict.fromkeys([*now, *then]))
    return tuple(change for change in changes if not change.same)


def _things(scene: Scene) -> Iterator[Thing]:
    yield Thing("the room", "room", np.zeros(3), scene.room.shell.vertices)
    for seat in upright_seats(scene.seats):
        yield Thing(seat.name, "seat", seat.ear, seat.ear[None])
    if scene.screen:
        yield Thing("the picture", "picture", scene.screen.center, scene.screen.corners)
    for fixture in scene.fixtures:
        yield Thing(fixture.name, fixture.kind, fixture.position, fixture.shape.edge_on(fixture.surface))
    blocks: dict[str, list[Array]] = {}
    for block in (*scene.room.boxes, *scene.room.risers):
        blocks.setdefault(block.name, []).extend((block.lower, block.upper))
    kinds = {block.name: block.kind for block in (*scene.room.boxes, *scene.room.risers)}
    for name, corners in blocks.items():
        yield _spread(name, kinds[name], np.array(corners))
    for opening in scene.openings:
        yield Thing(opening.name, "opening", opening.center, opening.corners)
    for hatch in scene.ceiling_openings:
        yield _spread(hatch.name, "opening", hatch.shape.edge_on(hatch.surface))


def _spread(name: str, kind: str, points: Array) -> Thing:
    return Thing(name, kind, (points.min(axis=0) + points.max(axis=0)) / 2, points)
