"""A small picture of where one hole is: in the plan of the room, or on its wall as seen from inside."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import UP, Array
from earshed.model.heading import side_words
from earshed.model.mark_out.datum import FAR
from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut
from earshed.model.plan import Plan
from earshed.model.scene import Scene
from earshed.model.search.ask import picture_mirror
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.face_views import blocks_against, from_inside
from earshed.viewer.hidden_drawing import Flat
from earshed.viewer.plan_drawing import ARROW_FROM, CREASE_DASHES
from earshed.viewer.sheets.sheet import Align, Box, Sheet
from earshed.viewer.sheets.writing import text_width

ROUND_IT = 1.12
"""Of the size of a room that its picture shows."""
NAMED = 1.24
"""The same where there are words round it."""
AWAY = 1.9
"""Millimetres from a wall to the middle of its number."""
ALONG = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Shares of a wall at which its number may stand, the best first."""
CENTER_DASHES = (0, (9, 3, 1, 3))
ASIDE = 6.0
"""Millimetres at the left of a plan for the arrow to the screen."""
FINE = 7.0
"""Points of the words in it."""
TAPE: dict[str, Any] = {"color": palette.LIMIT, "lw": 1.1, "solid_capstyle": "butt", "zorder": 7}
BASE: dict[str, Any] = {"color": palette.INK, "lw": 3.0, "solid_capstyle": "butt", "zorder": 4}
ARROW = 9.0
"""Millimetres from the middle of a hole to the tip of its arrow."""
LEAST_SHOWN = 2.2
"""Millimetres across under which a hole is drawn larger than it is."""


def draw_thumbnail(sheet: Sheet, box: Box, made: MarkOut, mark: HoleMark) -> None:
    """Draws the hole among the others in a box, with the picture's wall at the top of a plan."""
    sheet.frame(box, color=palette.FAINT)
    if mark.hole.surface.kind == "wall":
        _wall(sheet, box, made, mark)
    else:
        axes, ratio = draw_room_plan(sheet, box, made.scene)
        number_walls(axes, made.scene.room.plan, ratio)
        draw_ceiling_holes(axes, made, [mark], ratio)
        draw_base(axes, mark)
        if mark.tapes.start.what == "center":
            draw_laser(axes, made.scene)
        _tapes(axes, mark, lambda points: points[:, :2])


def draw_room_plan(sheet: Sheet, whole: Box, scene: Scene) -> tuple[Axes, float]:
    """The bare plan of a room as large as a box allows beside an arrow; the axes, in metres, and the scale, 1 to
    what."""
    plan, box = scene.room.plan, (whole[0] + ASIDE, *whole[1:])
    bounds, numbered = plan.bounds, plan.kind == "outline"
    ratio = _ratio(box, bounds, NAMED if numbered else ROUND_IT)
    axes = sheet.drawing(box, bounds, ratio)
    axes.add_patch(Polygon(plan.outer_corners, closed=True, fill=False, ec=palette.INK, lw=1.6))
    for block in scene.room.boxes:
        axes.add_patch(Polygon(block.corners, closed=True, fill=False, ec=palette.SOFT_INK, lw=0.6, zorder=3))
    for crease in scene.room.creases:
        axes.plot(*crease.T, color=palette.SOFT_INK, lw=0.8, ls=CREASE_DASHES)
    if scene.screen is not None:
        ends = np.array([scene.screen.point(along, 0.0) for along in (scene.screen.start, scene.screen.end)])
        ends = ends[:, :2] + 0.012 * np.ptp(bounds, axis=0).max() * scene.screen.wall.inward
        axes.plot(*ends.T, color=palette.SCREEN, lw=3.0, solid_capstyle="butt")
    _way_ahead(sheet, whole, scene)
    return axes, ratio


def number_walls(axes: Axes, plan: Plan, ratio: float) -> None:
    """The names of walls that go by number, outside along each, clear of each other; of a short one, the number
    alone. Nothing where walls go by side."""
    if plan.kind != "outline":
        return
    unit = ratio / 1000
    taken: BaseGeometry = shapely.Polygon()
    for wall in plan.walls:
        short = wall.length / unit < text_width(wall.name, FINE) + 2 * AWAY
        words = wall.name.split()[-1] if short else wall.name
        half = text_width(words, FINE) / 2 * unit * wall.along
        spots = [wall.start + share * (wall.end - wall.start) - AWAY * unit * wall.inward for share in ALONG]
        shapes = [shapely.LineString([spot - half, spot + half]).buffer(AWAY * unit) for spot in spots]
        spot, shape = next(
            (both for both in zip(spots, shapes, strict=True) if not both[1].intersects(taken)), (spots[0], shapes[0])
        )
        taken = taken.union(shape)
        turned = (np.degrees(np.arctan2(wall.along[1], wall.along[0])) + 89.9) % 180 - 89.9
        style: dict[str, Any] = {
            "fontsize": FINE,
            "rotation": turned,
            "ha": "center",
            "va": "center",
            "color": palette.SOFT_INK,
        }
        axes.text(float(spot[0]), float(spot[1]), words, parse_math=False, **style)


def draw_base(axes: Axes, mark: HoleMark) -> None:
    """The edge in plan from which the tape square to it is pulled."""
    base = mark.tapes.base
    axes.plot(*base.face.to_room([base.start, base.end])[:, :2].T, **BASE)


