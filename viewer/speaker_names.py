"""Names beside the speakers of a plan, where they cover as little else as can be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import numpy as np
import shapely
from matplotlib.axes import Axes
from shapely.geometry.base import BaseGeometry

from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.fixture_drawing import FACE_SHOWS
from earshed.viewer.plan_drawing import HALO, SEAT_SIZE, arrow_tip, plan_shape
from earshed.viewer.wording import shortened

FONT = 7.2
LETTER, LINE = 0.58, 1.25
"""Width of a letter and height of a line, about, in sizes of the font."""
GAP = 0.05
"""Metres between a name and its speaker."""
WALL_SHOWN = 0.04
"""Metres to each side of a wall's line that a name is kept off."""

Place = tuple[float, float, Literal["left", "center", "right"], Literal["top", "center", "bottom"]]


def speaker_names(
    axes: Axes,
    scene: Scene,
    speakers: Sequence[Speaker],
    words: Mapping[str, str] | None = None,
    around: Sequence[Speaker] = (),
) -> None:
    """Each speaker's name and a line of words about it: above, below or beside it, where least else is covered.

    Covered can be walls, seats, what is in the ceiling, the scene's speakers and those `around`, their arrows, and
    names already set.
    """
    taken = [*_furniture(scene), *_margins(axes, scene)]
    taken += [shape for speaker in (*scene.speakers, *around) for shape in _drawn(speaker)]
    figure = axes.get_figure(root=True)
    assert figure is not None
    metre = float(np.hypot(*(axes.transData.transform((1.0, 0.0)) - axes.transData.transform((0.0, 0.0)))))
    size = FONT / 72 * figure.dpi / metre
    for speaker in speakers:
        lines = [shortened(speaker.name, 20), *filter(None, [(words or {}).get(speaker.name)])]
        extent = (max(map(len, lines)) * LETTER * size, len(lines) * LINE * size)
        place, box = _best_place(speaker, extent, scene, taken)
        taken.append(box)
        x, y, beside, upright = place
        axes.text(x, y, "\n".join(lines), ha=beside, va=upright, fontsize=FONT, color=palette.INK,
                  path_effects=HALO, zorder=19, clip_on=False, parse_math=False)  # fmt: skip


def _best_place(
    speaker: Speaker, extent: tuple[float, float], scene: Scene, taken: Sequence[BaseGeometry]
) -> tuple[Place, BaseGeometry]:
    """The first of the places round a speaker that covers least, and the box that a name of that extent fills there."""
    boxes = [(place, _box(place, extent)) for place in _places(speaker, scene)]
    costs = [sum(shapely.area(shapely.intersection(np.array(taken), box))) for _, box in boxes]
    return boxes[int(np.argmin(np.round(costs, 4)))]


def _places(speaker: Speaker, scene: Scene) -> Iterator[Place]:
    """Above and below a speaker, to its sides, and past the walls at the front and the rear."""
    (left, low), (right, high) = plan_shape(speaker).min(axis=0), plan_shape(speaker).max(axis=0)
    (_, rear), (_, front) = scene.room.plan.bounds
    x, y = (float(value) for value in speaker.position[:2])
    yield x, float(high) + GAP, "center", "bottom"
    yield x, float(low) - GAP, "center", "top"
    for height in (y, float(high) + GAP, float(low) - GAP):
        upright: Literal["top", "center", "bottom"] = "center" if height == y else "bottom" if height > y else "top"
        yield float(right) + GAP, height, "left", upright
        yield float(left) - GAP, height, "right", upright
    if front - y < SEAT_SIZE:
        yield x, float(max(front, high)) + 2 * GAP, "center", "bottom"
    if y - rear < SEAT_SIZE:
        yield x, float(min(rear, low)) - 2 * GAP, "center", "top"


def _box(place: Place, extent: tuple[float, float]) -> BaseGeometry:
    x, y, beside, upright = place
    width, height = extent
    left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[beside] * width
    low = y - {"bottom": 0.0, "center": 0.5, "top": 1.0}[upright] * height
    return shapely.box(left, low, left + width, low + height)


def _drawn(speaker: Speaker) -> Iterator[BaseGeometry]:
    yield shapely.Polygon(plan_shape(speaker)).convex_hull
    tip = arrow_tip(speaker)
    if tip is not None:
        yield shapely.LineString([speaker.position[:2], tip]).buffer(GAP)


def _furniture(scene: Scene) -> Iterator[BaseGeometry]:
    """Seats with their names, fixtures and openings of the ceilings, walls."""
    half = SEAT_SIZE / 2
    for seat in upright_seats(scene.seats):
        x, y = seat.ear[:2]
        yield shapely.box(x - half, y - 2 * half, x + half, y + half)
    there = [(fixture.surface, fixture.shape) for fixture in scene.fixtures]
    there += [(opening.surface, opening.shape) for opening in scene.ceiling_openings]
    for surface, shape in there:
        if abs(surface.normal[2]) > FACE_SHOWS:
            yield shapely.Polygon(shape.edge_on(surface)[:, :2]).convex_hull
    yield scene.room.plan.polygon.boundary.buffer(WALL_SHOWN)


def _margins(axes: Axes, scene: Scene) -> Iterator[BaseGeometry]:
    """What lies past the sides of the plan's axes, and the strips of its scale bar and its dimensions."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    (_, rear), (end, _) = scene.room.plan.bounds
    yield shapely.box(left - 9, bottom - 9, left, top + 9)
    yield shapely.box(float(end) + GAP, bottom - 9, right + 9, top + 9)
    yield shapely.box(left, bottom - 9, right, float(rear) - 3 * GAP)
