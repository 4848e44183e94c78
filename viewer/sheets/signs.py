"""The signs of plans and elevations, and a legend of those that occur."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from earshed.model.scene import Scene
from earshed.model.units import format_length
from earshed.viewer import palette
from earshed.viewer.fixture_drawing import fixture_words
from earshed.viewer.hidden_drawing import SWATCH, Shows, Sign, draw_sign, framing_on, hidden_signs
from earshed.viewer.plan_drawing import CREASE_DASHES
from earshed.viewer.sheets.linework import BEZEL, CABINET, CUT, LEVEL_LINE, MEMBERS, PICTURE_LINE, SEAT, Style
from earshed.viewer.sheets.sheet import Box, Sheet
from earshed.viewer.sheets.writing import line_height, text_width, wrapped

SIZE = 7.0
"""Points."""
ROW = 4.6
"""Millimetres from one sign down to the next."""
SWATCH_MM = (9.45, 3.5)
BESIDE = SWATCH_MM[0] + 1.8
APART = 4.0
CABINET_WORDS = "speaker box, not cut in"
Draw = Callable[[Axes], object]


@dataclass(frozen=True)
class Legend:
    """Signs with their words, and notes under them."""

    signs: tuple[tuple[Draw | None, str], ...]
    notes: tuple[str, ...] = ()

    def height(self, width: float) -> float:
        """Millimetres that it takes up at a width, a line for what could not be named included."""
        lines = sum(len(wrapped(note, width, SIZE)) for note in self.notes) + 1
        return self._rows(width) * ROW + lines * line_height(SIZE) + 3.0

    def draw(self, sheet: Sheet, box: Box, missing: list[str]) -> None:
        """Draws it at the top of a box, and says what the drawing had no room to name."""
        left, _, right, top = box
        rows, each = self._rows(right - left), self._each
        for number, (draw, words) in enumerate(self.signs):
            x, y = left + number // rows * each, top - (number % rows + 1) * ROW
            if draw is not None:
                draw(_swatch(sheet, x, y))
            sheet.write(x + BESIDE if draw else x, y + 1.0, words, SIZE)
        y = top - rows * ROW - 1.0
        for note in (*self.notes, *(["No room to name: " + ", ".join(missing)] if missing else [])):
            y = sheet.paragraph(left, y, right - left, note, SIZE)

    @property
    def _each(self) -> float:
        """Millimetres across from one column of signs to the next."""
        return max((text_width(words, SIZE) + (BESIDE if draw else 0) for draw, words in self.signs), default=1) + APART

    def _rows(self, width: float) -> int:
        columns = max(1, int((width + APART) / self._each))
        return -(-len(self.signs) // columns)


def _swatch(sheet: Sheet, x: float, y: float) -> Axes:
    """Axes of the size of SWATCH, in metres."""
    wide, high = sheet.paper.width, sheet.paper.height
    axes = sheet.figure.add_axes((x / wide, y / high, SWATCH_MM[0] / wide, SWATCH_MM[1] / high))
    axes.set_axis_off()
    axes.set_xlim(0.0, SWATCH[0])
    axes.set_ylim(0.0, SWATCH[1])
    return axes


def hole_signs(scene: Scene, shows: Shows) -> Iterator[tuple[Draw, str]]:
    """Those of the speakers cut into the faces that are shown, and of what is behind these faces."""
    cut = [one for one in scene.speakers if one.surface is not None and shows(one.surface)]
    if any(one.type.cutout is not None for one in cut):
        yield _hole, "cut-out (heavy), bezel, center"
    if any(one.type.cutout is None for one in cut):
        yield _bezel, "bezel of a cut-out not stated"
    for framing in dict.fromkeys(framing for framing, _ in framing_on(scene, shows)):
        if framing.spacing is not None and not framing.is_grid and framing.under is None:
            yield (
                _band(MEMBERS["counted"]),
                f"{framing.name} at {format_length(framing.spacing, scene.print_units)} on center",
            )
    for sign in hidden_signs(scene, shows):
        if sign[0] != "counted":
            yield (_band(MEMBERS[sign[0]]) if sign[0] in MEMBERS else _hidden(sign)), sign[2]


def plan_signs(scene: Scene, *, turned: bool, slopes: bool, cabinets: bool) -> Iterator[tuple[Draw | None, str]]:
    """Those of a ceiling plan besides."""
    room = scene.room
    if turned:
        yield _arrow(palette.INK), "the way a speaker points in plan"
    if cabinets:
        yield _box(CABINET), CABINET_WORDS
    if slopes:
        yield _slope, "points up the slope"
    if room.creases:
        yield _line({"color": palette.SOFT_INK, "lw": 1.0, "ls": CREASE_DASHES}), "ridge or crease"
    if scene.screen is not None:
        yield _line(PICTURE_LINE), "picture's center line"
        yield _line({"color": palette.SCREEN, "lw": 5.0, "solid_capstyle": "butt"}), "screen"
    if scene.openings:
        yield _opening, "door, window or opening in a wall"
    if scene.seats:
        yield _box(SEAT), "seat below"
    if room.soffits:
        yield _box({"fc": "none", "ec": palette.SOFT_INK, "lw": 1.1, "ls": (0, (5, 3))}), "soffit or beam over head"
    if len(room.boxes) > len(room.soffits) or room.risers:
        yield _box({"fc": palette.PANEL, "ec": palette.SOFT_INK, "lw": 1.1}), "stands on the floor"
    if scene.datums:
        yield datum_sign, "datum"
    yield from ((None, words) for words, there in fixture_words(scene).items() if there)


def wall_signs(*, levels: bool, hung: bool, boxes: bool) -> Iterator[tuple[Draw, str]]:
    """Those of an elevation besides."""
    if levels:
        yield _line(LEVEL_LINE), "level line through a center"
    if hung:
        yield _box(CABINET), CABINET_WORDS
    if boxes:
        yield _box({"fc": palette.PANEL, "ec": palette.SOFT_INK, "lw": 1.1}), "box or beam at the wall"


def datum_sign(axes: Axes, middle: tuple[float, float] = (0.135, 0.05), half: float = 0.04) -> None:
    """A diamond, half of it filled."""
    x, y = middle
    corners = np.array([[x - half, y], [x, y + half], [x + half, y], [x, y - half]])
    axes.add_patch(Polygon(corners, closed=True, fc=palette.PAPER, ec=palette.INK, lw=0.8, zorder=14))
    axes.add_patch(Polygon(corners[:3], closed=True, fc=palette.INK, ec="none", zorder=14))


def _hole(axes: Axes) -> None:
    axes.add_patch(Circle((0.135, 0.05), 0.045, **BEZEL))
    axes.add_patch(Circle((0.135, 0.05), 0.034, **CUT))
    for dx, dy in ((0.016, 0.0), (0.0, 0.016)):
        axes.plot([0.135 - dx, 0.135 + dx], [0.05 - dy, 0.05 + dy], color=palette.INK, lw=0.5, zorder=13)


def _bezel(axes: Axes) -> None:
    axes.add_patch(Circle((0.135, 0.05), 0.045, **BEZEL))


def _band(style: Style) -> Draw:
    return lambda axes: axes.add_patch(Rectangle((0.005, 0.03), 0.26, 0.04, **style))


def _box(style: Style) -> Draw:
    return lambda axes: axes.add_patch(Rectangle((0.05, 0.012), 0.17, 0.076, **style))


def _line(style: Style) -> Draw:
    return lambda axes: axes.plot([0.01, 0.26], [0.05, 0.05], **style)


def _hidden(sign: Sign) -> Draw:
    return lambda axes: draw_sign(axes, sign)


def _arrow(color: str) -> Draw:
    head = {"arrowstyle": "-|>,head_length=0.5,head_width=0.25", "color": color, "lw": 1.4, "shrinkA": 0, "shrinkB": 0}
    return lambda axes: axes.annotate("", xy=(0.25, 0.05), xytext=(0.03, 0.05), arrowprops=head)


def _slope(axes: Axes) -> None:
    slope_arrow(axes, np.array([0.02, 0.05]), np.array([0.25, 0.05]))


def slope_arrow(axes: Axes, start: np.ndarray, end: np.ndarray) -> None:
    """An open arrow from low to high between two points (2,)."""
    head = {"arrowstyle": "->,head_length=0.45,head_width=0.3", "color": palette.INK, "lw": 0.9,
            "shrinkA": 0, "shrinkB": 0}  # fmt: skip
    axes.annotate("", xy=tuple(end), xytext=tuple(start), arrowprops=head, zorder=29)


def _opening(axes: Axes) -> None:
    axes.plot([0.01, 0.26], [0.05, 0.05], color=palette.INK, lw=3.2, solid_capstyle="butt")
    axes.plot([0.06, 0.21], [0.05, 0.05], color=palette.PAPER, lw=2.2, solid_capstyle="butt")
