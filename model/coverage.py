"""Coverage: off-axis angles over the listening plane and at the seats, verdicts, and shares of the seating area."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.chebyshev import cheb2poly
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array, angle_between, face_frame
from earshed.model.listening_plane import ListeningPlane
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import ON_THE_LIMIT, Verdict

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]
Choice = NDArray[np.intp]

BLOCK_POINTS = 32768
"""Points worked on at once: few enough that a block's arrays stay in the cache, enough to be worth a call to numpy.
One thread: two hold each other up at every call, and with another program on the machine they lose."""

VERDICTS: tuple[Verdict, ...] = ("covered", "fringe", "outside")


def off_axis(points: ArrayLike, position: Array, axis: Array) -> Array:
    """Angle (...), radians, between the axis (3,) of a speaker at `position` (3,) and its lines to points (..., 3)."""
    return angle_between(axis, np.asarray(points, dtype=np.float64) - position)


def off_axis_map(plane: ListeningPlane, positions: ArrayLike, axes: ArrayLike) -> Map:
    """Off-axis angles (S, ny, nx) in degrees, float32, of speakers at `positions` (S, 3) with unit `axes` (S, 3).

    nan at plane points outside the room's air. In each speaker's own frame a point has a part along the axis and two
    across it, each the sum of what its column adds and what its row adds. Both are taken from the speaker in double
    precision, so that single precision is enough near it in a room of any size. Good to 5e-5 degrees beyond 0.3 m.
    """
    positions, axes = np.atleast_2d(positions), np.atleast_2d(axes)
    rows, columns = plane.height.shape
    level = float(plane.height[0, 0])
    stepped = bool(np.any(plane.height != level))
    outside = ~plane.inside
    result = np.empty((len(positions), rows, columns), dtype=np.float32)
    band = max(1, BLOCK_POINTS // columns)
    for angles, (x, y, z), axis in zip(result, positions, axes, strict=True):
        across_x, across_y, across_z = np.stack([*face_frame(axis), axis]).T[..., None]
        by_column = (across_x * (plane.x - x)).astype(np.float32)[:, None, :]
        by_row = (across_y * (plane.y - y) + across_z * (level - z)).astype(np.float32)[:, :, None]
        for start in range(0, rows, band):
            here = slice(start, start + band)
            parts = by_column + by_row[:, here]
            if stepped:
                parts += across_z[..., None].astype(np.float32) * (plane.height[here] - level).astype(np.float32)
            _angles(*parts, out=angles[here])
        angles[outside] = np.nan
    return result


def _angles(across: Map, aside: Map, along: Map, *, out: Map) -> None:
    """Degrees between the axis and points with these parts in its frame; the parts are overwritten.

    With r the distance, tan(angle / 2) = across / (r + along): exact near the axis, never past 1 before the baffle,
    and behind it that of 180 degrees less the angle. numpy's own arc tangents are several times as slow where they
    have no vector form.
    """
    across *= across
    aside *= aside
    across += aside
    np.multiply(along, along, out=aside)
    aside += across
    np.sqrt(aside, out=aside)
    np.sqrt(across, out=across)
    behind = along < 0
    np.abs(along, out=along)
    aside += along
    aside += np.float32(1e-30)  # a point at the speaker itself counts as on its axis
    across /= aside
    np.multiply(across, across, out=aside)
    np.multiply(aside, _HALF_ANGLE[-1], out=along)
    for coefficient in _HALF_ANGLE[-2:0:-1]:
        along += coefficient
        along *= aside
    along += _HALF_ANGLE[0]
    np.multiply(along, across, out=out)
    if behind.any():
        out[behind] = np.float32(180) - out[behind]


def _half_angle_series(terms: int) -> Map:
    """Coefficients of t, t^3, t^5, ... of the angle (degrees) whose half has the tangent t, for t in [0, 1].

    The classical expansion arctan t = 2 sum (-1)^k q^(2k+1) / (2k+1) T_(2k+1)(t), q = sqrt 2 - 1, T the Chebyshev
    polynomials. Cut short at `terms`, the angle is out by about 4 q^(2 terms + 1) / (2 terms + 1) radians: 5e-6
    degrees at 8 terms.
    """
    order = 2 * np.arange(terms) + 1
    series = np.zeros(2 * terms)
    series[1::2] = 2 * (-1.0) ** np.arange(terms) * (np.sqrt(2) - 1) ** order / order
    return np.asarray(2 * np.degrees(cheb2poly(series)[1::2]), dtype=np.float32)


_HALF_ANGLE = _half_angle_series(8)


@dataclass(frozen=True, eq=False)
class SetCoverage:
    """What a set of speakers gives at each plane point; all (ny, nx).

    Speakers of one channel carry one signal, so one of them counts; different channels, or none, must each serve by
    themselves. `served` counts channels within their coverage limit, of `channels` in all; `worst` is the largest
    off-axis angle (degrees) among channels; `verdict` indexes VERDICTS, the worst among channels; -1 and nan outside
    the room. `unseen` marks the points of the room that see no speaker of some channel.
    """

    served: NDArray[np.int16]
    channels: int
    worst: Map
    verdict: NDArray[np.int8]
    unseen: Mask


def set_coverage(speakers: Sequence[Speaker], angles: Map, visible: Mask, counts: Sequence[Choice]) -> SetCoverage:
    """Coverage of a set from its off-axis maps, `angles` (S, ny, nx) in degrees; from which points see which speaker,
    `visible` (S, ny, nx), since none serves a point in its shadow; and from which speaker `counts` (ny, nx) for each
    channel, in the order of `channel_groups`, an index into the speakers."""
    outside = np.isnan(angles[0]) if len(angles) else np.ones(angles.shape[1:], dtype=bool)
    served = np.zeros(angles.shape[1:], dtype=np.int16)
    worst = np.zeros(angles.shape[1:], dtype=np.float32)
    verdict = np.zeros(angles.shape[1:], dtype=np.int8)
    unseen = np.zeros(angles.shape[1:], dtype=bool)
    verdicts = [in_sight(verdict_map(*each), seen) for *each, seen in zip(speakers, angles, visible, strict=True)]
    for group, choice in zip(channel_groups(speakers), counts, strict=True):
        here = np.select([choice == s for s in group], [verdicts[s] for s in group])
        served += (here >= 0) & (here < 2)
        worst = np.maximum(worst, np.select([choice == s for s in group], [angles[s] for s in group]))
        verdict = np.maximum(verdict, here)
        unseen |= ~visible[group].any(axis=0)
    worst[outside] = np.nan
    served[outside], verdict[outside], unseen[outside] = -1, -1, False
    return SetCoverage(served, len(counts), worst, verdict, unseen)


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


def in_sight(verdict: NDArray[np.int8], visible: Mask) -> NDArray[np.int8]:
    """A verdict map (ny, nx) on which points that do not see the speaker count as outside."""
    return np.where((verdict >= 0) & ~visible, np.int8(VERDICTS.index("outside")), verdict)


def shares(verdict: NDArray[np.int8], area: Mask) -> dict[Verdict, float]:
    """Share (0 to 1) of the plane points in `area` (ny, nx) that have each verdict; all 0 where none are inside."""
    inside = verdict[area & (verdict >= 0)]
    return {name: float(np.mean(inside == index)) if inside.size else 0.0 for index, name in enumerate(VERDICTS)}
