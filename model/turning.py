"""How a speaker is turned to an axis by hand: a distance round its rim, or how far aside and up from its wall."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import PARALLEL, TOUCHING, UP, Array, unit
from earshed.model.hole import screen_side
from earshed.model.speaker import Speaker

ROUND = math.radians(0.05)
"""Radians from straight ahead, or straight back, within which neither side is nearer."""


@dataclass(frozen=True)
class RimMark:
    """Metres round the rim from its screen-side mark, the point straight ahead of its middle, and towards which side.

    The sides are the room's own, facing the screen; none where the mark itself is meant, or the point opposite.
    """

    distance: float
    side: Literal["left", "right"] | None


def rim_mark(speaker: Speaker, axis: Array, ahead: Array) -> RimMark | None:
    """Where on the rim a ceiling speaker's axis (3,) leans over it; `ahead` (2,) is the plan way to the screen.

    None for an axis square to the face, for a face that stands upright, and for a cabinet.
    """
    normal, surface, rim = speaker.normal, speaker.surface, speaker.rim
    lean = axis - (axis @ normal) * normal
    if surface is None or rim is None or abs(normal[2]) < TOUCHING or np.linalg.norm(lean) < PARALLEL:
        return None
    mark, right = screen_side(surface, ahead)
    way = surface.frame @ unit(lean)
    turn = math.atan2(way @ right, way @ mark)
    edge = rim.outline.exterior
    at = [edge.project(_on_edge(rim, to)) for to in (mark, way)]
    one_way = abs(at[1] - at[0])
    distance = min(one_way, edge.length - one_way)
    if min(abs(turn), math.pi - abs(turn)) < ROUND:
        return RimMark(distance, None)
    return RimMark(distance, "right" if turn > 0 else "left")


def _on_edge(rim: FaceShape, way: Array) -> shapely.Point:
    """The point of a rim's edge straight from its middle in a unit direction (2,) of its face."""
    middle = shapely.get_coordinates(rim.core.centroid)[0]
    far = middle + 2 * rim.reach(way) * way
    ends = shapely.get_coordinates(shapely.LineString([middle, far]).intersection(rim.outline))
    return shapely.Point(ends[np.argmax((ends - middle) @ way)])


@dataclass(frozen=True, eq=False)
class WallTurn:
    """How far an axis leaves the normal of an upright baffle: aside in plan, radians, towards a level direction (3,),
    and up, radians, negative down."""

    aside: float
    towards: Array
    up: float


def wall_turn(normal: Array, axis: Array) -> WallTurn | None:
    """How an axis (3,) is turned from the normal (3,) of a baffle that stands upright; None for one that does not."""
    if abs(normal[2]) > TOUCHING or abs(axis[2]) > 1 - PARALLEL:
        return None
    level = np.cross(UP, normal)
    aside = math.atan2(axis @ level, axis @ normal)
    towards = level if aside >= 0 else -level
    return WallTurn(abs(aside), towards, math.atan2(axis[2], math.hypot(axis[0], axis[1])))
