"""The room: the shell of floor, walls and ceiling, what fills part of it, and the air that is left."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.block import TOUCHING, Block
from earshed.model.ceiling import Ceiling, CeilingPlane, ceiling_height, plane_over
from earshed.model.geometry import UP, Array, frozen
from earshed.model.plan import Plan, Wall
from earshed.model.solid import TALL, Mesh, Solid, cut, mesh_of, prism, take_out
from earshed.model.surface import Kind, Surface

ON_FACE = 1e-5
"""Metres within which a corner of the solid counts as lying on the plane it was cut by."""

SkinKind = Literal["floor", "wall", "ceiling", "soffit", "riser"]
Source = tuple[str, Kind, Array, Array, Wall | None]
"""What a face of the shell was cut by: its name and kind, a point and the normal of its plane, its wall."""


@dataclass(frozen=True, eq=False)
class Room:
    """A plan under a ceiling, with the boxes and risers in it.

    Raises ValueError for a ceiling that comes down to the floor inside the room.
    """

    plan: Plan
    ceiling: Ceiling
    boxes: tuple[Block, ...] = ()
    risers: tuple[Block, ...] = ()

    def __post_init__(self) -> None:
        heights = ceiling_height(self.ceiling, self.plan.corners)
        if heights.min() < 0:
            raise ValueError(f"the ceiling falls below the floor at corner {int(heights.argmin()) + 1} of the plan")
        if heights.max() <= TOUCHING:
            raise ValueError("the ceiling leaves no height under it")

    # --- solids

    @cached_property
    def shell(self) -> Mesh:
        """The closed surface of floor, walls and ceiling."""
        return mesh_of(self._shell_solid)

    @cached_property
    def _shell_solid(self) -> Solid:
        solid = prism(self.plan.corners, bottom=0.0, height=TALL)
        for plane in self.ceiling:
            solid = cut(solid, point=(0.0, 0.0, plane.at_origin), keep=plane.normal)
        return solid

    @cached_property
    def air(self) -> Mesh:
        """The closed surface of the shell less boxes and risers."""
        return mesh_of(take_out(self._shell_solid, [block.solid for block in (*self.boxes, *self.risers)]))

    @property
    def volume(self) -> float:
        """Cubic metres of air."""
        return self.air.volume

    @property
    def floor_area(self) -> float:
        return float(self.plan.polygon.area)

    @property
    def ceiling_area(self) -> float:
        """Square metres of the shell's ceiling, taken along its slopes."""
        return sum(surface.area for surface in self.surfaces if surface.kind == "ceiling")

    # --- faces

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """Named faces of the shell: the floor, each wall, each plane of the ceiling that shows."""
        return tuple(face for face in map(self._gather, self._sources()) if face is not None)

    def surface(self, name: str) -> Surface:
        """The face or soffit of that name. Raises KeyError."""
        for surface in (*self.surfaces, *self.soffits):
            if surface.name == name:
                return surface
        raise KeyError(name)

    @cached_property
    def soffits(self) -> tuple[Surface, ...]:
        """Undersides of the boxes that have room below them."""
        return tuple(box.underside for box in self.boxes if self._has_air_below(box))

    def _has_air_below(self, box: Block) -> bool:
        supports = [0.0, *(riser.upper[2] for riser in self.risers if riser.footprint.covers(box.footprint))]
        return bool(box.lower[2] > max(supports) + TOUCHING)

    def _sources(self) -> list[Source]:
        floor = ("floor", "floor", np.zeros(3), UP, None)
        walls = [(w.name, "wall", np.append(w.start, 0.0), np.append(w.inward, 0.0), w) for w in self.plan.walls]
        planes = [(p.name, "ceiling", np.array([0.0, 0.0, p.at_origin]), p.normal, None) for p in self.ceiling]
        return [floor, *walls, *planes]  # type: ignore[list-item]

    def _gather(self, source: Source) -> Surface | None:
        """The shell's triangles on one source, joined to a face; None where it does not show."""
        name, kind, origin, normal, _ = source
        corners = self.shell.corners
        mine = _on_source(corners, source)
        if not mine.any():
            return None
        blank = Surface(name, kind, frozen(origin), frozen(normal), shapely.Polygon())
        triangles = shapely.polygons(blank.to_face(corners[mine]))
        whole = shapely.coverage_union_all(shapely.orient_polygons(triangles))
        return Surface(name, kind, blank.origin, blank.normal, whole.simplify(TOUCHING / 10))

    @cached_property
    def skin(self) -> dict[SkinKind, Array]:
        """Triangles (T, 3, 3) that line the room, by what they are part of, turned out of the air.

        Soffits and risers are part of the lining; boxes that stand on the floor are left out, as furniture is.
        """
        hanging = [box for box in self.boxes if self._has_air_below(box)]
        lining = take_out(self._shell_solid, [block.solid for block in (*hanging, *self.risers)])
        corners = mesh_of(lining).corners
        parts: dict[SkinKind, NDArray[np.bool_]] = {}
        rest = np.ones(len(corners), dtype=bool)
        for source in self._sources():
            mine = _on_source(corners, source) & rest
            parts[source[1]] = parts.get(source[1], np.zeros_like(rest)) | mine
            rest &= ~mine
        middles = corners.mean(axis=1)
        on_riser = np.zeros_like(rest)
        for riser in self.risers:
            within = (middles >= riser.lower - ON_FACE) & (middles <= riser.upper + ON_FACE)
            on_riser |= rest & np.all(within, axis=1)
        parts |= {"riser": on_riser, "soffit": rest & ~on_riser}
        return {kind: corners[mask] for kind, mask in parts.items() if mask.any()}

    @cached_property
    def standing(self) -> tuple[Block, ...]:
        """Boxes with no room below them."""
        return tuple(box for box in self.boxes if not self._has_air_below(box))

    # --- heights and places

    def ceiling_over(self, xy: ArrayLike) -> Array:
        """Height (...) of the shell's ceiling over plan points (..., 2), boxes left out."""
        return ceiling_height(self.ceiling, xy)

    def floor_under(self, xy: ArrayLike) -> Array:
        """Height (...) of what one stands on at plan points (..., 2): the floor, or the highest riser there."""
        xy = np.asarray(xy, dtype=np.float64)
        heights = [np.where(riser.over(xy), riser.upper[2], 0.0) for riser in self.risers]
        floor: Array = np.max(heights, axis=0) if heights else np.zeros(xy.shape[:-1])
        return floor

    def overhead(self, xy: Array) -> tuple[Array, Surface]:
        """Where an in-ceiling thing at one plan point (2,) sits, as its place (3,) and the face it is cut in.

        That is the lowest face that looks down over the point, a soffit included. Beyond the walls the ceiling's
        planes are carried on, so that a place outside the room still has a height to report.
        """
        ceiling_z = float(self.ceiling_over(xy))
        over = [box for box in self.boxes if box.over(xy) and self._has_air_below(box) and box.lower[2] < ceiling_z]
        if over:
            lowest = min(over, key=lambda box: float(box.lower[2]))
            return np.append(xy, lowest.lower[2]), self.surface(lowest.name)
        shown = {surface.name for surface in self.surfaces}
        plane: CeilingPlane = plane_over(tuple(p for p in self.ceiling if p.name in shown), xy)
        return np.append(xy, plane.height(xy)), self.surface(plane.name)

    def holds(self, points: ArrayLike) -> NDArray[np.bool_]:
        """Whether points (..., 3) lie in the room's air or on its faces."""
        points = np.asarray(points, dtype=np.float64)
        xy, z = points[..., :2], points[..., 2]
        inside = self.plan.contains(xy) & (z >= -TOUCHING) & (z <= self.ceiling_over(xy) + TOUCHING)
        for block in (*self.boxes, *self.risers):
            inside &= ~block.holds(points)
        return inside


def _on_source(corners: Array, source: Source) -> NDArray[np.bool_]:
    """Which triangles (T, 3, 3) lie on a source's plane, turned the same way, and for a wall on its own edge."""
    _, _, origin, normal, wall = source
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ normal < 0
    mine: NDArray[np.bool_] = facing & np.all(np.abs((corners - origin) @ normal) < ON_FACE, axis=1)
    if wall is not None:
        along = (corners.mean(axis=1)[:, :2] - wall.start) @ wall.along
        mine &= (along > 0) & (along < wall.length)
    return mine
