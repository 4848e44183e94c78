"""Which run is cut from which spool, so that no run is spliced and few spools are opened."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from earshed.model.geometry import TOUCHING

EXACT_UP_TO = 14
"""Runs up to which every way to pack is tried."""
MOST_STEPS = 200_000
"""Ways looked at before the best so far is taken, with the bound that is then known."""


@dataclass(frozen=True)
class Packing:
    """Spools, each as the positions of the runs that are cut from it.

    `at_least` is how many any packing needs; it is the number of spools where the packing is the best there is.
    """

    spools: tuple[tuple[int, ...], ...]
    at_least: int

    @property
    def is_best(self) -> bool:
        return len(self.spools) == self.at_least


def pack(lengths: Sequence[float], spool: float) -> Packing:
    """The fewest spools of a length that runs (all in metres) are cut from. Raises ValueError for a run past a spool.

    Of few runs the packing is the best there is, by branch and bound; of many it is first-fit decreasing, which takes
    at most 11/9 of the fewest, and one (D. S. Johnson, 1973, value from memory).
    """
    if any(length > spool + TOUCHING for length in lengths):
        raise ValueError("a run is longer than a spool")
    order = sorted(range(len(lengths)), key=lambda at: (-lengths[at], at))
    first = _first_fit(lengths, order, spool)
    bound = max(math.ceil(sum(lengths) / (spool + TOUCHING) - 1e-9), 1) if lengths else 0
    if len(first) == bound or len(lengths) > EXACT_UP_TO:
        return Packing(_sorted(first), bound)
    search = _Search(lengths, order, spool, first, bound)
    search.place(0)
    return Packing(_sorted(search.best), len(search.best) if search.steps < MOST_STEPS else bound)


def _first_fit(lengths: Sequence[float], order: Sequence[int], spool: float) -> list[list[int]]:
    """First-fit decreasing."""
    spools: list[list[int]] = []
    for run in order:
        room = (each for each in spools if sum(lengths[at] for at in each) + lengths[run] <= spool + TOUCHING)
        chosen = next(room, None)
        if chosen is None:
            spools.append([run])
        else:
            chosen.append(run)
    return spools


class _Search:
    """Branch and bound over where each run, the longest first, goes."""

    def __init__(
        self, lengths: Sequence[float], order: Sequence[int], spool: float, best: list[list[int]], bound: int
    ) -> None:
        self.lengths, self.order, self.spool, self.bound = lengths, order, spool, bound
        self.best = best
        self.open: list[list[int]] = []
        self.left: list[float] = []
        self.steps = 0

    def place(self, depth: int) -> None:
        """Places the runs from a position on; a spool as full as one already tried is not tried again."""
        self.steps += 1
        if self.steps >= MOST_STEPS or len(self.best) == self.bound:
            return
        if depth == len(self.order):
            if len(self.open) < len(self.best):
                self.best = [list(each) for each in self.open]
            return
        rest = sum(self.lengths[at] for at in self.order[depth:])
        more = math.ceil(max(0.0, rest - sum(self.left)) / self.spool - 1e-9)
        if len(self.open) + more >= len(self.best):
            return
        run, tried = self.order[depth], set()
        for at, room in enumerate(self.left):
            if room + TOUCHING >= self.lengths[run] and round(room, 6) not in tried:
                tried.add(round(room, 6))
                self.open[at].append(run)
                self.left[at] -= self.lengths[run]
                self.place(depth + 1)
                self.open[at].pop()
                self.left[at] = room
        if len(self.open) + 1 < len(self.best):
            self.open.append([run])
            self.left.append(self.spool - self.lengths[run])
            self.place(depth + 1)
            self.open.pop()
            self.left.pop()


def _sorted(spools: Sequence[Sequence[int]]) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(sorted(each)) for each in spools)
