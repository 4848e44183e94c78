"""Before and after as a plain document, for --json."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earshed.model.as_built import SpeakerChange
from earshed.model.compare.cables import RunChange
from earshed.model.compare.holes import HoleChange, Opened
from earshed.model.compare.maps import MapChange
from earshed.model.compare.seats import Gets, Given, SeatSignal
from earshed.model.compare.signals import Signal
from earshed.viewer.compare.asked import Compared, Side
from earshed.viewer.compare.words import headline
from earshed.viewer.documents import degrees, finding_documents, numbers


def compare_document(found: Compared, maps: MapChange | str, files: Sequence[Path]) -> dict[str, Any]:
    """Everything that `earshed compare` finds, in metres, degrees and dB; `maps`, or why there are none."""
    change = found.change
    spreads = {one.signal: (one.before, one.after) for one in change.evenness}
    return {
        "scene": found.title,
        "before": _side(found.before),
        "after": _side(found.after),
        "same": change.same,
        "headline": headline(change),
        "seats": [
            {
                "seat": seat.seat,
                "main": seat.main,
                "before": _gets(seat.before),
                "after": _gets(seat.after),
                "change": seat.change,
            }
            for seat in change.seats
        ],
        "pairs": [_pair(one) for one in change.given],
        "channels": [_channel(signal, spreads[signal]) for signal in change.signals],
        "speakers": [_speaker(one) for one in change.speakers],
        "holes": [_hole(hole) for hole in change.holes],
        "parts": [
            {
                "type": part.type.name,
                "before": part.before,
                "after": part.after,
                "to_buy": part.to_buy,
                "left_over": part.left_over,
            }
            for part in change.parts
        ],
        "cables": [_run(run) for run in change.runs],
        "things": [
            {
                "name": thing.name,
                "kind": thing.kind,
                "change": "new" if thing.before is None else "gone" if thing.after is None else "other",
                "moved_m": numbers(thing.way),
                "reshaped": thing.reshaped,
            }
            for thing in change.things
        ],
        "maps": _maps(maps),
        "files": [str(path) for path in files],
    }


def _side(side: Side) -> dict[str, Any]:
    return {
        "file": str(side.path),
        "scene": side.scene.title,
        "scheme": side.scene.scheme,
        "findings": finding_documents(side.findings),
    }


def _gets(gets: Gets | None) -> dict[str, Any] | None:
    if gets is None:
        return None
    counts = {"covered": gets.covered, "fringe": gets.fringe, "outside": gets.outside}
    return {"channels": gets.signals, "served": gets.served, **counts, "verdict": gets.verdict}


def _pair(one: SeatSignal) -> dict[str, Any]:
    return {
        "seat": one.seat,
        "main": one.main,
        "channel": one.signal.key,
        "before": _given(one.before),
        "after": _given(one.after),
        "change": one.change,
        "words": one.words,
        "off_axis_change_deg": None if one.turned is None else degrees(one.turned),
        "level_change_db": None if one.louder is None else one.louder + 0.0,
    }


def _given(given: Given | None) -> dict[str, Any] | None:
    if given is None:
        return None
    pair = given.pair
    return {
        "speaker": pair.speaker.name,
        "off_axis_deg": degrees(pair.off_axis),
        "verdict": pair.verdict,
        "visible": pair.visible,
        "level_db": given.level,
    }


def _channel(signal: Signal, spreads: tuple[float | None, float | None]) -> dict[str, Any]:
    return {
        "channel": signal.key,
        "words": signal.called,
        "before": [speaker.name for speaker in signal.before],
        "after": [speaker.name for speaker in signal.after],
        "same": signal.same,
        "spread_before_db": spreads[0],
        "spread_after_db": spreads[1],
    }


def _speaker(one: SpeakerChange) -> dict[str, Any]:
    return {
        "before": one.before.name if one.before else None,
        "after": one.after.name if one.after else None,
        "type_before": one.before.type.name if one.before else None,
        "type_after": one.after.type.name if one.after else None,
        "moved_m": one.moved,
        "turned_deg": degrees(one.turned),
        "faced_deg": degrees(one.faced),
        "same": one.same,
    }


def _hole(hole: HoleChange) -> dict[str, Any]:
    return {
        "work": hole.work,
        "before": _opened(hole.before),
        "after": _opened(hole.after),
        "wider_m": hole.wider,
    }


def _opened(hole: Opened | None) -> dict[str, Any] | None:
    if hole is None:
        return None
    return {
        "name": hole.name,
        "filled": hole.filled,
        "surface": hole.surface.name,
        "position_m": numbers(hole.position),
    }


def _run(run: RunChange) -> dict[str, Any]:
    return {
        "run": run.name,
        "change": run.change,
        "cable_before": run.before.cable.name if run.before else None,
        "cable_after": run.after.cable.name if run.after else None,
        "cut_before_m": run.before.cut if run.before else None,
        "cut_after_m": run.after.cut if run.after else None,
    }


def _maps(maps: MapChange | str) -> dict[str, Any]:
    if isinstance(maps, str):
        return {"left_out": maps}
    before, after = maps.shares_of_verdicts
    return {
        "step_m": maps.before.plane.step,
        "channels": [signal.key for signal in maps.signals],
        "shares_before": before,
        "shares_after": after,
        "shares_changed": maps.shares_changed,
    }
