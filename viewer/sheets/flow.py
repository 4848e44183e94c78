"""Words and tables set one under another on sheets, going on to a new one where one is full."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from earshed.viewer import palette
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.writing import line_height, wrapped

CELL_GAP = 3.0
"""Millimetres between two columns of a table."""
LABEL = 12.0
"""Points of words beside rows, at the most."""
FIRST_LINE = 0.78
"""Of the height of a line, from its top to what its letters stand on."""


@dataclass(frozen=True)
class Style:
    """How words look: a size in points, and a color."""

    size: float
    bold: bool = False
    color: str = palette.INK


Group = Sequence[tuple[Sequence[str], Style]]
"""Rows of a table that belong together: the cells of each, and how they look."""


@dataclass(eq=False)
class Flow:
    """A place on a sheet from which words go on downwards; `blank` makes another sheet where there is no more room, and
    `again` writes at its top what stands there.

    `left` and `right` bound them, millimetres; `y` is how far down they have come.
    """

    blank: Callable[[], Sheet]
    sheets: list[Sheet] = field(default_factory=list)
    y: float = 0.0
    left: float = 0.0
    right: float = 0.0
    again: Callable[[], None] = lambda: None

    def __post_init__(self) -> None:
        self.turn_page()

    @property
    def sheet(self) -> Sheet:
        return self.sheets[-1]

    @property
    def width(self) -> float:
        return self.right - self.left

    def turn_page(self) -> None:
        """Goes on at the top of a new sheet, over its whole width."""
        self.sheets.append(self.blank())
        self.left, _, self.right, self.y = self.sheet.area
        self.again()

    def need(self, height: float) -> None:
        """Turns the page where some millimetres are not left on it."""
        if self.y - height < self.sheet.area[1]:
            self.turn_page()

    def gap(self, height: float) -> None:
        self.y -= height

    def words(self, text: str, style: Style, indent: float = 0.0) -> None:
        """A paragraph, its lines kept together."""
        lines = wrapped(text, self.width - indent, style.size, style.bold)
        self.need(len(lines) * line_height(style.size))
        self._lines(self.left + indent, lines, style)

    def row(self, label: str, text: str, style: Style, indent: float) -> float:
        """A word or two at the left, and beside it a paragraph; returns what the first line stands on."""
        lines = wrapped(text, self.width - indent, style.size, style.bold)
        beside = Style(min(style.size, LABEL), color=palette.SOFT_INK)
        labels = wrapped(label, indent - CELL_GAP, beside.size)
        high = line_height(style.size)
        self.need(max(len(lines), len(labels)) * high)
        top = self.y
        for number, line in enumerate(labels):
            self.sheet.write(self.left, top - (number + FIRST_LINE) * high, line, beside.size, color=beside.color)
        self._lines(self.left + indent, lines, style)
        self.y = top - max(len(lines), len(labels)) * high
        return top - FIRST_LINE * high

    def rule(self, color: str = palette.FAINT) -> None:
        self.sheet.line([(self.left, self.y), (self.right, self.y)], color=color)

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float], style: Style) -> None:
        """A table whose columns have shares of the width; its heads stand again on every new sheet."""
        self.grouped(heads, [[(row, style)] for row in rows], widths, style.size)

    def grouped(self, heads: Sequence[str], groups: Sequence[Group], widths: Sequence[float], size: float) -> None:
        """A table, with heads for rows of a size in points, of rows that belong together: no rule is between them, they
        are kept on one sheet, and a cell that has none but empty ones under it runs on down past them."""
        columns = [share * self.width / sum(widths) for share in widths]
        head = Style(size * 0.9, color=palette.SOFT_INK)
        fresh = True
        laid = [_laid(group, columns) for group in groups]
        for number, (rows, deep) in enumerate(laid):
            with_it = laid[number:] if number == len(laid) - 2 else laid[number : number + 1]  # no last one by itself
            height = sum(each + 1.6 for _, each in with_it)
            if self.y - height - (line_height(head.size) + 1.6) * fresh < self.sheet.area[1]:
                self.turn_page()
                fresh = True
            if fresh:
                titles = [wrapped(one, wide - CELL_GAP, head.size) for one, wide in zip(heads, columns, strict=True)]
                self._cells(titles, columns, head)
                fresh = False
            self.rule()
            self.gap(0.8)
            top = self.y
            for down, cells, style in rows:
                self.y = top - down
                self._cells(cells, columns, style)
            self.y = top - deep
            self.gap(0.8)
        self.rule()

    def _cells(self, cells: Sequence[Sequence[str]], columns: Sequence[float], style: Style) -> None:
        top, x, lowest = self.y, self.left, self.y
        for lines, wide in zip(cells, columns, strict=True):
            self.y = top
            self._lines(x, lines, style)
            lowest = min(lowest, self.y)
            x += wide
        self.y = lowest

    def _lines(self, x: float, lines: Sequence[str], style: Style) -> None:
        for line in lines:
            baseline = self.y - FIRST_LINE * line_height(style.size)
            self.sheet.write(x, baseline, line, style.size, bold=style.bold, color=style.color)
            self.y -= line_height(style.size)


def _laid(group: Group, columns: Sequence[float]) -> tuple[list[tuple[float, list[list[str]], Style]], float]:
    """The rows of a group, each with how far down it begins and its cells in lines, and the height of them all,
    millimetres."""
    rows: list[tuple[float, list[list[str]], Style]] = []
    down = deep = 0.0
    for number, (row, style) in enumerate(group):
        cells = [wrapped(c, wide - CELL_GAP, style.size, style.bold) for c, wide in zip(row, columns, strict=True)]
        rows.append((down, cells, style))
        high = line_height(style.size)
        deep = max(deep, down + max(map(len, cells)) * high)
        under = [below for below, _ in group[number + 1 :]]
        held = [len(lines) for column, lines in enumerate(cells) if any(below[column] for below in under)]
        down += max(held, default=1) * high
    return rows, deep
