"""Tables of directivity for tests, made from what is known in closed form."""

from __future__ import annotations

import numpy as np

from earshed.model.geometry import Array
from earshed.model.sound.directivity import decibels, directions_at
from earshed.model.sound.piston import Piston

TENS = np.arange(0.0, 181.0, 10.0)
OCTAVE_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16000.0)


def piston_levels(radius: float, degrees: Array, hertz: Array) -> Array:
    """dB (N, F) of a piston at angles (N,) and frequencies (F,)."""
    return decibels(Piston(radius).power_at(np.radians(np.abs(degrees)), hertz))


def table_text(planes: dict[str, tuple[Array, Array]], hertz: Array) -> str:
    """A table of planes, each of degrees (N,) and levels (N, F); "" names one that is all round."""
    lines = ["angle," + ",".join(f"{each:.6g}" for each in hertz)]
    for plane, (degrees, levels) in planes.items():
        lines += [plane] if plane else []
        for angle, row in zip(degrees, levels, strict=True):
            lines.append(f"{angle:g}," + ",".join(f"{level:.6f}" for level in row))
    return "\n".join(lines) + "\n"


def random_directions(count: int, seed: int, most: float = np.pi) -> Array:
    """Unit directions (count, 3) all round, no more than so far off the axis, radians."""
    random = np.random.default_rng(seed)
    return directions_at(np.arccos(random.uniform(np.cos(most), 1.0, count)), random.uniform(0.0, 2 * np.pi, count))
