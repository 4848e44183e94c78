"""What was changed, thing by thing, in a few words each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.aim import AtSeats, Straight
from earshed.model.as_built import SAME_AIM, SpeakerChange
from earshed.model.compare.things import thing_changes
from earshed.model.editing.aiming import FREE
from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.geometry import angle_between
from earshed.model.heading import heading_words
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.speaker import Speaker
from earshed.model.units import format_angle, format_length

_PLAINLY = ("speakers", "seats", "fixtures", "openings", "risers", "screen", "room", "listening_plane")
"""Sections of which the scenes themselves tell what changed."""


@dataclass(frozen=True)
class Line:
    """What became of one thing."""

    name: str
    words: str

    def __str__(self) -> str:
        return f"{self.name}: {self.words}"


def changes_in_words(before: Scene, after: Scene, changes: Changes = NO_CHANGES) -> tuple[Line, ...]:
    """A line for each thing that is other in `after`, speakers first.

    Of what the scenes do not show, as where framing runs, `changes` tell that it changed.
    """
    return tuple(
        dict.fromkeys((*_speakers(before, after), *_things(before, after), *_plane(before, after), *_rest(changes)))
    )


def _speakers(before: Scene, after: Scene) -> Iterator[Line]:
    old, new = ({speaker.name: speaker for speaker in one.speakers} for one in (before, after))
    for name in dict.fromkeys([*old, *new]):
        words = _speaker_words(SpeakerChange(name, old.get(name), new.get(name)), before, after)
        if words:
            yield Line(name, words)


def _speaker_words(change: SpeakerChange, before: Scene, after: Scene) -> str:
    then, now = change.before, change.after
    if then is None or now is None:
        return f"new, {now.type.name}" if now else "taken out"
    told = []
    if change.retyped:
        told.append(f"now {now.type.name}" if now.type.name != then.type.name else "its type is otherwise described")
    if change.moved > 1e-6:
        told.append(change.way_words(after.print_units))
        if then.surface and now.surface and then.surface.name != now.surface.name:
            told[-1] += f", on {now.surface.called}"
    if change.rewired:
        told.append(f"carries {now.channel.words}" if now.channel else "carries no channel any more")
    if now.type.mount in FREE and then.type.mount in FREE and float(angle_between(then.normal, now.normal)) > SAME_AIM:
        told.append(f"faces {heading_words(now.normal)}")
    if _aimed(then, before) != _aimed(now, after) and not (now.type.mount in FREE and now.tilt < SAME_AIM):
        told.append(_aimed(now, after))
    return ", ".join(told)


def _aimed(speaker: Speaker, scene: Scene) -> str:
    """How it is aimed, as one says it. What a type cannot turn is not told."""
    match speaker.aim:
        case AtSeats(names):
            if set(names) == {seat.name for seat in main_seats(scene.seats)}:
                return "turned to the main seats"
            if set(names) == {seat.name for seat in scene.seats}:
                return "turned to all seats"
            return f"turned to {names[0]}"
        case Straight():
            return "straight"
    return f"leans {format_angle(speaker.tilt)}, pointing {heading_words(speaker.axis)}"


def _things(before: Scene, after: Scene) -> Iterator[Line]:
    for change in thing_changes(before, after):
        yield Line(change.name, change.words(after.print_units))


def _plane(before: Scene, after: Scene) -> Iterator[Line]:
    then, now = (format_length(scene.plane.height, after.print_units) for scene in (before, after))
    if then != now:
        yield Line("listening plane", f"at {now}, before at {then}")


def _rest(changes: Changes) -> Iterator[Line]:
    for section, name in changes.things:
        if section not in _PLAINLY:
            called = section.replace("_", " ")
            yield Line(name or called, f"{called} changed" if name else "changed")
    known = {name for _, name in changes.things}
    yield from (Line(name, "taken out") for name in changes.removed if name not in known)
