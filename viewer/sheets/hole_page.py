"""A page for one hole, to carry up the ladder: large figures, and blanks to pencil in what was found."""

from __future__ import annotations

from dataclasses import dataclass, replace

from matplotlib.patches import Rectangle

from earshed.model.mark_out.hole_mark import HoleMark
from earshed.model.mark_out.mark_out import MarkOut
from earshed.model.search.place import Place
from earshed.viewer import palette
from earshed.viewer.cautions import DO_NOT_CUT
from earshed.viewer.hole_words import hole_words
from earshed.viewer.markout_rows import HoleRows, Row, hole_rows
from earshed.viewer.markout_words import face_words
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.sheets.thumbnail import draw_thumbnail
from earshed.viewer.sheets.writing import text_width
from earshed.viewer.tape_words import TapeWords
from earshed.viewer.wording import called

NAME, FIGURE = Style(18.0, bold=True), Style(26.0, bold=True)
SIZES = (14.0, 13.0, 12.0)
SMALL = 12.0
"""Points."""
LABELS = 33.0
"""Millimetres that the words at the left of rows take up."""
PICTURE = 54.0
"""Millimetres of a side of the small picture."""
WIDEST = 1.8
"""Millimetres by which rows stand apart at the most."""
SPARE = 3.0
"""Millimetres that stay free at the foot of a page."""
DONE = ("power off", "pilot hole", "wire swept", "cut", "box, insulation")
BOX = 4.5
"""Millimetres of a side of a box to tick."""
LOW = 8.5
"""Millimetres from one line to write on to the next."""


def hole_sheets(made: MarkOut, mark: HoleMark, second: Place | None, paper: PaperSize, cable: str = "") -> list[Sheet]:
    """The page of one hole; `cable` tells of the one that is pulled to it.

    Its words are in 14 points; where they do not fit on one page so they are set smaller, and where that does not help
    they take more pages.
    """
    rows = hole_rows(made, mark, second)
    page = _Page(made, mark, rows, (*rows.more, *((("cable", cable),) if cable else ())), paper)
    for size in SIZES:
        flow = page.drawn(Style(size), 0.0)
        if len(flow.sheets) == 1:
            apart = (flow.y - flow.sheet.area[1] - SPARE) / len(page.more)
            return page.drawn(Style(size), max(0.0, min(apart, WIDEST))).sheets
    return page.drawn(Style(SIZES[0]), 0.0).sheets


@dataclass(frozen=True, eq=False)
class _Page:
    made: MarkOut
    mark: HoleMark
    rows: HoleRows
    more: tuple[Row, ...]
    paper: PaperSize

    def drawn(self, plain: Style, apart: float) -> Flow:
        """The page, its rows some millimetres apart."""
        made, mark = self.made, self.mark
        flow = Flow(lambda: new_sheet(self.paper, f"Mark-out: {called(mark.speaker)}"))
        bars = made.bars(mark.speaker)
        flow.again = lambda: self._go_on(flow, bool(bars), plain)
        right, top = flow.right, flow.y
        flow.right = right - PICTURE - 5.0
        draw_thumbnail(flow.sheet, (right - PICTURE, top - PICTURE, right, top), made, mark)
        flow.words(called(mark.speaker), NAME)
        flow.words(f"{mark.speaker.type.name}: {hole_words(mark.speaker, made.ruler.units)}", plain)
        flow.words(face_words(mark), plain)
        for tape in self.rows.tapes:
            _figure(flow, tape, plain)
        flow.right = right
        flow.y = min(flow.y, top - PICTURE) - 1.5
        for finding in bars:
            told = finding.message if finding.subject == mark.speaker.name else f"{finding.subject}: {finding.message}"
            flow.words(f"{DO_NOT_CUT}: {told}", _barred(plain))
        for label, words in self.more:
            flow.row(label, words, plain, LABELS)
            flow.gap(apart)
        _pencil(flow, self.rows.tapes)
        return flow

    def _go_on(self, flow: Flow, barred: bool, plain: Style) -> None:
        """The top of a page that goes on with a hole."""
        flow.words(f"{called(self.mark.speaker)}, continued", replace(plain, bold=True))
        if barred:
            flow.words(f"{DO_NOT_CUT}: see the page before", _barred(plain))


def _barred(plain: Style) -> Style:
    return replace(plain, bold=True, color=palette.LIMIT)


def _figure(flow: Flow, tape: TapeWords, plain: Style) -> None:
    """A tape: what it reads in large figures, and under it from where."""
    flow.gap(1.5)
    if not tape.reads:
        flow.row(tape.name, tape.how, plain, LABELS)
        return
    baseline = flow.row(tape.name, tape.reads, FIGURE, LABELS)
    beside = flow.left + LABELS + text_width(tape.reads, FIGURE.size, bold=True) + 5.0
    under = [tape.how, tape.else_from]
    if beside + text_width(tape.near_edge, plain.size) <= flow.right:
        flow.sheet.write(beside, baseline, tape.near_edge, plain.size)
    else:
        under.append(tape.near_edge)
    flow.row("", ", ".join(filter(None, under)), plain, LABELS)


def _pencil(flow: Flow, tapes: tuple[TapeWords, TapeWords]) -> None:
    """Boxes to tick, and lines to write on."""
    flow.need(LOW * 4)
    flow.gap(2.0)
    flow.rule()
    flow.gap(LOW * 0.85)
    sheet, x = flow.sheet, flow.left
    for words in DONE:
        sheet.axes.add_patch(Rectangle((x, flow.y), BOX, BOX, fc="none", ec=palette.INK, lw=1.0, zorder=20))
        sheet.write(x + BOX + 1.5, flow.y + 0.6, words, SMALL)
        x += BOX + 1.5 + text_width(words, SMALL) + 4.5
    for left, right in ((f"as cut: {tapes[0].name}", tapes[1].name), ("found", "photo no."), ("initials", "date")):
        flow.gap(LOW)
        middle = flow.left + flow.width * 0.56
        for words, start, end in ((left, flow.left, middle - 4.0), (right, middle, flow.right)):
            sheet.write(start, flow.y, words, SMALL)
            sheet.line([(start + text_width(words, SMALL) + 2.0, flow.y), (end, flow.y)], color=palette.SOFT_INK)
