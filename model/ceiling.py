"""Ceiling shapes as planes over the plan. Where several planes pass over a point, the lowest is the ceiling.

To add a shape, write one function that returns its planes, and give it an entry in the scene file's schema.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array, unit

Side = Literal["left", "right", "front", "rear"]
RidgeRun = Literal["front-to-back", "side-to-side"]

SAME_HEIGHT = 1e-9
"""Metres within which two planes count as meeting at a point."""


@dataclass(frozen=True)
class CeilingPlane:
    """z = rise_right * x + rise_front * y + at_origin, metres; the rises are slopes (metres per metre)."""

    name: str
    rise_right: float
    rise_front: float
    at_origin: float

    def height(self, xy: ArrayLike) -> Array:
        """Height (...) over plan points (..., 2)."""
        xy = np.asarray(xy, dtype=np.float64)
        return self.rise_right * xy[..., 0] + self.rise_front * xy[..., 1] + self.at_origin

    @property
    def normal(self) -> Array:
        """Unit normal (3,) into the room."""
        return unit([self.rise_right, self.rise_front, -1.0])

    @property
    def slope(self) -> float:
        """Angle from level, radians."""
        return float(np.arctan(np.hypot(self.rise_right, self.rise_front)))


Ceiling = tuple[CeilingPlane, ...]


def ceiling_height(ceiling: Ceiling, xy: ArrayLike) -> Array:
    """Height (...) of the ceiling over plan points (..., 2)."""
    lowest: Array = np.min([plane.height(xy) for plane in ceiling], axis=0)
    return lowest


def plane_over(ceiling: Ceiling, xy: Array) -> CeilingPlane:
    """The plane that is the ceiling over one plan point (2,); on a crease the one on the left, else the front.

    Just left of a crease the lowest plane is the one that rises most steeply to the right, and just in front of
    it the one that rises least to the front.
    """
    heights = np.array([float(plane.height(xy)) for plane in ceiling])
    meeting = [plane for plane, height in zip(ceiling, heights, strict=True) if height <= heights.min() + SAME_HEIGHT]
    return min(meeting, key=lambda plane: (-plane.rise_right, plane.rise_front))


def flat(height: float) -> Ceiling:
    """A level ceiling at `height` metres."""
    return (CeilingPlane("ceiling", 0.0, 0.0, height),)


def shed(*, width: float, length: float, low: float, high: float, rises: Side) -> Ceiling:
    """One slope over a plan of width x length, `high` on the side it rises to. Raises ValueError if not high > low."""
    if not high > low:
        raise ValueError("the high side must be higher than the low side")
    run: RidgeRun = "front-to-back" if rises in ("left", "right") else "side-to-side"
    span = width if run == "front-to-back" else length
    near, far = (low, high) if rises in ("right", "rear") else (high, low)
    return (_slope("slope", run, 0.0, near, span, far),)


def gable(
    *,
    width: float,
    length: float,
    ridge: RidgeRun,
    low: float,
    peak: float,
    ridge_at: float | None,
    far_low: float | None,
) -> Ceiling:
    """Two slopes that meet in a ridge.

    `ridge_at` is the ridge's distance from the left (ridge front-to-back) or from the front (side-to-side), default
    the middle; `low` is the wall height on that side, `far_low` (default the same) opposite. Metres.

    Raises ValueError for a ridge outside the room, or a peak not above both walls.
    """
    span = width if ridge == "front-to-back" else length
    at = span / 2 if ridge_at is None else ridge_at
    far = low if far_low is None else far_low
    if not 0 < at < span:
        raise ValueError("ridge_at must lie inside the room, off both walls")
    if not peak > max(low, far):
        raise ValueError("the peak must be higher than the walls")
    near_side, far_side = ("left", "right") if ridge == "front-to-back" else ("front", "rear")
    return (
        _slope(f"{near_side} slope", ridge, 0.0, low, at, peak),
        _slope(f"{far_side} slope", ridge, at, peak, span, far),
    )


def hip(*, width: float, length: float, low: float, peak: float) -> Ceiling:
    """Four slopes of equal pitch from walls of one height to a ridge, or to a point over a square.

    Raises ValueError if not peak > low.
    """
    if not peak > low:
        raise ValueError("the peak must be higher than the walls")
    run = min(width, length) / 2
    return (
        _slope("left slope", "front-to-back", 0.0, low, run, peak),
        _slope("right slope", "front-to-back", width - run, peak, width, low),
        _slope("front slope", "side-to-side", 0.0, low, run, peak),
        _slope("rear slope", "side-to-side", length - run, peak, length, low),
    )


def flat_top(ceiling: Ceiling, height: float) -> Ceiling:
    """A ceiling cut off level at `height` metres, as by collar ties."""
    return (*ceiling, CeilingPlane("flat top", 0.0, 0.0, height))


def moved(ceiling: Ceiling, *, right: float, back: float) -> Ceiling:
    """The same ceiling over a plan that begins `right` and `back` of where it did, metres."""
    return tuple(
        CeilingPlane(p.name, p.rise_right, p.rise_front, p.at_origin - p.rise_right * right + p.rise_front * back)
        for p in ceiling
    )


def lifted(ceiling: Ceiling, by: float) -> Ceiling:
    """The same ceiling `by` metres higher."""
    return tuple(CeilingPlane(p.name, p.rise_right, p.rise_front, p.at_origin + by) for p in ceiling)


def planes(points: ArrayLike) -> Ceiling:
    """Planes through three points each, (P, 3, 3), metres. Raises ValueError for points in line or a plane on edge."""
    ceiling = []
    for number, (first, second, third) in enumerate(np.asarray(points, dtype=np.float64), start=1):
        normal = np.cross(second - first, third - first)
        size = float(np.linalg.norm(second - first) * np.linalg.norm(third - first))
        if np.linalg.norm(normal) <= 1e-6 * size:
            raise ValueError(f"the three points of plane {number} lie in one line")
        if abs(normal[2]) <= 1e-3 * float(np.linalg.norm(normal)):
            raise ValueError(f"plane {number} stands on edge, so it is no ceiling")
        rise_right, rise_front = -normal[0] / normal[2], -normal[1] / normal[2]
        at_origin = first[2] - rise_right * first[0] - rise_front * first[1]
        ceiling.append(CeilingPlane(f"ceiling plane {number}", float(rise_right), float(rise_front), float(at_origin)))
    return tuple(ceiling)


def _slope(
    name: str, level: RidgeRun, start: float, start_height: float, end: float, end_height: float
) -> CeilingPlane:
    """The plane level along `level`, through two heights at two distances from the left or from the front."""
    rise = (end_height - start_height) / (end - start)
    at_origin = start_height - rise * start
    if level == "front-to-back":
        return CeilingPlane(name, rise, 0.0, at_origin)
    return CeilingPlane(name, 0.0, -rise, at_origin)
