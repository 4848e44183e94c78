"""The ceiling plan and the elevations as one drawing file at full size, side by side."""

from __future__ import annotations

import textwrap

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.framing import member_parts
from earshed.model.geometry import Array
from earshed.model.ruler import ruler_of
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.face_views import blocks_against, from_inside
from earshed.viewer.hidden_drawing import Flat, Shows, framing_on, in_plan, overhead
from earshed.viewer.plan_drawing import plan_shape, seat_frame
from earshed.viewer.sheets.ceiling_sheet import faces_overhead, picture_line
from earshed.viewer.sheets.dxf_draft import LETTER, Draft
from earshed.viewer.sheets.fit import Subject
from earshed.viewer.sheets.measured import is_overhead, on_wall, patches_on, speakers_on
from earshed.viewer.sheets.plans import PlanOptions, subjects
from earshed.viewer.sheets.slope_words import ARROW, face_words
from earshed.viewer.sheets.wall_sheet import cabinet_corners, walls_of
from earshed.viewer.wording import scheme_words

APART = 3.0
"""Metres between a drawing's dimensions and those of the next."""
CROSS = 0.08
"""Metres: half a center mark."""
LEAST, WIDE = 40, 0.9
"""Letters in a line of notes at the least, and how wide one is at the most, in its heights."""
POINTER = 0.3
"""Metres of an arrow, at the least."""


def dxf_of(scene: Scene, options: PlanOptions, date: str) -> bytes:
    """The sheets that are asked for as a DXF of inches where the scene prints feet and inches, else of millimetres.

    A ceiling plan comes first; its front left corner is the origin, as in the scene. Raises OutputError for a wall
    that there is none of.
    """
    draft = Draft(scene.print_units, options.ruler or ruler_of(None, scene.print_units))
    walls = {wall.name: wall for wall in walls_of(scene)}
    right: float | None = None
    for subject in subjects(scene, options):
        low, high = subject.bounds
        if right is not None:
            side = 0.8 + 0.9 * (len(subject.up.running.rows) + 1)
            draft.begin([right + APART + side - low[0], 0.0])
        elif subject.name in walls:
            draft.begin([-low[0], 0.0])
        if subject.name in walls:
            _draw_wall(draft, scene, walls[subject.name])
        else:
            _draw_ceiling(draft, scene)
        below = subject.across.side == "bottom"
        out = draft.dimensions(subject.across.running, subject.bounds, below=below)
        draft.dimensions(subject.up.running, subject.bounds)
        _write_notes(draft, scene, subject, date, float(low[1]) - (out if below else 0.3) - 0.6)
        right = float(draft.offset[0] + high[0])
    return draft.encoded()


def titles(scene: Scene, options: PlanOptions) -> list[str]:
    """What the drawings are called."""
    return [subject.title for subject in subjects(scene, options)]


def _draw_ceiling(draft: Draft, scene: Scene) -> None:
    room = scene.room
    draft.ring(room.plan.outer_corners, "WALLS")
    for crease in room.creases:
        draft.line(crease, "RIDGE")
    _draw_behind(draft, scene, in_plan, overhead)
    hanging = {soffit.name for soffit in room.soffits}
    for block in (*room.risers, *room.boxes):
        _area(draft, block.footprint.intersection(room.plan.polygon), "OVERHEAD" if block.name in hanging else "BOXES")
    for opening in scene.openings:
        ends = np.array([opening.point(at, 0.0)[:2] for at in (opening.start, opening.end)])
        draft.line(ends, "OPENINGS")
        draft.text(ends.mean(axis=0), [opening.name], "OPENINGS")
    for hatch in scene.ceiling_openings:
        draft.shape(hatch.surface, hatch.shape, in_plan, "OPENINGS")
        draft.text(hatch.surface.to_room(np.array(hatch.shape.core.centroid.coords[0]))[:2], [hatch.name], "OPENINGS")
    line = picture_line(scene)
    if scene.screen is not None and line is not None:
        draft.line(scene.screen.corners[:2, :2], "SCREEN")
        draft.line(line, "CENTER-LINE")
    for seat in upright_seats(scene.seats):
        draft.ring(seat_frame(seat, scene.ahead), "SEATS")
        draft.text(seat.ear[:2], [seat.name], "SEATS")
    for name, spot in scene.datums.items():
        draft.cross(spot[:2], CROSS, "DATUMS")
        draft.text(spot[:2], [name], "DATUMS")
    for face in faces_overhead(scene):
        if not scene.is_timber(face):
            _write_slope(draft, scene, face)
    for speaker in scene.speakers:
        if speaker.surface is None:
            draft.ring(plan_shape(speaker), "CABINETS")
            _name_speaker(draft, speaker, in_plan)
        elif overhead(speaker.surface):
            _draw_hole(draft, speaker, speaker.surface, in_plan)
        if is_overhead(speaker):
            _draw_axis(draft, speaker)


