"""The sheets of a mark-out in one document."""

from __future__ import annotations

from collections.abc import Mapping

from earshed.model.mark_out.mark_out import MarkOut
from earshed.model.search.place import Place
from earshed.viewer.sheets.files import pdf_of
from earshed.viewer.sheets.hole_page import hole_sheets
from earshed.viewer.sheets.markout_page import markout_sheets
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp


def every_markout_sheet(
    made: MarkOut, seconds: Mapping[str, Place], paper: PaperSize, cables: Mapping[str, str]
) -> list[Sheet]:
    """The pages of all holes together, and one for each to carry up; `cables` tells of those that go to speakers."""
    sheets = markout_sheets(made, paper)
    for mark in made.holes:
        name = mark.speaker.name
        sheets += hole_sheets(made, mark, seconds.get(name), paper, cables.get(name, ""))
    return sheets


def markout_pdf(
    made: MarkOut, seconds: Mapping[str, Place], paper: PaperSize, cables: Mapping[str, str], date: str
) -> bytes:
    """A PDF of all of them."""
    sheets = every_markout_sheet(made, seconds, paper, cables)
    stamp(sheets, made.scene, date)
    return pdf_of(sheets, f"{made.scene.title}: mark-out")
