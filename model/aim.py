"""Aim: the axis that gives the worst of some listeners the smallest off-axis angle, within what a type can do.

Over axes on the sphere, the smallest cosine among listeners has its best value where it is stationary: at one
listener's direction, midway between two, equally far from three, or on the rim of what the type can reach, at the
peak of one listener's cosine or where two cross. All of those are tried, so the worst angle is exact, not searched.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.aim_candidates import Reach, lean_ahead
from earshed.model.geometry import RIGHT, Array, angle_between, tilted, unit
from earshed.model.speaker_type import Aiming, Angled, Fixed, Pivoting

SAME_ANGLE = 1e-9
"""Radians within which two axes count as equally good."""

NEARLY_BEST = 1e-7
"""Cosine within which an axis is worth comparing exactly; cosines are good to far less, and quick."""


@dataclass(frozen=True)
class Straight:
    """Square to the baffle."""


@dataclass(frozen=True, eq=False)
class Tilt:
    """`angle` radians from the baffle normal, leaning towards the direction `toward` (3,)."""

    angle: float
    toward: Array


@dataclass(frozen=True)
class AtSeats:
    """At the named seats, as well as the type can."""

    names: tuple[str, ...]


Aim = Straight | Tilt | AtSeats


class CannotAim(ValueError):
    """An aim that the type cannot take; the message says what it can."""


def axis_of(aiming: Aiming, normal: Array, aim: Aim, directions: Array) -> Array:
    """Unit axis (3,) of a speaker whose baffle faces `normal` (3,).

    `directions` (S, 3) lead to the ears of the seats named by an AtSeats aim. Raises CannotAim.
    """
    if isinstance(aim, AtSeats):
        return best_axis(aiming, normal, directions)
    if isinstance(aim, Straight):
        if isinstance(aiming, Angled):
            raise CannotAim("an angled type needs a heading: say aim: {toward: ...} or aim: {seats: main}")
        return normal
    return tilted(normal, aim.toward, aim.angle)


def best_axis(aiming: Aiming, normal: Array, directions: ArrayLike) -> Array:
    """Unit axis (3,) with the smallest worst off-axis angle to `directions` (S, 3), S >= 1, that the type allows.

    Ties go to the least sum of squared angles, then to the lean nearest to front, then to the left.
    """
    directions = unit(directions)
    match aiming:
        case Fixed():
            return normal
        case Angled(angle):
            return _pick(_rim_candidates(directions, normal, angle), directions, normal)
        case Pivoting(limit):
            return _best_in_cap(directions, normal, limit)


def worst_off_axis(axis: Array, directions: ArrayLike) -> float:
    """Largest angle (radians) between an axis (3,) and directions (S, 3)."""
    return float(angle_between(axis, directions).max())


def _best_in_cap(directions: Array, normal: Array, limit: float) -> Array:
    """The best axis within `limit` of the normal, by taking in the worst listener until no other is worse.

    The best axis for some of the listeners is at least as good as the best for all; once the listener it serves
    worst is among those it was made for, it is the best for all.
    """
    used = [int(angle_between(normal, directions).argmax())]
    while True:
        active = directions[used]
        axes = _cap_candidates(active, normal, limit)
        axis = _pick(axes, active, normal)
        worst = int(angle_between(axis, directions).argmax())
        if worst_off_axis(axis, directions) <= worst_off_axis(axis, active) + SAME_ANGLE or worst in used:
            # where axes tie for those it was made for, the others decide
            return _pick(np.concatenate([axes, _rim_candidates(directions, normal, limit)]), directions, normal)
        used.append(worst)


def _cap_candidates(directions: Array, normal: Array, limit: float) -> Array:
    """Axes (N, 3) within the cap at which the smallest cosine may be largest."""
    reach, columns = _reach(normal, limit), directions.T
    first, second = np.triu_indices(len(directions), k=1)
    triples = np.array(list(combinations(range(len(directions)), 3)), dtype=np.intp).reshape(-1, 3)
    inner = [normal[:, None], columns, reach.midways(columns[:, first], columns[:, second])]
    inner.append(reach.centers(*(columns[:, which] for which in triples.T)))
    axes = np.concatenate(inner, axis=1)
    return np.concatenate([axes[:, reach.holds(axes)].T, _rim_candidates(directions, normal, limit)])


def _rim_candidates(directions: Array, normal: Array, angle: float) -> Array:
    """Axes (N, 3) at `angle` from the normal at which the smallest cosine may be largest, and the one nearest front."""
    reach, columns = _reach(normal, angle), directions.T
    first, second = np.triu_indices(len(directions), k=1)
    axes = [reach.rim(reach.ahead), reach.peaks(columns), *reach.crossings(columns[:, first], columns[:, second])]
    if np.any(np.linalg.norm(np.cross(directions, normal), axis=1) < SAME_ANGLE):
        # a listener straight ahead ties every heading
        turn = np.linspace(-np.pi, np.pi, 7200, endpoint=False)
        axes.append(reach.rim(np.cos(turn) * reach.ahead + np.sin(turn) * np.cross(normal, reach.ahead[:, 0])[:, None]))
    rim: Array = np.concatenate(axes, axis=1).T
    return rim


def _reach(normal: Array, angle: float) -> Reach:
    return Reach(normal[:, None], lean_ahead(normal)[:, None], angle)


def _pick(axes: Array, directions: Array, normal: Array) -> Array:
    """The best of some axes (N, 3) by worst angle, then sum of squares, then nearness to front, then the left."""
    smallest = (axes @ directions.T).min(axis=1)
    axes = axes[smallest >= smallest.max() - NEARLY_BEST]
    angles = angle_between(axes[:, None], directions)
    worst = angles.max(axis=1)
    keep = worst <= worst.min() + SAME_ANGLE
    squares = np.sum(angles**2, axis=1)
    keep &= squares <= squares[keep].min() + SAME_ANGLE
    ahead = lean_ahead(normal)
    from_front = np.array([_lean_from(axis, normal, ahead) for axis in axes[keep]])
    nearest = axes[keep][from_front <= from_front.min() + SAME_ANGLE]
    axis: Array = unit(nearest[np.argmin(nearest @ RIGHT)])
    return axis


def _lean_from(axis: Array, normal: Array, ahead: Array) -> float:
    lean = axis - (axis @ normal) * normal
    return float(angle_between(lean, ahead)) if np.linalg.norm(lean) > SAME_ANGLE else 0.0