def _draw_wall(draft: Draft, scene: Scene, wall: Surface) -> None:
    flat = from_inside(wall)
    _area(draft, shapely.transform(wall.outline, lambda uv: flat(wall.to_room(uv))), "WALLS")
    _draw_behind(draft, scene, flat, lambda face: on_wall(face, wall))
    for patch in patches_on(scene, wall):
        corners = flat(patch.corners)
        layer = "SCREEN" if patch is scene.screen else "OPENINGS"
        draft.ring(corners, layer)
        draft.text(corners.mean(axis=0), [patch.name], layer)
    for block, area in blocks_against(scene, wall):
        _area(draft, shapely.transform(area, lambda uv: flat(wall.to_room(uv))), "BOXES", block.name)
    for speaker in speakers_on(scene, wall):
        if speaker.surface is not None:
            _draw_hole(draft, speaker, speaker.surface, flat)
        else:
            draft.ring(cabinet_corners(speaker, flat), "CABINETS")
            _name_speaker(draft, speaker, flat)


def _draw_behind(draft: Draft, scene: Scene, flat: Flat, shows: Shows) -> None:
    """Framing, fixtures, and what is hidden or was cut before, of the faces that are shown."""
    for framing, face in framing_on(scene, shows):
        for _, corners in member_parts(framing, face):
            draft.ring(flat(corners), "FRAMING")
    for fixture in scene.fixtures:
        if shows(fixture.surface):
            draft.shape(fixture.surface, fixture.seen, flat, "LIGHTS")
            draft.cross(flat(fixture.position), CROSS, "LIGHTS")
            draft.text(flat(fixture.position), [fixture.name], "LIGHTS")
    for found in scene.keep_outs:
        if shows(found.surface):
            draft.shape(found.surface, found.shape, flat, "HIDDEN")
            middle = found.surface.to_room(np.array(found.shape.core.centroid.coords[0]))
            draft.text(flat(middle), [f"{found.name} ({found.kind})"], "HIDDEN")
    for hole in scene.existing_holes:
        if shows(hole.surface):
            draft.shape(hole.surface, hole.shape, flat, "HIDDEN")
            draft.text(flat(hole.position), [hole.name], "HIDDEN")


def _draw_hole(draft: Draft, speaker: Speaker, face: Surface, flat: Flat) -> None:
    if speaker.rim is not None:
        draft.shape(face, speaker.rim, flat, "BEZELS")
    if speaker.type.cutout is not None and speaker.hole is not None:
        draft.shape(face, speaker.hole, flat, "CUTOUTS")
    _name_speaker(draft, speaker, flat)


def _name_speaker(draft: Draft, speaker: Speaker, flat: Flat) -> None:
    middle = flat(speaker.position)
    draft.cross(middle, CROSS, "CENTERS")
    label = [speaker.channel.label] if speaker.channel is not None else []
    draft.text(middle - np.array([0.0, 0.15]), [speaker.name, *label], "SPEAKERS-TEXT")


def _draw_axis(draft: Draft, speaker: Speaker) -> None:
    """The way a tilted axis goes in plan, with a head of two strokes."""
    way = speaker.axis[:2]
    if speaker.has_verdict and speaker.tilt > 1e-3 and np.hypot(*way) > 0.02:
        _arrow(draft, speaker.position[:2], way / np.hypot(*way), "SPEAKERS-TEXT")


def _write_slope(draft: Draft, scene: Scene, face: Surface) -> None:
    middle = np.array(face.plan_area.representative_point().coords[0])
    lines, way = face_words(scene, face)
    draft.text(middle, lines, "NOTES")
    if way.any():
        _arrow(draft, middle + np.array([0.0, LETTER]) - way * ARROW / 40, way, "NOTES")


def _arrow(draft: Draft, start: Array, way: Array, layer: str) -> None:
    tip, aside = start + way * POINTER * 1.5, np.array([-way[1], way[0]])
    draft.line(np.array([start, tip]), layer)
    draft.line(np.array([tip - 0.1 * way + 0.05 * aside, tip, tip - 0.1 * way - 0.05 * aside]), layer)


def _area(draft: Draft, shape: BaseGeometry, layer: str, name: str | None = None) -> None:
    """The outlines of an area, and its name in it."""
    for part in shapely.get_parts(shape):
        if isinstance(part, shapely.Polygon) and part.area > 0:
            for ring in (part.exterior, *part.interiors):
                draft.ring(np.array(ring.coords), layer)
    if name is not None:
        draft.text(np.array(shape.representative_point().coords[0]), [name], layer)


def _write_notes(draft: Draft, scene: Scene, subject: Subject, date: str, top: float) -> None:
    """What the drawing is of, how it is to be read, and the cautions."""
    left = float(subject.bounds[0, 0])
    draft.note((left, top - 2.5 * LETTER), subject.title, size=2.0)
    about = f"{scene.title} - {scheme_words(scene)} - {date} - full size, lengths in {draft.unit_words}"
    most = max(LEAST, int((np.ptp(subject.bounds[:, 0]) + APART) / (WIDE * LETTER)))
    told = [line for words in (about, *subject.legend.notes, BEFORE_CUTTING) for line in textwrap.wrap(words, most)]
    for number, words in enumerate(told, start=1):
        draft.note((left, top - (2.5 + 1.8 * number) * LETTER), words)
