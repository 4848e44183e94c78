"""A map on its plan: stepped colors over the listening plane, contours, and the room over them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm, ListedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from numpy.typing import ArrayLike

from earshed.model.cone import footprint
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import seating_area
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, PrintUnits, format_length
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import draw_framing, draw_hidden
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import HALO, draw_polygon, draw_room, draw_seat, draw_speaker

MARGIN = 0.28
"""Metres kept free round the plan."""

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
    axes.text(x1 + 0.06, (y0 + y1) / 2, length, rotation=90, va="center", fontsize=8.5, color=palette.SOFT_INK)
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
    for text in axes.clabel(lines, fmt=lambda value: f"{value:g}{unit}", fontsize=8, inline_spacing=2):
        text.set(color=palette.INK, alpha=1.0, path_effects=HALO, zorder=4)


def draw_limits(axes: Axes, sheet: MapSheet, speaker: Speaker) -> None:
    """The exact footprints of a speaker's coverage limit and of its covered limit."""
    coverage, scene = speaker.coverage, sheet.scene
    for limit, width, style in ((coverage.limit, 2.4, "-"), (coverage.covered_limit, 1.5, COVERED_DASHES)):
        area = footprint(scene.room, speaker.position, speaker.axis, limit, scene.plane.height)
        halo = [withStroke(linewidth=width + 1.8, foreground="white")]  # keeps it clear of dark bands
        draw_polygon(axes, area, fc="none", ec=palette.LIMIT, lw=width, ls=style, zorder=7, path_effects=halo)


def furnish(axes: Axes, sheet: PlanSheet, marks: Mapping[str, Mark], *, strong: Sequence[Speaker]) -> None:
    """The room and what is in it; the speakers that the map is about stand out."""
    scene = sheet.scene
    draw_framing(axes, scene)
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


def _plan_patch(axes: Axes, sheet: PlanSheet) -> Polygon:
    return Polygon(sheet.scene.room.plan.outer_corners, closed=True, transform=axes.transData)
