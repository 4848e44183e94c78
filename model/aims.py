"""Aims from very many positions at once, as exact as `aim.best_axis` from one.

Seats are taken in one at a time, the one served worst first, at all positions together: the best axis for some seats
is at least as good as the best for all, so once nobody is served worse than those it was made for, it is the best.
This is the scheme of problems that few of their constraints decide (M. Sharir and E. Welzl, "A combinatorial bound for
linear programming and related problems", 1992), but no seat is dropped again, so that it stays exact where a
dropped one would matter: on the rim alone, and past a right angle, where there can be more than one local best.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.aim_candidates import Reach, chords, lean_ahead
from earshed.model.geometry import Array, angle_between
from earshed.model.speaker_type import Aiming, Angled, Fixed, Pivoting

BLOCK = 4096
"""Positions worked on together: enough to be quick, few enough to need some megabytes only."""
NO_WORSE = 1e-12
"""Chord by which a seat may be served worse than those looked at through rounding."""
OUT_OF_REACH = 8.0
"""In place of the squared chord, at most 4, of an axis that the type does not reach."""

Trials = Callable[[Reach, Array, Array], tuple[Array, int]]
"""New axes (3, C, N) to try for a newest seat (3, 1, N) and earlier ones (3, K, N), and how many of them, the first
ones, may lie out of reach."""


@dataclass(frozen=True, eq=False)
class Aims:
    """Unit axes (N, 3) and the worst off-axis angle (N,), radians, that each leaves over its directions."""

    axes: Array
    worst: Array


def best_axes(aiming: Aiming, normals: ArrayLike, directions: ArrayLike) -> Aims:
    """The axes with the smallest worst off-axis angle from N positions, within what a type can do.

    `normals` are the unit baffle normals, (3,) or (N, 3); `directions` (N, S, 3), S >= 1, lead from each position to
    S ears and need no unit length. A direction of no length, an ear in the baffle, asks for nothing: its angle is 0.
    Where several axes are as good, any of them may be returned; `best_axis` settles such ties for one speaker.
    """
    directions = np.asarray(directions, dtype=np.float64)
    normals = np.broadcast_to(np.asarray(normals, dtype=np.float64), (len(directions), 3))
    axes, worst = np.array(normals), np.zeros(len(directions))
    for start in range(0, len(directions), BLOCK):
        part = slice(start, start + BLOCK)
        normal = np.ascontiguousarray(normals[part].T)
        towards, asked = _towards(directions[part], normal)
        match aiming:
            case Angled(angle):
                axes[part] = _best(towards, Reach(normal, lean_ahead(normal), angle), _rim_trials).T
            case Pivoting(limit):
                axes[part] = _best(towards, Reach(normal, lean_ahead(normal), limit), _cap_trials).T
            case Fixed():
                pass
        decisive = chords(axes[part].T[:, None], towards).argmax(axis=0)
        worst[part] = asked * angle_between(axes[part], towards[:, decisive, np.arange(len(decisive))].T)
    return Aims(axes, worst)


def _towards(directions: Array, normal: Array) -> tuple[Array, Array]:
    """Unit directions (3, S, N), and whether any has a length (N,).

    One of no length repeats another of its position, or the normal where none has any, so that it decides nothing.
    """
    towards = np.ascontiguousarray(directions.T)
    length = np.sqrt(np.sum(towards * towards, axis=0))
    asked = length > 0
    if asked.all():
        return towards / length, np.ones(len(directions))
    columns = np.arange(len(directions))
    first = asked.argmax(axis=0)
    some = asked.any(axis=0)
    spare = np.where(some, towards[:, first, columns] / np.where(some, length[first, columns], 1.0), normal)
    return np.where(asked, towards / np.where(asked, length, 1.0), spare[:, None]), some.astype(np.float64)


def _best(towards: Array, reach: Reach, trials: Trials) -> Array:
    """The best axes (3, N) for unit directions (3, S, N), taking in the seat served worst until no other is worse."""
    axes = np.empty_like(reach.normal)
    who = np.arange(axes.shape[1])
    newest = _seat(towards, chords(reach.normal[:, None], towards).argmax(axis=0))
    earlier, tried, apart = newest[:, :0], newest[:, :0], newest[0, :0]
    while True:
        columns = np.arange(len(who))
        here = Reach(reach.normal[:, None, who], reach.ahead[:, None, who], reach.angle)
        more, doubtful = trials(here, newest, earlier)
        earlier = np.concatenate([earlier, newest], axis=1)
        fresh = chords(more, newest)
        for seat in range(earlier.shape[1] - 1):
            np.maximum(fresh, chords(more, earlier[:, seat, None]), out=fresh)
        fresh[:doubtful][~here.holds(more[:, :doubtful])] = OUT_OF_REACH
        apart = np.concatenate([np.maximum(apart, chords(tried, newest)), fresh])
        tried = np.concatenate([tried, more], axis=1)
        found = apart.argmin(axis=0)
        axis = tried[:, found, columns]
        axes[:, who] = axis
        every = chords(axis[:, None], towards)
        worst = every.argmax(axis=0)
        still = np.sqrt(every[worst, columns]) > np.sqrt(apart[found, columns]) + NO_WORSE
        if not still.any():
            return axes
        who, towards, earlier, tried, apart = who[still], *(a[..., still] for a in (towards, earlier, tried, apart))
        newest = _seat(towards, worst[still])


def _seat(towards: Array, which: Array) -> Array:
    return towards[:, which, np.arange(len(which))][:, None]


def _rim_trials(reach: Reach, newest: Array, earlier: Array) -> tuple[Array, int]:
    return np.concatenate([reach.peaks(newest), *reach.crossings(newest, earlier)], axis=1), 0


def _cap_trials(reach: Reach, newest: Array, earlier: Array) -> tuple[Array, int]:
    first, second = np.triu_indices(earlier.shape[1], k=1)
    inner = [newest, reach.midways(newest, earlier), reach.centers(newest, earlier[:, first], earlier[:, second])]
    rim, _ = _rim_trials(reach, newest, earlier)
    axes = np.concatenate([*inner, rim], axis=1)
    return axes, axes.shape[1] - rim.shape[1]
