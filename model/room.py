"""The room: the shell of floor, walls and ceiling, what fills part of it, and the air that is left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.ceiling import Ceiling, ceiling_height, plane_over
from earshed.model.geometry import HAIR, TOUCHING, UP, Array, frozen
from earshed.model.plan import Plan
from earshed.model.solid import Mesh, Solid, common, join, mesh_of, prism, take_out
from earshed.model.surface import Finish, Kind, Surface
from earshed.model.zone import Zone, lay_zones

ON_FACE = 1e-5
"""Metres within which a corner of the solid counts as lying on the plane it was cut by."""

SHORTEST = 1e-3
"""Metres under which a crease is what is left of two faces that meet in a point."""

SkinKind = Literal["floor", "wall", "ceiling", "deck", "side", "soffit", "riser"]


@dataclass(frozen=True, eq=False)
class _Source:
    """What cuts faces of the shell: a plane through `origin`, `normal` into the room, on an edge or in an area."""

    name: str
    kind: Kind
    origin: Array
    normal: Array
    edge: Array | None = None
    area: BaseGeometry | None = None
    finish: Finish = "board"

    def holds(self, corners: Array) -> NDArray[np.bool_]:
        """Which triangles (T, 3, 3) lie on it, turned the same way; on an edge, those that reach into its span."""
        facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ self.normal < 0
        mine: NDArray[np.bool_] = facing & np.all(np.abs((corners - self.origin) @ self.normal) < ON_FACE, axis=1)
        if self.edge is not None:
            run = self.edge[1] - self.edge[0]
            along = (corners[:, :, :2] - self.edge[0]) @ run
            mine &= (along.max(axis=1) > 0) & (along.min(axis=1) < run @ run)
        if self.area is not None:
            middle = corners.mean(axis=1)
            mine &= shapely.intersects_xy(self.area, middle[:, 0], middle[:, 1])
        return mine


@dataclass(frozen=True, eq=False)
class Lining:
    """A named part of what lines a room: triangles (T, 3, 3), turned out of the air."""

    name: str
    kind: SkinKind
    triangles: Array


@dataclass(frozen=True, eq=False)
class Room:
    """A plan under a ceiling, with zones that have a ceiling of their own, and the boxes and risers in it.

    Raises ValueError for a ceiling that comes down to the floor inside the room, and for zones that overlap or leave
    the plan.
    """

    plan: Plan
    ceiling: Ceiling
    boxes: tuple[Block, ...] = ()
    risers: tuple[Block, ...] = ()
    own_ceilings: tuple[Zone, ...] = ()
    finish: Finish = "board"
    """Of the room's own ceiling."""

    def __post_init__(self) -> None:
        for zone in self.zones:
            corners = shapely.get_coordinates(zone.outline)
            heights = ceiling_height(zone.planes, corners)
            if heights.min() < -TOUCHING:
                low = corners[int(heights.argmin())]
                nearest = int(np.hypot(*(self.plan.corners - low).T).argmin()) + 1
                raise ValueError(
                    f"the ceiling falls below the floor {zone.place or f'at corner {nearest} of the plan'}"
                )
        if not len(self.shell.vertices) or self.shell.vertices[:, 2].max() <= TOUCHING:
            raise ValueError("the ceiling leaves no height under it")

    @cached_property
    def zones(self) -> tuple[Zone, ...]:
        """The whole plan in parts, each under one ceiling."""
        return lay_zones(self.plan.polygon, self.ceiling, self.own_ceilings)

    # --- solids

    @cached_property
    def shell(self) -> Mesh:
        """The closed surface of floor, walls and ceiling."""
        return mesh_of(self.solid)

    @cached_property
    def solid(self) -> Solid:
        """What floor, walls and ceiling hold. Zones are grown by a hair to become one, and cut back to the plan."""
        if len(self.zones) == 1:
            return self.zones[0].solid()
        joined = join([zone.solid(grown=HAIR / 100) for zone in self.zones])
        top = float(mesh_of(joined).vertices[:, 2].max())
        return common(joined, prism(self.plan.polygon, bottom=-1.0, height=top + 2.0))

    @cached_property
    def air(self) -> Mesh:
        """The closed surface of the shell less boxes and risers."""
        return mesh_of(self.air_solid)

    @cached_property
    def air_solid(self) -> Solid:
        """The shell less boxes and risers."""
        return take_out(self.solid, [block.solid for block in (*self.boxes, *self.risers)])

    @property
    def volume(self) -> float:
        """Cubic metres of air."""
        return self.air.volume

    @property
    def floor_area(self) -> float:
        return float(self.plan.polygon.area)

    @property
    def ceiling_area(self) -> float:
        """Square metres of the shell's ceiling, taken along its slopes; upright sides between zones count."""
        return sum(surface.area for surface in self.surfaces if surface.kind in ("ceiling", "side"))

    # --- faces

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """Named faces of the shell: the floor, each wall, each plane of the ceiling that shows, sides between zones."""
        corners = self.shell.corners
        faces = (_joined(source, corners[mine]) for source, mine in self._sort(corners))
        return tuple(face for face in faces if face.area > TOUCHING)

    def face(self, name: str) -> Surface | None:
        """The face or soffit of that name, None where there is none that shows."""
        return next((surface for surface in (*self.surfaces, *self.soffits) if surface.name == name), None)

    def surface(self, name: str) -> Surface:
        """The face or soffit of that name. Raises KeyError."""
        found = self.face(name)
        if found is None:
            raise KeyError(name)
        return found

    @cached_property
    def creases(self) -> tuple[Array, ...]:
        """Plan lines (2, 2) along which two faces of the ceiling meet."""
        faces = [face for face in self.surfaces if face.kind == "ceiling"]
        lines = []
        for one, other in combinations(faces, 2):
            if one.continues(other):
                continue
            shared = one.plan_area.boundary.intersection(other.plan_area.buffer(ON_FACE))
            for part in shapely.get_parts(shared):
                ends = shapely.get_coordinates(part)
                lines += [frozen(step) for step in pairwise(ends) if np.linalg.norm(step[1] - step[0]) > SHORTEST]
        return tuple(lines)

    def board(self, face: Surface) -> BaseGeometry:
        """What can be cut as one with a face, in its coordinates: the face, and those that carry on in its plane."""
        more = [other for other in self.surfaces if other.name != face.name and face.continues(other)]
        if not more:
            return face.outline
        areas = [face.area_of(other) for other in more]
        return shapely.union_all([area.buffer(TOUCHING, join_style="mitre") for area in (face.outline, *areas)])

    @cached_property
    def soffits(self) -> tuple[Surface, ...]:
        """Undersides of the boxes that have room below them."""
        return tuple(box.underside for box in self.boxes if self._has_air_below(box))

    def _has_air_below(self, box: Block) -> bool:
        under = [block for block in (*self.boxes, *self.risers) if block.upper[2] <= box.lower[2] + TOUCHING]
        supports = [0.0, *(block.upper[2] for block in under if block.footprint.covers(box.footprint))]
        return bool(box.under.height(box.corners).max() > max(supports) + TOUCHING)

    def _sort(self, corners: Array) -> Iterator[tuple[_Source, NDArray[np.bool_]]]:
        """Each source with its triangles (T, 3, 3).

        Of two planes in one, the first has them; walls in one line share what spans both.
        """
        rest = np.ones(len(corners), dtype=bool)
        walls = np.zeros(len(corners), dtype=bool)
        for source in self._sources:
            mine = source.holds(corners) & rest
            if source.kind == "wall":
                walls |= mine
            else:
                rest &= ~(mine | walls)
                mine &= ~walls
            yield source, mine

    @cached_property
    def _sources(self) -> list[_Source]:
        sources = [_Source("floor", "floor", np.zeros(3), UP)]
        for wall in self.plan.walls:
            edge = np.array([wall.start, wall.end])
            sources.append(
                _Source(wall.name, "wall", np.append(wall.start, 0.0), np.append(wall.inward, 0.0), edge=edge)
            )
        for zone in self.zones:
            for plane in zone.planes:
                origin = np.array([0.0, 0.0, plane.at_origin])
                name, finish = zone.face_name(plane.name), zone.finish if zone.name else self.finish
                sources.append(_Source(name, "ceiling", origin, plane.normal, area=zone.outline, finish=finish))
        for zone in self.own_ceilings:
            for number, edge in enumerate(zone.edges, start=1):
                run = edge[1] - edge[0]
                aside = np.array([-run[1], run[0], 0.0]) / np.linalg.norm(run)
                for facing, turned in (("inner", aside), ("outer", -aside)):
                    name = f"{facing} side {number} of {zone.name}"
                    sources.append(_Source(name, "side", np.append(edge[0], 0.0), turned, edge=edge))
        return sources

    @cached_property
    def lining(self) -> tuple[Lining, ...]:
        """What lines the room: its faces, soffits and risers, as far as one sees them from the air.

        Beams, and boxes that stand on the floor, are left out. Walls in one line share a triangle that spans both; it
        goes to the first of them.
        """
        hanging = [box for box in self.boxes if box not in self.bodies]
        solid = take_out(self.solid, [block.solid for block in (*hanging, *self.risers)])
        corners = mesh_of(solid).corners
        parts = []
        rest = np.ones(len(corners), dtype=bool)
        for source, mine in self._sort(corners):
            shown: SkinKind = "deck" if source.finish == "deck" else source.kind
            parts.append(Lining(source.name, shown, corners[mine & rest]))
            rest &= ~mine
        middles = corners.mean(axis=1)
        lined: list[tuple[SkinKind, Block]] = [("riser", riser) for riser in self.risers]
        lined += [("soffit", box) for box in hanging]
        for kind, block in lined:
            mine = rest & block.near(middles, ON_FACE)
            parts.append(Lining(block.name, kind, corners[mine]))
            rest &= ~mine
        return tuple(part for part in parts if len(part.triangles))

    @cached_property
    def skin(self) -> dict[SkinKind, Array]:
        """Triangles (T, 3, 3) that line the room, by what they are part of, turned out of the air."""
        kinds = dict.fromkeys(part.kind for part in self.lining)
        return {kind: np.concatenate([part.triangles for part in self.lining if part.kind == kind]) for kind in kinds}

    @cached_property
    def bodies(self) -> tuple[Block, ...]:
        """What one sees as a thing in the room and not as its lining: beams, and boxes with no room below them."""
        return tuple(box for box in self.boxes if box.kind == "beam" or not self._has_air_below(box))

    def shown_of(self, block: Block) -> Array:
        """Triangles (T, 3, 3) of the part of a block that stands in the shell."""
        return mesh_of(common(block.solid, self.solid)).corners

    # --- heights and places

    def ceiling_over(self, xy: ArrayLike) -> Array:
        """Height (...) of the shell's ceiling over plan points (..., 2), boxes left out; on an edge the lower one.

        Beyond the walls the room's own ceiling is carried on.
        """
        xy = np.asarray(xy, dtype=np.float64)
        own = ceiling_height(self.ceiling, xy)
        if not self.own_ceilings:
            return own
        height = np.full(own.shape, np.inf)
        for zone in self.zones:
            inside = shapely.intersects_xy(zone.outline, xy[..., 0], xy[..., 1])
            height = np.where(inside, np.minimum(height, ceiling_height(zone.planes, xy)), height)
        return np.where(np.isfinite(height), height, own)

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
        over = [
            box for box in self.boxes if box.over(xy) and self._has_air_below(box) and box.under.height(xy) < ceiling_z
        ]
        if over:
            lowest = min(over, key=lambda box: float(box.under.height(xy)))
            return np.append(xy, lowest.under.height(xy)), lowest.underside
        shown = {surface.name for surface in self.surfaces}
        over_it = [zone for zone in self.zones if shapely.intersects_xy(zone.outline, *xy)] or [self.zones[0]]
        zone = min(over_it, key=lambda zone: float(ceiling_height(zone.planes, xy)))
        planes = tuple(plane for plane in zone.planes if zone.face_name(plane.name) in shown)
        plane = plane_over(planes, xy)
        return np.append(xy, plane.height(xy)), self.surface(zone.face_name(plane.name))

    def holds(self, points: ArrayLike) -> NDArray[np.bool_]:
        """Whether points (..., 3) lie in the room's air or on its faces."""
        points = np.asarray(points, dtype=np.float64)
        xy, z = points[..., :2], points[..., 2]
        inside = self.plan.contains(xy) & (z >= -TOUCHING) & (z <= self.ceiling_over(xy) + TOUCHING)
        for block in (*self.boxes, *self.risers):
            inside &= ~block.holds(points)
        return inside


def _joined(source: _Source, triangles: Array) -> Surface:
    """The face that some triangles (T, 3, 3) of one source make, no longer than its edge."""
    blank = Surface(source.name, source.kind, frozen(source.origin), frozen(source.normal), shapely.Polygon())
    whole = shapely.union_all(shapely.polygons(blank.to_face(triangles)))
    if source.edge is not None:
        ends = blank.to_face(np.column_stack([source.edge, np.zeros(2)]))[:, 0]
        low, high = whole.bounds[1] - 1, whole.bounds[3] + 1
        whole = whole.intersection(shapely.box(ends.min(), low, ends.max(), high)) if len(triangles) else whole
    outline = whole.simplify(TOUCHING / 10)
    return Surface(source.name, source.kind, blank.origin, blank.normal, outline, source.finish)
