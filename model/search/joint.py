"""Places several speakers at once: of the best places of each pair or single one, those that go together best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import Array
from earshed.model.search.ask import Ask
from earshed.model.search.pair_search import Twins
from earshed.model.search.search import apart
from earshed.model.search.spots import Spots

CANDIDATES = 60
"""Places of each that are tried together."""
DISTINCT = 0.1
"""Metres between two of them."""

Cost = tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Unit:
    """One speaker, or two partners, with their places: for each ask its spots, place by place."""

    asks: tuple[Ask, ...]
    spots: tuple[Spots, ...]

    @property
    def costs(self) -> list[Cost]:
        """What each place costs, least wanted first: out of the window, unlike the partner, seats not seen, verdicts,
        and the sum of the worst angles, radians."""
        parts = [
            np.stack([spots.off, spots.uneven, spots.blocked, spots.verdict, spots.worst], axis=-1).astype(float)
            for spots in self.spots
        ]
        return [tuple(row) for row in np.sum(parts, axis=0).tolist()]


@dataclass(frozen=True, eq=False)
class Joint:
    """The place chosen for each unit, as an index; what they cost together, and the sum of what each alone would."""

    chosen: tuple[int, ...]
    cost: Cost
    alone: Cost

    def fits_others(self, units: Sequence[Unit], number: int, index: int) -> bool:
        """Whether another place of one unit keeps its distance from what is chosen for the others."""
        fits = _Fits(units)
        return all(fits(other, self.chosen[other], number, index) for other in range(len(units)) if other != number)

    @property
    def loss(self) -> float:
        """Radians by which the worst angles add up to more than those of the single best places."""
        return self.cost[-1] - self.alone[-1]


def unit_of_one(ask: Ask, spots: Spots) -> Unit:
    return Unit((ask,), (spots.take(apart(spots, CANDIDATES, DISTINCT)),))


def unit_of_two(first: Ask, second: Ask, twins: Twins) -> Unit:
    best = twins.take(apart(twins.both, CANDIDATES, DISTINCT))
    return Unit((first, second), (best.first, best.second))


def together(units: Sequence[Unit]) -> Joint | None:
    """The places that together cost least and keep their distance from each other; None where none do.

    Exact over the places of the units, by branch and bound: costs add up and compare in one order, so what is chosen
    with the least that the rest can cost is never more than what they come to.
    """
    costs = [unit.costs for unit in units]
    if any(not of_unit for of_unit in costs):
        return None
    orders = [sorted(range(len(of_unit)), key=of_unit.__getitem__) for of_unit in costs]
    least = [of_unit[order[0]] for of_unit, order in zip(costs, orders, strict=True)]
    rest = [_sum(least[index:]) for index in range(len(units) + 1)]
    fits = _Fits(units)
    best: tuple[Cost, tuple[int, ...]] | None = None

    def go(chosen: tuple[int, ...], cost: Cost) -> None:
        nonlocal best
        unit = len(chosen)
        if unit == len(units):
            if best is None or cost < best[0]:
                best = cost, chosen
            return
        for place in orders[unit]:
            here = _sum([cost, costs[unit][place]])
            if best is not None and _sum([here, rest[unit + 1]]) >= best[0]:
                break  # the others of this unit cost more still
            if all(fits(other, chosen[other], unit, place) for other in range(unit)):
                go((*chosen, place), here)

    go((), _sum([]))
    return Joint(best[1], best[0], rest[0]) if best is not None else None


class _Fits:
    """Whether two places of two units keep their distance."""

    def __init__(self, units: Sequence[Unit]) -> None:
        self.points = [np.stack([spots.points for spots in unit.spots], axis=1) for unit in units]
        self.rims = [np.stack([_rims(a, s) for a, s in zip(u.asks, u.spots, strict=True)], axis=1) for u in units]
        clearances = units[0].asks[0].scene.clearances
        self.wanted = clearances.of("speaker") + clearances.tolerance

    def __call__(self, one: int, place: int, other: int, there: int) -> bool:
        gaps = np.linalg.norm(self.points[one][place][:, None] - self.points[other][there], axis=-1)
        need = (self.rims[one][place][:, None] + self.rims[other][there]) / 2 + self.wanted
        return bool(np.all(gaps >= need))


def _rims(ask: Ask, spots: Spots) -> Array:
    """The most that the rim of each place (N,) measures across, metres."""
    return np.array([offer.type.rim.widest for offer in ask.offers])[spots.offers]


def _sum(costs: Sequence[Cost]) -> Cost:
    return tuple(float(part) for part in np.sum([(0.0,) * 5, *costs], axis=0))
