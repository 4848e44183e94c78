"""Two scenes held against each other, before and after: seats, signals, holes, parts, cables and all that moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from earshed.model.as_built import SpeakerChange
from earshed.model.compare.cables import RunChange, run_changes
from earshed.model.compare.holes import HoleChange, hole_changes
from earshed.model.compare.parts import PartChange, part_changes
from earshed.model.compare.seats import Given, SeatChange, SeatSignal, together
from earshed.model.compare.signals import Signal, match_signals
from earshed.model.compare.things import ThingChange, thing_changes
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.sound.balance import balances
from earshed.model.sound.decibels import spread
from earshed.model.sound.level import Drive


@dataclass(frozen=True, eq=False)
class SceneHeard:
    """One scene as it is heard: the pair that counts of each seat and signal, and how loud each speaker is at the
    reference position, dB by its name."""

    scene: Scene
    best: tuple[Pair, ...]
    references: Mapping[str, float]

    def given(self, seat: str, speakers: Sequence[object]) -> Given | None:
        """What a seat gets of a signal that some speakers carry; None where it is not there, or they are not."""
        for one in self.best:
            if one.seat.name == seat and any(one.speaker is speaker for speaker in speakers):
                return Given(one, one.level - self.references[one.speaker.name])
        return None

    def spread(self, speakers: Sequence[object]) -> float | None:
        """From the softest to the loudest main seat, dB, of a signal that some speakers carry; None without them."""
        levels = [
            one.level
            for one in self.best
            if one.seat in main_seats(self.scene.seats) and any(one.speaker is speaker for speaker in speakers)
        ]
        return float(spread(levels)) if levels else None


@dataclass(frozen=True, eq=False)
class Evenness:
    """How far a signal spreads over the main seats in two scenes, dB; None where one of them has it not."""

    signal: Signal
    before: float | None
    after: float | None


@dataclass(frozen=True, eq=False)
class BeforeAfter:
    """Everything that is other between two scenes, and what the seats get in both.

    `signals` are of the speakers with a coverage verdict; `speakers` are all, subwoofers too.
    """

    before: Scene
    after: Scene
    signals: tuple[Signal, ...]
    speakers: tuple[SpeakerChange, ...]
    given: tuple[SeatSignal, ...]
    evenness: tuple[Evenness, ...]
    holes: tuple[HoleChange, ...]
    parts: tuple[PartChange, ...]
    runs: tuple[RunChange, ...]
    things: tuple[ThingChange, ...]

    @cached_property
    def seats(self) -> tuple[SeatChange, ...]:
        """Each seat over all signals."""
        return together(self.given)

    @property
    def main(self) -> tuple[SeatSignal, ...]:
        return tuple(one for one in self.given if one.main)

    @property
    def main_seats(self) -> tuple[SeatChange, ...]:
        return tuple(one for one in self.seats if one.main)

    @property
    def changed(self) -> tuple[Signal, ...]:
        """The signals that other speakers play, or the same ones otherwise placed, aimed or of another type."""
        return tuple(signal for signal in self.signals if not signal.same)

    @property
    def same(self) -> bool:
        """Whether nothing at all is other."""
        parts = all(part.before == part.after for part in self.parts)
        runs = all(run.change == "same" for run in self.runs)
        return all(one.same for one in self.speakers) and parts and runs and not self.things


def before_after(before: tuple[Scene, Sequence[Pair]], after: tuple[Scene, Sequence[Pair]]) -> BeforeAfter:
    """Two scenes, each with its seat_pairs, held against each other."""
    then, now = _heard(*before), _heard(*after)
    old, new = then.scene, now.scene
    signals = match_signals(old.judged, new.judged)
    speakers = tuple(one for signal in match_signals(old.speakers, new.speakers) for one in signal.speakers)
    mains = {seat.name for scene in (old, new) for seat in main_seats(scene.seats)}
    seats = {seat.name: seat.chair for seat in (*new.seats, *old.seats)}
    given = [
        SeatSignal(seat, chair, seat in mains, signal, then.given(seat, signal.before), now.given(seat, signal.after))
        for seat, chair in seats.items()
        for signal in signals
    ]
    return BeforeAfter(
        old,
        new,
        signals,
        speakers,
        tuple(one for one in given if one.before or one.after),
        tuple(Evenness(one, then.spread(one.before), now.spread(one.after)) for one in signals),
        hole_changes(old, new),
        part_changes(old.speakers, new.speakers),
        run_changes(old, new, speakers),
        thing_changes(old, new),
    )


def _heard(scene: Scene, pairs: Sequence[Pair]) -> SceneHeard:
    found = balances(scene, Drive()) if scene.seats else []
    return SceneHeard(scene, tuple(best_of_seats(pairs)), {one.speaker.name: one.reference.speech for one in found})
