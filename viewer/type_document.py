"""How speaker types radiate as a plain document, for --json."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.sound.of_type import radiates_within
from earshed.viewer.type_words import TypeSound, directivity_words, known_words


def types_document(scene: Scene, sounds: Sequence[TypeSound], files: Sequence[Path]) -> dict[str, Any]:
    """Facts and figures of each type, angles in degrees; a beam that is wider than 180 degrees has no width."""
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "types": [_type(sound, scene) for sound in sounds],
        "files": [str(path) for path in files],
    }


def _type(sound: TypeSound, scene: Scene) -> dict[str, Any]:
    kind, figures = sound.kind, sound.figures
    widths = _degrees(figures.across), _degrees(figures.upright)
    columns = zip(sound.directivity.bands.nominal, *widths, figures.index, known_words(sound), strict=True)
    return {
        "name": kind.name,
        "mount": kind.mount,
        "directivity": directivity_words(kind, scene.print_units),
        "steers": kind.steers,
        "crossover_hz": kind.crossover_hz,
        "sensitivity_db": kind.sensitivity_db,
        "sensitivity_watts": kind.sensitivity_watts,
        "max_level_db": kind.max_level_db,
        "power_watts": kind.power_watts,
        "impedance_ohm": kind.impedance,
        "half_space": radiates_within(kind) < math.pi,
        "symmetric": not sound.planes,
        "bands": [
            {"hz": hertz, "across_deg": across, "upright_deg": upright, "index_db": float(index), "known": known}
            for hertz, across, upright, index, known in columns
        ],
        "speakers": list(sound.speakers),
    }


def _degrees(radians: Array) -> list[float | None]:
    return [None if math.isinf(width) else math.degrees(width) for width in radians]
