"""Reads measured directivity from an AES69 file (SOFA, convention FreeFieldDirectivityTF), by the extra `sofa`.

Levels at directions that are scattered over a sphere are put on a grid round the axis by a plane through the nearest
few, in dB, each weighed by the inverse square of the angle to it, and kept between the least and the most of them. At a
measured direction that is what was measured.
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

import numpy as np

from earshed.model.geometry import Array, angle_between, frozen, unit
from earshed.model.sound.directivity import decibels, directions_at
from earshed.model.sound.response import Response
from earshed.model.sound.table_rows import NEEDED_HZ, WIDEST_RATIO, BadResponse

CONVENTION = "FreeFieldDirectivityTF"
STEP = 5.0
"""Degrees of the grid, off the axis and round it."""
NEAREST = 5
WIDEST_GAP = 15.0
"""Degrees from a direction of the grid to what is measured: half the widest step of a table."""
AUDIBLE_HZ = (10.0, 100_000.0)
TOUCHING = 1e-4
"""Radians from a measurement within which its level is taken; metres from the source that no receiver can be."""
LEVEL = 1e-3
"""Weight that holds a plane level where the measurements lie in a line and leave its slope open."""


def read_sofa(path: Path, file: str) -> Response:
    """The directivity in an AES69 file; `file` names it in messages. Raises BadResponse."""
    sofa = _opened(path, file)
    try:
        return _response(sofa, file)
    except BadResponse:
        raise
    except (AttributeError, TypeError, ValueError) as error:
        raise BadResponse(f"{file} lacks something that {CONVENTION} asks for, or misstates it ({error})") from None


def _opened(path: Path, file: str) -> Any:
    try:
        sofar = importlib.import_module("sofar")  # an extra, needed for this alone
    except ImportError:
        words = "needs the library sofar, which `pip install 'earshed[sofa]'` brings; or give a table in CSV"
        raise BadResponse(f"{file}: an AES69 file {words}") from None
    try:
        sofa = sofar.read_sofa(str(path), verify=False, verbose=False)
    except (OSError, ValueError, KeyError, AttributeError) as error:
        told = (str(error) or type(error).__name__).splitlines()[0]
        raise BadResponse(f"{file} cannot be read as AES69 ({told})") from None
    convention = getattr(sofa, "GLOBAL_SOFAConventions", "none")
    if convention != CONVENTION:
        raise BadResponse(f"{file} follows the convention {convention}; directivity is read from {CONVENTION}")
    return sofa


def _response(sofa: Any, file: str) -> Response:
    directions = _directions(sofa, file)
    hertz, power = _powers(sofa, len(directions), file)
    angles, rolls = _grid(directions, file)
    levels = _levels_on(directions_at(angles[:, None], rolls), directions, decibels(power))
    return Response(frozen(angles), frozen(hertz), frozen(levels - levels[:1, :1]), file)


def _directions(sofa: Any, file: str) -> Array:
    """Unit directions (R, 3) of what was measured, along the source's axis, right and up."""
    listener = _frame(_vector(sofa, "ListenerView", (1.0, 0.0, 0.0)), _vector(sofa, "ListenerUp", (0.0, 0.0, 1.0)))
    source = _frame(_vector(sofa, "SourceView", (1.0, 0.0, 0.0)), _vector(sofa, "SourceUp", (0.0, 0.0, 1.0)))
    receivers = _cartesian(sofa, "ReceiverPosition", np.zeros((1, 3)))
    at = receivers @ listener + _vector(sofa, "ListenerPosition", (0.0, 0.0, 0.0))
    away = at - _vector(sofa, "SourcePosition", (0.0, 0.0, 0.0))
    if len(away) < NEAREST or np.any(np.linalg.norm(away, axis=1) < TOUCHING):
        raise BadResponse(f"{file} has {len(away)} receivers round the source, or one that sits on it")
    along, left, up = (unit(away) @ source.T).T
    return np.stack([along, -left, up], axis=-1)


def _frame(view: Array, up: Array) -> Array:
    """Rows (3, 3): ahead, left and up of what looks along `view` (3,)."""
    ahead = unit(view)
    left = unit(np.cross(up, ahead))
    return np.stack([ahead, left, np.cross(ahead, left)])


def _vector(sofa: Any, name: str, usual: tuple[float, float, float]) -> Array:
    vector: Array = _cartesian(sofa, name, np.array([usual]))[0]
    return vector


def _cartesian(sofa: Any, name: str, usual: Array) -> Array:
    """Positions (R, 3) of a variable, in x, y, z of AES69: ahead, left, up; azimuth turns to the left."""
    said = getattr(sofa, name, None)
    if said is None:
        return usual
    values = np.asarray(said, dtype=np.float64)
    values = values.reshape(-1, 3) if values.ndim < 3 else values[:, :, 0]
    kind = getattr(sofa, f"{name}_Type", None) or getattr(sofa, f"{name.replace('Up', 'View')}_Type", "cartesian")
    if kind != "spherical":
        return values
    azimuth, elevation = np.radians(values[:, 0]), np.radians(values[:, 1])
    level = values[:, 2] * np.cos(elevation)
    return np.stack([level * np.cos(azimuth), level * np.sin(azimuth), values[:, 2] * np.sin(elevation)], axis=-1)


