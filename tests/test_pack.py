"""The pack: every sheet in one document, numbered, readable, and each part where the scene has what it needs."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from earshed.model.checks.wiring import schedule_findings
from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import mark_out
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.wiring.schedule import wire
from earshed.viewer.cautions import BEFORE_BORING, BEFORE_CUTTING, CAUTIONS
from earshed.viewer.cli import run
from earshed.viewer.sheets.label_page import label_sheets
from earshed.viewer.sheets.pack import pack_sheets
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.plans import PlanOptions
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.wire_page import wire_sheets
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
IDS = [path.stem for path in SCENES]
BONUS = SCENES[IDS.index("bonus-room")]
RACK = {"rectangle": "{wall: rear, from_left: 2', height: 18in}", "outline": "{wall: 1, along: 2', height: 18in}"}
PRINT = 300
"""Dots per inch at which letters are as wide as on paper."""
BARE = "format: 1\ntitle: Bare\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2.5m}}\n"


def wired(path: Path):
    """A shipped scene as proposed, with a rack where it has none."""
    text = path.read_text(encoding="utf-8")
    if "\nwiring:" not in text:
        kind = read_scene(path, None).room.plan.kind
        text += f"\nwiring: {{rack: {RACK[kind]}}}\n"
    return scene_from_tree(parse_tree(text, str(path)), "proposed")


@pytest.mark.parametrize("path", SCENES, ids=IDS)
@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_all_words_of_wiring_labels_checks_and_cover_are_on_their_sheets_and_apart(path, paper):
    scene = wired(path)
    schedule = wire(scene)
    assert schedule is not None
    sheets = [
        *pack_sheets(scene, None, {}, PlanOptions(which="ceiling"), PAPERS[paper]),
        *wire_sheets(schedule, list(schedule_findings(schedule)), PAPERS[paper]),
        *label_sheets(schedule, PAPERS[paper]),
    ]
    stamp(sheets, scene, "2026-11-26")
    for sheet in sheets:
        if sheet.title != "Reflected ceiling plan":  # which has its own tests
            sheet.figure.set_dpi(PRINT)
            boxes = boxes_on(sheet.figure)
            assert_apart(list(boxes), boxes)
            assert min(text.get_fontsize() for text in boxes) >= 7.0


def test_the_cover_says_on_which_page_everything_is():
    scene = read_scene(BONUS, "proposed")
    made = mark_out(scene, ruler_of(None, "ft-in"), Wish())
    sheets = pack_sheets(scene, made, {}, PlanOptions(), PAPERS["Letter"])
    cover = [text.get_text() for text in sheets[0].axes.texts]
    for number, sheet in enumerate(sheets[1:], start=2):
        entry = cover[cover.index(sheet.title) + 1 :][0]
        first, last = (int(one) for one in (re.findall(r"\d+", entry) * 2)[:2]) if " to " not in entry else (
            int(one) for one in re.findall(r"\d+", entry))  # fmt: skip
        assert first <= number <= last, (sheet.title, entry)
    words = " ".join(cover)
    assert all(caution.split()[0] in words for caution in CAUTIONS)


def test_the_pack_is_one_document_with_every_part_and_each_page_numbered(tmp_path):
    out = tmp_path / "pack.pdf"
    assert run(["pack", str(BONUS), "--scheme", "proposed", "--out", str(out), "--date", "2026-11-26"]) == 0
    pages = pages_of(out, dpi=40)
    for number, page in enumerate(pages, start=1):
        told = (f"page {number} of {len(pages)}", "scheme: proposed", "2026-11-26", "feet and inches", BEFORE_CUTTING)
        assert [words for words in told if words not in page.text] == []
        assert "scale" in page.text
    every = " ".join(page.text for page in pages)
    titles = ("What was checked", "Reflected ceiling plan", "as seen from inside the room", "Mark-out of the ceiling")
    for part in (*titles, "Wiring schedule", "Cable labels", "UFL-1, 14/2", "Commissioning", *CAUTIONS, *BEFORE_BORING):
        assert part in every, part


def test_a_scene_with_nothing_but_walls_still_has_a_pack(tmp_path, capsys):
    path, out = tmp_path / "bare.yaml", tmp_path / "p.pdf"
    path.write_text(BARE, encoding="utf-8")
    assert run(["pack", str(path), "--out", str(out), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [str(out)]
    text = " ".join(page.text for page in pages_of(out, dpi=40))
    assert "Reflected ceiling plan" in text
    assert "Mark-out" not in text
    assert "Wiring schedule" not in text
    assert "Commissioning" not in text


def test_millimetres_are_printed_on_every_sheet_where_they_are_asked_for(tmp_path):
    out = tmp_path / "mm.pdf"
    run(["pack", str(BONUS), "--scheme", "proposed", "--out", str(out), "--step", "1mm"])
    for page in pages_of(out, dpi=40):
        assert "lengths in mm" in page.text
        assert not re.search(r"\d' \d", page.text), page.text


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--out", "p.svg"], "p.svg: these sheets are written as .pdf"),
        (["--out", "p.pdf", "--scale", "1:33"], "--scale 1:33 is no scale that sheets are drawn to"),
        (["--out", "p.pdf", "--scale", "1:10", "--paper", "Letter"], "does not fit on Letter at 1:10"),
        (["--out", "p.pdf", "--from", "nowhere"], "no face with a hole in it has nowhere to tape from"),
    ],
)
def test_slips_are_told_and_nothing_is_written(words, says, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["pack", str(BONUS), *words]) == 2
    assert says in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_wire_writes_its_sheets_and_labels(tmp_path, capsys):
    out, table = tmp_path / "wire.pdf", tmp_path / "wire.csv"
    assert run(["wire", str(BONUS), "--out", str(out), "--csv", str(table)]) == 0
    assert f"{out}" in capsys.readouterr().out.replace("\n", "")
    pages = pages_of(out, dpi=40)
    labels = pages[-1].text
    for run_ in wire(read_scene(BONUS, None)).runs:
        assert labels.split().count(run_.pull.label) == 2
    assert table.exists()
