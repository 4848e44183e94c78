"""Whether the main seats are served, and if not, by how much and what would do it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from earshed.model.aim import AtSeats, best_axis
from earshed.model.finding import Finding
from earshed.model.geometry import angle_between
from earshed.model.pairs import Pair, best_pairs
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType
from earshed.model.units import format_angle

BORDERLINE = math.radians(1.0)


def coverage_findings(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Finding]:
    main = main_seats(scene.seats)
    if not scene.seats:
        yield Finding("note", "no-seats", scene.title, "the scene has no seats, so nothing can be said of coverage")
    elif not any(seat.main for seat in scene.seats):
        yield Finding("note", "no-main-seat", scene.title, "no seat is marked main: true, so all of them count as main")
    for seat in main:
        for pair in best_pairs([pair for pair in pairs if pair.seat is seat]):
            yield from _seat_findings(scene, pair, main)
    for name in dict.fromkeys(s.type.name for s in scene.judged if s.coverage.band_hz is None):
        text = (
            "its coverage angle is given without a band: coverage narrows as frequency rises, so ask at which it holds"
        )
        yield Finding("note", "band-unknown", name, text)


def _seat_findings(scene: Scene, pair: Pair, main: Sequence[Seat]) -> Iterator[Finding]:
    coverage = pair.speaker.coverage
    where = f"{pair.seat.name} is {format_angle(pair.off_axis)} off axis"
    near = [
        (name, limit)
        for name, limit in (("covered", coverage.covered_limit), ("coverage", coverage.limit))
        if abs(pair.off_axis - limit) <= BORDERLINE
    ]
    borderline = f"; borderline, within 1° of the {near[0][0]} limit {format_angle(near[0][1])}" if near else ""
    if pair.verdict == "outside":
        past = format_angle(pair.off_axis - coverage.limit)
        text = f"{where}, outside the coverage limit {format_angle(coverage.limit)} by {past}{borderline}"
        yield Finding("warning", "seat-outside-coverage", pair.speaker.name, text + _what_would_do(scene, pair, main))
    elif pair.verdict == "fringe":
        text = (
            f"{where}, in the fringe between {format_angle(coverage.covered_limit)} and {format_angle(coverage.limit)}"
        )
        yield Finding("note", "seat-in-fringe", pair.speaker.name, text + borderline)
    elif near:
        yield Finding("note", "borderline", pair.speaker.name, f"{where}{borderline}")
    if pair.obstacle:
        yield Finding(
            "warning", "seat-blocked", pair.speaker.name, f"{pair.obstacle} stands between it and {pair.seat.name}"
        )


def _what_would_do(scene: Scene, pair: Pair, main: Sequence[Seat]) -> str:
    """What another aim, or another type in the same place, would give all the main seats at once."""
    speaker = pair.speaker
    seats = scene.seats_of(speaker.aim) if isinstance(speaker.aim, AtSeats) else main
    if pair.seat not in seats:
        seats = (*seats, pair.seat)
    now = _worst(speaker, speaker.type, seats)
    if now is not None and now <= speaker.coverage.limit and not isinstance(speaker.aim, AtSeats):
        return f"; aimed at the main seats it would reach them all, the worst {format_angle(now)} off axis"
    others = []
    for kind in scene.speaker_types.values():
        if kind.mount == speaker.type.mount and kind is not speaker.type and kind.coverage:
            angle = _worst(speaker, kind, seats)
            if angle is not None:
                others.append((angle - kind.coverage.limit, angle, kind))
    if not others:
        return ""
    beyond, angle, kind = min(others, key=lambda other: (other[0], other[2].name))
    assert kind.coverage is not None
    if beyond <= 0:
        verdict = kind.coverage.verdict(angle)
        return f"; {kind.name} aimed from the same hole would reach: worst seat {format_angle(angle)}, {verdict}"
    short = format_angle(beyond)
    return f"; no other type in the scene reaches from there: {kind.name} comes nearest and stays {short} short"


def _worst(speaker: Speaker, kind: SpeakerType, seats: Sequence[Seat]) -> float | None:
    """Worst off-axis angle (radians) over the seats with a type in the speaker's place at its best aim."""
    if kind.subwoofer:
        return None
    directions = np.array([seat.ear - speaker.position for seat in seats])
    if np.any(np.linalg.norm(directions, axis=1) == 0):
        return None
    axis = best_axis(kind.aiming, speaker.normal, directions)
    return float(angle_between(axis, directions).max())
