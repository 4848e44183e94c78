"""Scenes and results as plain documents, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from earshed.model.finding import Finding
from earshed.model.geometry import Array
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker


def check_document(scene: Scene, pairs: Sequence[Pair], findings: Sequence[Finding]) -> dict[str, Any]:
    """Everything that `earshed check` finds, in metres and degrees."""
    room = scene.room
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "room": {
            "volume_m3": room.volume,
            "floor_area_m2": room.floor_area,
            "ceiling_area_m2": room.ceiling_area,
            "watertight": room.air.watertight,
        },
        "speakers": [_speaker(speaker) for speaker in scene.speakers],
        "seats": [_seat(seat) for seat in scene.seats],
        "pairs": [_pair(pair) for pair in pairs],
        "findings": finding_documents(findings),
    }


def degrees(radians: float) -> float:
    """Degrees, with no negative zero."""
    return math.degrees(radians) + 0.0


def finding_documents(findings: Sequence[Finding]) -> list[dict[str, Any]]:
    return [{"severity": f.severity, "rule": f.rule, "subject": f.subject, "message": f.message} for f in findings]


def _speaker(speaker: Speaker) -> dict[str, Any]:
    return {
        "name": speaker.name,
        "type": speaker.type.name,
        "channel": speaker.channel.label if speaker.channel else None,
        "position_m": _numbers(speaker.position),
        "normal": _numbers(speaker.normal),
        "axis": _numbers(speaker.axis),
        "tilt_deg": degrees(speaker.tilt),
    }


def _seat(seat: Seat) -> dict[str, Any]:
    return {"name": seat.name, "main": seat.main, "ear_m": _numbers(seat.ear)}


def _pair(pair: Pair) -> dict[str, Any]:
    return {
        "seat": pair.seat.name,
        "speaker": pair.speaker.name,
        "distance_m": pair.distance,
        "off_axis_deg": degrees(pair.off_axis),
        "azimuth_deg": degrees(pair.azimuth),
        "elevation_deg": degrees(pair.elevation),
        "verdict": pair.verdict,
        "visible": pair.visible,
    }


def _numbers(vector: Array) -> list[float]:
    return [float(value) + 0.0 for value in vector]