def draw_laser(axes: Axes, scene: Scene) -> None:
    """The line of a laser on the picture's center line, or the room's, where levels are taped from it."""
    mirror = picture_mirror(scene)
    through = shapely.LineString([mirror.point - FAR * mirror.run, mirror.point + FAR * mirror.run])
    ends = shapely.get_coordinates(through.intersection(scene.room.plan.polygon))
    axes.plot(*ends.T, color=palette.LIMIT, lw=1.2, ls=CENTER_DASHES, zorder=4)


def _tapes(axes: Axes, mark: HoleMark, flat: Flat) -> None:
    """Both tapes of a hole, a dot where each begins."""
    for path in mark.tapes.paths:
        line = flat(path)
        axes.plot(*line.T, **TAPE)
        axes.plot(*line[:1].T, ls="", marker="o", ms=3.2, color=palette.LIMIT, zorder=7)


def draw_ceiling_holes(axes: Axes, made: MarkOut, strong: Sequence[HoleMark], ratio: float) -> None:
    """The holes of the ceiling in plan, some of them strong and with the way that the speaker points."""
    for one in made.holes:
        if one.hole.surface.kind != "wall":
            shown = any(one is mark for mark in strong)
            _hole(axes, one.hole.cut.edge_on(one.hole.surface)[:, :2], ratio, strong=shown)
            if shown:
                _arrow(axes, one.speaker, ratio)


def _arrow(axes: Axes, speaker: Speaker, ratio: float) -> None:
    """The way that the axis goes in plan, of one length in every picture."""
    way = speaker.axis[:2]
    flat = float(np.hypot(*way))
    if speaker.has_verdict and flat > ARROW_FROM:
        tip = speaker.position[:2] + ARROW * ratio / 1000 * way / flat
        style = {"arrowstyle": "-|>,head_length=0.5,head_width=0.25", "color": palette.INK, "lw": 1.3, "shrinkA": 0}
        axes.annotate("", tuple(tip), tuple(speaker.position[:2]), arrowprops=style, zorder=6)


def _way_ahead(sheet: Sheet, box: Box, scene: Scene) -> None:
    """An arrow beside a plan the way that seats face, and what is there: the screen, or the front of the room."""
    middle = np.array([box[0] + 4.0, box[3] - 9.0])
    reach = 6.0 if abs(scene.ahead[1]) > abs(scene.ahead[0]) else 2.5
    style = {"arrowstyle": "-|>,head_length=0.5,head_width=0.25", "color": palette.SOFT_INK, "lw": 1.0,
             "shrinkA": 0, "shrinkB": 0}  # fmt: skip
    tip, tail = middle + reach * scene.ahead, middle - reach * scene.ahead
    sheet.axes.annotate("", tuple(tip), tuple(tail), arrowprops=style, zorder=30)
    words = "screen" if scene.screen is not None else "front"
    sheet.axes.text(box[0] + 4.0, box[3] - 16.5, words, fontsize=FINE, rotation=90, ha="center", va="top",
                    color=palette.SOFT_INK, zorder=30)  # fmt: skip


def _wall(sheet: Sheet, box: Box, made: MarkOut, mark: HoleMark) -> None:
    scene, wall = made.scene, mark.hole.surface
    flat = from_inside(wall)
    outline = np.concatenate([flat(ring) for ring in wall.rings()])
    bounds = np.array([outline.min(axis=0), outline.max(axis=0)])
    ratio = _ratio(box, bounds, NAMED)
    axes = sheet.drawing(box, bounds, ratio)
    for ring in wall.rings():
        axes.add_patch(Polygon(flat(ring), closed=True, fill=False, ec=palette.INK, lw=1.6))
    patches = [one for one in scene.openings if one.wall.name == wall.name]
    if scene.screen is not None and scene.screen.wall.name == wall.name:
        patches.append(scene.screen)
    for patch in patches:
        axes.add_patch(Polygon(flat(patch.corners), closed=True, fill=False, ec=palette.SCREEN, lw=1.0))
    for _, area in blocks_against(scene, wall):
        ring = flat(wall.to_room(shapely.get_coordinates(area)))
        axes.add_patch(Polygon(ring, closed=True, fill=False, ec=palette.SOFT_INK, lw=0.6, zorder=3))
    for other in made.holes:
        if _same(other.hole.surface, wall):
            _hole(axes, flat(other.hole.cut.edge_on(wall)), ratio, strong=other is mark)
    _tapes(axes, mark, flat)
    right = np.cross(-wall.normal, UP)
    ends: tuple[tuple[float, Array, Align], ...] = ((box[0] + 1.5, -right, "left"), (box[2] - 1.5, right, "right"))
    for x, way, side in ends:
        sheet.write(x, box[1] + 1.8, side_words(way), FINE, align=side, color=palette.SOFT_INK)
    sheet.write((box[0] + box[2]) / 2, box[3] - 4.0, "as seen from inside", FINE, align="center",
                color=palette.SOFT_INK)  # fmt: skip


def _hole(axes: Axes, ring: Array, ratio: float, *, strong: bool) -> None:
    across = float(np.ptp(ring[:, 0])) * 1000 / ratio
    if across < LEAST_SHOWN:
        middle = ring[:-1].mean(axis=0)
        ring = middle + (ring - middle) * LEAST_SHOWN / across
    fill = palette.INK if strong else palette.PAPER
    axes.add_patch(
        Polygon(ring, closed=True, fc=fill, ec=palette.INK if strong else palette.SOFT_INK, lw=0.9, zorder=5)
    )


def _same(one: Surface, other: Surface) -> bool:
    return one.name == other.name


def _ratio(box: Box, bounds: Array, round_it: float) -> float:
    room = np.array([box[2] - box[0], box[3] - box[1]]) / 1000
    return float(np.max(np.ptp(bounds, axis=0) * round_it / room))
