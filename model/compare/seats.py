"""What each seat gets of each signal in two scenes, and of all of them together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.compare.signals import Signal
from earshed.model.pairs import Pair

Mark = Literal["covered", "fringe", "outside", "blocked"]
Change = Literal["better", "worse", "nearer", "farther", "other", "same", "new", "gone"]

RANKS: Mapping[Mark, int] = {"covered": 0, "fringe": 1, "outside": 2, "blocked": 2}
"""How good a mark is: what is not seen serves no better than from outside its coverage."""
ALIKE = math.radians(0.5)
"""Radians under which an angle is called as before."""
SWAPPED: Mapping[Change, Change] = {
    "better": "worse", "worse": "better", "nearer": "farther", "farther": "nearer", "other": "other", "same": "same",
    "new": "gone", "gone": "new",
}  # fmt: skip
"""What each change is called where before and after change places."""


@dataclass(frozen=True, eq=False)
class Given:
    """What a seat gets of a signal in one scene: the pair that counts, and how loud its speaker is there against the
    reference position, dB over the bands of speech."""

    pair: Pair
    level: float

    @property
    def mark(self) -> Mark:
        return self.pair.verdict if self.pair.visible else "blocked"


@dataclass(frozen=True, eq=False)
class SeatSignal:
    """A seat and a signal in two scenes; None where one of them has not both. `chair` is the seat upright."""

    seat: str
    chair: str
    main: bool
    signal: Signal
    before: Given | None
    after: Given | None

    @property
    def turned(self) -> float | None:
        """Radians by which the seat is further off axis; None where there are not two angles."""
        return self.after.pair.off_axis - self.before.pair.off_axis if self.before and self.after else None

    @property
    def louder(self) -> float | None:
        """dB by which it is louder against the reference position; None where there are not two levels."""
        return self.after.level - self.before.level if self.before and self.after else None

    @property
    def change(self) -> Change:
        """What became of it: another verdict first, then the angle where that differs by what one would tell."""
        if self.before is None or self.after is None:
            return "new" if self.before is None else "gone"
        then, now = RANKS[self.before.mark], RANKS[self.after.mark]
        if then != now:
            return "better" if now < then else "worse"
        if self.before.mark != self.after.mark:
            return "other"
        turned = self.after.pair.off_axis - self.before.pair.off_axis
        if abs(turned) < ALIKE:
            return "same"
        return "nearer" if turned < 0 else "farther"

    @property
    def words(self) -> str:
        """The change in words: "now covered", "still outside, 12 degrees nearer", "worse: was covered"."""
        then, now = (given.mark if given else "" for given in (self.before, self.after))
        match self.change:
            case "new":
                return f"new: {now}"
            case "gone":
                return "taken out"
            case "better":
                return f"now {now}"
            case "worse":
                return f"worse: was {then}"
            case "other":
                return f"now {now}, was {then}"
            case "same":
                return "as before"
        degrees = max(1, round(abs(math.degrees(self.turned or 0.0))))
        return f"still {now}, {degrees} degree{'' if degrees == 1 else 's'} {self.change}"


@dataclass(frozen=True)
class Gets:
    """What a seat gets of all signals of one scene: how many it is covered by, on the fringe of, and left out by."""

    covered: int
    fringe: int
    outside: int

    @property
    def signals(self) -> int:
        return self.covered + self.fringe + self.outside

    @property
    def served(self) -> int:
        """Signals within whose coverage limit it is, with nothing in the way."""
        return self.covered + self.fringe

    @property
    def verdict(self) -> Literal["covered", "fringe", "outside"]:
        """The worst that it gets."""
        if self.outside:
            return "outside"
        return "fringe" if self.fringe else "covered"

    @property
    def order(self) -> tuple[int, int, int]:
        """Greater is worse: its verdict, then by how many it is left out, then on the fringe of how many it is."""
        return RANKS[self.verdict], self.outside, self.fringe


@dataclass(frozen=True)
class SeatChange:
    """A seat and all signals together in two scenes, both postures where it reclines; None where one of the scenes has
    no such seat, or nothing to judge. `shared` is what it gets of the signals that both have, before and after."""

    seat: str
    main: bool
    before: Gets | None
    after: Gets | None
    shared: tuple[Gets, Gets] | None = None

    @property
    def change(self) -> Literal["better", "worse", "same", "new", "gone"]:
        """What became of it by the signals that both scenes have: one taken out does no seat any good, and a new one
        no harm."""
        if self.before is None or self.after is None:
            return "new" if self.before is None else "gone"
        if self.shared is None or self.shared[0].order == self.shared[1].order:
            return "same"
        return "better" if self.shared[1].order < self.shared[0].order else "worse"


def together(found: Sequence[SeatSignal]) -> tuple[SeatChange, ...]:
    """Each seat over all its signals, in the order in which seats first come."""
    changes = []
    for chair in dict.fromkeys(one.chair for one in found):
        mine = [one for one in found if one.chair == chair]
        before = _gets([(one.signal, one.before) for one in mine])
        after = _gets([(one.signal, one.after) for one in mine])
        both = [one for one in mine if one.signal.in_both]
        then, now = _gets([(one.signal, one.before) for one in both]), _gets([(one.signal, one.after) for one in both])
        shared = (then, now) if then is not None and now is not None else None
        changes.append(SeatChange(chair, mine[0].main, before, after, shared))
    return tuple(changes)


def _gets(given: Sequence[tuple[Signal, Given | None]]) -> Gets | None:
    """All that a seat gets of some signals, of each what it gets in its worse posture; None for nothing."""
    worst: dict[Signal, int] = {}
    for signal, one in given:
        if one is not None:
            worst[signal] = max(RANKS[one.mark], worst.get(signal, 0))
    counts = [list(worst.values()).count(rank) for rank in range(3)]
    return Gets(*counts) if worst else None


def lags(seat: Gets, others: Sequence[Gets]) -> bool:
    """Whether a seat gets a worse verdict than the best of some."""
    return RANKS[seat.verdict] > min((RANKS[one.verdict] for one in others), default=0)
