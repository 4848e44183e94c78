"""The maps of two scenes on one grid, and what is other between them, point by point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from earshed.model.compare.signals import Signal
from earshed.model.coverage import Map, Mask, SetCoverage, shares
from earshed.model.coverage_map import CoverageMap, Shares, map_coverage
from earshed.model.geometry import Array
from earshed.model.listening_plane import MOST_POINTS, ListeningPlane, PlaneSpec, PlaneTooFine, lay_plane_over
from earshed.model.scene import Scene

SHARED = 0.8
"""Share of all the floor of two rooms that both are to have for their maps to be laid over each other."""
ALIKE_DEG = 5.0
"""Degrees off axis within which a point of a map counts as it was."""


class RoomsDiffer(ValueError):
    """Two rooms whose maps cannot be laid over each other; the message says why."""


@dataclass(frozen=True, eq=False)
class MapChange:
    """Two scenes mapped on one grid, each at its own seated ear height; `signals` are those that both have.

    Angles and shares are compared by those signals alone, so that one which came or went does not pass for a change of
    the rest; how many serve a point is of all.
    """

    before: CoverageMap
    after: CoverageMap
    signals: tuple[Signal, ...]

    @cached_property
    def inside(self) -> Mask:
        """The points (ny, nx) that lie in the air of both rooms."""
        return self.before.plane.inside & self.after.plane.inside

    @cached_property
    def sets(self) -> tuple[SetCoverage, SetCoverage]:
        """What the signals that both have give together, before and after."""
        before = [one for signal in self.signals for one in signal.before]
        after = [one for signal in self.signals for one in signal.after]
        return self.before.of_some(before), self.after.of_some(after)

    @property
    def worst_change(self) -> Map:
        """Degrees (ny, nx) by which the worst of the signals is further off axis; nan outside either room."""
        return self._change(*self.sets)

    @property
    def shares_changed(self) -> dict[str, float]:
        """Share (0 to 1) of the seating area of either scene that the worst of the signals is nearer to its axis than
        before, farther, or as before within ALIKE_DEG; all 0 where there is no such area."""
        area = (self.before.seating | self.after.seating) & self.inside
        change = self.worst_change[area]
        if not change.size or not self.signals:
            return {"nearer": 0.0, "farther": 0.0, "as before": 0.0}
        nearer, farther = float(np.mean(change < -ALIKE_DEG)), float(np.mean(change > ALIKE_DEG))
        return {"nearer": nearer, "farther": farther, "as before": 1.0 - nearer - farther}

    @property
    def shares_of_verdicts(self) -> tuple[Shares, Shares]:
        """Share of each scene's seating area with each verdict, the worst of the signals', before and after."""
        then, now = self.sets
        return shares(then.verdict, self.before.seating), shares(now.verdict, self.after.seating)

    @property
    def served_change(self) -> NDArray[np.int16]:
        """By how many more signals of all each point (ny, nx) is served; 0 outside either room."""
        then, now = (served(cover) for cover in (self.before, self.after))
        return np.where(self.inside, now - then, 0).astype(np.int16)

    def of_signal(self, signal: Signal) -> tuple[SetCoverage, SetCoverage]:
        """What one signal that both have gives, before and after."""
        return self.before.of_some(signal.before), self.after.of_some(signal.after)

    def signal_change(self, signal: Signal) -> Map:
        """Degrees (ny, nx) by which a signal is further off axis, of its speakers the one that counts; nan outside."""
        return self._change(*self.of_signal(signal))

    def _change(self, then: SetCoverage, now: SetCoverage) -> Map:
        return np.where(self.inside, now.worst - then.worst, np.float32(np.nan)).astype(np.float32)


def map_change(before: Scene, after: Scene, signals: Sequence[Signal]) -> MapChange:
    """The maps of two scenes, of which `signals` are the matched ones, in the finer of their steps.

    Raises RoomsDiffer where the rooms have too little in common, and PlaneTooFine for more points than a map may have.
    Speakers with a coverage angle alone are mapped; a scene may have none.
    """
    need_alike(before, after)
    bounds = common_bounds(before, after)
    step = min(before.plane.step, after.plane.step)
    columns, rows = np.ceil(np.ptp(bounds, axis=0) / step)
    if columns * rows > MOST_POINTS:
        raise PlaneTooFine(int(columns * rows), float(np.sqrt(np.prod(np.ptp(bounds, axis=0)) / MOST_POINTS)) * 1.01)
    then, now = (map_coverage(scene, _plane(scene, bounds, step), scene.judged) for scene in (before, after))
    return MapChange(then, now, tuple(signal for signal in signals if signal.in_both))


def served(cover: CoverageMap) -> NDArray[np.int16]:
    """How many signals serve each point (ny, nx) of the room's air, which may have none; -1 outside."""
    return np.where(cover.plane.inside, np.maximum(cover.of_set.served, 0), -1).astype(np.int16)


def common_bounds(before: Scene, after: Scene) -> Array:
    """Lower left and upper right corner (2, 2) of the box round both plans."""
    boxes = np.stack([before.room.plan.bounds, after.room.plan.bounds])
    return np.stack([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])


def need_alike(before: Scene, after: Scene) -> None:
    """Raises RoomsDiffer for two rooms whose floors, laid over each other front left, are not much the same."""
    one, other = before.room.plan.polygon, after.room.plan.polygon
    shared = float(one.intersection(other).area / one.union(other).area)
    if shared < SHARED:
        raise RoomsDiffer(
            f"their rooms are not the same: laid over each other at the front left, they share {shared:.0%} of the "
            f"floor, and at least {SHARED:.0%} is needed"
        )


def _plane(scene: Scene, bounds: Array, step: float) -> ListeningPlane:
    return lay_plane_over(scene.room, bounds, PlaneSpec(scene.plane.height, step))
