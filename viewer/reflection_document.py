"""First reflections and reverberation as a plain document, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earshed.model.finding import Finding
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.early import JUDGED, SOON, STRONG, Early, Reflections
from earshed.model.sound.reverberation import Reverberation
from earshed.viewer.documents import degrees, finding_documents, numbers


def reflection_document(
    heard: Reflections, early: Sequence[Early], room: Reverberation, findings: Sequence[Finding], files: Sequence[Path]
) -> dict[str, Any]:
    """The early reflections and the reverberation, in metres, seconds and decibels."""
    return {
        "scene": heard.scene.title,
        "scheme": heard.scene.scheme,
        "bands_hz": list(OCTAVES.nominal),
        "early": {"within_s": SOON, "above_db": STRONG, "judged_hz": list(JUDGED), "directivity": True},
        "reflections": [_reflection(heard, one) for one in early],
        "reverberation": {
            "volume_m3": room.volume,
            "area_m2": room.area,
            "sabine_s": [_finite(value) for value in room.sabine],
            "eyring_s": [_finite(value) for value in room.eyring],
            "faces": [
                {
                    "name": facing.name,
                    "area_m2": area,
                    "material": facing.material.name,
                    "assumed": facing.assumed,
                    "absorption": numbers(facing.material.absorption),
                    "source": facing.material.source,
                }
                for facing, area in room.areas
            ],
        },
        "findings": finding_documents(findings),
        "files": [str(path) for path in files],
    }


def _reflection(heard: Reflections, one: Early) -> dict[str, Any]:
    paths = heard.paths
    return {
        "speaker": one.speaker.name,
        "seat": one.seat.name,
        "off": one.facing.name,
        "face": one.face.name,
        "material": one.facing.material.name,
        "assumed": one.facing.assumed,
        "point_m": numbers(one.point),
        "direct_m": float(paths.directs[one.path]),
        "length_m": float(paths.lengths[one.path]),
        "delay_s": one.delay,
        "spreading_db": float(paths.spreading_db[one.path]),
        "absorbed_db": numbers(heard.absorbed_db[one.path]),
        "level_db": one.level,
        "leaves": numbers(paths.departures[one.path]),
        "off_axis_deg": degrees(one.off_axis),
        "arrives_from": numbers(paths.arrivals[one.path]),
    }


def _finite(seconds: float) -> float | None:
    return float(seconds) if math.isfinite(seconds) else None
