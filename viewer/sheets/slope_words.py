"""The pitch of every slope of a ceiling, written on it beside an arrow that points up it; of level ones the height."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import format_angle, format_length, format_pitch
from earshed.viewer.hidden_drawing import overhead
from earshed.viewer.sheets.drawing import NAME, Drawing, block_size
from earshed.viewer.sheets.labels import Labels
from earshed.viewer.sheets.signs import slope_arrow
from earshed.viewer.wording import shortened

ARROW, ROOM = 9.0, 2.2
"""Millimetres of the arrow up a slope, and across it."""
LEVEL = 1e-3
"""Radians of slope under which a ceiling is level."""
GRID = 3.0
"""Millimetres between the places that are tried for words on a face."""
LONGEST = 28


def write_slopes(labels: Labels, drawing: Drawing, scene: Scene) -> None:
    """Each face of the ceiling, and each underside that is no timber: the smallest first, which have least choice."""
    faces = [face for face in (*scene.room.surfaces, *scene.room.soffits) if overhead(face)]
    for face in sorted(faces, key=lambda face: float(face.plan_area.area)):
        if not scene.is_timber(face):
            _write(labels, drawing, face, _lines(scene, face))


def face_words(scene: Scene, face: Surface) -> tuple[list[str], Array]:
    """A face's name with its pitch or height, and the plan direction (2,) up its slope, nothing where it is level."""
    return _lines(scene, face)[0], _upslope(face)


def _upslope(face: Surface) -> Array:
    way: Array = face.frame[1, :2]
    return way / np.hypot(*way) if face.slope >= LEVEL else np.zeros(2)


def _lines(scene: Scene, face: Surface) -> tuple[list[str], list[str]]:
    """A face's name and pitch as they are liked best, and in narrower lines."""
    name = shortened(face.name, LONGEST)
    if face.slope < LEVEL:
        height = format_length(float(face.origin[2]), scene.print_units)
        return [name, f"level at {height}"], [*name.split(), "level at", height]
    pitch, angle = format_pitch(face.slope), format_angle(face.slope)
    return [name, f"{pitch} · {angle}"], [*name.split(), pitch, angle]


def _write(labels: Labels, drawing: Drawing, face: Surface, variants: tuple[list[str], list[str]]) -> None:
    """Where words and arrow lie within the face and are free; a level one's also in one line along it. Else apart from
    each other, the words with their middle on the face, or beside it."""
    area = shapely.transform(face.plan_area, drawing.on_paper)
    way = _upslope(face)
    arrow = np.maximum(np.abs(way) * ARROW, ROOM) if way.any() else np.zeros(2)
    beside = int(abs(way[1]) >= abs(way[0]))  # the words stand beside an upright arrow, and under a level one
    for lines in variants:
        words = block_size(lines, NAME)
        extent = np.maximum(words, arrow)
        extent[1 - beside] = words[1 - beside] + arrow[1 - beside]
        spot = labels.best_spot(_spots(area, extent), extent)
        if spot is not None:
            apart = np.zeros(2)
            apart[1 - beside] = (extent - words)[1 - beside] / 2
            labels.write(spot + (apart if beside else -apart), lines, NAME)
            if way.any():
                rest = np.zeros(2)
                rest[1 - beside] = (extent - arrow)[1 - beside] / 2
                _draw_arrow(labels, drawing, spot + (-rest if beside else rest), way)
            return
    if way.any():
        spot = labels.best_spot(_spots(area, arrow), arrow)
        if spot is not None:
            _draw_arrow(labels, drawing, spot, way)
    elif _write_along(labels, area, ", ".join(variants[0])):
        return
    spot = labels.best_spot(_spots(area, np.zeros(2)), block_size(variants[0], NAME))
    if spot is None:
        labels.name(area, variants[0], NAME)
    else:
        labels.write(spot, variants[0], NAME)


def _write_along(labels: Labels, area: BaseGeometry, line: str) -> bool:
    """Writes a line within a face, level or upright; false where it is free for neither."""
    extent = block_size([line], NAME)
    for upright in (False, True):
        room = extent[::-1] if upright else extent
        spot = labels.best_spot(_spots(area, room), room)
        if spot is not None:
            labels.write(spot, [line], NAME, upright=upright)
            return True
    return False


def _draw_arrow(labels: Labels, drawing: Drawing, middle: Array, way: Array) -> None:
    ends = np.array([middle - way * ARROW / 2, middle + way * ARROW / 2])
    slope_arrow(drawing.sheet.axes, *ends)
    labels.keep(shapely.LineString(ends).buffer(0.8))


def _spots(area: BaseGeometry, extent: Array) -> Array:
    """Middles (N, 2) of a box that lies within a face, those near the face's middle first."""
    left, low, right, high = area.bounds
    across, up = np.arange(left, right, GRID), np.arange(low, high, GRID)
    middle = shapely.get_coordinates(area.centroid)
    grid = np.concatenate([middle, np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)])
    half = extent / 2
    boxes = shapely.box(*(grid - half).T, *(grid + half).T)
    grid = grid[shapely.covers(area, boxes)]
    order: Array = grid[np.argsort(np.hypot(*(grid - middle).T), kind="stable")]
    return order
