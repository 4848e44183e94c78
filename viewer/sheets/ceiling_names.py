"""What is written on a reflected ceiling plan: names of all that is shown, and the pitch of every slope."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.fixture import FaceOpening
from earshed.model.geometry import Array
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.plan import Wall
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.viewer.hidden_drawing import overhead
from earshed.viewer.plan_drawing import arrow_tip, plan_shape, seat_frame
from earshed.viewer.sheets.dimension_rows import Rows, leads
from earshed.viewer.sheets.drawing import FIGURE, NAME, Drawing
from earshed.viewer.sheets.labels import WALL_WEIGHT, Labels
from earshed.viewer.sheets.linework import CROSS, DATUM, EARS
from earshed.viewer.sheets.slope_words import write_slopes
from earshed.viewer.wording import shortened

WALL_NAME = 2.9
"""Millimetres outside a wall at which the middle of its name stands."""
ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Shares of a wall's length at which its name is tried."""
LONGEST = 28

Named = tuple[BaseGeometry, list[str]]
"""A shape on paper, and the lines of its name."""


def name_ceiling(drawing: Drawing, scene: Scene, rows: tuple[Rows, Rows], line: Array | None) -> list[str]:
    """Writes the names, what matters most first; gives those that there was no room for. `line` (2, 2) is the
    picture's center line."""
    labels = Labels(drawing.sheet, drawing.names)
    paper = _Paper(drawing)
    speakers = [(paper.speaker(one), _speaker_lines(one)) for one in _speakers(scene)]
    seats = list(_seats(scene, paper))
    marks, more = list(_marks(scene, paper)), list(_more(scene, paper))
    labels.keep(*(shape for shape, _ in (*speakers, *seats, *marks)))
    labels.keep(*_arrows(scene, paper))
    labels.spare(WALL_WEIGHT, paper.area(scene.room.plan.polygon.boundary).buffer(0.6))
    labels.spare(1.5, *(paper.line(crease) for crease in scene.room.creases))
    labels.spare(0.7, *(lead for one in rows for lead in leads(drawing, one)))
    labels.spare(0.7, *([paper.line(line)] if line is not None else []))
    labels.spare(0.6, *(paper.polygon(seat_frame(seat, scene.ahead)) for seat in upright_seats(scene.seats)))
    labels.spare(0.3, *(paper.area(box.footprint) for box in scene.room.boxes))
    for shape, lines in speakers:
        labels.name(shape, lines, NAME)
    for opening in scene.openings:
        _name_opening(labels, drawing, opening)
    write_slopes(labels, drawing, scene)
    for shape, lines in seats:
        labels.name(shape, lines, NAME)
    for shape, lines in marks:
        labels.name(shape, lines, FIGURE)
    for wall in sorted(scene.room.plan.walls, key=lambda wall: wall.length):  # short ones have the least choice
        _name_wall(labels, drawing, scene, wall)
    for shape, lines in more:
        labels.inside(shape, lines, FIGURE)
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

    def spot(self, point: Array, radius: float) -> BaseGeometry:
        """Round a point, `radius` in millimetres."""
        return shapely.Point(self.drawing.on_paper(point[:2])).buffer(radius)

    def speaker(self, speaker: Speaker) -> BaseGeometry:
        """It with its center mark."""
        return self.polygon(plan_shape(speaker)).union(self.spot(speaker.position, CROSS))


def _speakers(scene: Scene) -> list[Speaker]:
    """Those that the plan shows."""
    return [one for one in scene.speakers if one.surface is None or overhead(one.surface)]


def _speaker_lines(speaker: Speaker) -> list[str]:
    label = [speaker.channel.label] if speaker.channel is not None else []
    return [shortened(speaker.name, LONGEST), *label]


def _arrows(scene: Scene, paper: _Paper) -> Iterator[BaseGeometry]:
    for one in _speakers(scene):
        tip = arrow_tip(one)
        if tip is not None:
            yield paper.line(np.array([one.position[:2], tip])).buffer(0.7)


def _seats(scene: Scene, paper: _Paper) -> Iterator[Named]:
    for seat in upright_seats(scene.seats):
        yield paper.spot(seat.ear, EARS * 1000 / paper.drawing.ratio), [shortened(seat.name, LONGEST)]


def _marks(scene: Scene, paper: _Paper) -> Iterator[Named]:
    """Datums, fixtures, and what is found behind the ceiling or is cut into it already."""
    for name, at in scene.datums.items():
        yield paper.spot(at, DATUM), [shortened(name, LONGEST)]
    for fixture in scene.fixtures:
        if overhead(fixture.surface):
            yield paper.polygon(fixture.seen.edge_on(fixture.surface)), [shortened(fixture.name, LONGEST)]
    finds: tuple[KeepOut | ExistingHole | FaceOpening, ...] = (
        *scene.keep_outs,
        *scene.existing_holes,
        *scene.ceiling_openings,
    )
    for found in finds:
        if overhead(found.surface):
            yield paper.polygon(found.shape.edge_on(found.surface)), [shortened(found.name, LONGEST)]


def _more(scene: Scene, paper: _Paper) -> Iterator[Named]:
    """What stands in the room or hangs in it; timber's parts go by one name."""
    named: dict[str, BaseGeometry] = {}
    soffits = {face.name for face in scene.room.soffits}
    for block in (*scene.room.risers, *scene.room.boxes):
        shape = block.footprint.intersection(scene.room.plan.polygon)
        if shape.area > 0 and (block.kind == "beam" or block.name not in soffits):
            named.setdefault(block.name.partition(", ")[0] if block.kind == "beam" else block.name, shape)
    for name, shape in named.items():
        yield paper.area(shape), [shortened(name, LONGEST)]


def _name_opening(labels: Labels, drawing: Drawing, opening: WallPatch) -> None:
    """The name of a door or window along its inside."""
    wall = opening.wall
    ends = drawing.on_paper(np.array([opening.point(at, 0.0)[:2] for at in (opening.start, opening.end)]))
    spots = ends[0] + np.array(ALONG)[:, None] * (ends[1] - ends[0]) + wall.inward * WALL_NAME
    shape = shapely.LineString(ends).buffer(0.6)
    labels.along(shape, spots, [shortened(opening.name, LONGEST)], FIGURE, upright=abs(wall.inward[0]) > 0.8)


def _name_wall(labels: Labels, drawing: Drawing, scene: Scene, wall: Wall) -> None:
    """A wall's name along its outside; in an outline, whose walls have numbers, which side is the front."""
    side = ", front" if scene.room.plan.kind == "outline" and wall.inward[1] < -0.9 else ""
    screen = " / screen wall" if scene.screen is not None and scene.screen.wall.name == wall.name else ""
    ends = drawing.on_paper(np.array([wall.start, wall.end]))
    spots = ends[0] + np.array(ALONG)[:, None] * (ends[1] - ends[0]) - wall.inward * WALL_NAME
    words = [shortened(f"{wall.name}{side}{screen}", 44)]
    labels.along(shapely.LineString(ends), spots, words, FIGURE, upright=abs(wall.inward[0]) > 0.8)
