"""How things are drawn on sheets that are printed in black: holes, framing, patches of walls."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgba
from matplotlib.patches import Circle, Polygon

from earshed.model.framing import member_parts
from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.face_views import FaceView
from earshed.viewer.hidden_drawing import Look, framing_on, member_look
from earshed.viewer.plan_drawing import seat_frame

Style = dict[str, Any]
CUT: Style = {"fc": "none", "ec": palette.INK, "lw": 1.4, "zorder": 12}
BEZEL: Style = {"fc": "none", "ec": palette.INK, "lw": 0.6, "zorder": 11.9}
CABINET: Style = {"fc": palette.PAPER, "ec": palette.INK, "lw": 0.9, "ls": (0, (6, 2)), "zorder": 11.9}
MEMBERS: dict[Look, Style] = {
    "counted": {"fc": to_rgba(palette.INK, 0.10), "ec": palette.SOFT_INK, "lw": 0.3},
    "found": {"fc": to_rgba(palette.INK, 0.26), "ec": palette.INK, "lw": 0.7},
    "strapping": {"fc": "none", "ec": palette.SOFT_INK, "lw": 0.6, "ls": (0, (1, 1.6))},
    "grid": {"fc": to_rgba(palette.INK, 0.10), "ec": palette.SOFT_INK, "lw": 0.3},
}
SEAT: Style = {"fill": False, "ec": palette.INK, "lw": 1.0, "ls": (0, (4, 3)), "zorder": 4.5, "joinstyle": "round"}
EARS = 0.08
"""Metres: radius of the mark of a seat's ears as drawn."""
CENTER_DASHES = (0, (9, 3, 1, 3))
PICTURE_LINE: Style = {"color": palette.INK, "lw": 0.7, "ls": CENTER_DASHES, "zorder": 6}
LEVEL_LINE: Style = {"color": palette.INK, "lw": 0.5, "ls": (0, (5, 3)), "zorder": 5}
DATUM = 1.5
"""Millimetres: half the size of a datum's mark."""
CROSS = 2.6
"""Millimetres from the middle of a hole to the ends of its center mark."""


def draw_members(view: FaceView, scene: Scene) -> None:
    """Framing behind the faces at its true width, with edges that print."""
    for framing, face in framing_on(scene, view.shows):
        for member, corners in member_parts(framing, face):
            style = MEMBERS[member_look(framing, member)]
            view.axes.add_patch(Polygon(view.flat(corners), closed=True, zorder=2, **style))


def draw_hole(view: FaceView, speaker: Speaker, cross: float) -> Array:
    """A bezel, its cut-out in a heavy line, and a mark of its center `cross` metres out; gives the bezel (N, 2)."""
    assert speaker.surface is not None
    assert speaker.rim is not None
    rim = view.outline(speaker.surface, speaker.rim)
    view.axes.add_patch(Polygon(rim, closed=True, **BEZEL))
    if speaker.type.cutout is not None and speaker.hole is not None:
        view.axes.add_patch(Polygon(view.outline(speaker.surface, speaker.hole), closed=True, **CUT))
    draw_center(view.axes, view.flat(speaker.position), cross)
    return rim


def draw_seat_under(axes: Axes, seat: Seat, ahead: Array) -> None:
    """A seat under the ceiling: its outline in broken lines and a ring at the ears, under all that is overhead."""
    axes.add_patch(Polygon(seat_frame(seat, ahead), closed=True, **SEAT))
    axes.add_patch(Circle(tuple(seat.ear[:2].tolist()), EARS, fill=False, ec=palette.INK, lw=0.7, zorder=4.5))


def draw_center(axes: Axes, middle: Array, cross: float) -> None:
    """A cross at a point (2,) of the drawing."""
    for way in np.eye(2) * cross:
        axes.plot(*np.array([middle - way, middle + way]).T, color=palette.INK, lw=0.5, zorder=13)
