"""Framing behind the board: where joists, rafters and studs run.

Dressed sizes: PS 20 American Softwood Lumber Standard, dry, inches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import FRONT, PARALLEL, RIGHT, Array, face_frame, square_to
from earshed.model.member_marks import USUAL_WITHIN, MemberMark, member_marks
from earshed.model.surface import Surface
from earshed.model.units import INCH

Direction = Literal["front-to-back", "side-to-side", "up-slope", "level"]

DRESSED: dict[str, tuple[float, float]] = {
    "1x2": (0.75 * INCH, 1.5 * INCH),
    "1x3": (0.75 * INCH, 2.5 * INCH),
    "1x4": (0.75 * INCH, 3.5 * INCH),
    "2x3": (1.5 * INCH, 2.5 * INCH),
    "2x4": (1.5 * INCH, 3.5 * INCH),
    "2x6": (1.5 * INCH, 5.5 * INCH),
    "2x8": (1.5 * INCH, 7.25 * INCH),
    "2x10": (1.5 * INCH, 9.25 * INCH),
    "2x12": (1.5 * INCH, 11.25 * INCH),
}
"""Thickness and depth, metres, by nominal size."""

MOST_MEMBERS = 2000
PAST = 3
"""Thicknesses by which a member is carried on past the ends of its center line."""


@dataclass(frozen=True)
class FoundMember:
    """A member found on site, on every face of its run or on the one of that name."""

    mark: MemberMark
    surface: str | None = None


@dataclass(frozen=True)
class Framing:
    """A run of like members behind one or more faces; lengths in metres.

    `spacing` and `first_center` are taped on the face, square to the members, from the front or left end of the
    face, or up from its low crease for level members; None where there are only members found. `within` is how far a
    counted member may be off. `under` names the run that this one is nailed under, between it and the board. A grid
    of tees holds tiles and has no cavity of its own.
    """

    name: str
    surfaces: tuple[Surface, ...]
    thickness: float
    depth: float
    spacing: float | None
    first_center: float | None
    direction: Direction
    found: tuple[FoundMember, ...] = ()
    within: float = USUAL_WITHIN
    under: str | None = None
    is_grid: bool = False


@dataclass(frozen=True, eq=False)
class Member:
    """A member behind a face: where it is on the tape, and the ends (2, 2) of its center line in face coordinates."""

    mark: MemberMark
    line: Array


def members_on(framing: Framing, surface: Surface) -> list[Member]:
    """The members behind a face, clipped to it, in the order of the tape; one that is cut in two comes twice."""
    run, across = _run_and_across(framing.direction, surface.normal)
    frame = np.stack([surface.frame @ run, surface.frame @ across])  # face coordinates to (run, across)
    corners = np.concatenate([surface.to_face(ring) for ring in surface.rings()]) @ frame.T
    (run_0, across_0), (run_1, across_1) = corners.min(axis=0), corners.max(axis=0)
    marks = member_marks(
        across_1 - across_0,
        thickness=framing.thickness,
        within=framing.within,
        spacing=framing.spacing,
        first=framing.first_center,
        found=[found.mark for found in framing.found if found.surface in (None, surface.name)],
    )[:MOST_MEMBERS]
    places = [across_0 + mark.at for mark in marks]
    lines = [shapely.LineString(np.array([[run_0 - 1, at], [run_1 + 1, at]]) @ frame) for at in places]
    clipped = shapely.intersection(lines, surface.outline)
    return [
        Member(mark, np.array(part.coords)[[0, -1]])
        for mark, line in zip(marks, clipped, strict=True)
        for part in shapely.get_parts(line)
        if part.length > 0 and part.geom_type == "LineString"
    ]


def tape_length(direction: Direction, surface: Surface) -> float:
    """Metres of a face square to members that run in a direction."""
    _, across = _run_and_across(direction, surface.normal)
    places = np.concatenate([surface.to_face(ring) for ring in surface.rings()]) @ (surface.frame @ across)
    return float(np.ptp(places))


def member_width(member: Member) -> FaceShape:
    """A member's true width in face coordinates, carried on past the edges of the face: there it is cut on the slant,
    not squared."""
    start, end = member.line
    run = (end - start) / np.linalg.norm(end - start)
    past, half = PAST * member.mark.thickness * run, np.array([-run[1], run[0]]) * member.mark.thickness / 2
    start, end = start - past, end + past
    return FaceShape(shapely.Polygon([start - half, end - half, end + half, start + half]))


def member_parts(framing: Framing, surface: Surface) -> Iterator[tuple[Member, Array]]:
    """Each member behind a face with the corners (N, 3) of its true width there, clipped to the face, the first
    repeated last."""
    for member in members_on(framing, surface):
        for part in shapely.get_parts(member_width(member).core.intersection(surface.outline)):
            if part.area > 0:
                yield member, surface.to_room(np.array(part.exterior.coords))


def runs_along(direction: Direction, normal: Array) -> Array:
    """Unit vector (3,) in a face of that normal along a direction. Raises ValueError where it stands square to it."""
    return _run_and_across(direction, normal)[0]


def _run_and_across(direction: Direction, normal: Array) -> tuple[Array, Array]:
    """Unit vectors (3,) along the members and square to them in the face, the second away from where the tape hooks."""
    level, upslope = face_frame(normal)
    if direction == "up-slope":
        return upslope, level
    if direction == "level":
        return level, (upslope if abs(upslope[2]) > PARALLEL else -FRONT)
    run = square_to(FRONT if direction == "front-to-back" else RIGHT, normal)
    if run is None:
        raise ValueError(f"{direction} members stand square to that face")
    across = np.cross(normal, run)
    from_left = abs(across[0]) > PARALLEL if direction == "front-to-back" else False
    hooked = across[0] > 0 if from_left else across[1] < 0
    if abs(across[0]) <= PARALLEL and abs(across[1]) <= PARALLEL:
        hooked = across[2] > 0
    return run, (across if hooked else -across)
