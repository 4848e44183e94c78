"""Whether the main seats are served, and if not, by how much and what would do it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from earshed.model.aim import best_axis, worst_off_axis
from earshed.model.finding import Finding
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Rectangular, Round, SpeakerType
from earshed.model.units import INCH, PrintUnits, format_angle, format_length

BORDERLINE = math.radians(1.0)
SAME_HOLE = INCH / 8
"""Metres by which two cut-outs may differ and still take each other's speaker. Common practice, no source."""


def coverage_findings(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Findings on what the seats get; `pairs` are the scene's seat_pairs."""
    main = main_seats(scene.seats)
    if not scene.seats:
        yield Finding("note", "no-seats", scene.title, "the scene has no seats, so nothing can be said of coverage")
    elif not any(seat.main for seat in scene.seats):
        yield Finding("note", "no-main-seat", scene.title, "no seat is marked main: true, so all of them count as main")
    counted = best_of_seats(pairs)
    for speaker in scene.judged:
        asked = {*main, *scene.seats_of(speaker.aim)}
        mine = [pair for pair in counted if pair.speaker is speaker]
        yield from _speaker_findings(scene, speaker, [pair for pair in mine if pair.seat in asked], main)
        yield from _other_seats(speaker, [pair for pair in mine if pair.seat not in asked])
    for name in dict.fromkeys(s.type.name for s in scene.judged if s.coverage.band_hz is None):
        text = (
            "its coverage angle is given without a band: coverage narrows as frequency rises, so ask at which it holds"
        )
        yield Finding("note", "band-unknown", name, text)


def _speaker_findings(scene: Scene, speaker: Speaker, pairs: Sequence[Pair], main: Sequence[Seat]) -> Iterator[Finding]:
    """What the main seats, and those it is aimed at, get from a speaker where it counts."""
    limit = speaker.coverage.limit
    outside = [pair for pair in pairs if pair.verdict == "outside"]
    remedy = _what_would_do(scene, speaker, main) if outside else ""
    for pair in outside:
        text = f"{pair.seat.name} is {format_angle(pair.off_axis)} off axis, outside the coverage limit "
        text += f"{format_angle(limit)} by {format_angle(pair.off_axis - limit)}{_borderline(pair)}{remedy}"
        yield Finding("warning", "seat-outside-coverage", speaker.name, text)
    for pair in pairs:
        if pair.obstacle:
            text = f"{pair.obstacle} stands between it and {pair.seat.name}"
            yield Finding("warning", "seat-blocked", speaker.name, text)
    fringe = [pair for pair in pairs if pair.verdict == "fringe"]
    if fringe:
        told = ", ".join(f"{pair.seat.name} {format_angle(pair.off_axis)}{_borderline(pair)}" for pair in fringe)
        inner = format_angle(speaker.coverage.covered_limit)
        text = f"in its fringe, {inner} to {format_angle(limit)} off axis: {told}"
        yield Finding("note", "seat-in-fringe", speaker.name, text)
    for pair in pairs:
        if pair.verdict == "covered" and _borderline(pair):
            text = f"{pair.seat.name} is {format_angle(pair.off_axis)} off axis{_borderline(pair)}"
            yield Finding("note", "borderline", speaker.name, text)


def _other_seats(speaker: Speaker, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """A note on the seats, not main and not aimed at, that a speaker leaves out."""
    left_out = [pair for pair in pairs if pair.verdict == "outside"]
    if left_out:
        told = ", ".join(f"{pair.seat.name} {format_angle(pair.off_axis)}" for pair in left_out)
        yield Finding("note", "other-seat-outside", speaker.name, f"outside its coverage, though not main: {told}")


def _borderline(pair: Pair) -> str:
    """Words to add where a degree more or less would change the verdict."""
    coverage = pair.speaker.coverage
    for name, limit in (("covered", coverage.covered_limit), ("coverage", coverage.limit)):
        if abs(pair.off_axis - limit) <= BORDERLINE:
            return f" (borderline, within 1° of the {name} limit {format_angle(limit)})"
    return ""


def _what_would_do(scene: Scene, speaker: Speaker, main: Sequence[Seat]) -> str:
    """What another aim, or another type in the same place, would give all the main seats at once."""
    aimed = scene.seats_of(speaker.aim)
    best = _worst(speaker, speaker.type, main)
    if best is not None and best <= speaker.coverage.limit and set(aimed) != set(main):
        return f"; aimed at the main seats it would reach them all, the worst {format_angle(best)} off axis"
    others = []
    for kind in scene.speaker_types.values():
        if kind.mount == speaker.type.mount and kind is not speaker.type and kind.coverage:
            angle = _worst(speaker, kind, main)
            if angle is not None:
                beyond = angle - kind.coverage.limit
                others.append((beyond > 0, beyond <= 0 and not _fits_hole(kind, speaker.type), beyond, kind.name))
    if not others:
        return ""
    misses, _, beyond, name = min(others)
    kind = scene.speaker_types[name]
    if misses or kind.coverage is None:
        short = format_angle(beyond)
        return f"; no other type in the scene reaches from there: {name} comes nearest and stays {short} short"
    angle = beyond + kind.coverage.limit
    return (
        f"; {name} aimed from {_from_where(kind, speaker.type, scene.print_units)} would reach: "
        f"worst seat {format_angle(angle)}, {kind.coverage.verdict(angle)}"
    )


def _fits_hole(kind: SpeakerType, now: SpeakerType) -> bool:
    """Whether one type fits the hole of another, as far as their data say."""
    if kind.cutout is None or now.cutout is None:
        return True
    if isinstance(kind.cutout, Round) and isinstance(now.cutout, Round):
        return abs(kind.cutout.diameter - now.cutout.diameter) <= SAME_HOLE
    if isinstance(kind.cutout, Rectangular) and isinstance(now.cutout, Rectangular):
        sides = zip((kind.cutout.short, kind.cutout.long), (now.cutout.short, now.cutout.long), strict=True)
        return all(abs(one - other) <= SAME_HOLE for one, other in sides)
    return False


def _from_where(kind: SpeakerType, now: SpeakerType, units: PrintUnits) -> str:
    match kind.cutout:
        case Round(diameter) if not _fits_hole(kind, now):
            return f"the same place, in a hole of {format_length(diameter, units)},"
        case Rectangular(short, long) if not _fits_hole(kind, now):
            return f"the same place, in a hole of {format_length(short, units)} x {format_length(long, units)},"
    return "the same hole"


def _worst(speaker: Speaker, kind: SpeakerType, seats: Sequence[Seat]) -> float | None:
    """Worst off-axis angle (radians) over the seats with a type in the speaker's place at its best aim."""
    if kind.subwoofer:
        return None
    directions = np.array([seat.ear - speaker.position for seat in seats])
    if np.any(np.linalg.norm(directions, axis=1) == 0):
        return None
    return worst_off_axis(best_axis(kind.aiming, speaker.normal, directions), directions)
