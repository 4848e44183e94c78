"""Where framing members are along a tape pulled square to them: by spacing, put right by those found on site.

Members drift from their spacing, so between two whose places are known (the first one taped, and those found) the ones
counted are spread evenly; beyond the last one the spacing is carried on from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from earshed.model.units import INCH

USUAL_WITHIN = INCH / 4
"""Metres by which a member may be off where it is counted by spacing, or read by a stud finder. Common practice, no
source: finders read edges, and to about this."""
HOW_SURE: dict[str, float] = {"seen": INCH / 16, "probed": INCH / 8, "scanned": INCH / 4, "assumed": INCH / 2}
"""Metres by which a found member may be off, by how it was found. Common practice, no source."""
SAME_MEMBER = 1 / 3
"""Share of the spacing within which a found member is the one that was counted there, not another between two."""

EDGE = 1e-9
"""Metres from the end of the tape at which a member is no longer behind the face."""


@dataclass(frozen=True)
class MemberMark:
    """A member's center `at` on the tape, its `thickness`, and how far off it may be; metres."""

    at: float
    thickness: float
    within: float
    found: bool = False


def member_marks(
    length: float,
    *,
    thickness: float,
    within: float,
    spacing: float | None,
    first: float | None,
    found: Sequence[MemberMark],
) -> list[MemberMark]:
    """The members along a tape of `length` metres, in order; without a spacing, only those that were found.

    Where nothing was found they stand at `first`, `first` + `spacing` and so on. Without a `first` they are counted
    both ways from those found. Raises ValueError for a spacing with neither.
    """
    found = sorted(found, key=lambda mark: mark.at)
    marks = list(found)
    if spacing is not None:
        known = [mark.at for mark in _on_the_run(found, spacing, first)]
        counted = [] if first is None or _is_told(first, known, spacing) else [first]
        known = sorted([*known, *counted])
        if not known:
            raise ValueError("a spacing needs a first member, or one that was found")
        for low, high in pairwise(known):
            steps = max(1, round((high - low) / spacing))
            counted += [low + step * (high - low) / steps for step in range(1, steps)]
        counted += _counted(known[-1], length, spacing)
        if first is None:
            counted += _counted(known[0], 0.0, -spacing)
        marks += [MemberMark(at, thickness, within) for at in counted]
    return sorted((mark for mark in marks if 0 <= mark.at < length - EDGE), key=lambda mark: mark.at)


def _on_the_run(found: Sequence[MemberMark], spacing: float, first: float | None) -> list[MemberMark]:
    """The found members that stand where a counted one would; the others stand between two."""
    run: list[MemberMark] = []
    start = first
    for mark in found:
        steps = 0.0 if start is None else (mark.at - start) / spacing
        if abs(steps - round(steps)) <= SAME_MEMBER and (not run or round(steps) >= 1):
            run.append(mark)
            start = mark.at
    return run


def _is_told(first: float, known: Sequence[float], spacing: float) -> bool:
    """Whether found members, in order, say where the first one is, by being it or by standing on both sides of it."""
    if not known:
        return False
    return known[0] - SAME_MEMBER * spacing <= first <= known[-1] + SAME_MEMBER * spacing


def _counted(start: float, end: float, step: float) -> list[float]:
    """Places past `start` by steps, as far as `end`."""
    return [start + number * step for number in range(1, int((end - start) / step + 1e-9) + 1)]
