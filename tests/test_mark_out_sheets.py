"""Mark-out on paper and as a command: what each sheet says, that it can be read, and how slips are answered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import mark_out
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.read import read_scene
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.cli import run
from earshed.viewer.markout_rows import hole_rows
from earshed.viewer.sheets.pack import every_markout_sheet
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.sheet import MARGIN
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.writing import text_width, wrapped
from tests.marked_rooms import seconds_of
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
BONUS = next(path for path in SCENES if path.stem == "bonus-room")


def made(path: Path, scheme: str | None):
    scene = read_scene(path, scheme)
    return mark_out(scene, ruler_of(None, scene.print_units), Wish())


@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_all_words_of_every_sheet_are_on_it_and_apart_and_none_is_small(path, paper):
    one = made(path, "proposed")
    seconds = seconds_of(one.scene, [mark.speaker for mark in one.holes])
    sheets = every_markout_sheet(one, seconds, PAPERS[paper])
    stamp(sheets, one.scene, "2026-11-26")
    for sheet in sheets:
        sheet.figure.set_dpi(300)  # at which letters are as wide as on paper
        boxes = boxes_on(sheet.figure)
        assert_apart(list(boxes), boxes)
        assert min(text.get_fontsize() for text in boxes) >= 7.0
        edge = (MARGIN - 1.0) / 25.4 * 300  # a screen spaces letters a little wider than a printer
        assert min(box.x0 for box in boxes.values()) >= edge
        assert max(box.x1 for box in boxes.values()) <= sheet.figure.bbox.width - edge


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_each_hole_has_a_page_of_its_own_in_large_print(path):
    one = made(path, "proposed")
    sheets = every_markout_sheet(one, {}, PAPERS["Letter"])
    own = [sheet for sheet in sheets if sheet.title.startswith("Mark-out: ")]
    assert len(own) == len(one.holes)
    for sheet in own:
        sizes = [text.get_fontsize() for text in sheet.axes.texts]
        assert sizes.count(14.0) >= 8
        assert max(sizes) == 26.0


def test_the_document_says_every_figure_and_every_page_what_it_is(tmp_path):
    out = tmp_path / "new" / "marks.pdf"
    assert run(["markout", str(BONUS), "--scheme", "proposed", "--out", str(out), "--date", "2026-11-26"]) == 0
    pages, one = pages_of(out), made(BONUS, "proposed")
    assert len(pages) == 2 + len(one.holes)
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page.text
        for words in (
            "Bonus room under the gable",
            "scheme: proposed",
            "2026-11-26",
            "feet and inches",
            BEFORE_CUTTING,
        ):
            assert words in page.text
    for mark, page in zip(one.holes, pages[2:], strict=True):
        for name, words in hole_rows(one, mark, None).all:
            if name != "if you hit something":
                assert all(part in page.text for part in words.split(", near edge")[0].split(" ")), (name, words)
        overview = pages[0 if mark.hole.surface.kind != "wall" else 1].text
        for tape in hole_rows(one, mark, None).tapes:
            assert tape.reads in overview


def test_the_sheets_are_as_large_as_their_paper_and_the_check_bar_as_long_as_it_says(tmp_path):
    for paper, size in (("Letter", (215.9, 279.4)), ("A4", (210.0, 297.0))):
        out = tmp_path / f"{paper}.pdf"
        run(["markout", str(BONUS), "--out", str(out), "--paper", paper, "--speaker", "center"])
        page = pages_of(out, dpi=300)[-1]
        assert (page.width, page.height) == pytest.approx(size, abs=0.05)
        row = page.dark[round((page.height - MARGIN - 8.0 - 0.9) * page.per_mm)] > 100
        bar = row[round((page.width - MARGIN - 60.0) * page.per_mm) :].nonzero()[0]
        assert (bar[-1] - bar[0] + 1) / page.per_mm == pytest.approx(2 * 25.4, abs=0.4)


def test_the_same_scene_gives_the_same_bytes_twice(tmp_path):
    outs = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
    for out in outs:
        run(["markout", str(BONUS), "--out", str(out), "--date", "2026-11-26", "--speaker", "upper rear left"])
    assert outs[0].read_bytes() == outs[1].read_bytes()


def test_a_hole_that_cannot_be_cut_says_so_on_its_page_and_ends_with_1(tmp_path, capsys):
    text = BONUS.read_text(encoding="utf-8").replace(
        "from_left: 3' 6\", from_front: 8' 2\"", "from_left: 6' 8\", from_front: 8' 2\""
    )
    path, out = tmp_path / "ridge.yaml", tmp_path / "ridge.pdf"
    path.write_text(text, encoding="utf-8")
    assert run(["markout", str(path), "--out", str(out), "--speaker", "upper front left"]) == 1
    assert "DO NOT CUT YET" in pages_of(out)[-1].text
    assert "error: upper front left" in capsys.readouterr().out


def test_json_is_one_document_with_exact_lengths_beside_the_printed_ones(tmp_path, capsys):
    out = tmp_path / "m.pdf"
    assert run(["markout", str(BONUS), "--json", "--out", str(out)]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["files"] == [str(out)]
    assert document["step_m"] == pytest.approx(0.0254 / 8)
    for hole in document["holes"]:
        for tape in (hole["square"], hole["along"]):
            assert tape["exact_m"] == pytest.approx(
                ruler_of(None, "ft-in").rounded(tape["exact_m"]), abs=0.0254 / 16 + 1e-9
            )
    assert document["without_hole"] == ["sub"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--speaker", "nobody"], "has no speaker nobody with a hole; it has front left"),
        (["--from", "attic hatch"], "no face with a hole in it has attic hatch to tape from; there are"),
        (["--base", "attic"], "no hole can be taped from attic; there are"),
        (["--out", "marks.png"], "marks.png: these sheets are written as .pdf"),
    ],
)
def test_slips_are_told_with_what_there_is(words, says, capsys):
    assert run(["markout", str(BONUS), *words]) == 2
    assert says in capsys.readouterr().err


def test_a_file_that_is_there_is_not_replaced_unasked(tmp_path, capsys):
    out = tmp_path / "m.pdf"
    out.write_text("mine")
    assert run(["markout", str(BONUS), "--out", str(out)]) == 2
    assert out.read_text() == "mine"
    assert "exists already" in capsys.readouterr().err


def test_a_scene_with_nothing_to_cut_says_what_would_help(tmp_path, capsys):
    path = tmp_path / "bare.yaml"
    path.write_text("format: 1\ntitle: Bare\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2.5m}}\n")
    assert run(["markout", str(path)]) == 2
    assert "has no speaker that is cut into a face; give one a mount" in capsys.readouterr().err


def test_a_type_with_no_depth_is_told_at_the_hole(tmp_path, capsys):
    path = tmp_path / "thin.yaml"
    path.write_text(BONUS.read_text(encoding="utf-8").replace("    mounting_depth: 6in\n", ""), encoding="utf-8")
    assert run(["markout", str(path), "--scheme", "proposed", "--speaker", "upper rear left"]) == 0
    assert "not stated, measure the speaker first" in " ".join(capsys.readouterr().out.split())


def test_lines_are_broken_where_they_are_too_wide_and_nothing_of_them_is_lost():
    text = "a word and an unbreakablewordthatiswiderthanthelineitself to end"
    lines = wrapped(text, 20.0, 10.0)
    assert all(text_width(line, 10.0) <= 20.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
