"""Levels as a plain document, for --json."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from earshed.model.scene import Scene
from earshed.model.sound.balance import Balance
from earshed.model.sound.level import Drive, Heard
from earshed.model.sound.readings import Compared, Reading, What
from earshed.viewer.documents import numbers

UNITS: Mapping[What, str | None] = {
    "resistance": "ohm", "polarity": None, "distance": "m", "delay": "s", "trim": "dB", "level": "dB",
}  # fmt: skip


def levels_document(
    scene: Scene, found: Sequence[Balance], drive: Drive, compared: Sequence[Compared]
) -> dict[str, Any]:
    """Everything that `earshed levels` finds, in metres, seconds and dB."""
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "drive": {"volts": drive.volts, "watts": drive.watts},
        "bands_hz": list(found[0].reference.bands.nominal),
        "speakers": [
            {
                "speaker": one.speaker.name,
                "sensitivity_stated": one.speaker.type.sensitivity_db is not None,
                "distance_m": one.arrival.distance,
                "time_s": one.arrival.time,
                "delay_s": one.arrival.delay,
                "trim_db": one.trim,
                "loudest_db": one.loudest,
                "reference": _heard(one.reference),
                "seats": [{"seat": at.seat.name, "main": at.seat.main, **_heard(at)} for at in one.seats],
                "spread_db": numbers(one.spreads),
                "speech_spread_db": one.speech_spread,
                **_measured(against),
            }
            for one, against in zip(found, compared, strict=True)
        ],
    }


def _measured(one: Compared) -> dict[str, Any]:
    """What a speaker should measure, and what was read of it."""
    wanted, read = one.expected, one.measured
    return {
        "resistance_ohm": {"expected": wanted.ohm, "short": wanted.short, "open": wanted.open},
        "readings": [_reading(reading) for reading in one.readings],
        "may_be_swapped_with": one.swapped,
        "photo": None if read.photo is None else read.photo.name,
        "measured_on": read.date,
        "measured_by": read.by,
    }


def _reading(one: Reading) -> dict[str, Any]:
    """One reading in its unit; an open circuit is no number, and polarity is a word."""
    figures: dict[str, Any] = {"expected": one.expected, "measured": one.measured, "difference": one.difference}
    if one.what == "polarity":
        words = {1.0: "normal", -1.0: "reversed"}
        figures = {"expected": words[1.0], "measured": words[one.measured], "difference": None}
    elif math.isinf(one.measured):
        figures = {"expected": one.expected, "measured": None, "difference": None}
    return {"what": one.what, "seat": one.seat, "unit": UNITS[one.what], **figures, "flag": one.flag}


def _heard(at: Heard) -> dict[str, Any]:
    return {
        "level_db": numbers(at.levels),
        "tone_db": numbers(at.tone),
        "speech_db": at.speech,
        "a_weighted_db": at.a_weighted,
    }
