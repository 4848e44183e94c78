"""What keeps all of several speakers out, whichever of their types is meant."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.search.ask import Ask, Offer
from earshed.model.search.feasibility import Reason, in_order
from earshed.model.search.ground import why_not
from earshed.model.surface import Surface


def shared_reasons(asks: Sequence[tuple[Ask, Offer]], face: Surface) -> dict[Reason, BaseGeometry]:
    """Parts of a face, in its coordinates, where none of some asks, each with its offer, can have the middle of a hole
    for the same reason."""
    each = [dict(why_not(ask, face, offer)) for ask, offer in asks if any(face is one for one in ask.faces)]
    if not each:
        return {}
    reasons = set.intersection(*(set(areas) for areas in each))
    return in_order({reason: shapely.intersection_all([areas[reason] for areas in each]) for reason in reasons})
