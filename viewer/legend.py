"""The words beside a map: a column of seat rows, shares and keys, and the head and foot of a page."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker_type import Verdict
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import SWATCH, Sign, draw_sign
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import LineStyle, draw_mark
from earshed.viewer.wording import counted, scheme_words, shortened, starred

LEFT_EDGE, RIGHT_EDGE = 0.022, 0.978
ROW = 0.031
FOOT = 0.055
"""Height at which the foot of the page begins."""
WIDE_ROWS, MOST_ROWS = 12, 16
"""Seat rows that stand at their full height, and those that there is room for when they move together."""
BRIEF_ROW, BRIEF_GAP = 0.0215, 0.012
"""Height of a line set close, and what parts two blocks of them."""
RECLINED_ROW = "   reclined"
"""What stands for the name in the row of a reclined seat, under that of the seat itself."""
CHARACTER = 0.0054
"""Width of a character of ordinary text in figure units, about; of a page 14 in wide."""
SWATCH_WIDE, SWATCH_HIGH, SWATCH_ROW = 0.030, 0.018, 0.028
"""Size of a swatch, and from one row of them to the next, in figure units."""
HEAD = 0.076
"""Width that the bold words of entries take up."""
ENTRY_LINE = 0.0188
FINE_CHARACTER = 0.0048
"""Width of a character of an entry, about."""

SMALL_CHARACTER, SMALL_LINE = 0.0043, 0.0172
"""Width of a character of small print where it has little room, about, and from one line of it to the next."""

KeyLine = tuple[str, LineStyle, float, str]
SeatRow = tuple[Mark | None, str, str, str]


def draw_heading(figure: Figure, title: str, under: str) -> None:
    """The page's title and a line or two under it."""
    figure.text(LEFT_EDGE, 0.972, shortened(title, 70), fontsize=19, fontweight="bold", color=palette.INK, va="top",
                parse_math=False)  # fmt: skip
    lines = "\n".join(textwrap.wrap(shortened(under, 290), 150))
    figure.text(LEFT_EDGE, 0.926, lines, fontsize=10.5, color=palette.SOFT_INK, va="top", linespacing=1.3,
                parse_math=False)  # fmt: skip


def draw_footer(figure: Figure, scene: Scene, date: str, view: str = "seen from above") -> None:
    """Scene, scheme, date, how the picture is seen, and how its scale is to be read."""
    left = f"{shortened(scene.title, 60)} · {scheme_words(scene)}"
    figure.text(LEFT_EDGE, 0.02, left, fontsize=9.5, color=palette.SOFT_INK, parse_math=False)
    right = f"{date} · {view}, scale by the bar · predictions, not measurements"
    figure.text(RIGHT_EDGE, 0.02, right, fontsize=9.5, color=palette.SOFT_INK, ha="right")


def rows_shown(rows: Sequence[SeatRow]) -> Sequence[SeatRow]:
    """As many seat rows as there is room for; the two postures of a seat are not parted."""
    parted = len(rows) > MOST_ROWS and rows[MOST_ROWS][1] == RECLINED_ROW
    return rows[: MOST_ROWS - 1 if parted else MOST_ROWS]


