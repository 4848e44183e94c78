"""Answers of a search in full: the best few places, each apart from the others, and what could be given up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from earshed.model.geometry import Array
from earshed.model.listener import listener_of
from earshed.model.search.ask import Ask
from earshed.model.search.joint import Joint, Unit
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.place import Place, on_the_tape, place_at
from earshed.model.search.relax import Relaxed, ideal, what_would_help, what_would_help_both
from earshed.model.search.search import Grounds, Search, apart
from earshed.model.search.spots import Spots
from earshed.model.units import FOOT

DISTINCT = 1 * FOOT
"""Metres from which two places on a face count as different ones."""

Choice = tuple[Place, ...]
"""A place for each speaker that is placed together."""


@dataclass(frozen=True, eq=False)
class Answer:
    """What a search found for one speaker, or for two partners: `choices`, the best first.

    `ideal` is the worst angle (radians) at the best place that there would be with nothing in the way, None where there
    is none; `helpful` are conditions to give up, where nothing is as it should be. `tried` counts places, each with
    each type that fits there. `slack` is how far (metres) the second partner may be off the mirror image.
    """

    asks: tuple[Ask, ...]
    choices: tuple[Choice, ...]
    tried: int
    ideal: float | None
    helpful: tuple[Relaxed, ...] = ()
    slack: float = 0.0

    @property
    def is_good(self) -> bool:
        """Whether the best choice is as it should be."""
        return bool(self.choices) and all(place.is_good for place in self.choices[0])


def answer_one(search: Search, count: int) -> Answer:
    """The answer to a search for one speaker, as far as it went."""
    spots = search.spots
    chosen = apart(spots, count, DISTINCT)
    choices = tuple(_choice((search.ask,), (search.grounds,), (spots,), int(index)) for index in chosen)
    answer = Answer((search.ask,), choices, len(spots), _ideal((search.ask,)))
    return answer if answer.is_good else replace(answer, helpful=tuple(what_would_help(search.ask)))


def answer_pair(search: PairSearch, count: int) -> Answer:
    """The answer to a search for two partners, as far as it went."""
    twins, asks = search.twins, (search.first, search.second)
    grounds = tuple(one.grounds for one in search.searches)
    chosen = apart(twins.both, count, DISTINCT)
    choices = tuple(_choice(asks, grounds, (twins.first, twins.second), int(index)) for index in chosen)
    answer = Answer(asks, choices, len(twins.both), _ideal(asks), slack=search.slack)
    if answer.is_good:
        return answer
    helpful = what_would_help_both(*asks, search.mirror, search.slack)
    return replace(answer, helpful=tuple(helpful))


@dataclass(frozen=True, eq=False)
class Together:
    """What a search for several speakers found: for each unit the chosen place and a second choice that goes with the
    rest, None where there is none. `joint` tells what they cost together."""

    chosen: tuple[Choice, ...]
    second: tuple[Choice | None, ...]
    joint: Joint


def settle(units: Sequence[Unit], joint: Joint) -> Together:
    """The places of a joint answer in full."""
    chosen = tuple(
        _choice(unit.asks, _grounds(unit), unit.spots, index) for unit, index in zip(units, joint.chosen, strict=True)
    )
    second = tuple(_second(units, joint, number) for number in range(len(units)))
    return Together(chosen, second, joint)


def _second(units: Sequence[Unit], joint: Joint, number: int) -> Choice | None:
    """The next best place of a unit, away from the chosen one and clear of the others."""
    unit, taken = units[number], joint.chosen[number]
    order = sorted(range(len(unit.costs)), key=unit.costs.__getitem__)
    for index in order:
        away = [np.linalg.norm(spots.points[index] - spots.points[taken]) for spots in unit.spots]
        if min(away) >= DISTINCT and joint.fits_others(units, number, index):
            return _choice(unit.asks, _grounds(unit), unit.spots, index)
    return None


def _grounds(unit: Unit) -> tuple[Grounds, ...]:
    return tuple(Grounds(ask) for ask in unit.asks)


def _choice(asks: Sequence[Ask], grounds: Sequence[Grounds], spots: Sequence[Spots], index: int) -> Choice:
    """The places of one choice, put on the marks of a tape, each seen as the other's partner."""
    points = list(_points(asks, grounds, spots, index))
    places = [
        place_at(ask, ground, ask.faces[found.faces[index]], int(found.offers[index]), point)
        for ask, ground, found, point in zip(asks, grounds, spots, points, strict=True)
    ]
    if len(places) == 2:
        one, other = places
        listener = listener_of(asks[0].scene)
        places = [one.with_partner(other.speaker, listener), other.with_partner(one.speaker, listener)]
    return tuple(places)


def _points(asks: Sequence[Ask], grounds: Sequence[Grounds], spots: Sequence[Spots], index: int) -> Iterator[Array]:
    for ask, ground, found in zip(asks, grounds, spots, strict=True):
        face = ask.faces[found.faces[index]]
        yield on_the_tape(ask, ground.on(face, int(found.offers[index])), found.points[index])


def _ideal(asks: Sequence[Ask]) -> float | None:
    """The worst angle (radians) of the best place with nothing in the way, the worse of two; None if there is none."""
    found = [ideal(ask) for ask in asks]
    return max(float(spots.worst[0]) for spots in found) if all(len(spots) for spots in found) else None
