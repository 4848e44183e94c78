"""Whether the main seats are served, and if not, by how much and what would do it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from earshed.model.finding import Finding
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.remedy import Alternative, alternatives, best_worst
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Rectangular, Round
from earshed.model.units import PrintUnits, format_angle, format_length

BORDERLINE = math.radians(1.0)


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
    fringe = sorted((pair for pair in pairs if pair.verdict == "fringe"), key=_worst_first)
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
    left_out = sorted((pair for pair in pairs if pair.verdict == "outside"), key=_worst_first)
    if left_out:
        told = ", ".join(f"{pair.seat.name} {format_angle(pair.off_axis)}" for pair in left_out)
        yield Finding("note", "other-seat-outside", speaker.name, f"outside its coverage, though not main: {told}")


def _worst_first(pair: Pair) -> tuple[float, str]:
    return -round(pair.off_axis, 9), pair.seat.name


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
    best = best_worst(speaker, speaker.type, main)
    if best is not None and best <= speaker.coverage.limit and set(aimed) != set(main):
        return f"; aimed at the main seats it would reach them all, the worst {format_angle(best)} off axis"
    others = alternatives(scene, speaker, main)
    if not others:
        return ""
    other = others[0]
    if other.beyond > 0:
        short = format_angle(other.beyond)
        return (
            f"; no other type in the scene reaches from there: {other.type.name} comes nearest and stays {short} short"
        )
    return (
        f"; {other.type.name} aimed from {_from_where(other, scene.print_units)} would reach: "
        f"worst seat {format_angle(other.worst)}, {other.verdict}"
    )


def _from_where(other: Alternative, units: PrintUnits) -> str:
    match other.type.cutout:
        case Round(diameter) if not other.fits_hole:
            return f"the same place, in a hole of {format_length(diameter, units)},"
        case Rectangular(short, long) if not other.fits_hole:
            return f"the same place, in a hole of {format_length(short, units)} x {format_length(long, units)},"
    return "the same hole"
