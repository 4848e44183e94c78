"""What has to be bought for one scene that the other has not, and what is left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType


@dataclass(frozen=True)
class PartChange:
    """How many of a type two scenes have. Types of one name whose facts differ are two."""

    type: SpeakerType
    before: int
    after: int

    @property
    def to_buy(self) -> int:
        return max(0, self.after - self.before)

    @property
    def left_over(self) -> int:
        return max(0, self.before - self.after)


def part_changes(before: Sequence[Speaker], after: Sequence[Speaker]) -> tuple[PartChange, ...]:
    """Every type that is placed in either scene, those of the second first, each in the order of its first speaker."""
    kinds: list[SpeakerType] = []
    for speaker in (*after, *before):
        if speaker.type not in kinds:
            kinds.append(speaker.type)
    return tuple(PartChange(kind, _count(kind, before), _count(kind, after)) for kind in kinds)


def _count(kind: SpeakerType, speakers: Sequence[Speaker]) -> int:
    return sum(speaker.type == kind for speaker in speakers)
