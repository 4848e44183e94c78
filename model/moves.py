"""Moves along a face in words, as one would slide a template: towards a wall, up or down a slope."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from earshed.model.geometry import TOUCHING, Array
from earshed.model.heading import heading_words
from earshed.model.surface import Surface
from earshed.model.units import INCH, PrintUnits, format_length

MARKS: dict[PrintUnits, float] = {"ft-in": INCH / 16, "mm": 0.001, "cm": 0.001, "m": 0.001}
"""Metres of the marks to which lengths are printed."""
LEVEL = 1e-6
"""Rise of a unit direction under which it is level."""
STRAIGHT = 0.999
"""Cosine from which a direction is called up or down its face."""
SLACK = 1e-4
"""Share of a mark by which a length may be past one and still be called by it: less than a touch."""


def nearest_move(middle: Array, area: BaseGeometry) -> Array | None:
    """The shortest move (2,) of a point (2,) into an area; None where the area is empty."""
    if area.is_empty:
        return None
    _, spot = nearest_points(shapely.Point(middle), area)
    move: Array = np.array([spot.x, spot.y]) - middle
    return move


def taped_move(middle: Array, area: BaseGeometry, units: PrintUnits) -> Array | None:
    """The nearest move into an area, each way of it taken to a mark of the tape such that it still ends in the area.

    A part so narrow that no mark near the end of the move lies in it is passed over; None where no part is wider.
    """
    move = nearest_move(middle, area)
    if move is None or not np.any(move):
        return move
    mark = MARKS[units]
    ways = [[math.copysign(max(0.0, number) * mark, step) for number in _marks_by(abs(step) / mark)] for step in move]
    tried = np.stack(np.meshgrid(*ways), axis=-1).reshape(-1, 2)
    tried = tried[np.argsort(np.hypot(*tried.T), kind="stable")]
    ends = shapely.distance(shapely.points(middle + tried), area) < TOUCHING / 2
    if ends.any():
        nearest: Array = tried[ends][0]
        return nearest
    inner = nearest_move(
        middle, area.buffer(-mark)
    )  # round which all within half the diagonal of a mark is in the area
    return None if inner is None else np.round(inner / mark) * mark


def _marks_by(marks: float) -> tuple[float, ...]:
    """None and the tape's marks about a length, itself counted in marks."""
    up = math.ceil(marks - SLACK)
    return 0, up - 1, up, up + 1


def move_words(surface: Surface, move: Array, units: PrintUnits) -> str:
    """A move (2,) in a face's coordinates, each way rounded up to the tape's next mark: 1-3/8" towards the rear."""
    mark = MARKS[units]
    ways = [way_words(surface, axis if step > 0 else -axis) for axis, step in zip(surface.frame, move, strict=True)]
    told = [
        f"{format_length(math.ceil(abs(step) / mark - SLACK) * mark, units)} {way}"
        for step, way in zip(move, ways, strict=True)
        if abs(step) > SLACK * mark
    ]
    return " and ".join(told) or format_length(0.0, units)


def way_words(surface: Surface, way: Array) -> str:
    """A unit direction (3,) along a face in words: up or down it, or by where it leads on the plan."""
    upslope = surface.frame[1]
    if abs(way @ upslope) > STRAIGHT and abs(upslope[2]) > LEVEL:
        slope = "" if abs(surface.normal[2]) < LEVEL else " the slope"
        return f"{'up' if way[2] > 0 else 'down'}{slope}"
    return f"towards {towards(way)}"


def towards(direction: Array) -> str:
    """A plan direction in words, with an article where it is a wall: "the rear", "30 degrees right of front"."""
    words = heading_words(direction)
    return f"the {words}" if words in ("front", "rear", "left", "right") else words
