"""Searches for two partners together: each place with its mirror image, of one type."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.clearance import beyond
from earshed.model.geometry import TOUCHING, Array
from earshed.model.search.ask import STEP, Ask, Mirror
from earshed.model.search.asking import nominal_side
from earshed.model.search.search import MOST_PLACES, Search
from earshed.model.search.spots import SAME_PLACE, Spots, best_each, joined, judge, no_spots
from earshed.model.search.twins import Missed, Twins
from earshed.model.surface import Surface
from earshed.model.window import even

ON_WALL = 0.02
"""Metres from a wall within which a mirror image still lies on it."""


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
    tried: int = 0
    most: int = MOST_PLACES
    missed: Missed = field(default_factory=lambda: Missed(0, 0, np.inf))

    @cached_property
    def searches(self) -> tuple[Search, Search]:
        """One for each of the two, its partner left aside."""
        one, other = (
            Search(replace(ask, partner=None), self.step, most=self.most) for ask in (self.first, self.second)
        )
        return one, other

    @cached_property
    def _turned(self) -> PairSearch:
        """The same from the second's places, so that neither side is preferred where images may be off."""
        return PairSearch(self.second, self.first, self.mirror, self.slack, self.step, most=self.most)

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
        for twins in self._in_holes():
            self._keep(twins, len(twins.both))
        for share, part, _ in self.searches[0].judged():
            for twins in self.twins_of(self.own_side(part)):
                self._keep(_best_types(twins), len(twins.both))
            self._count_missed(part)
            yield share / 2 if self.slack else share
        if self.slack:
            for share, part, _ in self.searches[1].judged():
                for twins in self._turned.twins_of(self._turned.own_side(part)):
                    self._keep(_best_types(twins).turned, len(twins.both))
                yield 0.5 + share / 2

    def finish(self) -> Twins:
        for _ in self.run():
            pass
        return self.twins

    def within(self) -> Spots:
        """What the two are worth together where both are heard from where their channels belong."""
        found = [twins.both for twins in self._in_holes()]
        for part, _ in self.searches[0].within_each():
            found += [_best_types(twins).both for twins in self.twins_of(self.own_side(part))]
        for part, _ in self.searches[1].within_each() if self.slack else ():
            mine = self._turned.own_side(part)
            found += [_best_types(twins).turned.both for twins in self._turned.twins_of(mine)]
        both = joined(found)
        return both.take(both.off == 0.0)

    def _keep(self, twins: Twins, tried: int) -> None:
        self.tried += tried
        self.parts.append(twins)

    def _count_missed(self, part: Spots) -> None:
        """Takes note of how many places the first has by itself, and how far out of the room their images are."""
        images = self.mirror.image(part.points)[:, :2]
        out = np.atleast_1d(shapely.distance(self.first.scene.room.plan.polygon, shapely.points(images)))
        missed = self.missed
        self.missed = Missed(
            missed.places + len(out),
            missed.outside + int(np.sum(out > ON_WALL)),
            min(missed.least, float(out.min(initial=np.inf))),
        )

    def _in_holes(self) -> Iterator[Twins]:
        """Two holes that are there already, with one type: mirror images, or where no new hole may be cut any two, told
        apart by whether they match."""
        one, other = (search.hole_spots() for search in self.searches)
        types, others = (np.array([offer.type.name for offer in ask.offers]) for ask in (self.first, self.second))
        mine, theirs = np.nonzero(types[one.offers][:, None] == others[other.offers])
        first, second = one.take(mine), other.take(theirs)
        off = np.linalg.norm((self.mirror.image(first.points) - second.points)[:, :2], axis=1)
        if not self.first.cuts:
            first = replace(first, uneven=~self._alike(first, second, off))
        twins = Twins(first, second, off).take((off <= self.slack + TOUCHING) | (not self.first.cuts))
        yield twins.take(self._clear_of_each_other(twins) & self._on_own_side(twins.first.points))

    def own_side(self, part: Spots) -> Spots:
        """Of places of the first those on its side of the mirror, so that partners never swap left and right."""
        return part.take(self._on_own_side(part.points))

    def _on_own_side(self, points: Array) -> NDArray[np.bool_]:
        """Which points (N, 3) are on the side that the channel of the first is of; all where channels do not tell."""
        mine, theirs = (nominal_side(ask.speaker) for ask in (self.first, self.second))
        if mine * theirs >= 0:
            return np.ones(len(points), dtype=bool)
        own: NDArray[np.bool_] = self.mirror.left_of(points) * mine >= -TOUCHING
        return own

    def _alike(self, first: Spots, second: Spots, off: Array) -> NDArray[np.bool_]:
        """Whether two that are `off` (N,) metres from mirror images count as such, on the plan or as they are heard."""
        if "partner" in self.first.relaxed:
            return np.ones(len(first), dtype=bool)
        channel, listener = self.first.speaker.channel, self.searches[0].listener
        nominal = np.radians(channel.azimuth_deg or 0) if channel is not None else 0.0
        here, there = (np.stack(listener.directions_to(one.points), axis=-1) for one in (first, second))
        alike: NDArray[np.bool_] = even(here, there, nominal) | (off <= max(self.slack, SAME_PLACE))
        return alike

    def twins_of(self, part: Spots) -> Iterator[Twins]:
        """The places of a part whose mirror images can be cut too, face by face of the other side."""
        if not self.second.cuts:
            return
        images = self.mirror.image(part.points)
        for face in self.second.faces:
            points, apart = self._landed(images, part, face)
            mine = np.flatnonzero(apart <= self.slack + TOUCHING)
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
            off = mine[(distance > 0) & (distance <= self.slack + TOUCHING)]
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
        start, *ends = other.to_face(images)
        there = np.array(ends) - start
        if abs(np.linalg.det(there)) < TOUCHING:  # the image stands square to the other face
            continue
        mapped = _mapped(area.buffer(search.slack) if search.slack else area, start, np.linalg.inv(there))
        areas.append(mapped.intersection(_onto_wall(search.mirror, face, other)) if other.kind == "wall" else mapped)
    return shapely.union_all(areas)


def _onto_wall(mirror: Mirror, face: Surface, wall: Surface) -> BaseGeometry:
    """The part of a face's plane, in its coordinates, whose mirror image lies on a wall's plane, as near as counts."""
    middle = mirror.image(wall.origin)
    across = mirror.image(wall.origin + wall.normal) - middle
    strip: BaseGeometry = beyond(face, across, middle - ON_WALL * across).intersection(
        beyond(face, -across, middle + ON_WALL * across)
    )
    return strip


def _mapped(area: BaseGeometry, start: Array, back: Array) -> BaseGeometry:
    return shapely.transform(area, lambda uv: (uv - start) @ back)


def _best_types(twins: Twins) -> Twins:
    """The best type at each place of one face."""
    _, place = np.unique(twins.first.points, axis=0, return_inverse=True)
    return twins.take(best_each(twins.both, place.reshape(-1)))
