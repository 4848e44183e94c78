"""Beam width and directivity index against frequency on paper, over the table of their figures, in the same columns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.patches import Circle, Polygon

from earshed.viewer import palette
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.type_words import TypeSound, band_rows

HEADS = 24.0
"""Millimetres at the left for the heads of rows and the scales."""
WIDTHS_HIGH, INDEX_HIGH, BETWEEN = 34.0, 22.0, 7.0
ROW = 5.0
WIDEST = 180.0
WIDTH_STEP, INDEX_STEP = 60.0, 5.0
LEAST_INDEX_SHOWN = 15.0
UPRIGHT_DASHES = (0, (4.0, 2.0))
DOT = 0.95
SMALL, PLAIN = 7.0, 8.5
"""Points."""


@dataclass(frozen=True)
class _Scale:
    """A scale up the page: what stands at its foot, `low`, and at its head, `high`, millimetres and values."""

    y: float
    height: float
    low: float
    high: float

    def at(self, value: float) -> float:
        return self.y + self.height * (value - self.low) / (self.high - self.low)


def chart_height(sound: TypeSound) -> float:
    """Millimetres of height that both charts and the table take."""
    return WIDTHS_HIGH + INDEX_HIGH + 2 * BETWEEN + ROW * (len(band_rows(sound)[0]) + 0.5)


def draw_chart(sheet: Sheet, left: float, right: float, top: float, sound: TypeSound) -> None:
    """Draws both charts and the table hung from `top`."""
    figures = sound.figures
    step = (right - left - HEADS) / len(figures.index)
    columns = [left + HEADS + (number + 0.5) * step for number in range(len(figures.index))]
    widths = _Scale(top - BETWEEN - WIDTHS_HIGH, WIDTHS_HIGH, 0.0, WIDEST)
    _draw_scale(sheet, left, right, widths, WIDTH_STEP, "beam width, degrees")
    _draw_curve(sheet, columns, widths, np.degrees(figures.across), sound, "-")
    if sound.planes:
        _draw_curve(sheet, columns, widths, np.degrees(figures.upright), sound, UPRIGHT_DASHES)
        sheet.write(right, widths.y + widths.height + 1.5, "dashed: upright", SMALL, align="right")
    low = min(0.0, INDEX_STEP * math.floor(float(figures.index.min()) / INDEX_STEP))
    high = max(LEAST_INDEX_SHOWN, INDEX_STEP * math.ceil(float(figures.index.max()) / INDEX_STEP))
    index = _Scale(widths.y - BETWEEN - INDEX_HIGH, INDEX_HIGH, low, high)
    _draw_scale(sheet, left, right, index, INDEX_STEP, "directivity index, dB")
    _draw_curve(sheet, columns, index, figures.index, sound, "-")
    _draw_table(sheet, left, right, index.y - 1.5, columns, sound)


def _draw_scale(sheet: Sheet, left: float, right: float, scale: _Scale, step: float, title: str) -> None:
    for value in np.arange(scale.low, scale.high + step / 2, step):
        y = scale.at(float(value))
        sheet.line([(left + HEADS, y), (right, y)], color=palette.FAINT, width=0.2)
        sheet.write(left + HEADS - 1.5, y - 0.9, f"{value:g}", SMALL, align="right", color=palette.SOFT_INK)
    sheet.write(left + HEADS, scale.y + scale.height + 1.5, title, PLAIN, bold=True)


def _draw_curve(
    sheet: Sheet, columns: Sequence[float], scale: _Scale, values: np.ndarray, sound: TypeSound, dashes: object
) -> None:
    """A line through values; a dot on each, hollow for a guess, and an arrow head for one that is past the scale."""
    points = [(x, scale.at(min(float(value), scale.high))) for x, value in zip(columns, values, strict=True)]
    sheet.line(points, color=palette.SOFT_INK, width=0.3, dashes=dashes)
    for (x, y), value, guessed in zip(points, values, sound.directivity.guessed, strict=True):
        fill = palette.PAPER if guessed else palette.INK
        look: dict[str, Any] = {"fc": fill, "ec": palette.INK, "lw": 0.7, "zorder": 25}
        arrow = [(x - DOT, y - DOT), (x + DOT, y - DOT), (x, y + DOT)]
        sheet.axes.add_patch(Polygon(arrow, **look) if value > scale.high else Circle((x, y), DOT, **look))


def _draw_table(sheet: Sheet, left: float, right: float, y: float, columns: Sequence[float], sound: TypeSound) -> None:
    heads, rows = band_rows(sound)
    for number, head in enumerate(heads):
        y -= ROW
        sheet.write(left, y + 1.4, head if number else "", PLAIN, color=palette.SOFT_INK)
        for x, row in zip(columns, rows, strict=True):
            color = palette.SOFT_INK if number and row[-1] == "guess" else palette.INK
            sheet.write(x, y + 1.4, row[number], PLAIN, bold=number == 0, align="center", color=color)
        sheet.line([(left, y), (right, y)], color=palette.FAINT, width=0.2)
