"""What a way costs, as metres of cable: its length, and what there is to bore, to open and patch, or to look at.

All prices are our own choice: they make ways go along bays, where a drill reaches, and out of sight.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import TOUCHING, Array
from earshed.model.wiring.joints import Joint
from earshed.model.wiring.panel import ASSUMED_SPACING, Panel

BORED, PATCHED = 0.5, 3.0
"""Metres of cable that one would rather run than bore a member that a drill reaches, or open and patch one."""
PLATE_BORED, PLATE_PATCHED = 1.0, 3.0
"""The same for what stands between two faces."""
ON_SURFACE = 60.0
"""Times as far that one would rather go than lie on a face in sight."""
TURN = 0.3
"""Metres that one would rather run than turn off square on a face, so that ways are plain ones."""
PAST_HIDDEN = 100.0
"""Times as far that one would rather go than past what was found behind the board."""
FARTHER = 0.2
"""Of its price that a hole or a patch costs more for each metre that it is away from the rack. Cables come together
there, so that one near it serves more of them."""


def dearer(point: Array, rack: Array) -> float:
    """Times its price that a hole at a point (3,) costs, with the rack at another."""
    return 1 + FARTHER * float(np.linalg.norm(point - rack))


def dearer_along(start: Array, end: Array, rack: Array) -> float:
    """The mean of that over a straight (3,) to (3,), so that it does not matter into which parts one is cut: the
    integral of the distance is (s r + h^2 asinh(s / h)) / 2, s along it and r and h from the rack to its end and to it.
    """
    run, away = end - start, start - rack
    length = float(np.linalg.norm(run))
    if length < TOUCHING:
        return dearer(start, rack)
    along = float(away @ run) / length
    aside = float(np.linalg.norm(away - along / length * run))

    def up_to(s: float) -> float:
        bent = aside**2 * math.asinh(s / aside) if aside > TOUCHING else 0.0
        return (s * math.hypot(s, aside) + bent) / 2

    return 1 + FARTHER * (up_to(along + length) - up_to(along)) / length


def stretch_cost(panel: Panel, axis: int, spots: Array, line: shapely.LineString, rack: Array) -> float:
    """Metres of cable that a stretch (2, 2) of a line is worth."""
    length = float(np.abs(spots[1] - spots[0]).sum())
    hidden = 0.0
    for shape in panel.hidden_shapes:
        for low, high in spans(shape.intersection(line), axis):
            hidden += max(0.0, min(high, float(spots[1, axis])) - max(low, float(spots[0, axis])))
    if panel.back == "none":
        return ON_SURFACE * length
    if panel.back == "tiles":
        return length + PAST_HIDDEN * hidden
    each = BORED if panel.reached else PATCHED
    crossed = panel.crossed(spots[0], spots[1])
    if crossed is None:
        start, end = panel.to_room(spots)
        along_studs = panel.is_upright and axis == 0
        members = 0.0 if along_studs else length / ASSUMED_SPACING * dearer_along(start, end, rack)
    else:
        members = sum(dearer(panel.at_member(*one), rack) for one in crossed)
    return length + each * members + PAST_HIDDEN * hidden


def edge_price(joint: Joint, one: Panel, other: Panel, times: float) -> float:
    """What passing an edge is worth, where holes cost some times their price."""
    if (one.back == "none") != (other.back == "none"):
        return times * PLATE_BORED  # to come out; no less than it is worth once what is out can be reached behind
    if joint.crossed is None or one.back == "none":
        return 0.0
    return times * (PLATE_BORED if one.reached or other.reached else PLATE_PATCHED)


def spans(shape: BaseGeometry, axis: int) -> list[tuple[float, float]]:
    """From where to where along an axis the straight parts of a shape reach."""
    found = []
    for part in shapely.get_parts(shape):
        if part.length > 0:
            values = shapely.get_coordinates(part)[:, axis]
            found.append((float(values.min()), float(values.max())))
    return found
