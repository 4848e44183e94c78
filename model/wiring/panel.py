"""Panels: the faces of a room as a cable finds them, with what is behind, what is in its way and who can reach it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.framing import Framing, members_on, runs_along
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import KeepOut
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.wiring.bored import MemberKind
from earshed.model.wiring.spec import Access

ASSUMED_SPACING = 16 * INCH
"""Between members where none are given, for the choice of a way alone. Common practice, no source."""
ALONG = 0.9998
"""Cosine from which a way counts as along the members, about a degree."""

AT_END = 1e-3
"""Metres past the end of a member at which it is still crossed, since it ends at the edge of its face; and within which
a way goes past a rectangle and not through it."""

Back = Literal["cavity", "tiles", "none"]
"""What is behind a face: a cavity, the open space over laid-in tiles, or nothing that a cable could go into."""


def owner_of(face: Surface) -> str:
    """What a side belongs to, as a soffit or a box, and is reached with; of another face its own name."""
    return face.name.partition(" of ")[2] if face.kind == "side" else face.name


@dataclass(frozen=True, eq=False)
class Behind:
    """A member behind a panel, in its grid: `at` across, from `low` to `high` along, metres."""

    at: float
    low: float
    high: float
    thickness: float
    run: Framing


@dataclass(frozen=True, eq=False)
class Panel:
    """A face with a grid of its own: first coordinate along the members, second across them, metres.

    Where no framing is given the first is up the slope, or upright. `axes` (2, 2) are both in face coordinates.
    `blocked` are rectangles of the grid (K, 4), low corner and high corner, that no cable enters, and `blocked_by` what
    they are of, as "door (opening)".
    """

    face: Surface
    axes: Array
    back: Back
    access: Access
    access_stated: bool
    members: tuple[Behind, ...] | None
    blocked: Array
    blocked_by: tuple[str, ...] = ()
    hidden: tuple[KeepOut, ...] = ()

    @property
    def part(self) -> MemberKind:
        """What its members are."""
        return "stud" if abs(self.face.normal[2]) < TOUCHING else "joist"

    @property
    def is_upright(self) -> bool:
        return self.part == "stud"

    @property
    def reached(self) -> bool:
        """Whether a drill, or over tiles a hand, gets behind it."""
        return self.access != "none" or self.back == "tiles"

    def to_grid(self, points: Array) -> Array:
        """Grid coordinates (..., 2) of points (..., 3) on it."""
        return self.face.to_face(points) @ self.axes.T

    def to_room(self, grid: Array) -> Array:
        """Points (..., 3) at grid coordinates (..., 2)."""
        return self.face.to_room(np.asarray(grid) @ self.axes)

    @cached_property
    def outline(self) -> BaseGeometry:
        """Its outline in its grid."""
        return shapely.transform(self.face.outline, lambda uv: uv @ self.axes.T)

    @cached_property
    def hidden_shapes(self) -> tuple[BaseGeometry, ...]:
        """The outlines in its grid of what was found behind it, with the distance that is kept from each."""
        outlines = (one.shape.outline.buffer(one.keep_clear + one.within) for one in self.hidden)
        return tuple(shapely.transform(outline, lambda uv: uv @ self.axes.T) for outline in outlines)

    def crossed(self, start: Array, end: Array) -> tuple[tuple[int, float], ...] | None:
        """Which members a straight way between two points (2,) of the grid crosses, each with how far along it; None
        where none are given. Ways that end on a member together cross it once."""
        if self.members is None:
            return None
        low, high = (start, end) if start[1] <= end[1] else (end, start)
        found = []
        for number, member in enumerate(self.members):
            if low[1] < member.at <= high[1]:
                share = (member.at - low[1]) / (high[1] - low[1])
                along = float(low[0] + share * (high[0] - low[0]))
                if member.low - AT_END <= along <= member.high + AT_END:
                    found.append((number, along))
        return tuple(found)

    def at_member(self, number: int, along: float) -> Array:
        """The point (3,) at which a way crosses a member by its number."""
        assert self.members is not None
        return self.to_room(np.array([along, self.members[number].at]))

    def passes(self, start: Array, end: Array) -> tuple[str, ...]:
        """What was found behind it and what is open in it that a straight way between two points (2,) of the grid goes
        through, as "drain (pipe)"."""
        way = shapely.LineString([start, end])
        found = [
            (f"{one.name} ({one.kind})", shape) for one, shape in zip(self.hidden, self.hidden_shapes, strict=True)
        ]
        rectangles = [shapely.box(*rectangle).buffer(-AT_END) for rectangle in self.blocked]
        found += zip(self.blocked_by, rectangles, strict=True)
        return tuple(dict.fromkeys(name for name, shape in found if shape.intersection(way).length > TOUCHING))

    def holds(self, point: Array) -> bool:
        """Whether a point (3,) lies on it."""
        away = abs(float((point - self.face.origin) @ self.face.normal))
        spot = shapely.Point(self.face.to_face(point))
        return away < 1e-4 and self.face.outline.distance(spot) < 1e-4


def members_behind(face: Surface, framing: Sequence[Framing]) -> tuple[Array, tuple[Behind, ...] | None]:
    """The axes (2, 2) of a face's grid, and the members behind it; None where no framing is given.

    Strapping under a run, and a grid of tees, leave the bays as they are. Of runs that cross one another the first
    says which way the bays lie.
    """
    runs = [
        run for run in framing if not run.is_grid and run.under is None and face.name in [f.name for f in run.surfaces]
    ]
    if not runs:
        return np.array([[0.0, 1.0], [1.0, 0.0]]), None
    along = face.frame @ runs_along(runs[0].direction, face.normal)
    axes = np.array([along, [along[1], -along[0]]])
    found = []
    for run in runs:
        if abs(float(face.frame @ runs_along(run.direction, face.normal) @ along)) < ALONG:
            continue
        for member in members_on(run, face):
            ends = member.line @ axes.T
            low, high = sorted(float(end) for end in ends[:, 0])
            found.append(Behind(float(ends[:, 1].mean()), low, high, member.mark.thickness, run))
    return axes, tuple(sorted(found, key=lambda one: (one.at, one.low)))
