"""All that a mark-out says of one hole, as rows of a name and its words: for tables and pages alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut, tapes_at
from earshed.model.mark_out.strings import String, Twin
from earshed.model.search.place import Place
from earshed.model.units import format_length
from earshed.viewer.aim_words import landing_words, rim_words, turning_words
from earshed.viewer.hole_words import hole_words
from earshed.viewer.markout_words import (
    along_from,
    along_words,
    board_words,
    check_words,
    depth_words,
    downhill_words,
    floor_words,
    light_words,
    old_words,
    room_words,
    square_from,
    square_name,
    square_words,
    wood_words,
)

Row = tuple[str, str]


@dataclass(frozen=True, eq=False)
class HoleRows:
    """What is to be known at one hole, in the order in which one needs it: `tapes` place it, `checks` prove it, `near`
    tells what is round it, `speaker` what goes in, and how it is turned."""

    tapes: tuple[Row, ...]
    checks: tuple[Row, ...]
    near: tuple[Row, ...]
    speaker: tuple[Row, ...]

    @property
    def all(self) -> tuple[Row, ...]:
        return (*self.tapes, *self.checks, *self.near, *self.speaker)


def hole_rows(made: MarkOut, mark: HoleMark, second: Place | None) -> HoleRows:
    """The rows of one hole; `second` is where it goes if the test hole hits something."""
    return HoleRows(
        tuple(_tape_rows(made, mark)),
        tuple(_check_rows(made, mark)),
        tuple(_near_rows(made, mark, second)),
        tuple(_speaker_rows(made, mark)),
    )


def _tape_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    tapes, ruler = mark.tapes, made.ruler
    yield square_name(tapes), square_words(tapes, ruler)
    yield "level" if tapes.base.is_level else "along", along_words(tapes, ruler)
    if mark.hole.surface.kind != "wall":
        yield "floor", floor_words(mark.floor, ruler)


def _check_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    for string in made.strings:
        other = string.other if string.one is mark else string.one
        if mark in (string.one, string.other):
            how = "diagonal" if string.is_diagonal else "string"
            yield how, f"{made.ruler.text(string.length)} to the center of {other.speaker.name}"
    yield from check_words(mark.tapes, made.ruler)


def _near_rows(made: MarkOut, mark: HoleMark, second: Place | None) -> Iterator[Row]:
    ruler = made.ruler
    yield "wood", wood_words(mark, ruler)
    yield "light", light_words(mark, ruler)
    yield "room to move", room_words(mark, ruler)
    sweep = format_length(mark.sweep, ruler.units)
    yield "test hole", f"a pilot hole at the center first; a bent wire swept round finds {sweep} free all round"
    yield "if you hit something", second_words(made, mark, second)


def _speaker_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    units, speaker = made.ruler.units, mark.speaker
    yield "cut", f"{speaker.type.name}: {hole_words(speaker, units)}"
    if mark.old is not None:
        yield "old hole", old_words(mark, units)
    yield "depth", depth_words(mark, units)
    yield "board", board_words(mark, units)
    if speaker.has_verdict and (mark.rim is not None or mark.turn is not None):
        yield "turn", ", ".join(filter(None, (turning_words(speaker), downhill_words(mark))))
        if mark.rim is not None:
            yield "rim", rim_words(mark.rim, made.ruler.text)
        yield "lands on", landing_words(mark.lands, made.ruler.text)


def second_words(made: MarkOut, mark: HoleMark, second: Place | None) -> str:
    """The second choice by the same tapes, and what it gives."""
    if second is None:
        return "within the room to move; no second place a foot away was found"
    face = second.speaker.surface
    tapes = tapes_at(made.scene, second.speaker, made.wish)
    assert face is not None
    at = along_from(tapes) if tapes.on_start else f"{made.ruler.text(tapes.along)} {along_from(tapes)}"
    where = f"{made.ruler.text(tapes.square)} {square_from(tapes)}; {at}"
    face_words = "" if face.name == mark.hole.surface.name else f", in {face.called}"
    return f"{where}{face_words}; worst seat {second.worst.verdict}"


def string_words(string: String, made: MarkOut) -> str:
    """A string with its two ends."""
    return f"{made.ruler.text(string.length)} from {string.one.speaker.name} to {string.other.speaker.name}"


def twin_words(twin: Twin, made: MarkOut) -> str:
    """How two partners mirror each other about the picture's center line."""
    text = made.ruler.text
    names = f"{twin.one.speaker.name} and {twin.other.speaker.name}"
    sides = [text(side) for side in twin.from_center]
    if twin.is_mirror:
        return f"{names}: mirror images, each {sides[0]} from the picture's center line"
    told = [f"{sides[0]} and {sides[1]} from the picture's center line"]
    if text(abs(twin.ahead)) != text(0.0):
        told.append(f"the second {text(abs(twin.ahead))} {'farther forward' if twin.ahead > 0 else 'farther back'}")
    if text(abs(twin.higher)) != text(0.0):
        told.append(f"the second {text(abs(twin.higher))} {'higher' if twin.higher > 0 else 'lower'}")
    return f"{names}: no mirror images: {', '.join(told)}"
