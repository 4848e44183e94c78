"""A room cut through, on its picture: what is cut, painted as cut, and heights over the floor."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from PIL import Image, ImageDraw
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.solid import level_slice
from earshed.viewer import palette
from earshed.viewer.camera import View

SHELL = 0.11
"""Metres of board and framing as they are painted round the room, where nobody has measured them. Common practice, no
source."""
FINER = 4
"""Times the picture's size at which edges are painted before they are brought down."""


def paint_cut(picture: Image.Image, view: View, scene: Scene) -> None:
    """Paints what a view cuts through on its picture: a band round the room, and in a section things in it."""
    if view.section is not None:
        shell, to_room = view.section.shell, view.section.to_room
        _paint(picture, view, to_room, view.section.things, palette.CUT_THING)
    else:
        level = float(view.place[2])
        shell = level_slice(scene.room.solid, level)

        def to_room(flat: Array) -> Array:
            return np.column_stack([flat, np.full(len(flat), level)])

    _paint(picture, view, to_room, shell.buffer(SHELL, join_style="mitre").difference(shell), palette.CUT)


def _paint(picture: Image.Image, view: View, to_room: Callable[[Array], Array], area: BaseGeometry, color: str) -> None:
    """Paints an area (in the plane of the cut) with smooth edges."""
    fine = (FINER * picture.size[0], FINER * picture.size[1])
    mask = Image.new("L", fine, 0)
    pen = ImageDraw.Draw(mask)
    for part in shapely.get_parts(area):
        if isinstance(part, shapely.Polygon) and not part.is_empty:
            for ring, fill in ((part.exterior, 255), *((inner, 0) for inner in part.interiors)):
                points = view.pixels(to_room(np.array(ring.coords)), fine)
                pen.polygon([(float(x), float(y)) for x, y in points], fill=fill)
    picture.paste(color, mask=mask.resize(picture.size, Image.Resampling.BOX))
