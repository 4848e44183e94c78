"""The reflected ceiling plan: all that is overhead, to scale, with running dimensions from the left and front walls."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from matplotlib.patches import Polygon

from earshed.model.geometry import Array
from earshed.model.ruler import Ruler
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.face_views import FaceView
from earshed.viewer.hidden_drawing import draw_hidden, in_plan, overhead
from earshed.viewer.plan_drawing import draw_axis, draw_room, plan_shape
from earshed.viewer.sheets.ceiling_names import name_ceiling
from earshed.viewer.sheets.dimension_rows import Rows
from earshed.viewer.sheets.drawing import Drawing
from earshed.viewer.sheets.fit import Subject
from earshed.viewer.sheets.linework import (
    CABINET,
    CROSS,
    DATUM,
    PICTURE_LINE,
    draw_center,
    draw_hole,
    draw_members,
    draw_seat_under,
)
from earshed.viewer.sheets.measured import ceiling_dimensions, is_overhead, is_square
from earshed.viewer.sheets.signs import Legend, datum_sign, hole_signs, plan_signs

TURNED = 1e-3
"""Radians of tilt from which a speaker counts as one that is turned."""
AXIS_WEIGHT = 1.4
READING = (
    "The ceiling as seen in a mirror on the floor: left stays left, the front is at the top. Distances are level, from "
    "the {left} and the {front}, to the nearest {step}. Rows, nearest first: speakers; lights and other things; "
    "corners of the room; the whole."
)
BOXED = " The edges are the sides of the box round the room."
SLOPING = " On a slope the distance along the board is longer than on this plan: mark holes out by the mark-out sheets."


def ceiling_subject(scene: Scene, ruler: Ruler) -> Subject:
    """The ceiling plan as a drawing that is still to be put on paper."""
    across, back = ceiling_dimensions(scene, ruler)
    slopes = any(face.slope > TURNED for face in faces_overhead(scene))
    turned, boxes = any(_is_turned(one) for one in scene.speakers), any(one.surface is None for one in scene.speakers)
    signs = (*hole_signs(scene, overhead), *plan_signs(scene, turned=turned, slopes=slopes, cabinets=boxes))
    note = READING.format(left=across.start, front=back.start, step=ruler.text(ruler.mark))
    note += (BOXED if not is_square(scene.room.plan) else "") + (SLOPING if slopes else "")
    rows = Rows(across, "top"), Rows(back, "left")
    return Subject("ceiling", "Reflected ceiling plan", scene.room.plan.bounds, *rows, Legend(signs, (note,)),
                   lambda drawing: _draw(drawing, scene, rows))  # fmt: skip


def faces_overhead(scene: Scene) -> Iterator[Surface]:
    """The faces of the ceiling, and the undersides of what hangs from it."""
    return (face for face in (*scene.room.surfaces, *scene.room.soffits) if overhead(face))


def picture_line(scene: Scene) -> Array | None:
    """Ends (2, 2) of the picture's center line in plan, from the screen through the room; None without a screen."""
    if scene.screen is None:
        return None
    start, inward = scene.screen.center[:2], scene.screen.wall.inward
    far = float(np.hypot(*np.ptp(scene.room.plan.bounds, axis=0)))
    line = shapely.LineString([start, start + inward * far]).intersection(scene.room.plan.polygon)
    ends = shapely.get_coordinates(line)
    away = (ends - start) @ inward
    return np.array([start, ends[int(away.argmax())]]) if len(ends) else None


def _is_turned(speaker: Speaker) -> bool:
    return is_overhead(speaker) and speaker.has_verdict and speaker.tilt > TURNED


def _draw(drawing: Drawing, scene: Scene, rows: tuple[Rows, Rows]) -> list[str]:
    axes = drawing.axes
    view = FaceView(axes, tuple(faces_overhead(scene)), in_plan)
    draw_members(view, scene)
    draw_room(axes, scene)
    draw_hidden(axes, scene)
    line = picture_line(scene)
    if line is not None:
        axes.plot(*line.T, **PICTURE_LINE)
    for seat in upright_seats(scene.seats):
        draw_seat_under(axes, seat, scene.ahead)
    cross = CROSS * drawing.ratio / 1000
    for speaker in scene.speakers:
        if speaker.surface is None:
            axes.add_patch(Polygon(plan_shape(speaker), closed=True, **CABINET))
            if is_overhead(speaker):
                draw_center(axes, speaker.position[:2], cross)
        elif overhead(speaker.surface):
            draw_hole(view, speaker, cross)
    for speaker in scene.speakers:
        if _is_turned(speaker):
            draw_axis(axes, speaker, palette.INK, AXIS_WEIGHT)
    for spot in scene.datums.values():
        datum_sign(axes, (float(spot[0]), float(spot[1])), DATUM * drawing.ratio / 1000)
    return name_ceiling(drawing, scene, rows, line)
