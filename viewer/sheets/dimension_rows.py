"""Running dimensions on paper: a line from each thing to the side of the drawing, and there its distance.

All texts of a side are set apart together, so that a line to a row farther out runs between the texts of nearer rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from matplotlib.patches import Circle
from shapely.geometry import LineString

from earshed.viewer import palette
from earshed.viewer.sheets.dimensions import Running, Tick, spread
from earshed.viewer.sheets.drawing import CAP, FIGURE, Drawing, block_size, write_block
from earshed.viewer.sheets.sheet import Box
from earshed.viewer.sheets.writing import POINT, text_width

Side = Literal["top", "bottom", "left"]
JOG = 4.0
"""Millimetres in which lines step aside to where their texts are."""
GAP = FIGURE * POINT * (CAP + 0.45)
"""From one text of a side to the next."""
WHOLE = 6.0
"""That the size of the whole takes up beyond the rows."""
CAPTION = 7.0
"""Points."""
LINE, LINE_COLOR = 0.12, palette.SOFT_INK
STUB = 1.8


@dataclass(frozen=True)
class Rows:
    """Running dimensions at a side of a drawing."""

    running: Running
    side: Side

    @property
    def depths(self) -> list[float]:
        """Millimetres that each row takes up, away from the drawing."""
        captions = [block_size([row.caption], CAPTION)[0 if self.side == "left" else 1] for row in self.running.rows]
        widest = [max(text_width(tick.text, FIGURE) for tick in row.ticks) for row in self.running.rows]
        return [max(float(caption), text) + 2.0 for caption, text in zip(captions, widest, strict=True)]

    @property
    def depth(self) -> float:
        """Of all of them, and the whole."""
        return JOG + max(sum(self.depths), text_width(self.zero, FIGURE) + 1.0) + WHOLE

    @property
    def zero(self) -> str:
        """What stands where the tape begins; no other text is beside it, so it may run on over the rows."""
        return f"0 {self.running.start}"

    @property
    def need(self) -> float:
        """Millimetres along the side that the texts take up."""
        return GAP * (len(self.running.ticks) + 1)


def draw_rows(drawing: Drawing, rows: Rows, captions: Literal["start", "end"]) -> None:
    """Draws the dimensions of a side; captions stand past the left or lower end of the rows, or past the other."""
    pen = _Pen(drawing, rows)
    running = rows.running
    starts = np.cumsum([JOG, *rows.depths])
    lines = [(running.at(0.0), rows.zero, 0, None), *((running.at(tick.value), tick.text, number, tick)
             for number, row in enumerate(running.rows) for tick in row.ticks)]  # fmt: skip
    lines.sort(key=lambda line: line[0])
    true = [pen.along(level) for level, *_ in lines]
    low, high = pen.ends
    for place, wanted, (_, text, number, tick) in zip(spread(true, GAP, low, high), true, lines, strict=True):
        if tick is not None:
            pen.lead(tick)
        start = float(starts[number])
        pen.line([(wanted, 0.0), (float(place), JOG - 0.8), (float(place), start - 0.8)])
        pen.text(float(place), start, text)
        if tick is None:
            ring = Circle(pen.spot(wanted, 0.0), 0.7, fc=palette.PAPER, ec=LINE_COLOR, lw=0.6, zorder=21)
            drawing.sheet.axes.add_patch(ring)
    for row, start, depth in zip(running.rows, starts, rows.depths, strict=False):
        pen.caption(row.caption, float(start) + depth / 2, captions)
    pen.whole(running.whole, rows.depth - WHOLE / 2)


@dataclass(frozen=True, eq=False)
class _Pen:
    """Draws at a side in millimetres along it and out from the drawing's box."""

    drawing: Drawing
    rows: Rows

    @property
    def ends(self) -> tuple[float, float]:
        left, low, right, high = self.drawing.box
        return (low, high) if self.rows.side == "left" else (left, right)

    def along(self, level: float) -> float:
        """Where a level of the drawing's axis is along the side."""
        axis = self.rows.running.axis
        return float(self.drawing.on_paper(np.full(2, level))[axis])

    def spot(self, along: float, out: float) -> tuple[float, float]:
        left, low, _, high = self.drawing.box
        match self.rows.side:
            case "top":
                return along, high + out
            case "bottom":
                return along, low - out
        return left - out, along

    def line(self, places: list[tuple[float, float]]) -> None:
        self.drawing.sheet.line([self.spot(*place) for place in places], color=LINE_COLOR, width=LINE)

    def lead(self, tick: Tick) -> None:
        """From the things that a distance is of to the edge of the drawing."""
        spots = self.drawing.on_paper(tick.points)
        axis = self.rows.running.axis
        mean = self.along(self.rows.running.at(tick.value))
        edge = self.spot(mean, 0.0)
        far = spots[int(np.argmax(np.abs(spots[:, 1 - axis] - edge[1 - axis])))].copy()
        far[axis] = mean
        self.drawing.sheet.line([far, edge], color=LINE_COLOR, width=LINE)

    def text(self, along: float, out: float, words: str) -> None:
        middle = self.spot(along, out + text_width(words, FIGURE) / 2)
        write_block(self.drawing.sheet, middle, [words], FIGURE, upright=self.rows.side != "left")

    def caption(self, words: str, out: float, at: Literal["start", "end"]) -> None:
        low, high = self.ends
        wide, deep = block_size([words], CAPTION)
        room = (deep if self.rows.side == "left" else wide) / 2 + 1.5
        write_block(self.drawing.sheet, self.spot(low - room if at == "start" else high + room, out), [words], CAPTION)

    def whole(self, tick: Tick, out: float) -> None:
        axis = self.rows.running.axis
        start, end = (float(spot[axis]) for spot in self.drawing.on_paper(tick.points))
        self.line([(start, out), (end, out)])
        for place in (start, end):
            self.line([(place, out - STUB), (place, out + STUB)])
            slash = np.array(self.spot(place, out)) + np.array([[-1.0, -1.0], [1.0, 1.0]])
            self.drawing.sheet.line(slash, width=0.4)
        write_block(self.drawing.sheet, self.spot((start + end) / 2, out), [tick.text], FIGURE,
                    upright=self.rows.side == "left")  # fmt: skip


def leads(drawing: Drawing, rows: Rows) -> list[LineString]:
    """The lines that the dimensions of a side draw across the drawing, on paper."""
    pen = _Pen(drawing, rows)
    found = []
    for tick in rows.running.ticks:
        spots = drawing.on_paper(tick.points)
        found += [LineString([spot, pen.spot(float(spot[rows.running.axis]), 0.0)]) for spot in spots]
    return found


def margins(across: Rows, up: Rows) -> Box:
    """Millimetres that the dimensions take up at the left, below, at the right and above a drawing."""
    captions = [float(block_size([row.caption], CAPTION)[0]) + 3.0 for row in across.running.rows]
    left, beside = max(up.depth, *captions, 0.0), float(block_size(["0"], CAPTION)[1]) + 3.0
    return (left, across.depth, 1.0, beside) if across.side == "bottom" else (left, beside, 1.0, across.depth)
