"""Cones of constant off-axis angle, and the curve in which one cuts a level plane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import UP, Array, angle_between, face_frame, square_to
from earshed.model.room import Room


@dataclass(frozen=True)
class EllipseSection:
    """The ellipse in which a cone cuts a plane; metres, along the direction in which its axis leans.

    `center` and `axis_hit` are distances from the foot of the apex; the axis does not hit the center.
    """

    semi_major: float
    semi_minor: float
    center: float
    axis_hit: float


def ellipse_section(*, height: float, tilt: float, half_angle: float) -> EllipseSection:
    """Section of a cone of `half_angle` whose apex is `height` above a plane and whose axis is `tilt` from its normal.

    Radians, tilt + half_angle < pi/2, else the section is open: raises ValueError.
    Plane section of a right circular cone: K = cos 2 tilt + cos 2 half_angle, A = h sin 2 half_angle / K,
    center = h sin 2 tilt / K (solid analytic geometry; derived in the tests by tracing the cone's edge).
    """
    if tilt + half_angle >= np.pi / 2:
        raise ValueError("the cone does not close on the plane")
    k = np.cos(2 * tilt) + np.cos(2 * half_angle)
    return EllipseSection(
        semi_major=float(height * np.sin(2 * half_angle) / k),
        semi_minor=float(height * np.sin(half_angle) / np.sqrt(np.cos(half_angle) ** 2 - np.sin(tilt) ** 2)),
        center=float(height * np.sin(2 * tilt) / k),
        axis_hit=float(height * np.tan(tilt)),
    )


def cone_directions(axis: Array, half_angle: float, around: Array) -> Array:
    """Unit vectors (N, 3) at `half_angle` from the unit `axis` (3,), turned about it by `around` (N,) radians.

    Turn 0 leans level; a quarter turn leans as far up as it can.
    """
    level, upslope = face_frame(axis)
    turn = np.asarray(around)[:, None]
    lean = np.cos(turn) * level + np.sin(turn) * upslope
    edge: Array = np.cos(half_angle) * axis + np.sin(half_angle) * lean
    return edge


def footprint(room: Room, position: Array, axis: Array, half_angle: float, height: float) -> BaseGeometry:
    """Plan area in which the listening plane, `height` above where one stands, lies within `half_angle` of an axis."""
    return shapely.union_all([area for _, area in footprints(room, position, axis, half_angle, height)])


def footprints(
    room: Room, position: Array, axis: Array, half_angle: float, height: float
) -> list[tuple[float, BaseGeometry]]:
    """The footprint in its levels: heights above the room's floor, each with its plan area.

    Each is the section of the cone at that height, clipped to where one stands so high: the floor, or a riser.
    """
    taken: BaseGeometry = shapely.Polygon()
    stands = []
    for riser in sorted(room.risers, key=lambda riser: -float(riser.upper[2])):
        stands.append((float(riser.upper[2]), riser.footprint.intersection(room.plan.polygon).difference(taken)))
        taken = taken.union(riser.footprint)
    stands.append((0.0, room.plan.polygon.difference(taken)))
    reach = 20 * float(np.hypot(*np.ptp(room.plan.bounds, axis=0)) + room.shell.vertices[:, 2].max())
    return [
        (stand + height, area.intersection(_section(position, axis, half_angle, stand + height, reach)))
        for stand, area in stands
    ]


def limit_lines(room: Room, position: Array, axis: Array, half_angle: float, height: float) -> list[Array]:
    """The lines (N, 3) in which a cone cuts the listening plane, which is higher over risers.

    They end at walls and at the edges of risers, which bound a footprint as well but are no limit.
    """
    lines: list[Array] = []
    for level, area in footprints(room, position, axis, half_angle, height):
        for part in shapely.get_parts(area):
            rings = (part.exterior, *part.interiors) if isinstance(part, shapely.Polygon) and not part.is_empty else ()
            for ring in rings:
                lines += _runs_at(shapely.get_coordinates(ring), level, position, axis, half_angle)
    return lines


SAME_LIMIT = 1e-3
"""Radians by which the middle of a chord of a section may be off its cone."""


def _runs_at(ring: Array, level: float, position: Array, axis: Array, half_angle: float) -> list[Array]:
    """The parts (N, 3) of a closed ring (M, 2) at a height that lie at an angle off an axis."""
    points = np.column_stack([ring, np.full(len(ring), level)])
    middles = (points[1:] + points[:-1]) / 2
    on = np.abs(angle_between(axis, middles - position) - half_angle) < SAME_LIMIT
    if on.all():
        return [points]
    start = int(np.argmin(on))
    points, on = np.concatenate([points[start:-1], points[: start + 1]]), np.roll(on, -start)
    turns = np.flatnonzero(np.diff(on.astype(np.int8), prepend=0, append=0))
    return [points[first : last + 1] for first, last in turns.reshape(-1, 2)]


HALF_SPACE = 5e-6
"""Radians off a right angle within which a cone counts as a half space."""
LEAST_DROP = 1e-6
"""Metres: the plane's least distance from the apex. On the level of the apex itself the section is a wedge."""
FAR = 1e6
"""How many reaches away the edge of an open section is followed, so that its chord stays clear of the room."""


def _section(apex: Array, axis: Array, half_angle: float, level: float, reach: float) -> BaseGeometry:
    """The part of the plane at height `level` within `half_angle` of the axis, out to about `reach` from the apex."""
    everywhere = shapely.box(*(apex[:2] - reach), *(apex[:2] + reach))
    if half_angle > np.pi / 2 + HALF_SPACE:  # what is left out is the cone round the opposite direction
        return everywhere.difference(_section(apex, -axis, np.pi - half_angle, level, reach))
    drop = float(level - apex[2])
    if abs(drop) < LEAST_DROP:
        drop = LEAST_DROP
    if half_angle > np.pi / 2 - HALF_SPACE:
        return _half_plane(apex[:2], axis, drop, reach).intersection(everywhere)
    turns = _turns_that_land(axis, half_angle, drop, FAR * reach)
    if turns is None:
        return everywhere
    if len(turns) < 3:
        return shapely.Polygon()
    edge = cone_directions(axis, half_angle, turns)
    landing = apex[:2] + edge[:, :2] * (drop / edge[:, 2:])
    return shapely.MultiPoint(landing).convex_hull.intersection(everywhere)


def _half_plane(foot: Array, axis: Array, drop: float, reach: float) -> BaseGeometry:
    """Where a plane `drop` from the apex lies ahead of the baffle, out to about `reach` from its foot (2,)."""
    lean = float(np.hypot(axis[0], axis[1]))
    beyond = axis[2] * drop  # p . (axis_x, axis_y) + beyond >= 0, p from the foot
    if abs(beyond) >= 2 * lean * reach:
        return shapely.box(*(foot - reach), *(foot + reach)) if beyond > 0 else shapely.Polygon()
    ahead = axis[:2] / lean
    aside = np.array([-ahead[1], ahead[0]])
    edge = foot - ahead * (beyond / lean)
    wide = 4 * reach
    return shapely.Polygon(
        [edge - wide * aside, edge + wide * aside, edge + wide * (aside + ahead), edge + wide * (ahead - aside)]
    )


def _turns_that_land(axis: Array, half_angle: float, drop: float, far: float) -> Array | None:
    """Turns about the axis, in steps of half a degree or less, whose edge meets a plane `drop` away within 2 far.

    The edge's rise is cos(half) axis_z + sin(half) s sin(turn), s being how far the axis is from upright, so the
    turns that land form one arc, and its ends are known. None where the edge lands beyond that all round.
    """
    upright = square_to(UP, axis)
    swing = np.sin(half_angle) * (float(np.hypot(axis[0], axis[1])) if upright is not None else 0.0)
    towards = np.sign(drop)
    level = towards * np.cos(half_angle) * axis[2]
    least = abs(drop) / (2 * far)  # rise per unit of length
    if level - swing >= least:
        return np.linspace(-np.pi, np.pi, 720, endpoint=False)
    if level + swing <= least:
        return None if level >= swing and level > 0 else np.zeros(0)
    half_arc = np.arccos(np.clip((least - level) / swing, -1.0, 1.0))
    turns: Array = towards * np.pi / 2 + np.linspace(-half_arc, half_arc, 720)
    return turns
