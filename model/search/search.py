"""Searches the faces for one speaker: a fine grid where its channel may be heard, a coarser one beyond."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import TOUCHING, Array
from earshed.model.listener import Listener, listener_of
from earshed.model.search.ask import STEP, Ask
from earshed.model.search.ground import Ground, ground_of, in_line, places_on
from earshed.model.search.known import kept
from earshed.model.search.old_holes import fit
from earshed.model.search.spots import BLOCK, Spots, best_each, joined, judge_each, off_window
from earshed.model.surface import Surface

COARSE = 4
"""Steps of the grid between places tried beyond the window."""
MOST_PLACES = 2_000_000
"""Places of a grid over all faces: some hundred megabytes, a room of 60 x 50 ft at 1/2 in."""


@dataclass(frozen=True, eq=False)
class Grounds:
    """Where each offer of an ask may be cut, worked out once for each face and shape of hole."""

    ask: Ask
    _clear: dict[Hashable, BaseGeometry] = field(default_factory=dict)

    def on(self, face: Surface, offer: int) -> Ground:
        mine = self.ask.offers[offer]
        clear = kept(self._clear, (face.name, mine.takes_up), lambda: ground_of(self.ask, face, mine).clear)
        return Ground(face, mine, clear)


@dataclass(eq=False)
class Search:
    """A search under way: `run` goes on with it step by step, `spots` is what it has found so far, the best type at
    each place, and `tried` counts places, each with each type that fits there."""

    ask: Ask
    step: float = STEP
    parts: list[Spots] = field(default_factory=list)
    tried: int = 0
    most: int = MOST_PLACES

    @cached_property
    def grounds(self) -> Grounds:
        return Grounds(self.ask)

    @cached_property
    def listener(self) -> Listener:
        return listener_of(self.ask.scene)

    @cached_property
    def used_step(self) -> float:
        """Metres of the grid: the `step`, doubled until the faces have no more than `most` places."""
        step, area = self.step, sum(shapely.box(*face.outline.bounds).area for face in self.ask.faces)
        while area / step**2 > self.most:
            step *= 2
        return step

    @property
    def spots(self) -> Spots:
        """The best type at everything that was tried so far."""
        return joined(self.parts)

    def run(self) -> Iterator[float]:
        """Searches on, and tells after each part what share is done, 0 to 1. To stop in between keeps what was found.

        What may be heard from where its channel belongs comes first on every face.
        """
        for share, found, place in self.judged():
            self.tried += len(found)
            self.parts.append(found.take(best_each(found, place)))
            yield share

    def judged(self) -> Iterator[tuple[float, Spots, NDArray[np.intp]]]:
        """Part by part what share is done, 0 to 1, the places with each type that fits there, and which are of one."""
        tasks = [task for face in self.ask.faces for task in self._tasks(face)]
        tasks.sort(key=lambda task: not task.inside)
        total = sum(len(task.points) for task in tasks)
        done = 0
        for task in tasks:
            blocks = judge_each(self.ask, self.listener, task.face, task.points, task.fits)
            for number, (found, place) in enumerate(blocks, start=1):
                yield (done + min(number * BLOCK, len(task.points))) / total, found, place
            done += len(task.points)

    def finish(self) -> Spots:
        """Runs to the end and gives the best type at every place."""
        for _ in self.run():
            pass
        return self.spots

    def within(self) -> Spots:
        """Only the places where its channel belongs, the best type at each."""
        return joined([found.take(best_each(found, place)) for found, place in self.within_each()])

    def within_each(self) -> Iterator[tuple[Spots, NDArray[np.intp]]]:
        """The same with each type that fits there, part by part, and which are of one place."""
        tasks = [task for face in self.ask.faces for task in self._tasks(face) if task.inside]
        for task in tasks:
            for found, place in judge_each(self.ask, self.listener, task.face, task.points, task.fits):
                inside = found.off == 0.0
                yield found.take(inside), place[inside]

    def _tasks(self, face: Surface) -> list[_Task]:
        """The places on a face, those within the window apart from a coarser choice of those beyond; and old holes."""
        holes = self._in_holes(face)
        if not self.ask.cuts:
            return holes
        clear = [self.grounds.on(face, offer).clear for offer in range(len(self.ask.offers))]
        area = shapely.union_all(clear)
        fine = places_on(self.ask, face, area, self.used_step)
        inside = self._inside(face, fine)
        tasks = [_task(face, fine[inside], clear, inside=True)]
        if not inside.all():
            coarse = places_on(self.ask, face, area, COARSE * self.used_step)
            tasks.append(_task(face, coarse[~self._inside(face, coarse)], clear, inside=False))
        return [*tasks, *holes]

    def hole_spots(self) -> Spots:
        """The holes that are there already, each with all the types that it takes."""
        tasks = [task for face in self.ask.faces for task in self._in_holes(face)]
        blocks = (judge_each(self.ask, self.listener, task.face, task.points, task.fits) for task in tasks)
        return joined([spots for block in blocks for spots, _ in block])

    def _in_holes(self, face: Surface) -> list[_Task]:
        """The holes that are there already, each with the offers that it takes."""
        holes = [hole for hole in self.ask.scene.existing_holes if hole.surface.name == face.name]
        holes = [hole for hole in holes if in_line(self.ask, hole.position)]
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


def _task(face: Surface, places: Array, clear: Sequence[BaseGeometry], *, inside: bool) -> _Task:
    fits = np.zeros((len(places), len(clear)), dtype=bool)
    known: dict[int, NDArray[np.bool_]] = {}
    for index, area in enumerate(clear):
        if id(area) not in known:
            reach = area.buffer(TOUCHING, quad_segs=1)  # at the very limit too, whichever way rounding went
            shapely.prepare(reach)
            known[id(area)] = shapely.intersects_xy(reach, places[:, 0], places[:, 1])
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
        left[first] = False
    return np.array(chosen, dtype=np.intp)
