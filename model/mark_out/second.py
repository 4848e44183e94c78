"""The second choice for each hole, for when the test hole hits something: a place away from the first, and as even."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from earshed.model.scene import Scene
from earshed.model.search.answer import DISTINCT, Choice, found_one, found_pair
from earshed.model.search.ask import picture_mirror
from earshed.model.search.asking import ask_of, units_of
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.place import Place
from earshed.model.search.search import Search
from earshed.model.seating import main_seats
from earshed.model.speaker import Speaker

TRIED = 6
"""Choices that are looked through for one away from the hole."""


def second_choices(scene: Scene, speakers: Sequence[Speaker]) -> Iterator[tuple[float, dict[str, Place]]]:
    """Unit by unit what share is done, 0 to 1, and for its speakers, by name, the best place of the same type.

    It is at least a foot from the hole as designed; of partners of one type it is the best pair of places. Left out are
    speakers that have none, and subwoofers.
    """
    if not main_seats(scene.seats):
        return
    asked = {one.name for one in speakers}
    units = units_of(scene, [one for one in scene.speakers if one.surface is not None and one.has_verdict])
    together = [some for unit in units for some in _of_one_type(unit) if asked.intersection(one.name for one in some)]
    for number, some in enumerate(together, start=1):
        found = {place.speaker.name: place for place in _second(scene, some)}
        yield number / len(together), {name: place for name, place in found.items() if name in asked}


def _of_one_type(unit: tuple[Speaker, ...]) -> list[tuple[Speaker, ...]]:
    return [unit] if len({one.type.name for one in unit}) == 1 else [(one,) for one in unit]


def _second(scene: Scene, unit: Sequence[Speaker]) -> Choice:
    asks = [
        replace(ask_of(scene, one, moving=unit, seats=main_seats(scene.seats), types=[one.type]), only_holes=False)
        for one in unit
    ]
    if len(asks) == 2:
        both = PairSearch(asks[0], replace(asks[1], known=asks[0].known), picture_mirror(scene))
        for _ in both.run():
            pass
        choices = found_pair(both, TRIED).choices
    else:
        alone = Search(asks[0])
        alone.finish()
        choices = found_one(alone, TRIED).choices
    away = (choice for choice in choices if all(_is_away(place, one) for place, one in zip(choice, unit, strict=True)))
    return next(away, ())


def _is_away(place: Place, speaker: Speaker) -> bool:
    return float(np.linalg.norm(place.speaker.position - speaker.position)) >= DISTINCT - 1e-9
