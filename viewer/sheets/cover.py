"""The front of a pack: what is in it, and the cautions in full."""

from __future__ import annotations

from collections.abc import Sequence

from earshed.model.scene import Scene
from earshed.viewer.cautions import CAUTIONS
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.sheets.writing import text_width
from earshed.viewer.wording import scheme_words, shortened

NAME, HEAD, PLAIN, LIST = Style(22.0, bold=True), Style(13.0, bold=True), Style(11.5), Style(11.0)
NUMBERS = 9.0
"""Millimetres that numbers at the left of a list take up."""
BLANKS = ("job", "installer", "date of the visit")


def cover_sheets(scene: Scene, sheets: Sequence[Sheet], paper: PaperSize) -> list[Sheet]:
    """The front page for some sheets that are to follow it, and more where their list needs them."""
    before = 1
    while True:  # the pages of the list itself count, and how many they are is known only once it is written
        made = _cover(scene, sheets, paper, before)
        if len(made) == before:
            return made
        before = len(made)


def _cover(scene: Scene, sheets: Sequence[Sheet], paper: PaperSize, before: int) -> list[Sheet]:
    flow = Flow(lambda: new_sheet(paper, "What is in this pack"))
    flow.words(shortened(scene.title), NAME)
    flow.words(scheme_words(scene), PLAIN)
    flow.gap(5.0)
    _blanks(flow)
    flow.gap(4.0)
    flow.words("Before anyone cuts", HEAD)
    flow.gap(1.0)
    for number, caution in enumerate(CAUTIONS, start=1):
        flow.row(str(number), caution, PLAIN, NUMBERS)
        flow.gap(0.9)
    flow.gap(4.0)
    flow.words("What is in this pack", HEAD)
    flow.gap(1.0)
    for title, first, last in _runs(sheets):
        pages = str(first + before) if first == last else f"{first + before} to {last + before}"
        flow.row(title, f"page {pages}", LIST, flow.width * 0.72)
    return flow.sheets


def _blanks(flow: Flow) -> None:
    share = flow.width / len(BLANKS)
    for number, words in enumerate(BLANKS):
        x = flow.left + number * share
        flow.sheet.write(x, flow.y, words, LIST.size)
        flow.sheet.line([(x + text_width(words, LIST.size) + 2.0, flow.y), (x + share - 4.0, flow.y)])


def _runs(sheets: Sequence[Sheet]) -> list[tuple[str, int, int]]:
    """Sheets of one title that follow each other as one entry: the title, the first and the last of them, from 1."""
    runs: list[tuple[str, int, int]] = []
    for number, sheet in enumerate(sheets, start=1):
        if runs and runs[-1][0] == sheet.title:
            runs[-1] = (sheet.title, runs[-1][1], number)
        else:
            runs.append((sheet.title, number, number))
    return runs
