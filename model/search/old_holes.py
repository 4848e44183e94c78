"""Which types the holes that are there already would take, and what has to be done to them."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from earshed.model.clear_area import gap_of, gravest_only, wanted_of
from earshed.model.cut_fit import covers
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import ExistingHole
from earshed.model.hole import HoleShape
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.ground import deep_enough, obstacles_for
from earshed.model.units import INCH

LAP = INCH / 8
"""Metres by which a bezel is to lap the board all round a hole. Common practice, no source."""
SAME_CUT = INCH / 8
"""Metres across within which a hole counts as cut already. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Fit:
    """How an offer goes into a hole that is there: `why_not` in words, None where it does; `larger` is how many metres
    across the hole has to be cut wider, 0 where it is as it should be."""

    hole: ExistingHole
    offer: Offer
    why_not: str | None
    larger: float = 0.0

    @property
    def fits(self) -> bool:
        return self.why_not is None


def fit(ask: Ask, hole: ExistingHole, offer: Offer) -> Fit:
    """Whether a hole takes an offer: the new cut-out no smaller, its bezel lapping the board all round, board for its
    clamps, depth behind it, and nothing in the way of cutting it wider."""
    shape = shape_in(hole, offer)
    if not covers(shape.cut, hole.shape):
        return Fit(hole, offer, "its cut-out is smaller than the hole")
    opened = shapely.union(shape.cut.outline, hole.shape.outline)
    if offer.type.bezel is not None and not shape.rim.outline.buffer(TOUCHING).covers(opened.buffer(LAP - TOUCHING)):
        return Fit(hole, offer, "its bezel does not lap the board all round")
    if not deep_enough(ask, hole.surface, offer):
        return Fit(hole, offer, "the cavity behind it is not deep enough")
    for obstacle in map(gravest_only, obstacles_for(ask, hole.surface, offer)):
        if obstacle.name == hole.name and obstacle.group == "old holes":
            continue
        for level in obstacle.levels:
            if gap_of(level, shape) < wanted_of(level, shape) - TOUCHING:
                return Fit(hole, offer, f"cut for it, the hole would come too near to {obstacle.name}")
    wider = 2 * float(shapely.hausdorff_distance(shape.cut.outline, hole.shape.outline))
    return Fit(hole, offer, None, wider if wider > SAME_CUT else 0.0)


def shape_in(hole: ExistingHole, offer: Offer) -> HoleShape:
    """What an offer takes up in the middle of a hole."""
    middle = hole.surface.to_face(hole.position)
    shape = offer.shape(hole.surface)
    clamps = tuple(_moved(foot, middle) for foot in shape.clamps)
    return HoleShape(_moved(shape.cut, middle), _moved(shape.rim, middle), clamps)


def _moved(shape: FaceShape, by: Array) -> FaceShape:
    core = shapely.transform(shape.core, lambda uv: uv + by)
    return FaceShape(core, shape.radius)
