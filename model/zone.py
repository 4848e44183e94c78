"""Zones: parts of the plan that have a ceiling of their own, such as a dormer, a tray or a bay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.ceiling import Ceiling
from earshed.model.geometry import TOUCHING, Array
from earshed.model.solid import Solid, cut, prism
from earshed.model.surface import Finish

LEAST_AREA = 1e-4
"""Square metres that two areas may share through rounding."""


@dataclass(frozen=True, eq=False)
class Zone:
    """A plan area under one ceiling; the name is empty for what is left of the room's own ceiling."""

    name: str
    outline: BaseGeometry
    planes: Ceiling
    finish: Finish = "board"

    def face_name(self, plane_name: str) -> str:
        """What a plane of its ceiling is called in the room."""
        if not self.name:
            return plane_name
        return self.name if len(self.planes) == 1 else f"{self.name} {plane_name}"

    @property
    def place(self) -> str:
        """Where it is, in words; empty for the room's own ceiling."""
        return f"in {self.name}" if self.name else ""

    def solid(self, grown: float = 0.0) -> Solid:
        """The air under its ceiling, down to the floor, `grown` metres past its outline to meet its neighbors."""
        corners = shapely.get_coordinates(self.outline)
        highest = max(float(plane.height(corners).max()) for plane in self.planes)
        solid = prism(self.outline.buffer(grown, join_style="mitre"), bottom=0.0, height=highest + 1.0)
        for plane in self.planes:
            solid = cut(solid, point=(0.0, 0.0, plane.at_origin), keep=plane.normal)
        return solid

    @property
    def edges(self) -> Array:
        """Plan lines (E, 2, 2) of its outline."""
        rings = [ring for part in shapely.get_parts(self.outline) for ring in (part.exterior, *part.interiors)]
        lines = [np.stack([np.array(ring.coords)[:-1], np.array(ring.coords)[1:]], axis=1) for ring in rings]
        return np.concatenate(lines) if lines else np.zeros((0, 2, 2))


def lay_zones(plan: shapely.Polygon, ceiling: Ceiling, zones: Sequence[Zone]) -> tuple[Zone, ...]:
    """The whole plan in zones that do not overlap: what the room's own ceiling keeps, if anything, then the others.

    Raises ValueError for zones that overlap, or that leave the plan.
    """
    for zone in zones:
        if zone.outline.difference(plan).area > LEAST_AREA:
            raise ValueError(
                f"{zone.name} reaches beyond the walls; for a dormer, a bay or an alcove that does, say projects: true"
            )
    for one, other in combinations(zones, 2):
        if one.outline.intersection(other.outline).area > LEAST_AREA:
            raise ValueError(f"{one.name} and {other.name} overlap")
    left = plan.difference(shapely.union_all([zone.outline for zone in zones])) if zones else plan
    own = [Zone("", left, ceiling)] if left.area > TOUCHING else []
    return (*own, *zones)
