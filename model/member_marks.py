"""Where framing members are along a tape pulled square to them: by spacing, put right by those found on site.

Members drift from their spacing, so between two that were found the ones counted are spread evenly, and beyond the
last one the spacing is carried on from there.
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

    Where nothing was found they stand at `first`, `first` + `spacing` and so on.
    """
    found = sorted(found, key=lambda mark: mark.at)
    if spacing is None:
        return [mark for mark in found if 0 <= mark.at < length]
    run, extra = _on_the_run(found, spacing, first)
    marks = [*extra, *run]
    anchors = [mark.at for mark in run] if run else [first if first is not None else 0.0]
    counted = [
        low + step * (high - low) / steps for low, high, steps in _gaps(anchors, spacing) for step in range(1, steps)
    ]
    counted += _onwards(anchors[-1], spacing, length)
    if run:
        start = -spacing / 2 if first is None else min(first, anchors[0]) - SAME_MEMBER * spacing
        counted += [at for at in _backwards(anchors[0], spacing) if at >= max(start, 0.0)]
    else:
        counted.append(anchors[0])
    marks += [MemberMark(at, thickness, within) for at in counted]
    return sorted((mark for mark in marks if 0 <= mark.at < length - EDGE), key=lambda mark: mark.at)


def _on_the_run(
    found: Sequence[MemberMark], spacing: float, first: float | None
) -> tuple[list[MemberMark], list[MemberMark]]:
    """The found members that stand where a counted one would, and the others, which stand between two."""
    run: list[MemberMark] = []
    extra: list[MemberMark] = []
    start = first
    for mark in found:
        steps = 0.0 if start is None else (mark.at - start) / spacing
        fits = abs(steps - round(steps)) <= SAME_MEMBER and (not run or round(steps) >= 1)
        (run if fits else extra).append(mark)
        if fits:
            start = mark.at
    return run, extra


def _gaps(anchors: Sequence[float], spacing: float) -> list[tuple[float, float, int]]:
    return [(low, high, max(1, round((high - low) / spacing))) for low, high in pairwise(anchors)]


def _onwards(start: float, spacing: float, length: float) -> list[float]:
    return [start + step * spacing for step in range(1, int((length - start) / spacing + 1e-9) + 1)]


def _backwards(start: float, spacing: float) -> list[float]:
    return [start - step * spacing for step in range(1, int(start / spacing + 1e-9) + 1)]
