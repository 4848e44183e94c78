"""From where the level tape of each hole is pulled, chosen for all holes together.

Partners begin alike where they can, so that an error there moves both, and so do holes in a row: at the picture's
center line, where a laser serves them all, else at one wall. Only then at what else there is: a wall of its own, a
corner of the base, the side of a beam or a box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from earshed.model.mark_out.datum import Start
from earshed.model.mark_out.hung import Hung, is_named
from earshed.model.search.asking import units_of

SAME_WAY = 0.01
"""Radians within which two bases run the same way."""
Rank = tuple[int, int, float, int]


def chosen_starts(hung: Sequence[Hung], wish: str | None) -> list[Start]:
    """A start for each hole, in their order: the one wished for where it has that, else the best."""
    groups = _same_way(hung)
    return [meant(one, wish) or _best(one, _partners(one, hung), next(some for some in groups if one in some))
            for one in hung]  # fmt: skip


def meant(one: Hung, wish: str | None) -> Start | None:
    """The start of a hole that is wished for: at its own height before a corner, and on a slant last; then the nearer.

    Where there is no front wall, as under a hip, front is the front slope, and the like.
    """
    if not wish:
        return None
    found = [start for start in one.starts if is_named(start.name, wish) or start.what == wish == "center"]
    found = found or [start for start in one.starts if start.name == f"the {wish} slope"]
    return min(found, key=lambda start: (start.is_slanted, start.kind == "corner", one.length(start)), default=None)


def _same_way(hung: Sequence[Hung]) -> list[list[Hung]]:
    """Holes in groups, of ceilings or of walls, whose bases run the same way on the plan."""
    groups: list[list[Hung]] = []
    for one in hung:
        group = next((some for some in groups if _run_alike(some[0], one)), None)
        if group is None:
            groups.append([one])
        else:
            group.append(one)
    return groups


def _run_alike(one: Hung, other: Hung) -> bool:
    across = one.base.run[:2] @ np.array([other.base.run[1], -other.base.run[0]])
    same_kind = (one.hole.surface.kind == "wall") == (other.hole.surface.kind == "wall")
    return same_kind and bool(abs(across) < math.sin(SAME_WAY))


def _partners(one: Hung, hung: Sequence[Hung]) -> list[Hung]:
    """The hole, and that of its partner if its base runs the same way."""
    units = units_of(one.scene, one.scene.speakers)
    unit = next((unit for unit in units if any(speaker.name == one.hole.owner for speaker in unit)), ())
    names = {speaker.name for speaker in unit}
    others = [other for other in hung if other is not one and other.hole.owner in names]
    return [one, *(other for other in others if _run_alike(one, other))]


def _best(one: Hung, partners: Sequence[Hung], group: Sequence[Hung]) -> Start:
    return min(one.starts, key=lambda start: _rank(one, start, partners, group))


def _rank(one: Hung, start: Start, partners: Sequence[Hung], group: Sequence[Hung]) -> Rank:
    """Where a start stands among those of its hole, the least first; of like ones that which more holes of the group
    have, then that from which the longest tape is shortest."""
    shared = all(_like(other, start) for other in partners)
    among = group if shared and start.what == "wall" and start.kind == "edge" else partners
    lengths = [other.length(like) for other in among if (like := _like(other, start)) is not None]
    walls = [wall.name for wall in one.scene.room.plan.walls]
    wall = start.name.removeprefix("the ")
    turn = walls.index(wall) if wall in walls else len(walls)
    return _tier(start, shared=shared), -len(lengths), round(max(lengths), 3), turn


def _tier(start: Start, *, shared: bool) -> int:
    """How good a beginning is by itself; datums are for those who ask for them."""
    if start.what == "datum" or start.is_slanted:
        return 9
    if start.kind == "corner":
        return (5 if start.what == "wall" else 6) if shared else 8
    if shared:
        return {"center": 0, "wall": 1}.get(start.what, 2)
    return {"wall": 3, "center": 4}.get(start.what, 7)


def _like(one: Hung, start: Start) -> Start | None:
    """What a hole can begin at of the same name and kind, the nearest."""
    found = [other for other in one.starts if (other.name, other.kind) == (start.name, start.kind)]
    return min(found, key=one.length, default=None)