def _powers(sofa: Any, receivers: int, file: str) -> tuple[Array, Array]:
    """Frequencies (F,) in hertz, and powers (R, F) re the loudest direction at each."""
    hertz = np.atleast_1d(np.asarray(sofa.N, dtype=np.float64)).ravel()
    values = np.asarray(sofa.Data_Real, dtype=np.float64) + 1j * np.asarray(sofa.Data_Imag, dtype=np.float64)
    if values.size != receivers * len(hertz):
        raise BadResponse(
            f"{file} holds {values.size} values for {receivers} receivers and {len(hertz)} frequencies; one "
            "measurement of one speaker is read"
        )
    power = np.abs(values.reshape(receivers, len(hertz))) ** 2
    heard = (hertz >= AUDIBLE_HZ[0]) & (hertz <= AUDIBLE_HZ[1])
    hertz, power = hertz[heard], power[:, heard]
    low, high = NEEDED_HZ
    steps = hertz[1:] / hertz[:-1]
    if not len(hertz) or hertz[0] > low or hertz[-1] < high or steps.min() <= 1.0 or steps.max() > WIDEST_RATIO:
        words = f"must rise from {low:g} or less to {high:g} Hz or more, an octave apart at the most"
        raise BadResponse(f"{file}: its {len(hertz)} frequencies {words}")
    loudest = power.max(axis=0)
    if not np.all(np.isfinite(power)) or loudest.min() <= 0.0:
        silent = hertz[int(np.argmin(np.where(np.isfinite(loudest), loudest, -1.0)))]
        raise BadResponse(f"{file}: at {silent:g} Hz it holds nothing, or no numbers")
    return hertz, power / loudest


def _grid(directions: Array, file: str) -> tuple[Array, Array]:
    """Angles (N,) off the axis, to where it is measured all round, and round it (Q,). Raises BadResponse."""
    rolls = np.radians(np.arange(0.0, 360.0, STEP))
    for reach in (180.0, 90.0):
        angles = np.radians(np.arange(0.0, reach + STEP / 2, STEP))
        nearest = (directions_at(angles[:, None], rolls) @ directions.T).max(axis=-1)
        if nearest.min() >= np.cos(np.radians(WIDEST_GAP)):
            return angles, rolls
    off, _ = np.unravel_index(int(nearest.argmin()), nearest.shape)
    gap = np.degrees(np.arccos(np.clip(nearest.min(), -1.0, 1.0)))
    raise BadResponse(
        f"{file}: {np.degrees(angles[off]):.0f} degrees off the axis no measurement is nearer than {gap:.0f} degrees; "
        f"it may be {WIDEST_GAP:g} away, all round, up to 90 degrees off the axis at least"
    )


def _levels_on(grid: Array, directions: Array, levels: Array) -> Array:
    """Levels (N, Q, F) in directions of a grid (N, Q, 3), of those (R, F) in scattered directions (R, 3)."""
    nearest = np.argpartition(-(grid @ directions.T), NEAREST - 1, axis=-1)[..., :NEAREST]
    shares = _shares(grid, directions[nearest])
    total = np.zeros((*grid.shape[:2], levels.shape[1]))
    least, most = np.full_like(total, np.inf), np.full_like(total, -np.inf)
    for each in range(NEAREST):
        near = levels[nearest[..., each]]
        total += shares[..., each, None] * near
        least, most = np.minimum(least, near), np.maximum(most, near)
    return np.clip(total, least, most)


def _shares(toward: Array, near: Array) -> Array:
    """What levels in directions `near` (..., K, 3) count for in the direction `toward` (..., 3), adding up to one.

    They are those of the plane, over the two parts of a direction that lie square to `toward`, that fits the levels
    best, each weighed by the inverse square of its angle.
    """
    side = np.cross(toward, np.eye(3)[np.abs(toward).argmin(axis=-1)])
    side /= np.linalg.norm(side, axis=-1, keepdims=True)
    across = np.stack([side, np.cross(toward, side)], axis=-1)
    plane = np.concatenate([np.ones((*near.shape[:-1], 1)), near @ across], axis=-1)
    weights = np.maximum(angle_between(toward[..., None, :], near), TOUCHING)[..., None] ** -2.0
    normal = np.swapaxes(plane * weights, -1, -2) @ plane
    normal += np.diag([0.0, LEVEL, LEVEL])  # where they all lie in a line
    shares: Array = (np.linalg.inv(normal)[..., None, 0, :] @ np.swapaxes(plane * weights, -1, -2))[..., 0, :]
    return shares
