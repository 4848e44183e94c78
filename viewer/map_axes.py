"""A map on its plan: stepped colors over the listening plane, contours, and the room over them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from matplotlib.text import Text
from numpy.typing import ArrayLike

from earshed.model.cone import limit_lines
from earshed.model.geometry import Array
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import seating_area
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, PrintUnits, format_angle, format_length
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import draw_framing, draw_hidden
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import HALO, draw_polygon, draw_room, draw_seat, draw_speaker

MARGIN = 0.28
"""Metres kept free round the plan."""

WALL_SHOWN = 0.10
"""Metres of a wall's thickness as drawn. Common practice, no source."""
FROM_WALL, FROM_SEAT = 0.22, 0.42
"""Metres that a figure on a line of a map keeps from walls, and from the middle of a seat or a speaker."""
COVERED_DASHES = (0, (5, 3))
SEATING_DOTS = (0, (1, 2))


@dataclass(frozen=True, eq=False)
class PlanSheet:
    """What every plan of a run has in common; `size` in pixels."""

    scene: Scene
    size: tuple[int, int]
    date: str


@dataclass(frozen=True, eq=False)
class MapSheet(PlanSheet):
    """What every map of a run has in common."""

    plane: ListeningPlane


def plan_axes(figure: Figure, sheet: PlanSheet, box: tuple[float, float, float, float], title: str = "") -> Axes:
    """Axes in metres for a plan as large as a box in the figure allows, at its top left."""
    room = sheet.scene.room.plan
    return scaled_axes(figure, room.bounds, (room.width, room.length), sheet.scene.print_units, box, title)


def scaled_axes(
    figure: Figure,
    bounds: ArrayLike,
    sizes: tuple[float, float],
    units: PrintUnits,
    box: tuple[float, float, float, float],
    title: str = "",
) -> Axes:
    """Axes in metres for what lies within `bounds` (2, 2), least and most, with its sizes and a scale bar."""
    (x0, y0), (x1, y1) = np.asarray(bounds, dtype=np.float64)
    axes = figure.add_axes(box)
    axes.set_axis_off()
    axes.set_aspect("equal", anchor="NW")
    axes.set_xlim(x0 - MARGIN, x1 + MARGIN)
    axes.set_ylim(y0 - 1.6 * MARGIN, y1 + MARGIN)
    axes.apply_aspect()
    clear = (0, 16)  # points over the plan, above the names of what hangs on the front wall
    axes.annotate(
        title, (x0, y1 + MARGIN), clear, textcoords="offset points", ha="left", fontsize=10.5, color=palette.INK
    )
    width, length = (format_length(size, units) for size in sizes)
    axes.text(x1, y0 - MARGIN, width, ha="right", va="center", fontsize=8.5, color=palette.SOFT_INK)
    axes.text(
        x1 + WALL_SHOWN + 0.06, (y0 + y1) / 2, length, rotation=90, va="center", fontsize=8.5, color=palette.SOFT_INK
    )
    _draw_scale_bar(axes, x0, y0 - MARGIN, feet=units == "ft-in")
    return axes


def _draw_scale_bar(axes: Axes, x: float, y: float, *, feet: bool) -> None:
    """A bar of round length: the scale that a picture of any size carries with it."""
    length = 4 * FOOT if feet else 1.0
    for part in range(4):
        ends = [x + part * length / 4, x + (part + 1) * length / 4]
        axes.plot(ends, [y, y], color=palette.INK if part % 2 == 0 else palette.FAINT, lw=4, solid_capstyle="butt")
    axes.text(x + length + 0.06, y, "4 ft" if feet else "1 m", va="center", fontsize=8.5, color=palette.SOFT_INK)


def paint(axes: Axes, sheet: MapSheet, values: ArrayLike, edges: Sequence[float], colors: Sequence[str]) -> None:
    """Cells of the plane in stepped colors, `values` (ny, nx); those past the last edge take the last color."""
    steps = [*edges, edges[-1] + 1e6] if len(colors) == len(edges) else list(edges)
    plane, half = sheet.plane, sheet.plane.step / 2
    mesh = axes.pcolormesh(
        np.append(plane.x - half, plane.x[-1] + half),
        np.append(plane.y - half, plane.y[-1] + half),
        np.ma.masked_invalid(values),
        cmap=ListedColormap(list(colors)),
        norm=BoundaryNorm(steps, len(colors)),
        zorder=1,
    )
    mesh.set_clip_path(_plan_patch(axes, sheet))


