"""What is other than it was between two readings of a scene, in words: what seats get, findings new and gone."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence

from earshed.model.finding import Finding
from earshed.model.pairs import Pair

MOST_LINES = 30
_FIGURES = re.compile(r"(?:\d+(?:[-/.]\d+)*(?:°|['\"]| (?:mm|cm|m)\b)\s*)+")
"""Angles and lengths in a message, as they are printed; a number without a unit may be part of a name."""


def changes(
    before: tuple[Sequence[Pair], Sequence[Finding]], after: tuple[Sequence[Pair], Sequence[Finding]]
) -> list[str]:
    """A line for each seat and speaker that changed, new verdicts first, and for each finding new or gone.

    Seats and speakers are known by their names. A finding whose figures alone changed is still the same.
    """
    (pairs_before, findings_before), (pairs, findings) = before, after
    lines = [*_pair_changes(pairs_before, pairs), *_finding_changes(findings_before, findings)]
    left_out = len(lines) - MOST_LINES
    return lines if left_out <= 0 else [*lines[:MOST_LINES], f"and {left_out} more"]


def _pair_changes(before: Sequence[Pair], after: Sequence[Pair]) -> Iterator[str]:
    old, new = ({(pair.seat.name, pair.speaker.name): pair for pair in pairs} for pairs in (before, after))
    both = [(old[key], new[key]) for key in new if key in old]
    for first, second in sorted(both, key=lambda two: _verdict(two[0]) == _verdict(two[1])):
        angle, verdict = _arrow(_degrees(first), _degrees(second)), _arrow(_verdict(first), _verdict(second))
        if "->" in angle + verdict:
            yield f"{_called(second)}: {angle} degrees, {verdict}"
    yield from (f"new: {_told(pair)}" for key, pair in new.items() if key not in old)
    yield from (f"gone: {_told(pair)}" for key, pair in old.items() if key not in new)


def _finding_changes(before: Sequence[Finding], after: Sequence[Finding]) -> Iterator[str]:
    for word, findings, others in (("new", after, before), ("gone", before, after)):
        left = Counter(map(_kind, others))
        for finding in findings:
            if left[_kind(finding)]:
                left[_kind(finding)] -= 1
            else:
                yield f"{word} {finding.severity}: {finding.subject}: {finding.message}"


def _kind(finding: Finding) -> tuple[str, str, str, str]:
    return finding.severity, finding.rule, finding.subject, _FIGURES.sub("# ", finding.message)


def _arrow(before: str, after: str) -> str:
    return after if before == after else f"{before} -> {after}"


def _called(pair: Pair) -> str:
    return f"{pair.seat.name} / {pair.speaker.name}"


def _told(pair: Pair) -> str:
    return f"{_called(pair)}: {_degrees(pair)} degrees, {_verdict(pair)}"


def _degrees(pair: Pair) -> str:
    return f"{math.degrees(pair.off_axis):.1f}"


def _verdict(pair: Pair) -> str:
    return pair.verdict if pair.visible else f"{pair.verdict} (blocked)"
