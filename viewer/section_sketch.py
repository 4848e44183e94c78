"""A sketch of a room's cross section for a terminal: how its ceiling runs over the seats."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.seating import reference_position
from earshed.model.units import format_length
from earshed.viewer.letters import Letters
from earshed.viewer.paper import COLUMNS, ON_EDGE, Paper
from earshed.viewer.sketch import MARKS

ROWS = 9
"""The most rows that a section takes."""


def section_sketch(scene: Scene, letters: Letters) -> list[str]:
    """The ceiling of a rectangle across the main seats, as one sees it facing the screen wall; or along the room, the
    screen wall at the left, where it rises more that way."""
    width, length = scene.room.plan.width, scene.room.plan.length
    seat = reference_position(scene.seats)[:2] if scene.seats else np.array([width / 2, -length / 2])
    across = (np.array([0.0, seat[1]]), np.array([width, seat[1]]))
    along = (np.array([seat[0], 0.0]), np.array([seat[0], -length]))
    lengthwise = _rise(scene, along) > _rise(scene, across) + 1e-6
    lines = _draw(scene, *(along if lengthwise else across), letters=letters)
    title = "along the room, screen wall at the left" if lengthwise else "across the room, facing the screen wall"
    return [f"  {title}:", *lines]


def _points(start: Array, end: Array, count: int) -> Array:
    """Points (count, 2) in the middle of equal parts of a line."""
    shares = (np.arange(count) + 0.5)[:, None] / count
    points: Array = start + shares * (end - start)
    return points


def _rise(scene: Scene, line: tuple[Array, Array]) -> float:
    return float(np.ptp(scene.room.ceiling_over(_points(*line, 4 * COLUMNS))))


def _draw(scene: Scene, start: Array, end: Array, *, letters: Letters) -> list[str]:
    """The section along a plan line, from the left, with the heights of its ends and of its highest place."""
    run = float(np.linalg.norm(end - start))
    ends = [float(height) for height in scene.room.ceiling_over([start, end])]
    highest = max(*ends, _highest(scene, start, end))
    paper = Paper(run, highest, rows=ROWS)
    paper.frame(letters, top=False)
    _draw_ceiling(paper, scene.room.ceiling_over(_points(start, end, paper.columns)) / highest, letters)
    forward = (end - start) / run
    for letter, point in _things(scene, letters):
        paper.put(paper.cell(float((point[:2] - start) @ forward), highest - float(point[2])), letter)
    left, top, right = (format_length(height, scene.print_units) for height in (ends[0], highest, ends[1]))
    spare = paper.columns + 2 - len(left) - len(right)
    middle = f"  highest {top}  " if highest > max(ends) + ON_EDGE else "  "
    return [f"  {line}" for line in [*paper.lines, f"{left}{middle.center(spare)}{right}"]]


def _highest(scene: Scene, start: Array, end: Array) -> float:
    """The highest place (metres) of the ceiling over a plan line: at a crease, or on a raised part between two."""
    bends = [_points(start, end, 4 * COLUMNS)]
    for crease in scene.room.creases:
        bends.append(shapely.get_coordinates(shapely.LineString(crease).intersection(shapely.LineString([start, end]))))
    return float(scene.room.ceiling_over(np.concatenate(bends)).max())


def _draw_ceiling(paper: Paper, heights: Array, letters: Letters) -> None:
    """Draws the ceiling from its height over each column, 1 being the top; the walls end where it meets them."""
    marks = np.rint(heights * 2 * paper.rows).astype(int)  # two to a row: at its foot and in its middle
    for column, mark in enumerate(marks, start=1):
        paper.put((paper.rows - mark // 2, column), letters.level if mark % 2 else letters.low)
    for column, (mark, after) in enumerate(pairwise(marks), start=1):
        upper, lower = max(mark, after) // 2, min(mark, after) // 2
        for row in range(lower + 1, upper):
            paper.put((paper.rows - row, column if mark < after else column + 1), letters.upright)
    for column, mark in ((0, marks[0]), (paper.columns + 1, marks[-1])):
        for row in range(paper.rows - mark // 2 + 1):
            paper.put((row, column), " ")


def _things(scene: Scene, letters: Letters) -> list[tuple[str, Array]]:
    """Letters with the places (3,) of what they stand for, what is to be on top last."""
    things = [(letters.seat, seat.ear) for seat in scene.seats]
    return things + [(mark, speaker.position) for mark, speaker in zip(MARKS, scene.speakers, strict=False)]
