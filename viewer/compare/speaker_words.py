"""What becomes of a speaker, in words: of another type, moved, and turned, each kind as one turns it by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator

from earshed.model.as_built import SAME_AIM, SpeakerChange
from earshed.model.geometry import TOUCHING
from earshed.model.heading import heading_words
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Angled, Fixed
from earshed.model.units import PrintUnits, format_angle
from earshed.viewer.aim_words import turning_words
from earshed.viewer.wording import shortened

LONGEST_TYPE = 60
UNSEEN = math.radians(0.05)
"""Radians that no printed figure shows."""


def speaker_words(one: SpeakerChange, units: PrintUnits) -> str:
    """All that becomes of a speaker: `moved 1" down, turned to face front, 20.0 degrees down; it was straight down`.

    Empty where nothing does.
    """
    if one.before is None or one.after is None:
        here = one.after or one.before
        assert here is not None
        told = "new" if one.before is None else "taken out"
        return ", ".join(filter(None, (f"{told}, {_type(here)}", lie_words(here) if one.after else "")))
    return ", ".join(_changes(one, one.before, one.after, units))


def lie_words(speaker: Speaker) -> str:
    """How a speaker lies, once it is in place; empty where its hole alone says so."""
    if speaker.surface is None and (isinstance(speaker.type.aiming, Fixed) or speaker.type.subwoofer):
        return f"facing {_facing(speaker)}"
    return "" if isinstance(speaker.type.aiming, Fixed) or speaker.type.subwoofer else turning_words(speaker)


def _changes(one: SpeakerChange, then: Speaker, now: Speaker, units: PrintUnits) -> Iterator[str]:
    if one.retyped:
        other = _type(then) if then.type.name != now.type.name else "one of other figures"
        yield f"{_type(now)} in place of {other}"
    if one.moved > TOUCHING:
        yield f"moved {one.way_words(units)}"
    if one.rewired:
        yield f"on {now.channel.words if now.channel else 'no channel'}"
    if one.retyped:
        yield from filter(None, (lie_words(now),))
    else:
        yield from _turned(one, then, now)


def _turned(one: SpeakerChange, then: Speaker, now: Speaker) -> Iterator[str]:
    """How the same type is turned otherwise; nothing of what turned with its face alone, since it only moved."""
    can_turn = not isinstance(now.type.aiming, Fixed) and not now.type.subwoofer
    if now.surface is None and then.surface is None and one.faced > SAME_AIM:
        yield f"turned to face {_facing(now)}; it faced {_facing(then)}"
        if can_turn and now.tilt > UNSEEN:
            yield turning_words(now)
    elif can_turn and one.turned > SAME_AIM and turning_words(now) != turning_words(then):
        how = "turned in its frame" if isinstance(now.type.aiming, Angled) else "aimed otherwise"
        yield f"{how}: {turning_words(now)}; it was {turning_words(then)}"


def _facing(speaker: Speaker) -> str:
    """Where a baffle faces: a heading, and how far out of the level."""
    up = math.asin(max(-1.0, min(1.0, float(speaker.normal[2]))))
    heading = heading_words(speaker.normal)
    if abs(up) < UNSEEN or heading.startswith("straight"):
        return heading
    return f"{heading}, {format_angle(abs(up))} {'up' if up > 0 else 'down'}"


def _type(speaker: Speaker) -> str:
    return shortened(speaker.type.name, LONGEST_TYPE)
