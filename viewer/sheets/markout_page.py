"""Pages for all holes of the ceiling, and of the walls: where each tape begins, every tape, and what proves them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from matplotlib.axes import Axes

from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut
from earshed.viewer import palette
from earshed.viewer.cautions import DO_NOT_CUT
from earshed.viewer.hole_words import hole_words
from earshed.viewer.markout_rows import string_words, twin_words
from earshed.viewer.markout_words import floor_words, leaves_words, slope_words
from earshed.viewer.plan_drawing import ARROW_FROM
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.sheets.thumbnail import draw_base, draw_ceiling_holes, draw_laser, draw_room_plan, number_walls
from earshed.viewer.tape_words import tape_words
from earshed.viewer.wording import called

HEAD, PLAIN, FINE = Style(16.0, bold=True), Style(10.0), Style(9.0)
PART = Style(11.0, bold=True)
PICTURE = 0.42
"""Of the height of a page that the plan takes up."""
CEILING_COLUMNS = (("", 0.35), ("speaker", 1.6), ("face", 1.5), ("cut", 1.6), ("slope or out", 2.7), ("level", 2.6),
                   ("floor mark", 2.6))  # fmt: skip
WALL_COLUMNS = (("", 0.35), ("speaker", 1.9), ("wall", 1.3), ("cut", 2.0), ("height", 2.4), ("level", 2.7))
NUMBER_AWAY = 4.2
"""Millimetres from the middle of a hole to that of its number."""


def markout_sheets(made: MarkOut, paper: PaperSize) -> list[Sheet]:
    """The page of the ceiling, and that of the walls, each where there are holes in it; more where they do not fit."""
    ceiling = [one for one in made.holes if one.hole.surface.kind != "wall"]
    walls = [one for one in made.holes if one.hole.surface.kind == "wall"]
    return [*(_ceiling(made, ceiling, paper) if ceiling else ()), *(_walls(made, walls, paper) if walls else ())]


def _ceiling(made: MarkOut, marks: Sequence[HoleMark], paper: PaperSize) -> list[Sheet]:
    flow = Flow(lambda: new_sheet(paper.turned, "Mark-out of the ceiling"))
    left, right, top = flow.left, flow.right, flow.y
    high = PICTURE * (top - flow.sheet.area[1])
    wide = 0.36 * (right - left)
    axes, ratio = draw_room_plan(flow.sheet, (left, top - high, left + wide, top), made.scene)
    number_walls(axes, made.scene.room.plan, ratio)
    draw_ceiling_holes(axes, made, made.holes, ratio)
    for mark in marks:
        draw_base(axes, mark)
    if any(mark.tapes.start.what == "center" for mark in marks):
        draw_laser(axes, made.scene)
    _numbers(axes, marks, ratio)
    flow.left = left + wide + 6.0
    flow.words("Mark-out of the ceiling", HEAD)
    flow.gap(1.0)
    for words in _how(made, marks):
        flow.words(words, PLAIN)
        flow.gap(0.9)
    _checks(flow, made, marks)
    flow.left, flow.y = left, min(flow.y, top - high) - 3.0
    rows = [_ceiling_row(made, number, mark) for number, mark in enumerate(marks, start=1)]
    _table(flow, CEILING_COLUMNS, rows, FINE)
    return flow.sheets


def _walls(made: MarkOut, marks: Sequence[HoleMark], paper: PaperSize) -> list[Sheet]:
    flow = Flow(lambda: new_sheet(paper.turned, "Mark-out of the walls"))
    flow.words("Mark-out of the walls", HEAD)
    flow.gap(1.0)
    flow.words(leaves_words(made.ruler), PLAIN)
    flow.gap(2.0)
    rows = [_wall_row(made, number, mark) for number, mark in enumerate(marks, start=1)]
    _table(flow, WALL_COLUMNS, rows, PLAIN)
    flow.gap(3.0)
    _checks(flow, made, marks)
    return flow.sheets


def _how(made: MarkOut, marks: Sequence[HoleMark]) -> Iterator[str]:
    """How one goes about it."""
    planes = dict.fromkeys(one.tapes.start.name for one in marks if one.tapes.start.kind == "plane")
    bases = dict.fromkeys(one.tapes.base.name for one in marks)
    yield f"Tape out from {_listed(bases)}, thick on the plan, at both ends of the face; snap a line through."
    starts = dict.fromkeys(one.tapes.start.name for one in marks if one.tapes.start.kind != "plane")
    if planes:
        yield f"Shoot a laser up the ceiling on {_listed(planes)}, and tape levels along the line from there."
    if starts:
        yield f"Tape levels along the line from {_listed(starts)}."
    yield "Every tape runs from its beginning to the hole itself: none goes on from hole to hole."
    yield leaves_words(made.ruler)


def _listed(names: Iterable[str]) -> str:
    """Names in a sentence: "the ridge, the rear wall and the duct"."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def _checks(flow: Flow, made: MarkOut, marks: Sequence[HoleMark]) -> None:
    """The checks between the holes of a page."""
    shown = {mark.speaker.name for mark in marks}
    twins = [one for one in made.twins if shown.intersection(one.names)]
    strings = [one for one in made.strings if shown.intersection(one.names)]
    if not twins and not strings:
        return
    flow.gap(1.0)
    flow.words("Checks, center to center through the air", PART)
    for twin in twins:
        flow.words(twin_words(twin, made), PLAIN)
    for string in strings:
        flow.words(f"{'diagonal' if string.is_diagonal else 'string'} {string_words(string, made)}", PLAIN)


def _table(flow: Flow, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]], style: Style) -> None:
    flow.table([head for head, _ in columns], rows, [share for _, share in columns], style)


def _speaker(made: MarkOut, mark: HoleMark) -> str:
    """What a speaker is called, and that it is not to be cut in where it is not."""
    return f"{called(mark.speaker)} {DO_NOT_CUT if made.bars(mark.speaker) else ''}"


def _ceiling_row(made: MarkOut, number: int, mark: HoleMark) -> list[str]:
    face = mark.hole.surface
    square, along = tape_words(mark.tapes, made.ruler)
    cut = f"{mark.speaker.type.name}: {hole_words(mark.speaker, made.ruler.units)}"
    where = f"{face.name}, {slope_words(face)}"
    floor = floor_words(mark.floor, made.scene.ahead, made.ruler)
    return [str(number), _speaker(made, mark), where, cut, square.line, along.line, floor]


def _wall_row(made: MarkOut, number: int, mark: HoleMark) -> list[str]:
    square, along = tape_words(mark.tapes, made.ruler)
    cut = f"{mark.speaker.type.name}: {hole_words(mark.speaker, made.ruler.units)}"
    return [str(number), _speaker(made, mark), mark.hole.surface.name, cut, square.line, along.line]


def _numbers(axes: Axes, marks: Sequence[HoleMark], ratio: float) -> None:
    """The number of each hole, on the side that its axis does not go to."""
    for number, mark in enumerate(marks, start=1):
        way = mark.speaker.axis[:2]
        flat = float(np.hypot(*way))
        aside = -way / flat if flat > ARROW_FROM else np.array([0.0, 1.0])
        x, y = mark.hole.center[:2] + NUMBER_AWAY * ratio / 1000 * aside
        axes.text(x, y, str(number), fontsize=10, fontweight="bold", color=palette.INK, ha="center", va="center",
                  zorder=6)  # fmt: skip
