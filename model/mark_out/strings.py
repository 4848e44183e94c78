"""Checks between holes: strings from center to center, and whether partners mirror each other about the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.scene import Scene
from earshed.model.search.ask import picture_mirror
from earshed.model.search.asking import units_of


@dataclass(frozen=True, eq=False)
class String:
    """A string from center to center, metres through the air, which across a ridge is shorter than along the faces."""

    one: HoleMark
    other: HoleMark
    length: float
    is_diagonal: bool

    @property
    def names(self) -> tuple[str, str]:
        return self.one.speaker.name, self.other.speaker.name


@dataclass(frozen=True, eq=False)
class Twin:
    """Two partners: metres of each from the mirror plane, how far the second is off the mirror image of the first along
    the picture's way and in height."""

    one: HoleMark
    other: HoleMark
    from_center: tuple[float, float]
    ahead: float
    higher: float

    @property
    def names(self) -> tuple[str, str]:
        return self.one.speaker.name, self.other.speaker.name

    @property
    def is_mirror(self) -> bool:
        """Whether they mirror each other to a hundredth of an inch or so."""
        return max(abs(self.from_center[0] - self.from_center[1]), abs(self.ahead), abs(self.higher)) < EVEN


EVEN = 0.0005
"""Metres within which two holes mirror each other: half of the finest step of a tape."""


def twins(scene: Scene, marks: Sequence[HoleMark]) -> list[Twin]:
    """The partners among some holes, the left one first."""
    mirror = picture_mirror(scene)
    by_name = {one.speaker.name: one for one in marks}
    found = []
    for unit in units_of(scene, [one.speaker for one in marks]):
        if len(unit) == 2:
            one, other = (by_name[speaker.name] for speaker in unit)
            here, there = one.hole.center, other.hole.center
            sides = (float(mirror.left_of(here)), float(mirror.left_of(there)))
            step = there - here
            ahead = float(step[:2] @ mirror.run)
            found.append(Twin(one, other, (abs(sides[0]), abs(sides[1])), ahead, float(step[2])))
    return found


def strings(pairs: Sequence[Twin]) -> list[String]:
    """One between each pair of partners, and both diagonals between every two pairs that are on the same kind of face,
    ceilings or walls; none where one of a pair is in a wall and the other in the ceiling."""
    alike = [pair for pair in pairs if _in_wall(pair.one) == _in_wall(pair.other)]
    found = [_string(pair.one, pair.other, is_diagonal=False) for pair in alike]
    for first, second in combinations(alike, 2):
        if _in_wall(first.one) == _in_wall(second.one):
            found.append(_string(first.one, second.other, is_diagonal=True))
            found.append(_string(first.other, second.one, is_diagonal=True))
    return found


def _in_wall(mark: HoleMark) -> bool:
    return mark.hole.surface.kind == "wall"


def _string(one: HoleMark, other: HoleMark, *, is_diagonal: bool) -> String:
    length = float(np.linalg.norm(other.hole.center - one.hole.center))
    return String(one, other, length, is_diagonal)
