"""A sketch of a room's plan for a terminal, the screen wall at the top."""

from __future__ import annotations

import string
import textwrap
from collections.abc import Sequence

import numpy as np

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.units import format_length
from earshed.viewer.letters import Letters
from earshed.viewer.paper import COLUMNS, ON_EDGE, Paper

ROWS = 16
"""The most rows that a plan takes."""
MARKS = string.digits[1:] + string.ascii_lowercase.replace("o", "") + string.ascii_uppercase
"""What stands for each speaker, in order; o is a seat."""
NEVER_BROKEN = "\N{NO-BREAK SPACE}"


def plan_sketch(scene: Scene, letters: Letters) -> list[str]:
    """The plan of a rectangle with its picture, seats, creases and speakers, to scale, and what its letters mean."""
    plan = scene.room.plan
    paper = Paper(plan.width, plan.length, rows=ROWS)
    paper.frame(letters, top=True)
    creases = [_draw_crease(paper, start, end, letters) for start, end in scene.room.creases]
    if scene.screen:
        upright = abs(scene.screen.wall.along[1]) > 0.5
        for along in np.linspace(scene.screen.start, scene.screen.end, 4 * COLUMNS):
            x, y, _ = scene.screen.point(float(along), 0.0)
            paper.put(paper.cell(x, -y), letters.picture_edge_on if upright else letters.picture)
    for seat in scene.seats:
        paper.put(paper.cell(seat.ear[0], -seat.ear[1]), letters.seat)
    for mark, speaker in zip(MARKS, scene.speakers, strict=False):
        paper.put(paper.cell(speaker.position[0], -speaker.position[1]), mark)
    width, length = (format_length(size, scene.print_units) for size in (plan.width, plan.length))
    lines = [f"  {line}" for line in paper.lines]
    lines[len(lines) // 2] += f"  {length}"
    return [*lines, f"  {width.center(paper.columns + 2).rstrip()}", *_key(scene, creases, letters)]


def _draw_crease(paper: Paper, start: Array, end: Array, letters: Letters) -> str:
    """Draws a plan line between two points (2,), and returns the letter that it is drawn with."""
    across, along = np.abs(end - start)
    letter = letters.crease_slanted
    if min(across, along) < ON_EDGE:
        letter = letters.crease_upright if across < along else letters.crease_level
    for share in np.linspace(0, 1, 4 * COLUMNS):
        x, y = start + share * (end - start)
        cell = paper.cell(x, -y)
        if paper.inside(cell):
            paper.put(cell, letter)
    return letter


def _key(scene: Scene, creases: Sequence[str], letters: Letters) -> list[str]:
    """What the letters stand for."""
    words = [f"{letters.picture} picture"] if scene.screen else []
    words += [f"{letters.seat} seat"] if scene.seats else []
    words += [f"{' '.join(sorted(set(creases)))} where the ceiling bends"] if creases else []
    words += [f"{mark} {speaker.name}" for mark, speaker in zip(MARKS, scene.speakers, strict=False)]
    whole = "   ".join(word.replace(" ", NEVER_BROKEN) for word in words)
    return [f"  {line.replace(NEVER_BROKEN, ' ')}" for line in textwrap.wrap(whole, 76)]
