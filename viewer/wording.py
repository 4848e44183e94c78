"""Phrases that tables and pictures share, so that one thing is called the same everywhere."""

from __future__ import annotations

from earshed.model.aim import AtSeats, Straight
from earshed.model.heading import heading_words, lean_words
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats, reclined_name
from earshed.model.sound.bands import band_name
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage
from earshed.model.units import format_angle

LONGEST_TITLE = 200
_TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Signs that turn the direction of what stands beside them (Unicode UAX 9)."""
UNDIRECTED = {**dict.fromkeys((*range(0x20), *range(0x7F, 0xA0)), " "), **dict.fromkeys(map(ord, _TURNING))}
"""What becomes of those, and of control characters."""


def shortened(text: str, most: int = LONGEST_TITLE) -> str:
    """Text cut to a length, with dots where it was cut."""
    return text if len(text) <= most else text[: most - 3] + "..."


def undirected(text: str) -> str:
    """Text of one line without signs that turn the direction of what stands beside it; letters know their own."""
    return text.translate(UNDIRECTED)


def counted(number: int, noun: str) -> str:
    """A number with its noun: "1 channel", "2 channels"."""
    return f"{number} {noun}" + ("" if number == 1 else "s")


def scheme_words(scene: Scene) -> str:
    """Which scheme this is, and where it is none, which there are."""
    if scene.scheme:
        return f"scheme: {shortened(scene.scheme, 60)}"
    others = f"; schemes: {shortened(', '.join(scene.schemes), 60)}" if scene.schemes else ""
    return f"as it stands{others}"


def starred(seat: Seat) -> str:
    """A seat's name, with a star where it is a main one."""
    return f"{seat.name} *" if seat.main else seat.name


def with_degree_signs(words: str) -> str:
    """A heading in fewer letters, for tables and plans: "35° right of front"."""
    return words.replace(" degrees", "°").replace(" degree", "°")


def called(speaker: Speaker) -> str:
    """A speaker's name with its channel, plain words first and the label second."""
    if speaker.channel is None:
        return speaker.name
    if speaker.channel.words == speaker.name:
        return f"{speaker.name} ({speaker.channel.label})"
    return f"{speaker.name}: {speaker.channel}"


def aim_words(speaker: Speaker, scene: Scene) -> str:
    """How a speaker is aimed: at whom, how far tilted, how that lies on its face and where it points in plan."""
    if isinstance(speaker.aim, Straight):
        return f"square to its face, points {heading_words(speaker.axis)}"
    whom = f"aimed at {_seat_words(speaker.aim.names, scene)}, " if isinstance(speaker.aim, AtSeats) else ""
    lean = lean_words(speaker.normal, speaker.axis)
    leaning = f", leans {lean} on its face" if lean else ""
    return f"{whom}tilted {format_angle(speaker.tilt)}{leaning}, points {heading_words(speaker.axis)}"


def _seat_words(names: tuple[str, ...], scene: Scene) -> str:
    """Some seats in words: by name where it is one, as a group where they are one."""
    if len(names) == 2 and names[1] == reclined_name(names[0]):
        return f"{names[0]}, upright and reclined"
    if len(names) > 1:
        for group, seats in (("the main seats", main_seats(scene.seats)), ("all seats", scene.seats)):
            if set(names) == {seat.name for seat in seats}:
                return group
    return ", ".join(names)


def coverage_words(coverage: Coverage) -> str:
    """A coverage angle with its band and its two limits."""
    band = f" at {band_name(coverage.band_hz)}" if coverage.band_hz else ", band unknown"
    return (
        f"coverage {format_angle(coverage.angle)}{band}: covered to {format_angle(coverage.covered_limit)} off axis, "
        f"limit {format_angle(coverage.limit)}"
    )
