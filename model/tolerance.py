"""How sure a verdict is: the least and the most off-axis angle while a speaker may sit and point a little off.

The axis may turn by an angle a in any direction, and each place then gives the angles from a less to a more than it
gives with the axis as drawn; so the places alone need a search, with the axis held still.

On a face the center goes anywhere in a disc. The angle between an axis and the line to a seat has no least or most
value inside it but 0 and 180 degrees, where the axis's own line through the seat meets the disc: elsewhere it is
stationary only along lines on which the seat lies in the plane of the disc, and those lead on to the circle. On the
circle, at the turn p, its cosine is N / sqrt(D) with N and D plain in cos p and sin p, and is stationary where
2 N' D - N D' = 0: a polynomial of degree 4 in exp(i p). In a ball, which is what a cabinet goes anywhere in, the lines
to a seat fill a cone of half angle asin(radius / distance) round the one from its center.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.coverage import VERDICTS, off_axis
from earshed.model.geometry import PARALLEL, TOUCHING, Array, face_frame
from earshed.model.pairs import Pair
from earshed.model.speaker_type import Verdict
from earshed.model.units import PrintUnits, format_angle, format_length

ROUND = np.linspace(0.0, 2 * np.pi, 64, endpoint=False)
"""Turns at which the circle is tried besides: for discs so small beside the distance (1e-6) that rounding hides the
roots, within 1e-9 radians of its extremes."""
NOTHING = 1e-13
"""Part of the largest coefficient under which another is rounding."""
FLAT = 1e-200
"""Coefficients under which the angle is the same all round, as near as numbers can tell."""


@dataclass(frozen=True)
class Tolerance:
    """How far a speaker may sit from its place, metres, and its axis point from where it should, radians."""

    length: float = 0.0
    angle: float = 0.0

    def words(self, units: PrintUnits) -> str:
        """As it is printed: `1" and 3.0°`, or the one of them that there is."""
        told = [format_length(self.length, units)] if self.length else []
        return " and ".join([*told, *([format_angle(self.angle)] if self.angle or not told else [])])


@dataclass(frozen=True)
class Spread:
    """The off-axis angles, radians, that a pair may come to within a tolerance."""

    pair: Pair
    least: float
    most: float

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Those that are possible, the best first."""
        coverage = self.pair.speaker.coverage
        best, worst = (VERDICTS.index(coverage.verdict(angle)) for angle in (self.least, self.most))
        return VERDICTS[best : worst + 1]

    @property
    def sure(self) -> bool:
        """Whether the verdict stays what it is."""
        return len(self.verdicts) == 1


def spreads(pairs: Sequence[Pair], tolerance: Tolerance) -> list[Spread]:
    """What each pair may come to, in their order.

    A face is taken to go on past its edges: a hole over one is a finding of its own. So is what stands in the way.
    """
    return [_spread(pair, tolerance) for pair in pairs]


def _spread(pair: Pair, tolerance: Tolerance) -> Spread:
    speaker, ear = pair.speaker, pair.seat.ear
    if speaker.surface is None:
        least, most = angles_from_ball(ear, speaker.axis, speaker.position, tolerance.length)
    else:
        least, most = angles_from_disc(ear, speaker.axis, speaker.position, speaker.normal, tolerance.length)
    return Spread(pair, max(0.0, least - tolerance.angle), min(float(np.pi), most + tolerance.angle))


def angles_from_ball(point: Array, axis: Array, center: Array, radius: float) -> tuple[float, float]:
    """Least and most angle, radians, between a unit axis (3,) and the line to a point (3,) from anywhere in a ball.

    From the point itself any direction will do, so a ball that holds it gives 0 and pi.
    """
    drawn = float(off_axis(point, center, axis))
    distance = float(np.linalg.norm(point - center))
    if radius == 0.0:
        return drawn, drawn
    if distance <= radius + TOUCHING:
        return 0.0, float(np.pi)
    aside = float(np.arcsin(radius / distance))
    return max(0.0, drawn - aside), min(float(np.pi), drawn + aside)


def angles_from_disc(point: Array, axis: Array, center: Array, normal: Array, radius: float) -> tuple[float, float]:
    """Least and most angle, radians, between a unit axis (3,) and the line to a point (3,) from anywhere in a disc.

    The disc lies round its center (3,) square to the unit normal (3,). Within 1e-9 radians of exact. A disc that holds
    the point gives 0 and pi.
    """
    drawn = float(off_axis(point, center, axis))
    if radius == 0.0:
        return drawn, drawn
    way = point - center
    height = float(way @ normal)
    if abs(height) <= TOUCHING and np.linalg.norm(way) <= radius + TOUCHING:
        return 0.0, float(np.pi)
    first, second = (radius * edge for edge in face_frame(normal))
    turns = np.concatenate([ROUND, _stationary(way, axis, first, second)])
    rim = center + np.cos(turns)[:, None] * first + np.sin(turns)[:, None] * second
    angles = [drawn, *off_axis(point, rim, axis)]
    along = float(axis @ normal)
    if abs(along) > PARALLEL:
        met = way - height / along * axis  # where the axis's line through the point meets the face, from the center
        if np.linalg.norm(met) <= radius:
            angles.append(0.0 if height / along > 0 else float(np.pi))
    return float(min(angles)), float(max(angles))


def _stationary(way: Array, axis: Array, first: Array, second: Array) -> Array:
    """Turns (at most 4,) on the circle at which the angle may be least or most; others among them do no harm."""
    radius = first @ first
    edges = first - 1j * second  # of cos and sin, as the coefficient of exp(i turn)
    n = -(axis @ edges) / 2
    d = -(way @ edges)
    along = np.array([n, axis @ way, np.conj(n)])
    square = np.array([d, way @ way + radius, np.conj(d)])
    slope = np.array([1j, 0, -1j])
    found = 2 * np.convolve(slope * along, square) - np.convolve(along, slope * square)
    largest = np.abs(found).max()
    if largest < FLAT:
        return np.empty(0)
    found[np.abs(found) <= NOTHING * largest] = 0.0
    return np.asarray(np.angle(np.roots(found)), dtype=np.float64)
