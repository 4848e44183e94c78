"""Whether one cut-out takes in another: old holes, and the types that fit them."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.units import INCH

SLOP = INCH / 16
"""Metres by which an old hole may stick out of a new one and still be trimmed with it. Common practice, no source."""


SAME_CUT = INCH / 8
"""Metres across within which a hole counts as cut already. Common practice, no source."""


LAP = INCH / 8
"""Metres by which a bezel is to lap the board all round a hole. Common practice, no source."""
DRAWN = INCH / 64
"""Metres of lap that circles drawn with corners may cost."""


def wider(cut: FaceShape, old: FaceShape) -> float:
    """Metres across by which an old hole has to be cut wider for a cut that takes it in; 0 where it is cut already.

    They are the most that the cut measures more along its own sides, or along those of the hole where it is round
    itself; corner to corner where only corners are left to cut.
    """
    if old.outline.buffer(SAME_CUT / 2 + TOUCHING, join_style="mitre").covers(cut.outline):
        return 0.0
    more = max(_extent(cut, way) - _extent(old, way) for way in _ways(cut, old))
    return more if more > SAME_CUT else 2 * float(shapely.hausdorff_distance(cut.outline, old.outline))


def _ways(cut: FaceShape, old: FaceShape) -> Array:
    """Unit directions (2, 2) along the sides of the first of two shapes that is a rectangle."""
    core = next((one.core for one in (cut, old) if isinstance(one.core, shapely.Polygon)), None)
    if core is None:
        return np.eye(2)
    sides = np.diff(shapely.get_coordinates(core)[:3], axis=0)
    ways: Array = sides / np.linalg.norm(sides, axis=1, keepdims=True)
    return ways


def _extent(shape: FaceShape, way: Array) -> float:
    return shape.reach(way) + shape.reach(-way)


def laps(bezel: FaceShape, *holes: FaceShape) -> bool:
    """Whether a bezel laps the board all round holes."""
    opened = shapely.union_all([hole.outline for hole in holes])
    return bool(bezel.outline.buffer(TOUCHING).covers(opened.buffer(LAP - DRAWN)))


def covers(cut: FaceShape, old: FaceShape) -> bool:
    """Whether a cut takes in an old hole on the same face, but for what a saw leaves."""
    return bool(cut.outline.buffer(SLOP).covers(old.outline))


def covering_area(cut: FaceShape, old: FaceShape) -> BaseGeometry:
    """Where the origin of a cut may be for it to take in an old hole, as `covers` has it.

    To take in all within a radius of some corners it must, shrunk by that radius, take in the corners.
    """
    grown = SLOP - old.radius
    shrunk = cut.outline.buffer(grown, join_style="round" if grown > 0 else "mitre")
    if shrunk.is_empty:
        return shrunk
    turned = -shapely.get_coordinates(shrunk)
    corners = np.unique(shapely.get_coordinates(old.core), axis=0)
    return shapely.intersection_all([shapely.Polygon(turned + corner) for corner in corners])