class Column:
    """Blocks set one under another, from a top left corner down, in figure units."""

    def __init__(self, figure: Figure, left: float, top: float, foot: float = FOOT) -> None:
        self.figure = figure
        self.left, self.width = left, RIGHT_EDGE - left
        self.y, self.foot = top, foot
        self.is_full = False

    def seats(self, rows: Sequence[SeatRow], heads: tuple[str, str, str], rest: str = ", in seats.csv") -> None:
        """One line per seat: mark, name, verdict, and a last word; `rest` says where seats are that do not fit."""
        if not rows:
            self._text(self.left, self.y, "the scene has no seats", size=10.5, color=palette.SOFT_INK)
            self.y -= 0.06
            return
        places = (self.left + 0.022, self.left + 0.38 * self.width, self.left + 0.80 * self.width)
        for x, head in zip(places, heads, strict=True):
            self._text(x, self.y, head, size=9, color=palette.SOFT_INK)
        shown = rows_shown(rows)
        step = ROW * min(1.0, WIDE_ROWS / len(shown))
        for mark, *words in shown:
            self.y -= step
            reclined = words[0] == RECLINED_ROW
            axes = self._axes(self.left, self.y - 0.007, 0.018, min(0.025, 1.1 * step))
            draw_mark(axes, 0.0, 0.0, 0.5 if reclined else 0.75, mark)
            ink = palette.MARK_INK[mark] if mark else palette.INK
            inks = (palette.SOFT_INK if reclined else palette.INK, ink, palette.INK)
            for x, word, most, color, strong in zip(
                places, words, (19, 24, 30), inks, (False, True, False), strict=True
            ):
                self._text(x, self.y, shortened(word, most), size=10.5, color=color, bold=strong)
        if len(rows) > len(shown):
            self.y -= step
            more = sum(name != RECLINED_ROW for _, name, *_ in rows[len(shown) :])
            self._text(self.left, self.y, f"and {counted(more, 'more seat')}{rest}", size=9.5)
        if any(name.endswith(" *") for _, name, *_ in rows):
            self.y -= ROW * 0.8
            self._text(self.left, self.y, "* main seat", size=9, color=palette.SOFT_INK)
        self.y -= 0.05

    def brief(self, title: str, rows: Sequence[tuple[Mark | None, str, str]], last: str = "") -> None:
        """A heading, and under it close lines of mark, name and words, and a last one of words alone."""
        self._text(self.left, self.y, shortened(title, 46), size=9.5, bold=True)
        for mark, name, words in rows:
            self.y -= BRIEF_ROW
            draw_mark(self._axes(self.left, self.y - 0.006, 0.016, 0.02), 0.0, 0.0, 0.7, mark)
            self._text(self.left + 0.02, self.y, shortened(name, 20), size=9)
            self._text(self.left + 0.42 * self.width, self.y, words, size=9)
        if last:
            self.y -= BRIEF_ROW
            self._text(self.left + 0.02, self.y, last, size=9, color=palette.SOFT_INK)
        self.y -= BRIEF_ROW + BRIEF_GAP

    def shares(self, shares: Mapping[Verdict, float], what: str) -> None:
        """A bar split by verdict, each part told by word, hatch and color."""
        self._text(self.left, self.y, what, size=10.5)
        axes = self._axes(self.left, self.y - 0.038, self.width, 0.026, span=1.0)
        at = 0.0
        for verdict, share in shares.items():
            fill, hatch = palette.VERDICT_FILL[verdict], palette.VERDICT_HATCH[verdict]
            axes.add_patch(Rectangle((at, 0), share, 1, fc=fill, ec="white", hatch=hatch, lw=0))
            at += share
        axes.add_patch(Rectangle((0, 0), 1, 1, fill=False, ec=palette.INK, lw=0.8))
        words = "   ".join(f"{verdict} {share:.0%}" for verdict, share in shares.items())
        self._text(self.left, self.y - 0.06, words, size=10.5, bold=True)
        self.y -= 0.105

    def colors(self, colors: Sequence[str], labels: Sequence[str], what: str, *, centered: bool) -> None:
        """Steps of color, each with a label under its middle, or under where it starts."""
        self._text(self.left, self.y, what, size=10.5)
        axes = self._axes(self.left, self.y - 0.038, self.width, 0.026, span=float(len(colors)))
        for index, color in enumerate(colors):
            axes.add_patch(Rectangle((index, 0), 1, 1, fc=color, ec=palette.SOFT_INK, lw=0.5))
        every = max(1, len(labels) // 12)
        for index in range(0, len(labels), every):
            at = self.left + self.width * (index + (0.5 if centered else 0.0)) / len(colors)
            self._text(at, self.y - 0.058, labels[index], size=9, align="center" if centered or index else "left")
        self.y -= 0.1

    def lines(self, lines: Sequence[KeyLine]) -> None:
        """What each line on the map means."""
        for color, style, width, words in lines:
            ends = [self.left, self.left + 0.035]
            self.figure.add_artist(Line2D(ends, [self.y + 0.005] * 2, color=color, lw=width, ls=style))
            self._text(self.left + 0.046, self.y, words, size=9.5)
            self.y -= 0.028
        self.y -= 0.012

    def swatch(self, draw: Callable[[Axes], None], words: str) -> None:
        """A pattern, which `draw` puts on axes 1 wide and 1 high, and what it means; none where there is no room."""
        lines = textwrap.wrap(words, int((self.width - 0.046) / CHARACTER))
        if self.y - 0.022 * (len(lines) - 1) < self.foot:
            return
        draw(self._axes(self.left, self.y - 0.006, 0.035, 0.022, span=1.0))
        for line in lines:
            self._text(self.left + 0.046, self.y, line, size=9.5)
            self.y -= 0.022
        self.y -= 0.014

    def signs(self, signs: Sequence[Sign]) -> None:
        """What is hidden behind the ceiling, a swatch for each kind, as many in a row as fit."""
        takes = SWATCH_WIDE + 0.012 + CHARACTER * max((len(words) for _, _, words in signs), default=0)
        in_row = max(1, int(self.width / takes))
        for number, sign in enumerate(signs):
            if number and number % in_row == 0:
                self.y -= SWATCH_ROW
            if self.y < FOOT:
                return
            x = self.left + number % in_row * takes
            axes = self._axes(x, self.y - 0.005, SWATCH_WIDE, SWATCH_HIGH)
            axes.set_xlim(0.0, SWATCH[0])
            axes.set_ylim(0.0, SWATCH[1])
            axes.set_aspect("auto")
            draw_sign(axes, sign)
            self._text(x + SWATCH_WIDE + 0.008, self.y, sign[2], size=9.5)
        self.y -= 0.042 if signs else 0.0

    def words(self, text: str) -> None:
        """A paragraph in small print, smaller where it would not fit; what then has no room is left out."""
        size, high, lines = 9.5, 0.022, textwrap.wrap(text, int(self.width / CHARACTER))
        if self.y - high * (len(lines) - 1) < self.foot:
            size, high, lines = 8.0, SMALL_LINE, textwrap.wrap(text, int(self.width / SMALL_CHARACTER))
        for line in lines:
            if self.y < self.foot:
                return
            self._text(self.left, self.y, line, size=size, color=palette.SOFT_INK)
            self.y -= high
        self.y -= 0.01

    def title(self, mark: Mark | None, name: str, words: str) -> None:
        """The head of a block about one speaker: its mark, its name, and a few words; or as `entry`."""
        self.y -= 0.008
        if self.is_full or self.y - 2 * ENTRY_LINE < self.foot:
            self.is_full = True
            return
        axes = self._axes(self.left, self.y - 0.006, 0.016, 0.022)
        draw_mark(axes, 0.0, 0.0, 0.75, mark)
        self._text(self.left + 0.02, self.y, shortened(name, 26), size=10.5, bold=True)
        ink = palette.MARK_INK[mark] if mark else palette.INK
        self._text(self.left + self.width, self.y, shortened(words, 34), size=9.5, color=ink, align="right")
        self.y -= 0.024

    def entry(self, head: str, text: str) -> None:
        """A word in bold, and beside it a few lines; where there is no room for them, `is_full` is set instead."""
        lines = textwrap.wrap(text, int((self.width - HEAD) / FINE_CHARACTER))
        if self.is_full or self.y - ENTRY_LINE * (len(lines) - 1) < self.foot:
            self.is_full = True
            return
        self._text(self.left, self.y, shortened(head, 14), size=9, bold=True)
        for line in lines:
            self._text(self.left + HEAD, self.y, line, size=9)
            self.y -= ENTRY_LINE
        self.y -= 0.003

    def areas(self, rows: Sequence[tuple[str, str, str, str]]) -> None:
        """Swatches of a fill with a pattern in an ink, two abreast, each with its words."""
        each = self.width / 2
        for number, (fill, ink, hatch, words) in enumerate(rows):
            x, y = self.left + (number % 2) * each, self.y - (number // 2) * SWATCH_ROW
            axes = self._axes(x, y - 0.006, 0.03, 0.021, span=1.0)
            axes.add_patch(Rectangle((0, 0), 1, 1, fc=fill, ec=ink, hatch=hatch, lw=0))
            axes.add_patch(Rectangle((0, 0), 1, 1, fill=False, ec=palette.SOFT_INK, lw=0.8))
            self._text(x + 0.037, y, words, size=9)
        self.y -= -(-len(rows) // 2) * SWATCH_ROW + 0.01

    def _text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float,
        color: str = palette.INK,
        bold: bool = False,
        align: str = "left",
    ) -> None:
        weight = "bold" if bold else "normal"
        self.figure.text(x, y, words, fontsize=size, color=color, fontweight=weight, ha=align, parse_math=False)

    def _axes(self, x: float, y: float, width: float, height: float, span: float | None = None) -> Axes:
        """A bare axes: `span` wide and 1 high, or one in which a unit circle is round."""
        axes = self.figure.add_axes((x, y, width, height))
        axes.set_axis_off()
        axes.set_xlim(*((-1.0, 1.0) if span is None else (0.0, span)))
        axes.set_ylim(*((-1.0, 1.0) if span is None else (0.0, 1.0)))
        if span is None:
            axes.set_aspect("equal")
        return axes


def row_name(seat: Seat) -> str:
    """A seat's name, starred where it is a main one; reclined it stands under itself, and is not named again."""
    if seat.reclined_from is not None:
        return RECLINED_ROW
    return starred(seat)
