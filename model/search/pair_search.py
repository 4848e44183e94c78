"""Searches for two partners together: each place with its mirror image, of one type."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.search.ask import STEP, Ask, Mirror
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots, joined, judge, no_spots
from earshed.model.surface import Surface

ON_WALL = 0.02
"""Metres from a wall within which a mirror image still lies on it."""


@dataclass(frozen=True, eq=False)
class Twins:
    """N places for the first of two partners, those for the second, and how far (N,) metres each second one is from the
    mirror image of its first."""

    first: Spots
    second: Spots
    apart: Array

    @cached_property
    def both(self) -> Spots:
        """What each is worth together: the worse of the two."""
        one, other = self.first, self.second
        return replace(
            one,
            off=np.maximum(one.off, other.off),
            uneven=one.uneven | other.uneven,
            blocked=one.blocked + other.blocked,
            verdict=np.maximum(one.verdict, other.verdict),
            worst=np.maximum(one.worst, other.worst),
        )

    def take(self, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> Twins:
        return Twins(self.first.take(chosen), self.second.take(chosen), self.apart[chosen])


@dataclass(eq=False)
class PairSearch:
    """A search for two partners, whose asks offer the same types.

    The second may be `slack` metres off the mirror image of the first. That they match is so by that; how even they are
    heard where the seats or the ceiling are not is told of each place.
    """

    first: Ask
    second: Ask
    mirror: Mirror
    slack: float = 0.0
    step: float = STEP
    parts: list[Twins] = field(default_factory=list)

    @cached_property
    def searches(self) -> tuple[Search, Search]:
        """One for each of the two, its partner left aside."""
        one, other = (Search(replace(ask, partner=None), self.step) for ask in (self.first, self.second))
        return one, other

    @property
    def twins(self) -> Twins:
        """Everything that was found so far."""
        if not self.parts:
            return Twins(no_spots(), no_spots(), np.zeros(0))
        return Twins(
            joined([part.first for part in self.parts]),
            joined([part.second for part in self.parts]),
            np.concatenate([part.apart for part in self.parts]),
        )

    def run(self) -> Iterator[float]:
        """Searches on, and tells after each part what share is done, 0 to 1."""
        one, _ = self.searches
        seen = 0
        for share in one.run():
            for part in one.parts[seen:]:
                self.parts += self.twins_of(part)
            seen = len(one.parts)
            yield share

    def finish(self) -> Twins:
        for _ in self.run():
            pass
        return self.twins

    def twins_of(self, part: Spots) -> Iterator[Twins]:
        """The places of a part whose mirror images can be cut too, face by face of the other side."""
        images = self.mirror.image(part.points)
        for face in self.second.faces:
            points, apart = self._landed(images, part, face)
            mine = np.flatnonzero(apart <= self.slack + 1e-6)
            if len(mine):
                yield self._judged(part.take(mine), points[mine], face, apart[mine])

    def _landed(self, images: Array, part: Spots, face: Surface) -> tuple[Array, Array]:
        """The places (N, 3) on a face nearest to mirror images, and how far off (N,) they are; inf for none."""
        _, other = self.searches
        if face.kind == "wall":
            onto = images
            off_plane = np.abs((images - face.origin) @ face.normal)
        else:
            onto = face.over(images[:, :2])
            off_plane = np.zeros(len(images))
        places = face.to_face(onto)
        apart = np.full(len(images), np.inf)
        for offer in np.unique(part.offers):
            area = other.grounds.on(face, int(offer)).clear
            mine = np.flatnonzero((part.offers == offer) & (off_plane <= ON_WALL))
            if area.is_empty or len(mine) == 0:
                continue
            shapely.prepare(area)
            points = shapely.points(places[mine])
            distance = shapely.distance(area, points)
            apart[mine] = distance
            off = mine[(distance > 0) & (distance <= self.slack)]
            if len(off):
                lines = shapely.shortest_line(area, shapely.points(places[off]))
                places[off] = shapely.get_coordinates(shapely.get_point(lines, 0))
        return face.to_room(places), apart

    def _judged(self, first: Spots, points: Array, face: Surface, apart: Array) -> Twins:
        _, other = self.searches
        fits = first.offers[:, None] == np.arange(len(self.second.offers))
        order: list[Spots] = []
        for offer in np.unique(first.offers):
            mine = first.offers == offer
            order += judge(other.ask, other.listener, face, points[mine], fits[mine])
        keep = np.concatenate([np.flatnonzero(first.offers == offer) for offer in np.unique(first.offers)])
        first, second = first.take(keep), joined(order)
        twins = Twins(first, second, apart[keep])
        return twins.take(self._clear_of_each_other(twins))

    def _clear_of_each_other(self, twins: Twins) -> NDArray[np.bool_]:
        """Whether the rims of each pair keep their distance."""
        rims = np.array([offer.type.rim.widest for offer in self.first.offers])
        wanted = self.first.scene.clearances.of("speaker") + self.first.scene.clearances.tolerance
        apart = np.linalg.norm(twins.first.points - twins.second.points, axis=1)
        clear: NDArray[np.bool_] = apart >= rims[twins.first.offers] + wanted
        return clear


def image_area(search: PairSearch, face: Surface, offer: int) -> BaseGeometry:
    """Where on a face of the first partner, in its coordinates, the second can be cut at the mirror image.

    From one face to the image on another is an affine map, so that areas come over exactly.
    """
    areas = []
    for other in search.second.faces:
        area = search.searches[1].grounds.on(other, offer).clear
        images = search.mirror.image(face.to_room([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
        if other.kind != "wall":
            images = other.over(images[:, :2])
        elif np.abs((images - other.origin) @ other.normal).max() > ON_WALL:
            continue
        start, *ends = other.to_face(images)
        back = np.linalg.inv(np.array(ends) - start)
        areas.append(_mapped(area.buffer(search.slack) if search.slack else area, start, back))
    return shapely.union_all(areas)


def _mapped(area: BaseGeometry, start: Array, back: Array) -> BaseGeometry:
    return shapely.transform(area, lambda uv: (uv - start) @ back)
