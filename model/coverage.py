"""Coverage: off-axis angles over the listening plane and at the seats, verdicts, and shares of the seating area."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array, angle_between, face_frame
from earshed.model.listening_plane import ListeningPlane
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import ON_THE_LIMIT, Verdict

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

BLOCK_POINTS = 8192
"""Points worked on at once: small enough that a block's arrays stay in the cache."""

VERDICTS: tuple[Verdict, ...] = ("covered", "fringe", "outside")


def off_axis(points: ArrayLike, position: Array, axis: Array) -> Array:
    """Angle (...), radians, between the axis (3,) of a speaker at `position` (3,) and its lines to points (..., 3)."""
    return angle_between(axis, np.asarray(points, dtype=np.float64) - position)


def off_axis_map(plane: ListeningPlane, positions: ArrayLike, axes: ArrayLike) -> Map:
    """Off-axis angles (S, ny, nx) in degrees, float32, of speakers at `positions` (S, 3) with unit `axes` (S, 3).

    nan at plane points outside the room's air. In each speaker's own frame a point has a part along the axis and
    two parts across it, all from one matrix product; atan2 of across and along stays exact near the axis, in single
    precision too. Good to 2e-4 degrees beyond 0.3 m from the speaker in rooms of up to 60 m.
    """
    positions, axes = np.atleast_2d(positions), np.atleast_2d(axes)
    middle = np.array([plane.x.mean(), plane.y.mean(), plane.height.mean()])
    frames = np.stack([[*face_frame(axis), axis] for axis in axes])  # (S, 3, 3): two across, one along
    turn = frames.transpose(1, 0, 2).reshape(-1, 3).astype(np.float32)
    shift = np.einsum("sij,sj->is", frames, middle - positions).reshape(-1, 1).astype(np.float32)
    count, (rows, columns) = len(positions), plane.height.shape
    result = np.empty((count, rows, columns), dtype=np.float32)
    x = (plane.x - middle[0]).astype(np.float32)
    band = max(1, BLOCK_POINTS // columns)

    def fill(start: int) -> None:
        stop = min(start + band, rows)
        y = (plane.y[start:stop] - middle[1]).astype(np.float32)
        z = (plane.height[start:stop] - middle[2]).astype(np.float32)
        points = np.stack([np.broadcast_to(x, z.shape), np.broadcast_to(y[:, None], z.shape), z]).reshape(3, -1)
        local = turn @ points
        local += shift
        across, aside, along = local.reshape(3, count, -1)
        across *= across
        aside *= aside
        across += aside
        np.sqrt(across, out=across)
        angle = np.arctan2(across, along, out=across)
        angle *= np.float32(180 / np.pi)
        angle[:, ~plane.inside[start:stop].reshape(-1)] = np.nan
        result[:, start:stop] = angle.reshape(count, stop - start, columns)

    with ThreadPoolExecutor(max_workers=min(2, os.cpu_count() or 1)) as pool:
        list(pool.map(fill, range(0, rows, band)))
    return result


@dataclass(frozen=True, eq=False)
class SetCoverage:
    """What a set of speakers gives at each plane point; all (ny, nx).

    Speakers of one channel carry one signal, so the best of them counts; different channels, or none, must each
    serve by themselves. `served` counts channels within their coverage limit, of `channels` in all; `worst` is the
    largest off-axis angle (degrees) among channels; `verdict` indexes VERDICTS, the worst among channels; -1 and nan
    outside the room.
    """

    served: NDArray[np.int16]
    channels: int
    worst: Map
    verdict: NDArray[np.int8]


def set_coverage(speakers: Sequence[Speaker], angles: Map) -> SetCoverage:
    """Coverage of a set from its off-axis maps, `angles` (S, ny, nx) in degrees."""
    groups = channel_groups(speakers)
    outside = np.isnan(angles[0]) if len(angles) else np.ones(angles.shape[1:], dtype=bool)
    served = np.zeros(angles.shape[1:], dtype=np.int16)
    worst = np.zeros(angles.shape[1:], dtype=np.float32)
    verdict = np.zeros(angles.shape[1:], dtype=np.int8)
    for group in groups:
        verdicts = np.stack([verdict_map(speakers[s], angles[s]) for s in group])
        best_verdict = verdicts.min(axis=0)
        hopeful = np.where(verdicts == best_verdict, angles[group], np.float32(np.inf))
        served += best_verdict < 2
        worst = np.maximum(worst, hopeful.min(axis=0))
        verdict = np.maximum(verdict, best_verdict)
    worst[outside] = np.nan
    served[outside], verdict[outside] = -1, -1
    return SetCoverage(served, len(groups), worst, verdict)


def channel_groups(speakers: Sequence[Speaker]) -> list[list[int]]:
    """Indices of the speakers that carry each signal, in the order the signals first appear."""
    groups: dict[str | int, list[int]] = {}
    for index, speaker in enumerate(speakers):
        groups.setdefault(speaker.channel.label if speaker.channel else index, []).append(index)
    return list(groups.values())


def verdict_map(speaker: Speaker, angles: Map) -> NDArray[np.int8]:
    """Verdict (ny, nx) at each plane point, an index into VERDICTS; -1 where the off-axis angle (degrees) is nan."""
    covered, limit = np.degrees([speaker.coverage.covered_limit, speaker.coverage.limit])
    slack = np.degrees(ON_THE_LIMIT)
    verdict: NDArray[np.int8] = (angles > covered + slack).astype(np.int8) + (angles > limit + slack).astype(np.int8)
    verdict[np.isnan(angles)] = -1
    return verdict


def shares(verdict: NDArray[np.int8], area: Mask) -> dict[Verdict, float]:
    """Share (0 to 1) of the plane points in `area` (ny, nx) that have each verdict; all 0 where none are inside."""
    inside = verdict[area & (verdict >= 0)]
    return {name: float(np.mean(inside == index)) if inside.size else 0.0 for index, name in enumerate(VERDICTS)}
