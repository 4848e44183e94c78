"""How large pictures are on each page of a PDF, and how full its pages are."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from earshed.viewer.compare.views import Key
from earshed.viewer.report import fitting
from earshed.viewer.report.blocks import Head, Lines, Part, Report, Section, Shot
from earshed.viewer.report.fitting import SCALES, Spread, fitted
from earshed.viewer.report.paper import UNDER, report_pdf
from earshed.viewer.sheets.flow import Style
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.sheet import FOOT, MARGIN, Sheet, new_sheet
from tests.compared_rooms import SCENES, shipped
from tests.pdf_pages import pages_of

SHEET = new_sheet(PAPERS["A4"], "Blocks")
HEAD = Head("Tall", "as it stands", "2030-01-02", None, None, None, None, None, None)
HIGH = SHEET.area[3] - SHEET.area[1]


def boxes(*heights: float):
    """What lays out boxes of some heights, shares of a page, that pictures fill."""

    def lay(flow: Spread) -> None:
        for height in heights:
            flow.need(height * HIGH * flow.scale)
            flow.gap(height * HIGH * flow.scale)

    return lay


def pages(scales, *heights: float) -> int:
    flow = Spread(lambda: new_sheet(PAPERS["A4"], "Blocks"), scales=scales)
    boxes(*heights)(flow)
    return len(flow.sheets)


def test_what_fits_a_page_stays_as_it_is():
    assert fitted(boxes(0.3, 0.3, 0.3), SHEET) == [1.0]
    assert fitted(boxes(), SHEET) == [1.0]


def test_a_box_that_just_does_not_fit_makes_its_page_smaller():
    """1.15 of a page at 0.84 is 0.966 of it."""
    assert fitted(boxes(0.6, 0.55), SHEET)[0] == 0.84
    assert pages([0.84], 0.6, 0.55) == 1
    assert pages([1.0], 0.6, 0.55) == 2


def test_where_nothing_more_fits_pictures_grow():
    """Of 0.85 twice not even the smallest fit on one page, and one at 1.12 is 0.95 of it."""
    assert 2 * 0.85 * min(SCALES) > 1.0
    assert fitted(boxes(0.85, 0.85), SHEET)[0] == 1.12


def test_words_alone_are_never_scaled():
    def lay(flow: Spread) -> None:
        for _ in range(200):
            flow.words("word " * 30, Style(10.0))

    assert set(fitted(lay, SHEET)) == {1.0}


@pytest.mark.parametrize("seed", range(12))
def test_no_more_pages_are_needed_than_without(seed):
    """Of random boxes, pages come no fewer full: growth never pushes what would have fitted."""
    heights = np.random.default_rng(seed).uniform(0.1, 0.5, 25).tolist()
    assert pages(fitted(boxes(*heights), SHEET), *heights) <= pages([], *heights)


def test_a_proof_keeps_nothing():
    before = len(SHEET.axes.get_children())
    fitted(boxes(0.4, 0.4, 0.4), SHEET)
    assert len(SHEET.axes.get_children()) == before


def test_a_picture_higher_than_a_page_ends_too():
    shot = Shot(Image.new("RGB", (20, 4000), "navy"), "", "A plan", Key("", ()))
    report = Report(HEAD, (Section("one", "One", (shot, shot)),))
    assert report_pdf(report, shipped(SCENES[0], "proposed"), (), PAPERS["A4"]).startswith(b"%PDF")


def test_the_foot_of_a_report_is_lower_than_that_of_a_sheet():
    assert UNDER < FOOT
    assert new_sheet(PAPERS["A4"], "", foot=UNDER).area[1] < SHEET.area[1]
    assert fitting.KEPT < 1.0


def test_what_is_laid_out_on_proofs_is_what_comes_out(tmp_path):
    """Words beside pictures that go on to another page, whose end is not where the picture ended on the page before."""
    shot = Shot(Image.new("RGB", (300, 330), "navy"), "Words " * 20, "A plan", Key("", ()))
    lines = Lines("", tuple(f"line {number}" for number in range(30)))
    parts = tuple(Part(f"Part {number}", (shot, lines)) for number in range(9))
    report = Report(HEAD, (Section("one", "One", parts),))
    file = tmp_path / "report.pdf"
    file.write_bytes(report_pdf(report, shipped(SCENES[0], "proposed"), (), PAPERS["A4"]))
    for page in pages_of(file, dpi=40)[:-1]:
        low = int(len(page.dark) - (MARGIN + UNDER + 1.0) * page.per_mm)
        assert (page.dark[int(0.7 * low) : low] > 40).any()


@settings(max_examples=30)
@given(count=st.integers(2, 120), gap=st.floats(0, 200))
def test_no_last_row_of_a_table_is_on_a_sheet_by_itself(count, gap):
    flow = Spread(lambda: new_sheet(PAPERS["A4"], "Rows"), scales=())
    flow.gap(gap)
    tops = []
    rows = [(f"row {number}",) for number in range(count)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Sheet, "write", lambda sheet, x, y, text, size, **_: tops.append((sheet, text)))
        flow.table(("what",), rows, (1.0,), Style(9.0))
    (last,) = (sheet for sheet, text in tops if text == rows[-1][0])
    assert sum(sheet is last and text.startswith("row") for sheet, text in tops) > 1
