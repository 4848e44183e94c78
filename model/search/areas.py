"""The faces in parts by where a hole can be: for one speaker, for both of a pair each on its side, or for several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.clearance import beyond
from earshed.model.search.answer import Answer, Choice
from earshed.model.search.ask import Ask, Mirror
from earshed.model.search.feasibility import DUST, Reason, as_met, feasibility, pair_feasibility
from earshed.model.search.grading import Grade
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.search.shared import shared_reasons
from earshed.model.surface import Surface

PartName = Reason | Grade | Literal["free"]


@dataclass(frozen=True, eq=False)
class FaceAreas:
    """A face in parts that do not overlap, in its coordinates, and where on it a pair's center line runs, if it has
    one."""

    face: Surface
    parts: Mapping[PartName, BaseGeometry]
    center: BaseGeometry | None = None


def areas_of(answer: Answer) -> list[FaceAreas]:
    """The areas for the type of the best choice; where there is none, for the speaker's own type."""
    if len(answer.asks) == 1:
        (ask,) = _met(answer)
        search = Search(ask)
        found = [feasibility(search, face, _offer(answer)) for face in ask.faces]
        return [FaceAreas(one.face, dict(one.parts.items())) for one in found]
    return list(_pair_areas(answer))


def shared_areas(answers: Sequence[Answer], choices: Sequence[Choice]) -> list[FaceAreas]:
    """What is in the way of all that is placed together; a choice is empty where there is no place."""
    asks = [
        (ask, choice[number].offer if choice else ask.offers[_offer(answer)])
        for answer, choice in zip(answers, choices, strict=True)
        for number, ask in enumerate(answer.asks)
    ]
    found = []
    for face in {face.name: face for ask, _ in asks for face in ask.faces}.values():
        reasons = shared_reasons(asks, face)
        free = face.outline.difference(shapely.union_all(list(reasons.values())))
        named: list[tuple[PartName, BaseGeometry]] = [*reasons.items(), ("free", free)]
        found.append(FaceAreas(face, {name: area for name, area in named if area.area > DUST}))
    return found


def given_up(answer: Answer) -> frozenset[str]:
    """What the areas do not ask, since the best choice fails it too."""
    return frozenset().union(*(met.relaxed - ask.relaxed for ask, met in zip(answer.asks, _met(answer), strict=True)))


def _met(answer: Answer) -> list[Ask]:
    if not answer.choices:
        return list(answer.asks)
    return [as_met(ask, place) for ask, place in zip(answer.asks, answer.choices[0], strict=True)]


def _offer(answer: Answer) -> int:
    """The number of the offer that the areas are for."""
    offers = answer.asks[0].offers
    if answer.choices:
        return next(number for number, one in enumerate(offers) if one is answer.choices[0][0].offer)
    own = answer.asks[0].speaker.type.name
    return next((number for number, one in enumerate(offers) if one.type.name == own), 0)


def _pair_areas(answer: Answer) -> Iterator[FaceAreas]:
    """Each partner's areas on its side of the center line."""
    first, second = _met(answer)
    mirror, offer = first.mirror, _offer(answer)
    assert mirror is not None
    both = PairSearch(first, second, mirror, answer.slack), PairSearch(second, first, mirror, answer.slack)
    side = _side(answer, mirror)
    for face in {face.name: face for face in (*first.faces, *second.faces)}.values():
        parts: dict[PartName, BaseGeometry] = {}
        halves = [_half(mirror, face, side), _half(mirror, face, -side)]
        for search, half in zip(both, halves, strict=True):
            if any(face is one for one in search.first.faces):
                for name, area in pair_feasibility(search, face, offer).parts.items():
                    mine = area.intersection(half)
                    parts[name] = shapely.union(parts[name], mine) if name in parts else mine
        line = halves[0].boundary.intersection(face.outline)
        yield FaceAreas(face, {name: area for name, area in parts.items() if area.area > DUST}, line)


def _side(answer: Answer, mirror: Mirror) -> float:
    """1 where the first partner is to the left of the mirror's run, else -1."""
    first = answer.choices[0][0].speaker if answer.choices else answer.asks[0].speaker
    return 1.0 if mirror.left_of(first.position) >= 0.0 else -1.0


def _half(mirror: Mirror, face: Surface, side: float) -> BaseGeometry:
    """The part of a face's plane on one side of a mirror, in its coordinates, with an edge on the mirror."""
    return beyond(face, np.append(side * mirror.aside, 0.0), np.append(mirror.point, 0.0))
