"""Scenes and results as plain documents, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from earshed.model.directions import Heard, directions
from earshed.model.finding import Finding
from earshed.model.geometry import Array
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.picture_view import picture_views
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_window import fitting_system


def check_document(scene: Scene, pairs: Sequence[Pair], findings: Sequence[Finding]) -> dict[str, Any]:
    """Everything that `earshed check` finds, in metres and degrees."""
    room, counted = scene.room, set(best_of_seats(pairs))
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
        "pairs": [_pair(pair, counts=pair in counted) for pair in pairs],
        "layout": _layout(scene),
        "screen": _screen(scene, scene.screen) if scene.screen else None,
        "findings": finding_documents(findings),
    }


def _layout(scene: Scene) -> dict[str, Any]:
    """The system that channels are held to, and from where each speaker with a window is heard."""
    system = fitting_system(scene)
    return {
        "system": system.letter if system else None,
        "chosen": scene.system is not None,
        "speakers": [
            {
                "speaker": one.speaker.name,
                "source": one.window.source,
                "azimuths_deg": [degrees(limit) for limit in one.window.azimuths],
                "elevations_deg": [degrees(limit) for limit in one.window.elevations],
                **_heard(one.heard),
                "seats": [{"seat": heard.seat.name, **_heard(heard)} for heard in one.at_seats if heard.seat],
            }
            for one in directions(scene)
        ],
    }


def _heard(heard: Heard) -> dict[str, Any]:
    return {
        "azimuth_deg": degrees(heard.azimuth),
        "elevation_deg": degrees(heard.elevation),
        "inside": heard.inside,
    }


def _screen(scene: Scene, screen: WallPatch) -> dict[str, Any]:
    """The picture, and how each seat before it sees it."""
    return {
        "center_m": numbers(screen.center),
        "width_m": screen.end - screen.start,
        "height_m": screen.top - screen.bottom,
        "seats": [
            {
                "seat": view.seat.name,
                "distance_m": view.distance,
                "across_deg": degrees(view.across),
                "upright_deg": degrees(view.upright),
                "top_deg": degrees(view.top),
                "bottom_deg": degrees(view.bottom),
                "aside_deg": degrees(view.aside),
            }
            for view in picture_views(screen, scene.seats)
        ],
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
        "position_m": numbers(speaker.position),
        "normal": numbers(speaker.normal),
        "axis": numbers(speaker.axis),
        "tilt_deg": degrees(speaker.tilt),
    }


def _seat(seat: Seat) -> dict[str, Any]:
    return {"name": seat.name, "main": seat.main, "ear_m": numbers(seat.ear)}


def _pair(pair: Pair, *, counts: bool) -> dict[str, Any]:
    return {
        "seat": pair.seat.name,
        "speaker": pair.speaker.name,
        "distance_m": pair.distance,
        "off_axis_deg": degrees(pair.off_axis),
        "azimuth_deg": degrees(pair.azimuth),
        "elevation_deg": degrees(pair.elevation),
        "verdict": pair.verdict,
        "visible": pair.visible,
        "level_db": pair.level,
        "counts": counts,
    }


def numbers(vector: Array) -> list[float]:
    return [float(value) + 0.0 for value in vector]
