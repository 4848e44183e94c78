"""Elevations: a wall as one sees it from inside the room, to scale, with distances along it and heights."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from matplotlib.patches import Polygon
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.ruler import Ruler
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer.face_views import FaceView, blocks_against, draw_on_wall, from_inside
from earshed.viewer.hidden_drawing import Flat
from earshed.viewer.sheets.dimension_rows import Rows, leads
from earshed.viewer.sheets.drawing import FIGURE, NAME, Drawing
from earshed.viewer.sheets.fit import Subject
from earshed.viewer.sheets.labels import WALL_WEIGHT, Labels
from earshed.viewer.sheets.linework import CABINET, CROSS, LEVEL_LINE, draw_center, draw_hole, draw_members
from earshed.viewer.sheets.measured import on_wall, patches_on, speakers_on, wall_dimensions, wall_ends
from earshed.viewer.sheets.signs import Legend, hole_signs, wall_signs
from earshed.viewer.wording import shortened

LONGEST = 28
READING = (
    "As seen from inside the room, facing the wall. Distances are from its left end and heights over the floor, to the "
    "nearest {step}."
)


def walls_with_something(scene: Scene) -> Iterator[Surface]:
    """The walls that an installer does something at: with holes, the picture, openings, fixtures or finds on them."""
    names = {one.surface.name for one in (*scene.fixtures, *_finds(scene))}
    for wall in walls_of(scene):
        if wall.name in names or any(patches_on(scene, wall)) or speakers_on(scene, wall):
            yield wall


def walls_of(scene: Scene) -> list[Surface]:
    return [face for face in scene.room.surfaces if face.kind == "wall"]


def wall_subject(scene: Scene, wall: Surface, ruler: Ruler) -> Subject:
    """The elevation of a wall as a drawing that is still to be put on paper."""
    across, up = wall_dimensions(scene, wall, ruler)
    flat = from_inside(wall)
    outline = shapely.transform(wall.outline, lambda uv: flat(wall.to_room(uv)))
    _, _, _, top = outline.bounds
    left, right = wall_ends(scene, wall)
    here = speakers_on(scene, wall)
    signs = (*hole_signs(scene, lambda face: on_wall(face, wall)),
             *wall_signs(levels=bool(here), hung=any(one.surface is None for one in here),
                         boxes=any(blocks_against(scene, wall))))  # fmt: skip
    rows = Rows(across, "bottom"), Rows(up, "left")
    title = f"{wall.called}, as seen from inside the room".removeprefix("the ")
    return Subject(wall.name, f"{title[:1].upper()}{title[1:]}", np.array([[left, 0.0], [right, top]]), *rows,
                   Legend(signs, (READING.format(step=ruler.text(ruler.mark)),)),
                   lambda drawing: _draw(drawing, scene, wall, rows, ruler))  # fmt: skip


def _finds(scene: Scene) -> tuple[KeepOut | ExistingHole, ...]:
    return (*scene.keep_outs, *scene.existing_holes)


def _draw(drawing: Drawing, scene: Scene, wall: Surface, rows: tuple[Rows, Rows], ruler: Ruler) -> list[str]:
    view = FaceView(drawing.axes, (wall,), from_inside(wall))
    draw_members(view, scene)
    draw_on_wall(view, scene)
    left, right = wall_ends(scene, wall)
    here = speakers_on(scene, wall)
    for height in sorted({float(one.position[2]) for one in here}):
        drawing.axes.plot([left, right], [height, height], **LEVEL_LINE)
    rims = [_draw_speaker(view, one, CROSS * drawing.ratio / 1000) for one in here]
    labels = Labels(drawing.sheet, drawing.names)
    shapes: list[BaseGeometry] = [shapely.Polygon(drawing.on_paper(rim)) for rim in rims]
    labels.keep(*shapes)
    things = [(shapely.transform(shape, drawing.on_paper), lines) for shape, lines in _things(scene, wall, view, ruler)]
    outline = shapely.transform(view.area(wall, wall.outline), drawing.on_paper)
    labels.spare(WALL_WEIGHT, outline.boundary.buffer(0.6))
    labels.spare(
        0.7,
        *(shapely.LineString(drawing.on_paper([[left, one.position[2]], [right, one.position[2]]])) for one in here),
    )
    labels.spare(1.0, *(shape.boundary for shape, _ in things))
    labels.spare(0.7, *(lead for one in rows for lead in leads(drawing, one)))
    for speaker, shape in zip(here, shapes, strict=True):
        label = [speaker.channel.label] if speaker.channel is not None else []
        labels.name(shape, [shortened(speaker.name, LONGEST), *label], NAME)
    for shape, lines in things:
        labels.inside(shape, lines, FIGURE)
    return labels.missing


def _draw_speaker(view: FaceView, speaker: Speaker, cross: float) -> Array:
    """What of a speaker shows on a wall, with the mark of its center; gives its edge (N, 2)."""
    if speaker.surface is not None:
        return draw_hole(view, speaker, cross)
    corners = cabinet_corners(speaker, view.flat)
    view.axes.add_patch(Polygon(corners, closed=True, **CABINET))
    draw_center(view.axes, view.flat(speaker.position), cross)
    return corners


def cabinet_corners(speaker: Speaker, flat: Flat) -> Array:
    """Corners (4, 2) of a box as one sees it square to its wall."""
    half = np.array([speaker.type.size.width, speaker.type.size.height]) / 2
    corners: Array = flat(speaker.position) + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return corners


def _things(scene: Scene, wall: Surface, view: FaceView, ruler: Ruler) -> Iterator[tuple[BaseGeometry, list[str]]]:
    """What else there is to name on a wall, as it lies on the drawing, each with its lines."""
    for patch in patches_on(scene, wall):
        across, high = (ruler.bare(size) for size in (patch.end - patch.start, patch.top - patch.bottom))
        yield shapely.Polygon(view.flat(patch.corners)), [shortened(patch.name, LONGEST), f"{across} × {high}"]
    for fixture in scene.fixtures:
        if on_wall(fixture.surface, wall):
            yield shapely.Polygon(view.outline(wall, fixture.seen)), [shortened(fixture.name, LONGEST)]
    for block, area in blocks_against(scene, wall):
        yield view.area(wall, area), [shortened(block.name, LONGEST)]
    for found in _finds(scene):
        if on_wall(found.surface, wall):
            yield shapely.Polygon(view.outline(wall, found.shape)), [shortened(found.name, LONGEST)]
