"""A sheet of paper on which everything has its place in millimetres, and drawings their true scale."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import ArrayLike
from PIL import Image

from earshed.viewer import palette
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.writing import line_height, wrapped

MILLIMETRES = 25.4
"""In an inch."""
MARGIN = 10.0
"""Millimetres round a sheet that printers may leave white."""
FOOT = 25.0
"""Millimetres over the lower margin that the title block takes up."""
COLORS = 256
"""That a picture on a sheet keeps, with which a file is a third as long."""
Align = Literal["left", "center", "right"]
Box = tuple[float, float, float, float]
"""Left, lower, right and upper edge, millimetres."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """One page: `axes` cover it in millimetres from its lower left corner.

    `title` and `scale`, as "scale 1:25", go into its block, which takes up `foot` millimetres over the lower margin.
    """

    paper: PaperSize
    title: str
    scale: str
    figure: Figure
    axes: Axes
    foot: float = FOOT

    @property
    def area(self) -> Box:
        """What there is to draw in, over the title block."""
        return area_of(self.paper, self.foot)

    def write(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        align: Align = "left",
        color: str = palette.INK,
    ) -> None:
        """One line of text, its letters standing on `y`."""
        self.axes.text(x, y, text, fontsize=size, fontweight="bold" if bold else "normal", ha=align, va="baseline",
                       color=color, zorder=30, parse_math=False)  # fmt: skip

    def paragraph(
        self, x: float, y: float, width: float, text: str, size: float, *, bold: bool = False, color: str = palette.INK
    ) -> float:
        """Text broken to a width, its first line hung from `y`; returns where the next would hang."""
        for line in wrapped(text, width, size, bold):
            y -= line_height(size)
            self.write(x, y + 0.25 * line_height(size), line, size, bold=bold, color=color)
        return y

    def line(self, points: ArrayLike, *, color: str = palette.INK, width: float = 0.3, dashes: object = "-") -> None:
        """A line through points (N, 2), `width` in millimetres."""
        x, y = np.asarray(points, dtype=np.float64).T
        self.axes.plot(x, y, color=color, lw=width * 72 / MILLIMETRES, ls=dashes, solid_capstyle="butt", zorder=20)

    def frame(self, box: Box, *, color: str = palette.INK, width: float = 0.3) -> None:
        """The edges of a box."""
        left, low, right, high = box
        self.line([(left, low), (right, low), (right, high), (left, high), (left, low)], color=color, width=width)

    def fill(self, box: Box, color: str, *, edge: str = "none", hatch: str = "") -> None:
        """A box filled with a color, with thin edges of another."""
        left, low, right, high = box
        size = (right - left, high - low)
        self.axes.add_patch(Rectangle((left, low), *size, fc=color, ec=edge, lw=0.5, hatch=hatch, zorder=20))

    def picture(self, image: Image.Image, box: Box) -> None:
        """A picture that fills a box, in few colors."""
        left, low, right, high = box
        few = image.convert("RGB").quantize(COLORS, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).convert("RGB")
        extent = (left, right, low, high)
        self.axes.imshow(np.asarray(few), extent=extent, aspect="auto", interpolation="none", zorder=10)

    def drawing(self, box: Box, bounds: ArrayLike, ratio: float) -> Axes:
        """Axes in metres at a scale of 1 to `ratio` in the middle of a box; what lies within `bounds` (2, 2), least and
        most, is in the middle of them. They cover the whole box."""
        left, low, right, high = box
        middle = np.asarray(bounds, dtype=np.float64).mean(axis=0)
        half = np.array([right - left, high - low]) / 2 * ratio / 1000
        width, height = self.paper.width, self.paper.height
        axes = self.figure.add_axes((left / width, low / height, (right - left) / width, (high - low) / height))
        axes.set_axis_off()
        axes.set_xlim(middle[0] - half[0], middle[0] + half[0])
        axes.set_ylim(middle[1] - half[1], middle[1] + half[1])
        return axes


@dataclass(frozen=True, eq=False)
class Proof(Sheet):
    """A sheet on which nothing stays, to see how far down things come."""

    def write(self, x: float, y: float, text: str, size: float, **look: object) -> None:
        pass

    def line(self, points: ArrayLike, **look: object) -> None:
        pass

    def fill(self, box: Box, color: str, **look: object) -> None:
        pass

    def picture(self, image: Image.Image, box: Box) -> None:
        pass


def area_of(paper: PaperSize, foot: float = FOOT) -> Box:
    """What a sheet has to draw in, over its title block, millimetres."""
    return (MARGIN, MARGIN + foot + 2.0, paper.width - MARGIN, paper.height - MARGIN)


def new_sheet(paper: PaperSize, title: str, scale: str = "not to scale", foot: float = FOOT) -> Sheet:
    """A blank sheet."""
    figure = Figure(figsize=(paper.width / MILLIMETRES, paper.height / MILLIMETRES), dpi=72, facecolor=palette.PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, paper.width)
    axes.set_ylim(0.0, paper.height)
    return Sheet(paper, title, scale, figure, axes, foot)
