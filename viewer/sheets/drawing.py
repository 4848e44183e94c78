"""A drawing on a sheet to a true scale, with what is written on it in millimetres of the paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.viewer import palette
from earshed.viewer.sheets.sheet import Box, Sheet
from earshed.viewer.sheets.writing import POINT, text_width

NAME, FIGURE = 8.0, 7.5
"""Points of names, and of dimensions and all else."""
CAP = 0.76
"""Height of figures and capitals over the line they stand on, in sizes of the letters."""
BELOW = 0.36
"""Of what hangs under that line, with what parts it from the next."""


LOWER = 0.14
"""By how much a block stands lower, so that capitals and figures are in the middle of it."""


@dataclass(frozen=True, eq=False)
class Drawing:
    """Axes in metres at 1 to `ratio` that cover a box of a sheet; `low` (2,) is at its lower left corner.

    Names may stand in the box `names`, which is wider. What is written lies over what is drawn on the axes.
    """

    sheet: Sheet
    axes: Axes
    box: Box
    names: Box
    ratio: float
    low: Array

    def on_paper(self, points: ArrayLike) -> Array:
        """Millimetres (..., 2) on the sheet of points (..., 2) of the drawing."""
        places: Array = np.array(self.box[:2]) + (np.asarray(points, dtype=np.float64) - self.low) * 1000 / self.ratio
        return places


def new_drawing(sheet: Sheet, box: Box, names: Box, bounds: ArrayLike, ratio: float) -> Drawing:
    """Axes for what lies within `bounds` (2, 2), least and most, in the middle of a box, with a wider one for names."""
    axes = sheet.drawing(box, bounds, ratio)
    axes.set_zorder(-1)
    return Drawing(sheet, axes, box, names, ratio, np.array([axes.get_xlim()[0], axes.get_ylim()[0]]))


def block_size(lines: list[str], size: float) -> Array:
    """Width and height (2,) in millimetres of some lines of text."""
    return np.array([max(text_width(line, size) for line in lines), len(lines) * (CAP + BELOW) * size * POINT])


def write_block(sheet: Sheet, middle: ArrayLike, lines: list[str], size: float, *, upright: bool = False) -> None:
    """Lines of text round a point (2,) of the sheet, on a white ground; `upright` they read from below to above."""
    wide, high = block_size(lines, size)
    x, y = np.asarray(middle, dtype=np.float64)
    ground = (high, wide) if upright else (wide, high)
    low = (x - ground[0] / 2 - 0.2, y - ground[1] / 2 - 0.1)
    sheet.axes.add_patch(Rectangle(low, ground[0] + 0.4, ground[1] + 0.2, fc=palette.PAPER, ec="none", zorder=28))
    line_high = high / len(lines)
    for number, line in enumerate(lines):
        drop = line_high * (number + CAP / (CAP + BELOW)) - high / 2 + LOWER * size * POINT
        if not upright:
            sheet.write(x, y - drop, line, size, align="center")
        else:
            sheet.axes.text(x + drop, y, line, fontsize=size, rotation=90, rotation_mode="anchor", ha="center",
                            va="baseline", color=palette.INK, zorder=30, parse_math=False)  # fmt: skip
