"""Whether one cut-out takes in another: old holes, and the types that fit them."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.face_shape import FaceShape
from earshed.model.units import INCH

SLOP = INCH / 16
"""Metres by which an old hole may stick out of a new one and still be trimmed with it. Common practice, no source."""


SAME_CUT = INCH / 8
"""Metres across within which a hole counts as cut already. Common practice, no source."""


def wider(cut: FaceShape, old: FaceShape) -> float:
    """Metres across by which an old hole has to be cut wider for a cut that takes it in; 0 where it is cut already."""
    more = 2 * float(shapely.hausdorff_distance(cut.outline, old.outline))
    return more if more > SAME_CUT else 0.0


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
