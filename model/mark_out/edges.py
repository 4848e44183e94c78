"""The straight edges of what of a face one can reach: creases, ridges, corners, from which a tape is pulled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.heading import side_words
from earshed.model.near_block import block_before
from earshed.model.room import Room
from earshed.model.surface import Surface

ON_EDGE = 1e-4
"""Metres within which an edge of one face is an edge of another."""
SHORTEST = 1e-3
"""Metres under which an edge is what rounding left of a corner."""
STRAIGHT = 1e-6
"""Sine of the bend under which two edges are one, and rise of a unit length under which one is level."""
SLOPES = 1e-4
"""Radians from which a face has a low and a high side."""


@dataclass(frozen=True)
class Beyond:
    """What a face meets at an edge: its name as it stands in a sentence, its kind, its slope, radians, and whether it
    is a thing in the room, which has more than one side to tape from."""

    called: str
    kind: str
    slope: float = 0.0
    is_thing: bool = False


@dataclass(frozen=True, eq=False)
class Edge:
    """An edge of a face from `start` to `end` (2,) in its coordinates, the face on its left; `beyond` is what it meets
    there, None where it ends in the air."""

    face: Surface
    start: Array
    end: Array
    beyond: Beyond | None

    @cached_property
    def length(self) -> float:
        return float(np.hypot(*(self.end - self.start)))

    @cached_property
    def along(self) -> Array:
        """Unit direction (2,) from start to end."""
        return frozen((self.end - self.start) / self.length)

    @cached_property
    def inward(self) -> Array:
        """Unit direction (2,) square to it, into the face."""
        return frozen([-self.along[1], self.along[0]])

    @cached_property
    def run(self) -> Array:
        """Unit direction (3,) from start to end in the room."""
        return frozen(self.along @ self.face.frame)

    @property
    def is_level(self) -> bool:
        return bool(abs(self.run[2]) < STRAIGHT)

    @property
    def is_low(self) -> bool:
        """Whether the face rises from it."""
        return bool(self.inward[1] > 0)

    @property
    def outward(self) -> Array:
        """Unit direction (3,) square to it, out of the face, in the room."""
        return frozen(-self.inward @ self.face.frame)

    @property
    def meets(self) -> str:
        """What a tape begins at that is pulled from it into the face: "the rear wall", "the left side of tie 1", "the
        right edge of the duct"."""
        if self.beyond is None:
            return f"the {side_words(self.outward)} edge of {self.face.called}"
        if self.beyond.is_thing:
            return f"the {side_words(-self.outward)} side of {self.beyond.called}"
        return self.beyond.called

    @property
    def is_crease(self) -> bool:
        """Whether it goes by a name of its own, and not by that of what it meets."""
        return self.beyond is None or not (self.face.kind == "wall" or self.face.slope < SLOPES or not self.is_level)

    @property
    def name(self) -> str:
        """What it is called on a ladder: "the low crease at the left wall", "the ridge", "the floor"."""
        beyond, face = self.beyond, self.face
        side = "low" if self.is_low else "high"
        if not self.is_crease:
            return self.meets
        if beyond is None:
            sloped = face.slope >= SLOPES and self.is_level and face.kind != "wall"
            return f"the {side} edge of {face.called}" if sloped else self.meets
        if beyond.kind == "ceiling" and not self.is_low and beyond.slope >= SLOPES:
            return "the ridge"
        return f"the {side} crease {'to' if beyond.kind == 'ceiling' else 'at'} {beyond.called}"

    def foot(self, place: Array) -> tuple[float, float]:
        """Metres along it from its start to the foot of a place (2,), and square to it from there."""
        step = place - self.start
        return float(step @ self.along), float(step @ self.inward)

    def at(self, along: float, inward: float) -> Array:
        """The place (2,) at a distance along it and square to it, metres."""
        place: Array = self.start + along * self.along + inward * self.inward
        return place


def reachable(room: Room, face: Surface, place: Array) -> shapely.Polygon:
    """What of the board one can tape over round a place (2,), in its face's coordinates.

    That is the board that the face is part of, less what is boxed in against it; of several parts the one that the
    place is in, or is nearest to.
    """
    board = room.board(face)
    if face.kind != "wall":  # on a wall, heights are carried over what stands before it
        boxed = [block_before(box, face, 0.0) for box in room.boxes if box.name != face.name]
        board = board.difference(shapely.union_all([shape.outline for shape in boxed if shape is not None]))
    parts = [part for part in shapely.get_parts(board) if isinstance(part, shapely.Polygon)]
    return min(parts, key=lambda part: float(part.distance(shapely.Point(place))))


def edges_of(room: Room, face: Surface, board: shapely.Polygon) -> tuple[Edge, ...]:
    """The edges of a part of a face's board, in turn: round it, then round what is left out of it."""
    turned = shapely.geometry.polygon.orient(board)
    return tuple(
        Edge(face, frozen(start), frozen(end), next(_meeting(room, face, face.to_room((start + end) / 2)), None))
        for ring in (turned.exterior, *turned.interiors)
        for start, end in pairwise(_without_bends(shapely.get_coordinates(ring)))
    )


def _without_bends(ring: Array) -> list[Array]:
    """The corners of a closed ring (N, 2), those left out at which it goes straight on; the first repeated last."""
    corners = [one for one, after in pairwise(ring) if np.hypot(*(after - one)) > SHORTEST]
    kept = []
    for number, corner in enumerate(corners):
        before, after = corner - corners[number - 1], corners[(number + 1) % len(corners)] - corner
        bend = (before[0] * after[1] - before[1] * after[0]) / (np.hypot(*before) * np.hypot(*after))
        if abs(bend) > STRAIGHT or before @ after < 0:
            kept.append(corner)
    return [*kept, kept[0]]


def _meeting(room: Room, face: Surface, point: Array) -> Iterator[Beyond]:
    """What meets a face in a point (3,) of it."""
    for other in (*room.surfaces, *room.soffits):
        if other.name != face.name and not face.continues(other):
            off = abs(float((point - other.origin) @ other.normal))
            if off < ON_EDGE and other.outline.distance(shapely.Point(other.to_face(point))) < ON_EDGE + TOUCHING:
                yield Beyond(_called(room, other, point), other.kind, other.slope)
    for box in room.boxes:
        if box.name != face.name and box.near(point, ON_EDGE):
            yield Beyond(_thing(room, box), box.kind, is_thing=True)


def _called(room: Room, face: Surface, point: Array) -> str:
    """A face in a sentence; an upright side between two parts of a ceiling by the part that it is the side of, and the
    way from its middle to a point (3,) of the side."""
    _, _, part = face.name.partition(" of ")
    zone = next((one for one in room.own_ceilings if one.name == part), None)
    if face.kind != "side" or zone is None:
        return face.called
    middle = shapely.get_coordinates(zone.outline.centroid)[0]
    away = face.normal if (point[:2] - middle) @ face.normal[:2] > 0 else -face.normal
    return f"the {side_words(away)} side of {part}"


def _thing(room: Room, box: Block) -> str:
    """A box by name; a beam along several slopes by its own, without that of the slope."""
    name, _, slope = box.name.rpartition(", ")
    return name if name and room.face(slope) is not None else box.name
