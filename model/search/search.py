"""Searches the faces for one speaker: a fine grid where its channel may be heard, a coarser one beyond."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.geometry import Array
from earshed.model.listener import Listener, listener_of
from earshed.model.search.ask import STEP, Ask, Offer
from earshed.model.search.ground import Ground, ground_of, places_on
from earshed.model.search.old_holes import fit
from earshed.model.search.spots import Spots, joined, judge, off_window
from earshed.model.speaker_type import Angled
from earshed.model.surface import Surface

COARSE = 4
"""Steps of the grid between places tried beyond the window."""


@dataclass(frozen=True, eq=False)
class Grounds:
    """Where each offer of an ask may be cut, worked out once for each face and shape of hole."""

    ask: Ask
    _found: dict[tuple[str, int], Ground] = field(default_factory=dict)

    def on(self, face: Surface, offer: int) -> Ground:
        key = (face.name, offer)
        if key not in self._found:
            alike = self._alike(face, offer)
            mine = self.ask.offers[offer]
            self._found[key] = Ground(face, mine, alike.clear) if alike else ground_of(self.ask, face, mine)
        return self._found[key]

    def _alike(self, face: Surface, offer: int) -> Ground | None:
        """The ground of another offer that takes up the same, if it is known."""
        mine = self.ask.offers[offer]
        for (name, index), ground in self._found.items():
            other = self.ask.offers[index]
            if name == face.name and index != offer and _takes_up(other) == _takes_up(mine):
                return ground
        return None


def _takes_up(offer: Offer) -> tuple[object, ...]:
    """All that says where an offer fits."""
    kind = offer.type
    turns = kind.clamps is not None and isinstance(kind.aiming, Angled)
    return (kind.cutout, kind.rim, kind.clamps, turns, kind.mounting_depth, kind.depth_from, offer.way)


@dataclass(eq=False)
class Search:
    """A search under way: `run` goes on with it step by step, and `spots` is what it has found so far."""

    ask: Ask
    step: float = STEP
    parts: list[Spots] = field(default_factory=list)

    @cached_property
    def grounds(self) -> Grounds:
        return Grounds(self.ask)

    @cached_property
    def listener(self) -> Listener:
        return listener_of(self.ask.scene)

    @property
    def spots(self) -> Spots:
        """Everything that was judged so far."""
        return joined(self.parts)

    def run(self) -> Iterator[float]:
        """Searches on, and tells after each part what share is done, 0 to 1. To stop in between keeps what was found.

        What may be heard from where its channel belongs comes first on every face.
        """
        tasks = [task for face in self.ask.faces for task in self._tasks(face)]
        tasks.sort(key=lambda task: not task.inside)
        total = sum(len(task.points) for task in tasks)
        done = 0
        for task in tasks:
            for found in judge(self.ask, self.listener, task.face, task.points, task.fits):
                self.parts.append(found)
            done += len(task.points)
            yield done / total
        if total == 0:
            yield 1.0

    def finish(self) -> Spots:
        """Runs to the end and gives all that was found."""
        for _ in self.run():
            pass
        return self.spots

    def _tasks(self, face: Surface) -> list[_Task]:
        """The places on a face, those within the window apart from a coarser choice of those beyond."""
        if self.ask.only_holes:
            return self._in_holes(face)
        clear = [self.grounds.on(face, offer).clear for offer in range(len(self.ask.offers))]
        area = shapely.union_all(clear)
        fine = places_on(self.ask, face, area, self.step)
        if len(fine) == 0:
            return self._in_holes(face)
        inside = self._inside(face, fine)
        tasks = [_task(face, fine[inside], clear, inside=True)]
        if not inside.all():
            coarse = places_on(self.ask, face, area, COARSE * self.step)
            tasks.append(_task(face, coarse[~self._inside(face, coarse)], clear, inside=False))
        return tasks + self._in_holes(face)

    def _in_holes(self, face: Surface) -> list[_Task]:
        """The holes that are there already, each with the offers that it takes."""
        holes = [hole for hole in self.ask.scene.existing_holes if hole.surface.name == face.name]
        fits = [[fit(self.ask, hole, offer).fits for offer in self.ask.offers] for hole in holes]
        if not np.any(fits):
            return []
        return [_Task(face, np.array([hole.position for hole in holes]), np.array(fits), inside=True)]

    def _inside(self, face: Surface, places: Array) -> NDArray[np.bool_]:
        inside: NDArray[np.bool_] = off_window(self.ask, self.listener, face.to_room(places)) == 0.0
        return inside


@dataclass(frozen=True, eq=False)
class _Task:
    """Places (N, 3) of a face, and which offers fit there (N, O)."""

    face: Surface
    points: Array
    fits: NDArray[np.bool_]
    inside: bool


def _task(face: Surface, places: Array, clear: Sequence[shapely.Geometry], *, inside: bool) -> _Task:
    fits = np.zeros((len(places), len(clear)), dtype=bool)
    known: dict[int, NDArray[np.bool_]] = {}
    for index, area in enumerate(clear):
        if id(area) not in known:
            shapely.prepare(area)
            known[id(area)] = shapely.intersects_xy(area, places[:, 0], places[:, 1])
        fits[:, index] = known[id(area)]
    return _Task(face, face.to_room(places), fits, inside)


def apart(spots: Spots, count: int, distance: float) -> NDArray[np.intp]:
    """Indices of the best `count` places that lie `distance` metres from each other, or on different faces."""
    order = spots.order
    chosen: list[int] = []
    left = np.ones(len(order), dtype=bool)
    points, faces = spots.points[order], spots.faces[order]
    while len(chosen) < count and left.any():
        first = int(np.argmax(left))
        chosen.append(int(order[first]))
        near = np.linalg.norm(points - points[first], axis=1) < distance - 1e-9
        left &= ~(near & (faces == faces[first]))
    return np.array(chosen, dtype=np.intp)
