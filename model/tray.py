"""Tray ceilings: a middle part raised above a border, with upright or sloped sides."""

from __future__ import annotations

import shapely

from earshed.model.ceiling import Ceiling, CeilingPlane, flat, moved
from earshed.model.zone import Zone


def tray(
    *, width: float, length: float, height: float, rise: float, inset: float, run: float = 0.0
) -> tuple[Ceiling, Zone]:
    """The border's ceiling at `height`, and the zone inside it that is `rise` higher; metres.

    The border is `inset` wide all round. The sides stand upright, or slope over `run` on the plan.
    Raises ValueError for a tray that leaves no middle.
    """
    wide, long = width - 2 * inset, length - 2 * inset
    if min(wide, long) <= 2 * run:
        raise ValueError("the tray's border and sides leave no middle")
    area = shapely.box(inset, inset - length, width - inset, -inset)
    if run == 0:
        return flat(height), Zone("tray", area, flat(height + rise))
    pitch, top = rise / run, height + rise
    sides = (
        CeilingPlane("left side", pitch, 0.0, height),
        CeilingPlane("right side", -pitch, 0.0, height + pitch * wide),
        CeilingPlane("front side", 0.0, -pitch, height),
        CeilingPlane("rear side", 0.0, pitch, height + pitch * long),
        CeilingPlane("top", 0.0, 0.0, top),
    )
    return flat(height), Zone("tray", area, moved(sides, right=inset, back=inset))
