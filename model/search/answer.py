"""Answers of a search in full: the best few places, each apart from the others, and what could be given up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from earshed.model.listener import listener_of
from earshed.model.search.ask import STEP, Ask
from earshed.model.search.joint import Joint, Unit, fits_others
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.place import Place, best_on_tape
from earshed.model.search.relax import Relaxed, ideal, what_would_help, what_would_help_both
from earshed.model.search.search import Grounds, Search, apart
from earshed.model.search.spots import Spots
from earshed.model.search.twins import Missed
from earshed.model.units import FOOT

DISTINCT = 1 * FOOT
"""Metres from which two places on a face count as different ones."""

ONE_HOLE = 0.001
"""Metres under which holes that are there already are one."""

FAR_OFF = math.radians(20)
"""Radians farther outside its window than the best, from which a place is no second choice, as on the other side of the
room. Common practice, no source."""

Choice = tuple[Place, ...]
"""A place for each speaker that is placed together."""


@dataclass(frozen=True, eq=False)
class Answer:
    """What a search found for one speaker, or for two partners: `choices`, the best first.

    `ideal` is the worst angle (radians) at the best place that there would be with nothing in the way, None where there
    is none or it was not looked for; `helpful` are conditions to give up, where nothing is as it should be. `tried`
    counts places, each with each type that fits there, on a grid of `step` metres. `slack` is how far (metres) the
    second partner may be off the mirror image, and `missed` says of partners without a place why there is none.
    """

    asks: tuple[Ask, ...]
    choices: tuple[Choice, ...]
    tried: int
    ideal: float | None = None
    helpful: tuple[Relaxed, ...] = ()
    step: float = STEP
    slack: float = 0.0
    missed: Missed | None = None

    @property
    def is_good(self) -> bool:
        """Whether the best choice is as it should be."""
        return bool(self.choices) and all(place.is_good for place in self.choices[0])


def found_one(search: Search, count: int) -> Answer:
    """The choices of a search for one speaker, as far as it went."""
    spots = search.spots
    chosen = _in_reach(spots, apart(spots, count, _distinct(search.ask)))
    choices = tuple(_choice((search.ask,), (search.grounds,), (spots,), int(index)) for index in chosen)
    return Answer((search.ask,), choices, search.tried, step=search.used_step)


def found_pair(search: PairSearch, count: int) -> Answer:
    """The choices of a search for two partners, as far as it went."""
    twins, asks = search.twins, (search.first, search.second)
    grounds = tuple(one.grounds for one in search.searches)
    chosen = _in_reach(twins.both, apart(twins.both, count, _distinct(search.first)))
    choices = tuple(_choice(asks, grounds, (twins.first, twins.second), int(index)) for index in chosen)
    step, missed = search.searches[0].used_step, None if choices or not search.first.cuts else search.missed
    return Answer(asks, choices, search.tried, step=step, slack=search.slack, missed=missed)


def explained_one(answer: Answer, search: Search) -> Answer:
    """The same with how good it could be with nothing in the way, and what giving up one condition would buy."""
    answer = replace(answer, ideal=_ideal(answer.asks))
    return answer if answer.is_good else replace(answer, helpful=tuple(what_would_help(search.ask, search.spots)))


def explained_pair(answer: Answer, search: PairSearch) -> Answer:
    """As `explained_one`, for two partners."""
    answer = replace(answer, ideal=_ideal(answer.asks))
    if answer.is_good:
        return answer
    helpful = what_would_help_both(search.first, search.second, search.mirror, search.slack, search.twins.both)
    return replace(answer, helpful=tuple(helpful))


def _distinct(ask: Ask) -> float:
    """Metres from which two places count as different ones; two holes that are there already always do."""
    return DISTINCT if ask.cuts else ONE_HOLE


@dataclass(frozen=True, eq=False)
class Together:
    """What a search for several speakers found: for each unit the chosen place, without any where it finds none, and a
    second choice that goes with the rest, None where there is none. `joint` tells what they cost together."""

    chosen: tuple[Choice, ...]
    second: tuple[Choice | None, ...]
    joint: Joint


def settle(units: Sequence[Unit], joint: Joint) -> Together:
    """The places of a joint answer in full."""
    chosen = tuple(
        () if index is None else _choice(unit.asks, _grounds(unit), unit.spots, index)
        for unit, index in zip(units, joint.chosen, strict=True)
    )
    second = tuple(_second(units, joint, number) for number in range(len(units)))
    return Together(chosen, second, joint)


def _second(units: Sequence[Unit], joint: Joint, number: int) -> Choice | None:
    """The next best place of a unit, away from the chosen one and clear of the others."""
    unit, taken = units[number], joint.chosen[number]
    if taken is None:
        return None
    away = [np.linalg.norm(spots.points - spots.points[taken], axis=1) for spots in unit.spots]
    free = fits_others(units, joint, number) & (np.max(away, axis=0) > 0)
    for spots in unit.spots:
        free &= spots.off <= spots.off[taken] + FAR_OFF
    if unit.asks[0].cuts:
        free &= np.min(away, axis=0) >= DISTINCT - 1e-9
    left = [index for index in range(len(free)) if free[index]]
    if not left:
        return None
    return _choice(unit.asks, _grounds(unit), unit.spots, min(left, key=unit.costs.__getitem__))


def _in_reach(spots: Spots, chosen: NDArray[np.intp]) -> NDArray[np.intp]:
    """Of some places, the best first, those that are not much farther from where the channel belongs than the best."""
    return chosen[spots.off[chosen] <= spots.off[chosen[:1]] + FAR_OFF] if len(chosen) else chosen


def _grounds(unit: Unit) -> tuple[Grounds, ...]:
    return tuple(Grounds(ask) for ask in unit.asks)


def _choice(asks: Sequence[Ask], grounds: Sequence[Grounds], spots: Sequence[Spots], index: int) -> Choice:
    """The places of one choice, put on the marks of a tape, each seen as the other's partner."""
    places = [
        best_on_tape(ask, ground, ask.faces[found.faces[index]], int(found.offers[index]), found.points[index])
        for ask, ground, found in zip(asks, grounds, spots, strict=True)
    ]
    if len(places) == 2:
        one, other = places
        listener, even = listener_of(asks[0].scene), not spots[0].uneven[index]
        places = [one.with_partner(other.speaker, listener, even), other.with_partner(one.speaker, listener, even)]
    return tuple(places)


def _ideal(asks: Sequence[Ask]) -> float | None:
    """The worst angle (radians) of the best place with nothing in the way, the worse of two; None if there is none."""
    found = [ideal(ask) for ask in asks]
    return max(float(spots.worst[0]) for spots in found) if all(len(spots) for spots in found) else None
