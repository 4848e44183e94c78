"""What is written on a reflected ceiling plan: names of all that is shown, and the pitch of every slope."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.plan import Wall
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.model.units import format_angle, format_length, format_pitch
from earshed.viewer.hidden_drawing import overhead
from earshed.viewer.plan_drawing import arrow_tip, plan_shape, seat_frame
from earshed.viewer.sheets.dimension_rows import Rows, leads
from earshed.viewer.sheets.drawing import FIGURE, NAME, Drawing, block_size
from earshed.viewer.sheets.labels import Labels
from earshed.viewer.sheets.linework import CROSS
from earshed.viewer.sheets.signs import slope_arrow
from earshed.viewer.wording import shortened

WALL_NAME = 2.9
"""Millimetres outside a wall at which the middle of its name stands."""
ARROW = 9.0
"""Millimetres of the arrow up a slope."""
LEVEL = 1e-3
"""Radians of slope under which a ceiling is level."""
STEP = 6.0
"""Millimetres between the places that are tried for words on a face."""
LONGEST = 28


def name_ceiling(drawing: Drawing, scene: Scene, rows: tuple[Rows, Rows], line: Array | None) -> list[str]:
    """Writes the names, what matters most first; gives those that there was no room for. `line` (2, 2) is the
    picture's center line."""
    labels = Labels(drawing.sheet, drawing.box)
    plan = scene.room.plan
    paper = _Paper(drawing)
    labels.spare(2.5, paper.area(plan.polygon.boundary).buffer(0.6))
    labels.spare(1.0, *(paper.line(crease) for crease in scene.room.creases))
    labels.spare(0.7, *(lead for one in rows for lead in leads(drawing, one)))
    labels.spare(0.7, *([paper.line(line)] if line is not None else []))
    labels.spare(0.25, *(paper.area(box.footprint) for box in scene.room.boxes))
    labels.keep(*(paper.polygon(one.shape.edge_on(one.surface)) for one in scene.keep_outs if overhead(one.surface)))
    seats = [(seat, paper.polygon(seat_frame(seat, scene.ahead))) for seat in upright_seats(scene.seats)]
    labels.spare(0.6, *(frame for _, frame in seats))
    labels.keep(
        *(paper.polygon(seat_frame(seat, scene.ahead)).centroid.buffer(0.1 * 1000 / drawing.ratio) for seat, _ in seats)
    )
    shown = [one for one in scene.speakers if one.surface is None or overhead(one.surface)]
    fixtures = [one for one in scene.fixtures if overhead(one.surface)]
    labels.keep(*(paper.speaker(one) for one in shown))
    labels.keep(*(paper.polygon(one.seen.edge_on(one.surface)) for one in fixtures))
    for one in shown:
        tip = arrow_tip(one)
        if tip is not None:
            labels.keep(paper.line(np.array([one.position[:2], tip])).buffer(0.7))
    datums = {name: shapely.Point(drawing.on_paper(spot[:2])).buffer(1.6) for name, spot in scene.datums.items()}
    labels.keep(*datums.values())

    for one in shown:
        labels.name(paper.speaker(one), _speaker_lines(one), NAME)
    for face in _faces(scene):
        _slope(labels, drawing, scene, face)
    for name, spot in datums.items():
        labels.name(spot, [shortened(name, LONGEST)], NAME)
    for one in fixtures:
        labels.name(paper.polygon(one.seen.edge_on(one.surface)), [shortened(one.name, LONGEST)], FIGURE)
    for seat, frame in seats:
        labels.name(frame.centroid.buffer(0.15 * 1000 / drawing.ratio), [shortened(seat.name, LONGEST)], NAME)
    for wall in plan.walls:
        _wall(labels, drawing, scene, wall)
    for opening in scene.openings:
        ends = np.array([opening.point(opening.start, 0.0), opening.point(opening.end, 0.0)])[:, :2]
        labels.name(paper.line(ends).buffer(0.6), [shortened(opening.name, LONGEST)], FIGURE)
    for hatch in scene.ceiling_openings:
        labels.name(paper.polygon(hatch.shape.edge_on(hatch.surface)), [shortened(hatch.name, LONGEST)], FIGURE)
    for found in scene.keep_outs:
        if overhead(found.surface):
            labels.name(paper.polygon(found.shape.edge_on(found.surface)), [shortened(found.name, LONGEST)], FIGURE)
    for name, area in _blocks(scene):
        shape = paper.area(area)
        labels.along(
            shape,
            shapely.get_coordinates(shape.representative_point()),
            [shortened(name, LONGEST)],
            FIGURE,
            upright=False,
        )
    return labels.missing


