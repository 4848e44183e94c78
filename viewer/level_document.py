"""Levels as a plain document, for --json."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from earshed.model.scene import Scene
from earshed.model.sound.balance import Balance
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import Drive, Heard
from earshed.viewer.documents import numbers


def levels_document(scene: Scene, found: Sequence[Balance], drive: Drive) -> dict[str, Any]:
    """Everything that `earshed levels` finds, in metres, seconds and dB."""
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "drive": {"volts": drive.volts, "watts": drive.watts},
        "bands_hz": list(OCTAVES.nominal),
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
            }
            for one in found
        ],
    }


def _heard(at: Heard) -> dict[str, Any]:
    return {"level_db": numbers(at.levels), "tone_db": numbers(at.tone), "speech_db": at.speech}
