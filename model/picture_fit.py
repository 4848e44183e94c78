"""How large a picture a wall can hold."""

from __future__ import annotations

import shapely

from earshed.model.plan import Wall
from earshed.model.room import Room
from earshed.model.screen import WallPatch, picture_patch, picture_size

LARGEST = 30.0
"""Metres of diagonal beyond which nothing is tried."""


def picture_on(wall: Wall, diagonal: float, aspect: float, bottom: float) -> WallPatch:
    """A picture in the middle of a wall, its lower edge at `bottom`; metres."""
    return picture_patch(wall, wall.length / 2, picture_size(diagonal, aspect), bottom)


def largest_picture(room: Room, wall: Wall, *, aspect: float, bottom: float, margin: float) -> float:
    """Diagonal (metres) of the largest picture in the middle of a wall, its lower edge at `bottom`, that keeps `margin`
    from the wall's edges; 0 where there is none. Sought by halving, to a tenth of a millimetre."""
    face = room.face(wall.name)
    if face is None:
        return 0.0
    free = face.outline.buffer(-margin) if margin else face.outline
    low, high = 0.0, LARGEST
    while high - low > 1e-4:
        tried = (low + high) / 2
        picture = picture_on(wall, tried, aspect, bottom)
        if free.covers(shapely.Polygon(face.to_face(picture.corners))):
            low = tried
        else:
            high = tried
    return low
