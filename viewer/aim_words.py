"""How to turn a speaker, in the words of someone who stands under it."""

from __future__ import annotations

import math
from collections.abc import Callable

from earshed.model.aim_advice import AimAdvice
from earshed.model.geometry import angle_between
from earshed.model.heading import NAMED, heading_words, lean_words
from earshed.model.landing import Landing
from earshed.model.remedy import Alternative
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Aiming, Angled, Fixed, Pivoting
from earshed.model.turning import RimMark, wall_turn
from earshed.model.units import format_angle
from earshed.viewer.wording import with_degree_signs

_NOT_TURNED = math.radians(0.05)
"""Radians of turn that no printed figure shows."""


def aiming_words(aiming: Aiming) -> str:
    """What a type can do: "leans 25.0° by its build, turned to any heading"."""
    match aiming:
        case Fixed():
            return "fixed, square to its face"
        case Angled(angle):
            return f"leans {format_angle(angle)} by its build, turned to any heading"
        case Pivoting(limit):
            return f"pivots up to {format_angle(limit)}"


def turning_words(speaker: Speaker) -> str:
    """How the axis of a speaker lies: by its tilt and its lean on the face, and where it points in plan."""
    tilt = float(angle_between(speaker.normal, speaker.axis))
    if tilt < _NOT_TURNED:
        return f"square to its face, points {heading_words(speaker.axis)}"
    points = heading_words(speaker.axis)
    turn = wall_turn(speaker.normal, speaker.axis)
    if turn is not None:
        parts = []
        if turn.aside >= _NOT_TURNED:
            towards = heading_words(turn.towards)
            parts.append(
                f"{format_angle(turn.aside)} {f'to the {towards}' if towards in NAMED else f'towards {towards}'}"
            )
        if abs(turn.up) >= _NOT_TURNED:
            parts.append(f"{format_angle(abs(turn.up))} {'up' if turn.up > 0 else 'down'}")
        return f"turned {' and '.join(parts)}, points {points}"
    lean = lean_words(speaker.normal, speaker.axis)
    if lean == points:
        return f"tilted {format_angle(tilt)}, leans and points {points}"
    return f"tilted {format_angle(tilt)}, leans {lean} on its face, points {points} in plan"


def short_turning_words(speaker: Speaker) -> str:
    """The same in a few words, for a plan: "leans 35° right of front"."""
    if float(angle_between(speaker.normal, speaker.axis)) < _NOT_TURNED:
        return "square to its face"
    lean = lean_words(speaker.normal, speaker.axis)
    words = f"leans {lean}" if lean else f"points {heading_words(speaker.axis)}"
    return with_degree_signs(words)


def rim_words(mark: RimMark | None, text: Callable[[float], str]) -> str:
    """How far round its bezel from the screen-side mark an axis leans, lengths as `text` writes them; empty where there
    is no such mark."""
    if mark is None:
        return ""
    distance = text(mark.distance)
    if mark.side is None:
        return (
            "at its screen-side mark" if mark.distance < 0.001 else f"{distance} from its screen-side mark, opposite it"
        )
    return f"{distance} from its screen-side mark, round towards the {mark.side}"


def landing_words(lands: Landing | None, text: Callable[[float], str]) -> str:
    """Where an axis ends, by tape: on the floor, or what it meets first and how high; lengths as `text` writes them."""
    if lands is None:
        return "meets nothing of the room"
    x, y, z = lands.point
    place = f"{text(float(x))} from the left, {text(float(-y))} from the front"
    if lands.on == "floor":
        return f"the floor, {place}"
    return f"{lands.name}, {text(float(z))} high; {place}"


def instead_words(advice: AimAdvice, scene: Scene) -> str:
    """What another type would do that this one cannot; empty where this one covers every seat, or none does better."""
    worth = {"covered": 0, "fringe": 1, "outside": 2}
    better = [other for other in advice.others if worth[other.verdict] < worth[advice.verdict]]
    if better:
        mine = f"{advice.speaker.type.name}: worst seat {format_angle(advice.worst_best.off_axis)}, {advice.verdict}"
        return "; ".join([mine, *(_other_words(other) for other in better)])
    if advice.verdict == "outside" and advice.others:
        return "no other type in the scene reaches from here"
    return ""


def _other_words(other: Alternative) -> str:
    hole = "" if other.fits_hole else " (another hole)"
    return f"{other.type.name}{hole}: {format_angle(other.worst)}, {other.verdict}"
