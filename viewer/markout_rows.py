"""All that a mark-out says of one hole, as rows of a name and its words: for tables and pages alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.mark_out.datum import center_name
from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut, tapes_at
from earshed.model.mark_out.strings import String, Twin
from earshed.model.search.place import Place
from earshed.viewer.aim_words import landing_words, rim_words, turning_words
from earshed.viewer.markout_words import (
    behind_words,
    depth_words,
    downhill_words,
    facing_words,
    floor_words,
    light_words,
    old_words,
    room_words,
    sweep_words,
    wood_words,
)
from earshed.viewer.tape_words import (
    TapeWords,
    across_words,
    along_from,
    corner_words,
    footing_words,
    square_from,
    tape_words,
)
from earshed.viewer.wording import with_degree_signs

Row = tuple[str, str]


@dataclass(frozen=True, eq=False)
class HoleRows:
    """What is to be known at one hole, in the order in which one needs it: `tapes` place it, `more` tells of the plumb
    mark, what proves it, what is round and behind it, and how the speaker is turned."""

    tapes: tuple[TapeWords, TapeWords]
    more: tuple[Row, ...]

    @property
    def all(self) -> tuple[Row, ...]:
        return (*((one.name, one.line) for one in self.tapes), *self.more)


def hole_rows(made: MarkOut, mark: HoleMark, second: Place | None) -> HoleRows:
    """The rows of one hole; `second` is where it goes if the test hole hits something."""
    more = (
        *_care_rows(made, mark),
        *_check_rows(made, mark),
        *_near_rows(made, mark, second),
        *_speaker_rows(made, mark),
    )
    return HoleRows(tape_words(mark.tapes, made.ruler), more)


def _check_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    ruler = made.ruler
    if mark.hole.surface.kind != "wall":
        yield "floor", floor_words(mark.floor, made.scene.ahead, ruler)
    told = []
    for string in made.strings:
        if mark.speaker.name in string.names:
            other = next(name for name in string.names if name != mark.speaker.name)
            told.append(f"{ruler.text(string.length)} to {other}")
    if told:
        yield "string", ", ".join(told)
    for name, words in (("corners", corner_words(mark.tapes, ruler)), ("across", across_words(mark.tapes, ruler))):
        if words:
            yield name, words


def _care_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    """What one has to mind at a hole that can be cut."""
    name = mark.speaker.name
    told = [one.message if one.subject == name else f"{one.subject}: {one.message}" for one in made.cares(mark.speaker)]
    if told:
        yield "take care", "; ".join(told)


def _near_rows(made: MarkOut, mark: HoleMark, second: Place | None) -> Iterator[Row]:
    ruler = made.ruler
    yield "wood", wood_words(mark, ruler)
    if light := light_words(mark, ruler):
        yield "light", light
    yield "room to move", room_words(mark, ruler)
    if mark.old is None or mark.old.larger:
        yield "test hole", sweep_words(mark, ruler)
    yield "if you hit something", second_words(made, mark, second)


def _speaker_rows(made: MarkOut, mark: HoleMark) -> Iterator[Row]:
    units, speaker = made.ruler.units, mark.speaker
    if mark.old is not None:
        yield "old hole", old_words(mark, units)
    yield "depth", depth_words(mark, units)
    if behind := behind_words(mark, units):
        yield "behind", behind
    if speaker.has_verdict and (mark.rim is not None or mark.turn is not None):
        turned = ", ".join(filter(None, (turning_words(speaker), downhill_words(mark))))
        yield "turn", with_degree_signs(turned)
        if mark.rim is not None:
            facing = facing_words(made.scene.ahead) if mark.rim.side is not None else ""
            yield "rim", f"{rim_words(mark.rim, made.ruler.text)}{facing}"
        yield "lands on", landing_words(mark.lands, made.ruler.text)


def second_words(made: MarkOut, mark: HoleMark, second: Place | None) -> str:
    """The second choice by the same tapes, and what it gives."""
    if second is None:
        return "within the room to move; no second place a foot away was found"
    face = second.speaker.surface
    tapes = tapes_at(made.scene, second.speaker, made.wish)
    assert face is not None
    at = along_from(tapes) if tapes.on_start else f"{made.ruler.text(tapes.along)} {along_from(tapes)}"
    over = ", ".join(filter(None, (square_from(tapes), footing_words(tapes, made.ruler))))
    where = f"{made.ruler.text(tapes.square)} {over}; {at}"
    face_words = "" if face.name == mark.hole.surface.name else f", in {face.called}"
    return f"{where}{face_words}; worst seat {second.worst.verdict}"


def string_words(string: String, made: MarkOut) -> str:
    """A string with its two ends."""
    return f"{made.ruler.text(string.length)} from {' to '.join(string.names)}"


def twin_words(twin: Twin, made: MarkOut) -> str:
    """How two partners mirror each other about the picture's center line, or the room's."""
    text, line = made.ruler.text, center_name(made.scene)
    names = " and ".join(twin.names)
    sides = [text(side) for side in twin.from_center]
    if twin.is_mirror:
        return f"{names}: mirror images, each {sides[0]} from {line}"
    told = [f"{sides[0]} and {sides[1]} from {line}"]
    if text(abs(twin.ahead)) != text(0.0):
        told.append(f"the second {text(abs(twin.ahead))} {'farther forward' if twin.ahead > 0 else 'farther back'}")
    if text(abs(twin.higher)) != text(0.0):
        told.append(f"the second {text(abs(twin.higher))} {'higher' if twin.higher > 0 else 'lower'}")
    return f"{names}: no mirror images: {', '.join(told)}"
