"""Which one condition to give up where nothing fits, or where it costs much, and what that would buy."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import shapely

from earshed.model.obstacle import Obstacle
from earshed.model.search.ask import STEP, Ask, Mirror
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots
from earshed.model.surroundings import obstacles_on
from earshed.model.units import INCH

LOOSE_STEP = 2 * STEP
"""Metres of the grid on which it is tried: fine enough to tell what it would buy."""
MOST_PLACES = 200_000
"""Of a grid over all faces."""
LOOSE_PARTNER = 6 * INCH
"""Metres that partners may be off their mirror image where that is given up."""
MOST_THINGS = 12
"""Single things of a group that are tried by name, those first that are nearest to what the group would buy."""
AS_GOOD = 3
"""Decimals of a radian to which two answers are as good; what costs less to give up then comes first."""
WORTH_IT = math.radians(1)
"""Radians by which the seat served worst is to be better, where nothing else is."""
OBSTACLES = ("framing", "hidden", "openings", "screen", "boxes", "fixtures", "speakers", "old holes")
"""Groups of what is in the way and might be moved, worked round or given less; edges of a face can not."""
NAMED_GROUPS = ("fixtures", "hidden", "speakers", "old holes", "boxes", "openings")
"""Groups of things that one might move one by one."""

Tried = Callable[[str], Spots]
"""The best places that a condition given up would allow."""


@dataclass(frozen=True, eq=False)
class Relaxed:
    """A condition given up, and the best that it then allows. A condition is a `group`, all of a kind at once, or a
    single `thing` by its name."""

    condition: str
    kind: Literal["group", "thing"]
    best: Spots

    @property
    def worst(self) -> float:
        """Radians off axis of the seat served worst."""
        return float(self.best.worst[0])


def what_would_help(ask: Ask, found: Spots) -> list[Relaxed]:
    """Each single condition that, given up, lets a speaker be cut where its channel may be heard and its partner is
    matched, and better than what was `found`, with the best that it buys; the best first."""

    def tried(condition: str) -> Spots:
        return Search(_without(ask, condition), LOOSE_STEP, most=MOST_PLACES).within()

    return _helpful((ask,), found, tried)


def what_would_help_both(first: Ask, second: Ask, mirror: Mirror, slack: float, found: Spots) -> list[Relaxed]:
    """As `what_would_help`, for two partners; "partner" given up lets the second be 6 in off the mirror image."""

    def tried(condition: str) -> Spots:
        one, other = (_without(ask, condition) for ask in (first, second))
        wide = max(slack, LOOSE_PARTNER) if condition == "partner" else slack
        return PairSearch(one, other, mirror, wide, LOOSE_STEP, most=MOST_PLACES).within()

    return _helpful((first, second), found, tried)


def ideal(ask: Ask) -> Spots:
    """The place of the smallest angle that there would be with nothing on or behind the faces in the way, on a coarse
    grid; their edges and the window stay."""
    given_up = {*OBSTACLES, "tolerance", "clamps", "depth", "alignment", "partner", "new hole"}
    free = replace(ask, relaxed=ask.relaxed | given_up, preferred="angle")
    search = Search(free, LOOSE_STEP, most=MOST_PLACES)
    spots = search.within()
    spots = spots if len(spots) else search.finish()
    return spots.take(spots.order[:1])


def _without(ask: Ask, condition: str) -> Ask:
    return replace(ask, relaxed=ask.relaxed | {condition})


def _helpful(asks: Sequence[Ask], found: Spots, tried: Tried) -> list[Relaxed]:
    """Groups first; of those that help the single things, since a part of what does not help does not either. Where
    something else is preferred, a smaller angle is no help."""
    worth = WORTH_IT if asks[0].preferred == "angle" else math.inf
    things = {name: _things(asks, name) for name in OBSTACLES}
    helpful = []
    for condition in _conditions(asks, things):
        best = _best(tried(condition), found, worth)
        if best is None:
            continue
        helpful.append(best_of := Relaxed(condition, "group", best))
        single = things.get(condition, {}) if condition in NAMED_GROUPS else {}
        if len(single) > 1:
            named = ((name, _best(tried(name), found, worth)) for name in _nearest(asks, single, best_of))
            helpful += [Relaxed(name, "thing", one) for name, one in named if one is not None]
    return sorted(helpful, key=lambda one: (one.best.verdict[0], round(one.worst, AS_GOOD), _price(one)))


def _price(one: Relaxed) -> int:
    """What giving up a condition costs, in order: a measurement, a decision or one thing; all of a kind; framing."""
    if one.kind == "thing":
        return 1
    return 3 if one.condition == "framing" else 2 if one.condition in (*OBSTACLES, "depth") else 1


def _conditions(asks: Sequence[Ask], things: dict[str, dict[str, list[Obstacle]]]) -> list[str]:
    """The conditions that any of the asks has at all."""
    there = ["tolerance", "clamps", *(name for name in OBSTACLES if things[name]), "depth"]
    there += ["azimuth", "elevation"] if any(ask.window is not None for ask in asks) else []
    there += ["partner"] if len(asks) > 1 or asks[0].partner is not None else []
    there += ["alignment"] if asks[0].lines else []
    if not asks[0].cuts:
        kept = ("azimuth", "elevation", "partner", "alignment", "depth", "framing")
        there = [name for name in there if name in kept] + ["new hole"]
    given_up = asks[0].relaxed
    return [name for name in there if name not in given_up]


def _things(asks: Iterable[Ask], group: str) -> dict[str, list[Obstacle]]:
    """What there is of a group on the faces of some asks, by name."""
    faces = {face.name: (ask, face) for ask in asks for face in ask.faces}
    found: dict[str, list[Obstacle]] = {}
    for ask, face in faces.values():
        for one in obstacles_on(ask.scene, face, ask.others):
            if one.group == group:
                found.setdefault(one.name, []).append(one)
    if group == "hidden":
        hidden = (one for ask in asks for one in ask.scene.keep_outs if one.behind is not None)
        found |= {one.name: [] for one in hidden if one.surface.name in faces and one.name not in found}
    return found


def _nearest(asks: Sequence[Ask], things: dict[str, list[Obstacle]], best: Relaxed) -> list[str]:
    """Names of the things nearest to the place that the group as a whole would buy."""
    face = asks[0].faces[int(best.best.faces[0])]
    spot = shapely.Point(face.to_face(best.best.points[0]))

    def away(name: str) -> float:
        shapes = (level.shape for one in things[name] for level in one.levels)
        return min((shape.core.distance(spot) - shape.radius for shape in shapes), default=0.0)

    return sorted(things, key=away)[:MOST_THINGS]


def _best(loose: Spots, found: Spots, worth: float) -> Spots | None:
    """The best of the places that giving up a condition allows; None where that is no better than what was found, by an
    angle of `worth` radians if not else, or not as it should be with the window and the partner."""
    if len(loose) == 0:
        return None
    best = loose.take(loose.order[:1])
    if best.off[0] > 0.0 or best.uneven[0]:
        return None
    if len(found) == 0:
        return best
    had = found.take(found.order[:1])
    far = had.off[0] > 0.0 or had.uneven[0]
    grade, before = ((int(one.blocked[0]), int(one.chopped[0]), int(one.verdict[0])) for one in (best, had))
    better = far or grade < before or (grade == before and best.worst[0] < had.worst[0] - worth)
    return best if better else None
