"""Which one condition to give up where nothing fits, or where it costs much, and what that would buy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from earshed.model.obstacle import obstacles_on
from earshed.model.search.ask import STEP, Ask, Mirror
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots

LOOSE_STEP = 2 * STEP
"""Metres of the grid on which it is tried: fine enough to tell what it would buy."""
SAME = 3
"""Decimals of a radian to which two answers are as good; the condition that costs less to give up then comes first."""
MOST_THINGS = 24
"""Single things that are tried by name, the ones first that hold up most places."""
OBSTACLES = ("framing", "hidden", "openings", "screen", "boxes", "fixtures", "speakers", "old holes")
"""Groups of what is in the way and might be moved, worked round or given less; edges of a face can not."""
NAMED_GROUPS = ("fixtures", "hidden", "speakers", "old holes", "boxes")
"""Groups of things that one might move one by one."""


@dataclass(frozen=True, eq=False)
class Relaxed:
    """A condition given up, and the best that it then allows: its seat served worst (radians), and whether all is as it
    should be with the window and the partner."""

    condition: str
    best: Spots

    @property
    def worst(self) -> float:
        return float(self.best.worst[0])

    @property
    def in_window(self) -> bool:
        return bool(self.best.off[0] == 0.0)


def what_would_help(ask: Ask) -> Iterator[Relaxed]:
    """Each single condition that, given up, lets a speaker be cut where its channel may be heard and its partner is
    matched, with the best that it buys; the best first."""
    found = []
    for condition in conditions_of(ask):
        loose = replace(ask, relaxed=ask.relaxed | {condition})
        spots = Search(loose, LOOSE_STEP).finish()
        if len(spots):
            best = spots.take(spots.order[:1])
            if best.off[0] == 0.0 and not best.uneven[0]:
                found.append(Relaxed(condition, best))
    yield from sorted(found, key=lambda one: (one.best.verdict[0], round(one.worst, SAME)))


def what_would_help_both(first: Ask, second: Ask, mirror: Mirror, slack: float) -> Iterator[Relaxed]:
    """As `what_would_help`, for two partners; "partner" given up lets the second be 6 in off the mirror image."""
    found = []
    for condition in dict.fromkeys((*conditions_of(first), *conditions_of(second), "partner")):
        one, other = (replace(ask, relaxed=ask.relaxed | {condition}) for ask in (first, second))
        wide = max(slack, 12 * STEP) if condition == "partner" else slack
        twins = PairSearch(one, other, mirror, wide, LOOSE_STEP).finish()
        if len(twins.both):
            best = twins.both.take(twins.both.order[:1])
            if best.off[0] == 0.0 and not best.uneven[0]:
                found.append(Relaxed(condition, best))
    yield from sorted(found, key=lambda one: (one.best.verdict[0], round(one.worst, SAME)))


def conditions_of(ask: Ask) -> Sequence[str]:
    """The conditions that an ask has at all, the ones that cost least to give up first: what one can measure or turn,
    what one may decide, single things that one might move, then all of a kind; framing last."""
    obstacles = [one for face in ask.faces for one in obstacles_on(ask.scene, face, ask.others)]
    groups = {one.group for one in obstacles}
    there = ["tolerance"]
    there += ["clamps"] if groups & {"framing", "hidden"} else []
    there += ["alignment"] if ask.lines else []
    there += ["partner"] if ask.partner is not None else []
    there += ["azimuth", "elevation"] if ask.window is not None else []
    named: dict[str, None] = {}
    for group in NAMED_GROUPS:
        things = {one.name for one in obstacles if one.group == group}
        named |= dict.fromkeys(sorted(things)) if len(things) > 1 else {}
    there += [*list(named)[:MOST_THINGS], *(name for name in OBSTACLES if name in groups), "depth"]
    order = [*(name for name in there if name != "framing"), *(name for name in there if name == "framing")]
    return [name for name in order if name not in ask.relaxed]


def ideal(ask: Ask) -> Spots:
    """The best place that there would be with nothing on or behind the faces in the way, on a coarse grid; their edges
    and the window stay."""
    free = replace(ask, relaxed=ask.relaxed | set(OBSTACLES) | {"depth", "alignment", "partner"})
    spots = Search(free, LOOSE_STEP).finish()
    return spots.take(spots.order[:1])
