"""Where two panels meet, and what a cable has to pass there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal

import numpy as np
import shapely

from earshed.model.geometry import Array
from earshed.model.surface import Surface
from earshed.model.wiring.panel import Panel

ON_PLANE = 1e-4
"""Metres within which an edge of one face lies in the plane of another."""
SHORTEST = 0.02
"""Metres under which a shared edge is too short to pass a cable."""

Crossed = Literal["top plate", "bottom plate", "corner", "crease", "edge"]


@dataclass(frozen=True, eq=False)
class Joint:
    """A straight edge (2, 3) that two panels share; `crossed` is what stands there, None where one carries on."""

    first: int
    second: int
    edge: Array
    crossed: Crossed | None


def joints_between(panels: Sequence[Panel]) -> tuple[Joint, ...]:
    """Every edge that two panels share, once."""
    return tuple(
        Joint(one, other, edge, _crossed(panels[one].face, panels[other].face))
        for one, other in combinations(range(len(panels)), 2)
        for edge in _shared(panels[one].face, panels[other].face)
    )


def _shared(one: Surface, other: Surface) -> Iterator[Array]:
    """Edges (2, 3) of either that lie on the other; those that both have come once."""
    seen: list[Array] = []
    for mine, its in ((one, other), (other, one)):
        for ring in mine.rings():
            for step in pairwise(ring):
                for edge in _on(np.array(step), its):
                    if not any(_same(edge, known) for known in seen):
                        seen.append(edge)
                        yield edge


def _on(step: Array, face: Surface) -> Iterator[Array]:
    """The parts (2, 3) of a straight edge (2, 3) that lie on a face."""
    if np.abs((step - face.origin) @ face.normal).max() > ON_PLANE:
        return
    common = shapely.LineString(face.to_face(step)).intersection(face.outline.buffer(ON_PLANE))
    for part in shapely.get_parts(common):
        if part.geom_type == "LineString" and part.length > SHORTEST:
            yield face.to_room(np.array(part.coords)[[0, -1]])


def _same(one: Array, other: Array) -> bool:
    straight, turned = np.abs(one - other).max(), np.abs(one - other[::-1]).max()
    return bool(min(straight, turned) < 10 * ON_PLANE)


def _crossed(one: Surface, other: Surface) -> Crossed | None:
    kinds = {one.kind, other.kind}
    if one.continues(other):
        return None
    if "floor" in kinds:
        return "bottom plate"
    if kinds & {"soffit", "side"}:
        return "edge"
    if kinds == {"wall"}:
        return "corner"
    if "wall" in kinds:
        return "top plate"
    return "crease"