def draw_contours(
    axes: Axes, sheet: MapSheet, values: ArrayLike, levels: Sequence[float], color: str, width: float, unit: str = "°"
) -> None:
    """Lines of equal `values` (ny, nx), nan outside, labeled in a unit."""
    values = np.ma.masked_invalid(values)
    inside = values.compressed()
    if min(values.shape) < 2 or inside.size == 0:
        return
    shown = [level for level in levels if inside.min() < level < inside.max()]
    if not shown:
        return
    x, y = sheet.plane.x, sheet.plane.y
    lines = axes.contour(x, y, values, levels=shown, colors=color, linewidths=width, alpha=0.7, zorder=3)
    scene = sheet.scene
    solid = shapely.union_all([scene.room.plan.polygon.exterior, *(box.footprint for box in scene.room.boxes)])
    kept = np.array([*(seat.ear[:2] for seat in scene.seats), *(one.position[:2] for one in scene.speakers)])
    kept = kept.reshape(-1, 2)
    named: dict[str, list[tuple[float, Text]]] = {}
    for text in axes.clabel(lines, fmt=lambda value: f"{value:g}{unit}", fontsize=8, inline=False):
        text.set(color=palette.INK, alpha=1.0, path_effects=HALO, zorder=4)
        at = np.array(text.get_position())
        apart = np.hypot(*(kept - at).T).min(initial=np.inf) - FROM_SEAT
        free = min(apart, solid.distance(shapely.Point(at)) - FROM_WALL)
        named.setdefault(text.get_text(), []).append((free, text))
    for labels in named.values():  # those in the way go, as long as a line keeps one
        for free, text in sorted(labels, key=lambda one: -one[0])[1:]:
            if free < 0:
                text.remove()


def draw_limits(axes: Axes, sheet: MapSheet, speaker: Speaker) -> None:
    """The exact lines of a speaker's coverage limit and of its covered limit, each with its name on it."""
    coverage = speaker.coverage
    called = ((coverage.limit, 2.4, "-", "limit"), (coverage.covered_limit, 1.5, COVERED_DASHES, "covered to"))
    taken: list[Array] = []
    for limit, width, style, word in called:
        halo = [withStroke(linewidth=width + 1.8, foreground="white")]  # keeps it clear of dark bands
        lines = _limit_lines(sheet, speaker, limit)
        for line in lines:
            axes.plot(*line.T, color=palette.LIMIT, lw=width, ls=style, zorder=7, path_effects=halo)
        if lines and (at := _free_place(max(lines, key=len), sheet.scene, taken)) is not None:
            taken.append(at)
            words = f"{word} {format_angle(limit)}"
            axes.text(at[0], at[1], words, ha="center", va="center", fontsize=8.5, fontweight="bold",
                      color=palette.LIMIT, path_effects=HALO, zorder=8)  # fmt: skip


def draw_each_limit(axes: Axes, sheet: MapSheet, speakers: Sequence[Speaker]) -> None:
    """Fine lines where the coverage of each of some speakers ends."""
    for speaker in speakers:
        for line in _limit_lines(sheet, speaker, speaker.coverage.limit):
            axes.plot(*line.T, color=palette.INK, lw=0.9, alpha=0.8, zorder=3)


def _limit_lines(sheet: MapSheet, speaker: Speaker, limit: float) -> list[Array]:
    """Plan points (N, 2) of the lines on the plane at an angle off a speaker's axis."""
    scene = sheet.scene
    lines = limit_lines(scene.room, speaker.position, speaker.axis, limit, scene.plane.height)
    return [line[:, :2] for line in lines]


def _free_place(line: Array, scene: Scene, taken: Sequence[Array]) -> Array | None:
    """The point of a line (N, 2) that is farthest from walls, seats, speakers and what is `taken`; None if none is."""
    things = [*(seat.ear[:2] for seat in scene.seats), *(one.position[:2] for one in scene.speakers), *taken]
    away = [np.hypot(*(line - thing).T) - FROM_SEAT for thing in things]
    walls = shapely.distance(scene.room.plan.polygon.exterior, shapely.points(line)) - 2 * FROM_WALL
    room = np.min([walls, *away], axis=0)
    best = int(room.argmax())
    found: Array | None = line[best] if room[best] > 0 else None
    return found


def furnish(axes: Axes, sheet: PlanSheet, marks: Mapping[str, Mark], *, strong: Sequence[Speaker]) -> None:
    """The room and what is in it; the speakers that the map is about stand out."""
    scene = sheet.scene
    draw_framing(axes, scene)
    _draw_walls(axes, scene)
    draw_room(axes, scene)
    draw_hidden(axes, scene)
    if scene.seats:
        outline = seating_area(scene.seats).outline
        edge = Polygon(outline, closed=True, fill=False, ec=palette.INK, lw=1.0, ls=SEATING_DOTS, zorder=6)
        axes.add_patch(edge)
        edge.set_clip_path(_plan_patch(axes, sheet))
    for speaker in scene.speakers:
        draw_speaker(axes, speaker, strong=any(speaker is one for one in strong))
    for seat in scene.seats:
        draw_seat(axes, seat, scene.ahead, marks.get(seat.name))


def _draw_walls(axes: Axes, scene: Scene) -> None:
    """Walls as cut through, with their doors, and windows of glass."""
    inside = scene.room.plan.polygon
    band = inside.buffer(WALL_SHOWN, join_style="mitre").difference(inside)
    draw_polygon(axes, band, fc=palette.CUT, ec="none", zorder=7.5)
    for opening in scene.openings:
        ends = np.array([opening.point(opening.start, 0.0), opening.point(opening.end, 0.0)])[:, :2]
        outer = ends - opening.wall.inward * WALL_SHOWN
        style = {"fc": palette.SKY if opening.bottom > 0 else palette.PAPER, "ec": palette.CUT, "lw": 0.8}
        axes.add_patch(Polygon([*ends, *outer[::-1]], closed=True, zorder=7.6, **style))


def _plan_patch(axes: Axes, sheet: PlanSheet) -> Polygon:
    return Polygon(sheet.scene.room.plan.outer_corners, closed=True, transform=axes.transData)
