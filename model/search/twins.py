"""Places for two partners, each with its mirror image, and why there may be none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array
from earshed.model.search.spots import Spots


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
        return worse_of(self.first, self.second)

    @property
    def turned(self) -> Twins:
        """The same with the second first."""
        return Twins(self.second, self.first, self.apart)

    def take(self, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> Twins:
        return Twins(self.first.take(chosen), self.second.take(chosen), self.apart[chosen])


def worse_of(one: Spots, other: Spots) -> Spots:
    """What places (N,) of one partner with those of the other are worth together."""
    return replace(
        one,
        off=np.maximum(one.off, other.off),
        uneven=one.uneven | other.uneven,
        blocked=one.blocked + other.blocked,
        chopped=one.chopped + other.chopped,
        verdict=np.maximum(one.verdict, other.verdict),
        worst=np.maximum(one.worst, other.worst),
        wanting=np.maximum(one.wanting, other.wanting),
    )


@dataclass(frozen=True)
class Missed:
    """Why partners find no places: how many the first has by itself, of how many the mirror image lies outside the
    room, and the least that one does, metres; 0 where any lies inside."""

    places: int
    outside: int
    least: float
