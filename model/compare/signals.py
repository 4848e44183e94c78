"""Which speakers of one scene stand for which of another: by channel first, then by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from earshed.model.as_built import SpeakerChange
from earshed.model.channel import Channel
from earshed.model.speaker import Speaker

Key = tuple[str, str]
Groups = dict[Key, tuple[Speaker, ...]]


@dataclass(frozen=True, eq=False)
class Signal:
    """One channel, or one speaker without a channel, in two scenes: its speakers in each, none where it is missing."""

    before: tuple[Speaker, ...]
    after: tuple[Speaker, ...]

    @property
    def channel(self) -> Channel | None:
        """Its channel; where that is another in the second scene, the one there."""
        return (self.after or self.before)[0].channel

    @property
    def key(self) -> str:
        """What it is known by: its channel's label, or the name of its speaker."""
        return self.channel.label if self.channel else (self.after or self.before)[0].name

    @property
    def called(self) -> str:
        """What people call it: its channel in plain words, or the name of its speaker."""
        return self.channel.words if self.channel else self.key

    @property
    def in_both(self) -> bool:
        return bool(self.before and self.after)

    @property
    def speakers(self) -> tuple[SpeakerChange, ...]:
        """Its speakers before and after: those of one name together, the rest in their order, under the later name."""
        there = {one.name: one for one in self.before}
        here = {one.name: one for one in self.after}
        kept = [SpeakerChange(name, there[name], here[name]) for name in here if name in there]
        old = [one for name, one in there.items() if name not in here]
        new = [one for name, one in here.items() if name not in there]
        rest = [SpeakerChange((b or a).name, a, b) for a, b in zip_longest(old, new)]
        return (*kept, *rest)

    @property
    def same(self) -> bool:
        """Whether the same speakers play it, as they did."""
        return all(one.same for one in self.speakers)


def match_signals(before: Sequence[Speaker], after: Sequence[Speaker]) -> tuple[Signal, ...]:
    """The signals of the speakers of two scenes: those of the second in its order, then those that are gone.

    What is on no channel of the other scene stands for what has a speaker of the same name there.
    """
    there, here = _by_channel(before), _by_channel(after)
    partners = {key: key for key in here if key in there}
    free = [key for key in there if key not in here]
    for key, speakers in here.items():
        if key not in partners and (partner := _named_alike(speakers, {one: there[one] for one in free})):
            partners[key] = partner
            free.remove(partner)
    met = [Signal(there[partners[key]] if key in partners else (), speakers) for key, speakers in here.items()]
    return (*met, *(Signal(there[key], ()) for key in free))


def _by_channel(speakers: Sequence[Speaker]) -> Groups:
    """Speakers by the signal that they carry, which without a channel is their own."""
    groups: dict[Key, list[Speaker]] = {}
    for one in speakers:
        groups.setdefault(("channel", one.channel.label) if one.channel else ("name", one.name), []).append(one)
    return {key: tuple(group) for key, group in groups.items()}


def _named_alike(speakers: Sequence[Speaker], others: Groups) -> Key | None:
    """The first of some other signals that has a speaker by the name of one of these."""
    names = {one.name for one in speakers}
    return next((key for key, group in others.items() if names & {one.name for one in group}), None)