class _Paper:
    """Shapes of the plan on paper."""

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing

    def area(self, shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, self.drawing.on_paper)

    def line(self, points: Array) -> shapely.LineString:
        return shapely.LineString(self.drawing.on_paper(points[:, :2]))

    def polygon(self, ring: Array) -> shapely.Polygon:
        return shapely.Polygon(self.drawing.on_paper(ring[:, :2]))

    def speaker(self, speaker: Speaker) -> BaseGeometry:
        """It with its center mark."""
        cross = shapely.Point(self.drawing.on_paper(speaker.position[:2])).buffer(CROSS)
        return self.polygon(plan_shape(speaker)).union(cross)


def _speaker_lines(speaker: Speaker) -> list[str]:
    label = speaker.channel.label if speaker.channel is not None else None
    return [shortened(speaker.name, LONGEST), *([label] if label else [])]


def _faces(scene: Scene) -> Iterator[Surface]:
    """The faces of the ceiling, and the undersides of boxes that are no timber; the smallest first, which have the
    least choice."""
    faces = [
        face for face in (*scene.room.surfaces, *scene.room.soffits) if overhead(face) and not scene.is_timber(face)
    ]
    return iter(sorted(faces, key=lambda face: float(face.plan_area.area)))


def _slope(labels: Labels, drawing: Drawing, scene: Scene, face: Surface) -> None:
    """A face's name and pitch, with an arrow up its slope; of a level one its height."""
    area = shapely.transform(face.plan_area, drawing.on_paper)
    if face.slope < LEVEL:
        height = format_length(float(face.origin[2]), scene.print_units)
        lines, way = [shortened(face.name, LONGEST), f"level at {height}"], np.zeros(2)
    else:
        lines = [shortened(face.name, LONGEST), f"{format_pitch(face.slope)} · {format_angle(face.slope)}"]
        way = face.frame[1, :2] / np.hypot(*face.frame[1, :2])
    words = block_size(lines, NAME)
    sideways = abs(way[0]) > abs(way[1])
    room = np.abs(way) * ARROW
    extent = words + (np.array([0.0, room[1] + 2.0]) if sideways else np.array([room[0] + 2.0, 0.0])) * (way.any())
    extent = np.maximum(extent, room)
    spot = labels.best_spot(_spots(area, extent), extent)
    if spot is None:
        labels.missing.append(lines[0])
        return
    text = (
        spot - np.array([0.0, (extent - words)[1] / 2]) if sideways else spot + np.array([(extent - words)[0] / 2, 0.0])
    )
    labels.write(text, lines, NAME)
    if way.any():
        middle = (
            spot + np.array([0.0, extent[1] / 2 - room[1] / 2 - 0.7])
            if sideways
            else spot - np.array([extent[0] / 2 - room[0] / 2 - 0.7, 0.0])
        )
        slope_arrow(drawing.sheet.axes, middle - way * ARROW / 2, middle + way * ARROW / 2)
        labels.keep(shapely.LineString([middle - way * ARROW / 2, middle + way * ARROW / 2]).buffer(0.8))


def _spots(area: BaseGeometry, extent: Array) -> Array:
    """Middles (N, 2) for words on a face, those within it first, each of these as near its middle as can be."""
    left, low, right, high = area.bounds
    grid = np.stack(np.meshgrid(np.arange(left, right, STEP / 2), np.arange(low, high, STEP / 2)), axis=-1).reshape(
        -1, 2
    )
    grid = np.concatenate([shapely.get_coordinates(area.representative_point()), grid])
    grid = grid[shapely.contains_xy(area, *grid.T)]
    middle = shapely.get_coordinates(area.centroid)[0]
    half = extent / 2
    out = np.array([not area.covers(shapely.box(*(spot - half), *(spot + half))) for spot in grid])
    order: Array = grid[np.lexsort([np.hypot(*(grid - middle).T), out])]
    return order


def _wall(labels: Labels, drawing: Drawing, scene: Scene, wall: Wall) -> None:
    """A wall's name along its outside."""
    screen = scene.screen is not None and scene.screen.wall.name == wall.name
    front = wall.name not in ("front wall",) and bool(wall.inward[1] < -0.9)
    name = (
        wall.name
        + (", front" if front and scene.room.plan.kind == "outline" else "")
        + (" / screen wall" if screen else "")
    )
    ends = drawing.on_paper(np.array([wall.start, wall.end]))
    shares = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8])[:, None]
    spots = ends[0] + shares * (ends[1] - ends[0]) - wall.inward * WALL_NAME
    upright = abs(wall.inward[0]) > 0.8
    labels.along(shapely.LineString(ends), spots, [shortened(name, 40)], FIGURE, upright=upright)


def _blocks(scene: Scene) -> Iterator[tuple[str, BaseGeometry]]:
    """What stands in the room or hangs in it, each once, named without what tells its parts from one another."""
    named: dict[str, BaseGeometry] = {}
    for block in (*scene.room.risers, *scene.room.boxes):
        shape = block.footprint.intersection(scene.room.plan.polygon)
        if shape.area > 0:
            named.setdefault(block.name, shape)
    yield from named.items()
