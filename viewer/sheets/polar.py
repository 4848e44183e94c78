"""Polar plots on paper: levels round an axis that points down the page, as a speaker in a ceiling plays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.patches import Circle
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.model.sound.directivity import Directivity, directions_at
from earshed.viewer import palette
from earshed.viewer.sheets.sheet import Align, Sheet

LEAST_DB = 30.0
"""Down at the middle of a plot."""
RINGS_DB = (6.0, 12.0, 18.0, 24.0)
SPOKE = 30
"""Degrees from one spoke to the next."""
DASHES = ((0, (1.0, 1.4)), (0, (4.0, 1.6)), (0, (7.0, 1.6, 1.2, 1.6)), "-")
"""Of the curves of one plot, the lowest band first, so that they differ in gray."""
LIMIT_DASHES = (0, (3.0, 2.0))
SMALL, PLAIN = 7.0, 9.0
"""Points."""
ROUND_IT = 9.0
"""Millimetres round a plot for its words."""
SAMPLE = 6.5
"""Millimetres of a curve's dashes beside its name."""
WHITE = {"fc": palette.PAPER, "ec": "none", "pad": 0.4}
OUTSIDE = 2.2
"""Millimetres from the rim to words."""
LETTER = 0.9
"""Millimetres from the middle of a small letter down to what it stands on."""


@dataclass(frozen=True, eq=False)
class Polar:
    """A plot: its title, the directivity, the plane by its angle round the axis, and bands by their number and name.

    It reaches `within` radians of the axis either side; its middle is at `x`, `y`, its rim `radius` millimetres off.
    """

    title: str
    directivity: Directivity
    plane: float
    bands: Sequence[tuple[int, str]]
    within: float
    x: float
    y: float
    radius: float

    @property
    def is_whole(self) -> bool:
        return self.within > math.pi / 2

    def at(self, angle: ArrayLike, part: ArrayLike, beyond: float = 0.0) -> Array:
        """Points (..., 2) at angles off the axis, radians, plus to the right, and parts of the radius, mm beyond it."""
        angle, part = np.broadcast_arrays(np.asarray(angle), np.asarray(part))
        reach = self.radius * part + beyond
        return np.stack([self.x + reach * np.sin(angle), self.y - reach * np.cos(angle)], axis=-1)


def polar_height(radius: float, within: float) -> float:
    """Millimetres of height that a plot takes with its words."""
    return radius * (2.0 if within > math.pi / 2 else 1.0) + 2 * ROUND_IT


def draw_polar(sheet: Sheet, polar: Polar) -> None:
    """Draws rings, spokes and curves; each curve is named outside the rim, at the end of a line to a dot on it."""
    _draw_grid(sheet, polar)
    angles = np.linspace(-polar.within, polar.within, 721)
    sides = np.where(angles < 0.0, polar.plane + math.pi, polar.plane)
    levels = polar.directivity.level_toward(directions_at(np.abs(angles), sides))
    for number, (band, name) in enumerate(polar.bands):
        guessed = polar.directivity.guessed[band]
        color, width = (palette.SOFT_INK, 0.3) if guessed else (palette.INK, 0.5)
        parts = np.clip(1.0 + levels[:, band] / LEAST_DB, 0.0, 1.05)
        sheet.line(polar.at(angles, parts), color=color, width=width, dashes=DASHES[number])
        named = polar.within * (len(polar.bands) - number - 0.35) / (len(polar.bands) + 0.2)
        x, y = _lead_out(sheet, polar, named, float(np.interp(named, angles, parts)), color)
        sheet.line([(x, y), (x + SAMPLE, y)], color=color, width=width, dashes=DASHES[number])
        sheet.write(x + SAMPLE + 1.0, y - LETTER, name, SMALL, color=color)
    top = polar.y + (polar.radius if polar.is_whole else 0.0)
    sheet.write(polar.x, top + 4.5, polar.title, PLAIN, bold=True, align="center")


def _draw_grid(sheet: Sheet, polar: Polar) -> None:
    arc = np.linspace(-polar.within, polar.within, 181)
    sheet.line(polar.at(arc, 1.0), color=palette.SOFT_INK, width=0.25)
    most = round(math.degrees(polar.within))
    for degrees in range(-most, most + 1, SPOKE):
        angle = math.radians(degrees)
        sheet.line(polar.at(angle, [0.0, 1.0]), color=palette.FAINT, width=0.2)
        if -most < degrees <= 0:
            x, y = polar.at(angle, 1.0, OUTSIDE)
            align: Align = "center" if degrees == 0 else "right"
            sheet.write(x, y - LETTER, f"{-degrees}°", SMALL, align=align, color=palette.SOFT_INK)
    for down in RINGS_DB:
        limit = down == RINGS_DB[0]
        line, dashes = (palette.LIMIT, LIMIT_DASHES) if limit else (palette.FAINT, "-")
        sheet.line(polar.at(arc, 1.0 - down / LEAST_DB), color=line, width=0.25, dashes=dashes)
        x, y = polar.at(-math.pi / 2, 1.0 - down / LEAST_DB)
        ink = palette.LIMIT if limit else palette.SOFT_INK
        sheet.axes.text(x, y + 1.7, f"-{down:g}", fontsize=SMALL, ha="center", va="center", color=ink, bbox=WHITE,
                        zorder=28)  # fmt: skip


def _lead_out(sheet: Sheet, polar: Polar, angle: float, part: float, color: str) -> tuple[float, float]:
    """Draws a line from a dot on a curve to outside the rim, and gives where it ends."""
    dot, end = polar.at(angle, part), polar.at(angle, 1.0, OUTSIDE)
    sheet.line([dot, end], color=palette.SOFT_INK, width=0.15)
    sheet.axes.add_patch(Circle(tuple(dot), 0.75, fc=color, ec=palette.PAPER, lw=0.5, zorder=25))
    return float(end[0]), float(end[1])
