"""Places several speakers at once: of the best places of each pair or single one, those that go together best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array
from earshed.model.search.ask import Ask
from earshed.model.search.search import apart
from earshed.model.search.spots import LEVEL_STEP, WORST_DIGITS, Spots
from earshed.model.search.twins import Twins, worse_of

NEAR_BEST, SPREAD_OUT = (0.1, 40), (0.4, 40)
"""Metres between the places of one unit that are tried together, and how many of the best: some near the best, and as
many that lie so far apart that crowded speakers find room."""
HOLES = 300
"""Places in holes that are there already, of one unit."""
MOST_NODES = 20_000
"""Choices that are looked at before the best so far has to do: a second or two."""

MOST_TOGETHER = 60
"""Units that are placed together: what each keeps from each takes memory by the square of their number."""

Cost = tuple[float, ...]
"""What places cost together, least wanted first: how many find none, seats not seen, steps out of the windows, how many
are unlike their partner, seats seen only past blades or a shade, verdicts, what is preferred in dB, and the worst
angles in radians. Each is a sum over speakers, of two partners the worse."""
_Whole = tuple[int, ...]
"""The same in whole numbers, whose sums are exact in any order."""
_UNITS = (1.0, 1.0, 1.0, 1.0, 1.0, 1.0, LEVEL_STEP, 10.0**-WORST_DIGITS)
_NO_PLACE = (1, 0, 0, 0, 0, 0, 0, 0)


@dataclass(frozen=True, eq=False)
class Unit:
    """One speaker, or two partners, with their places: for each ask its spots, place by place."""

    asks: tuple[Ask, ...]
    spots: tuple[Spots, ...]

    @property
    def costs(self) -> list[_Whole]:
        """What each place costs, in whole numbers."""
        spots = self.spots[0] if len(self.spots) == 1 else worse_of(*self.spots)
        columns = [np.rint(key / size) for key, size in zip(spots.keys, _UNITS[1:], strict=True)]
        whole = np.stack([np.zeros(len(spots)), *columns], axis=-1).astype(np.int64)
        return [tuple(row) for row in whole.tolist()]


@dataclass(frozen=True, eq=False)
class Joint:
    """The place chosen for each unit, as an index, None where it finds none; what they cost together, and what the best
    of each would by itself. `proven` says that nothing goes together better."""

    chosen: tuple[int | None, ...]
    cost: Cost
    alone: Cost
    proven: bool

    @property
    def loss(self) -> float:
        """Radians by which the worst angles of those placed add up to more than those of the best places of each; 0
        where it is other things that are given up for each other."""
        return max(0.0, self.cost[-1] - self.alone[-1])


def unit_of_one(ask: Ask, spots: Spots) -> Unit:
    return Unit((ask,), (spots.take(_candidates(ask, spots)),))


def unit_of_two(first: Ask, second: Ask, twins: Twins) -> Unit:
    best = twins.take(_candidates(first, twins.both))
    return Unit((first, second), (best.first, best.second))


def _candidates(ask: Ask, spots: Spots) -> NDArray[np.intp]:
    if not ask.cuts:
        return spots.order[:HOLES]
    return np.unique(np.concatenate([apart(spots, count, distance) for distance, count in (NEAR_BEST, SPREAD_OUT)]))


def together(units: Sequence[Unit]) -> Joint:
    """The places that together cost least and keep their distance from each other; a unit that finds none is left out.

    Exact over the places of the units, by branch and bound, as long as that looks at no more than `MOST_NODES` choices:
    costs compare in one order that adding keeps, so what is chosen with the least that the rest can still cost is never
    more than what they come to. Raises ValueError for more than `MOST_TOGETHER` units.
    """
    if len(units) > MOST_TOGETHER:
        raise ValueError(f"{len(units)} are to be placed together, at most {MOST_TOGETHER} can be")
    ranks = sorted(range(len(units)), key=lambda index: [ask.speaker.name for ask in units[index].asks])
    tree = _Tree([units[index] for index in ranks])
    tree.grow()
    chosen: list[int | None] = [None] * len(units)
    for index, place in zip(ranks, tree.best_chosen, strict=True):
        chosen[index] = place
    placed = [number for number, place in enumerate(tree.best_chosen) if place is not None]
    alone = _sum([tree.costs[number][tree.orders[number][0]] for number in placed])
    return Joint(tuple(chosen), _told(tree.best_cost), _told(alone), tree.nodes <= MOST_NODES)


def fits_others(units: Sequence[Unit], joint: Joint, number: int) -> NDArray[np.bool_]:
    """Which places (N,) of one unit keep their distance from what is chosen for the others."""
    free = np.ones(len(units[number].spots[0]), dtype=bool)
    for other, place in enumerate(joint.chosen):
        if other != number and place is not None:
            free &= _keep_apart(units[other], units[number])[place]
    return free


class _Tree:
    """The choices of some units, one after the other, the cheapest first."""

    def __init__(self, units: Sequence[Unit]) -> None:
        self.costs = [unit.costs for unit in units]
        self.orders = [sorted(range(len(costs)), key=costs.__getitem__) for costs in self.costs]
        self.fits = {
            (one, other): _keep_apart(units[one], units[other]) for other in range(len(units)) for one in range(other)
        }
        self.nodes = 0
        self.best_chosen: tuple[int | None, ...] = (None,) * len(units)
        self.best_cost = _sum([_NO_PLACE] * len(units))

    def grow(self) -> None:
        self._go((), _sum([]), [np.ones(len(costs), dtype=bool) for costs in self.costs])

    def _go(self, chosen: tuple[int | None, ...], cost: _Whole, free: list[NDArray[np.bool_]]) -> None:
        """Goes on from some choices; `free` are the places that each unit still has."""
        unit = len(chosen)
        if unit == len(self.costs):
            if cost < self.best_cost:
                self.best_chosen, self.best_cost = chosen, cost
            return
        for place in (*(index for index in self.orders[unit] if free[unit][index]), None):
            self.nodes += 1
            if self.nodes > MOST_NODES:
                return
            here = _sum([cost, _NO_PLACE if place is None else self.costs[unit][place]])
            if self._least(here, unit + 1, free) >= self.best_cost:
                return  # the others of this unit cost more still
            left = free
            if place is not None:
                later = range(unit + 1, len(free))
                left = [*free[: unit + 1], *(free[other] & self.fits[unit, other][place] for other in later)]
            if self._least(here, unit + 1, left) < self.best_cost:
                self._go((*chosen, place), here, left)

    def _least(self, cost: _Whole, start: int, free: Sequence[NDArray[np.bool_]]) -> _Whole:
        """The least that it can come to with the units from `start` on."""
        rest = []
        for unit in range(start, len(self.costs)):
            first = next((index for index in self.orders[unit] if free[unit][index]), None)
            rest.append(_NO_PLACE if first is None else self.costs[unit][first])
        return _sum([cost, *rest])


def _keep_apart(one: Unit, other: Unit) -> NDArray[np.bool_]:
    """Whether each place of one unit (N,) keeps its distance from each of another (M,): (N, M)."""
    clearances = one.asks[0].scene.clearances
    wanted = clearances.of("speaker") + clearances.tolerance
    apart = np.ones((len(one.spots[0]), len(other.spots[0])), dtype=bool)
    for mine, my_ask in zip(one.spots, one.asks, strict=True):
        for theirs, their_ask in zip(other.spots, other.asks, strict=True):
            gaps = np.linalg.norm(mine.points[:, None] - theirs.points, axis=-1)
            need = (_rims(my_ask, mine)[:, None] + _rims(their_ask, theirs)) / 2 + wanted
            apart &= gaps >= need
    return apart


def _rims(ask: Ask, spots: Spots) -> Array:
    """The most that the rim of each place (N,) measures across, metres."""
    return np.array([offer.type.rim.widest for offer in ask.offers])[spots.offers]


def _sum(costs: Sequence[_Whole]) -> _Whole:
    return tuple(map(sum, zip((0,) * len(_UNITS), *costs, strict=True)))


def _told(cost: _Whole) -> Cost:
    return tuple(part * size for part, size in zip(cost, _UNITS, strict=True))
