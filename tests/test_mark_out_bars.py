"""When a page says not to cut yet, and what one has to take care of: what is wrong with the hole, with another that it
meets, and with the tapes of the room itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import MarkOut, mark_out
from earshed.model.ruler import ruler_of
from earshed.model.scene_file.read import read_scene
from earshed.model.units import INCH
from earshed.viewer.cli import run
from earshed.viewer.sheets.hole_page import hole_sheets
from earshed.viewer.sheets.markout_page import markout_sheets
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.sheet import Sheet
from tests.marked_rooms import marked
from tests.pdf_pages import pages_of

FLAT = "{width: 14ft, length: 20ft, ceiling: {shape: flat, height: 8ft}}"
WALK = (
    "{walk: [{wall: 14ft}, {wall: 20ft}, {wall: 14ft}, {wall: %s}], diagonals: [{from: front left, to: rear right, "
    "length: 24ft 5in}, {from: front right, to: rear left, length: 24ft 5in}], ceiling: {shape: flat, height: 8ft}}"
)


def made_of(room: str, *places: str, more: str = "", names: tuple[str, ...] = ()) -> MarkOut:
    speakers = [f"{{name: s{number}, type: flush, at: {{{place}}}}}" for number, place in enumerate(places)]
    return mark_out(marked(room, *speakers, more=more), ruler_of(None, "ft-in"), Wish(), names)


def bars(made: MarkOut) -> list[list[str]]:
    return [[one.rule for one in made.bars(mark.speaker)] for mark in made.holes]


def test_two_holes_that_meet_are_both_barred_also_when_one_alone_is_asked_for():
    places = "from_left: 5ft, from_front: 6ft", "from_left: 5ft 5in, from_front: 6ft", "from_left: 9ft, from_front: 9ft"
    assert bars(made_of(FLAT, *places)) == [["holes-meet"], ["holes-meet"], []]
    assert bars(made_of(FLAT, *places, names=("s1",))) == [["holes-meet"]]


@pytest.mark.parametrize(("left_wall", "told"), [("20ft", []), ("19ft", ["tape-misread"])])
def test_a_wall_that_was_misread_bars_every_hole(left_wall, told):
    made = made_of(WALK % left_wall, "from_left: 5ft, from_front: 6ft", "from_left: 5ft, from_front: 15ft")
    assert bars(made) == [told, told]


def test_a_pipe_taped_beyond_the_walls_bars_every_hole_and_a_screen_too_wide_bars_none():
    pipe = "keep_outs: [{name: drain, kind: pipe, at: {from_left: 40ft, from_front: 6ft}, diameter: 3in}]\n"
    assert bars(made_of(FLAT, "from_left: 5ft, from_front: 6ft", more=pipe)) == [["hidden-outside"]]
    assert bars(
        made_of("{width: 5ft, length: 20ft, ceiling: {shape: flat, height: 8ft}}", "from_left: 2ft, from_front: 6ft")
    ) == [[]]


def test_a_hole_too_near_for_its_clamps_is_to_be_minded_and_what_seats_get_does_not():
    joists = (
        "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: side-to-side, "
        "first_center: 12in}]\n"
    )
    made = made_of(FLAT, "from_left: 1ft, from_front: 17' 5-3/4\"", more=joists)
    (mark,) = made.holes
    assert "seat-outside-coverage" in {one.rule for one in made.findings}
    (care,) = made.cares(mark.speaker)
    assert "for its clamps" in care.message


def test_the_page_names_the_reading_that_is_to_be_taped_again(tmp_path: Path):
    path, out = tmp_path / "walk.yaml", tmp_path / "walk.pdf"
    kind = "{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in}"
    speaker = "{name: up, type: f, at: {from_left: 5ft, from_front: 6ft}}"
    parts = ("format: 1", "title: Walked", f"room: {WALK % '19ft'}", f"speaker_types: {{f: {kind}}}")
    path.write_text("\n".join((*parts, f"speakers: [{speaker}]")), encoding="utf-8")
    assert read_scene(path, None).survey is not None
    run(["markout", str(path), "--out", str(out)])
    text = " ".join(pages_of(out)[-1].text.split())
    assert "DO NOT CUT YET: left wall: taped as 19' 0\"" in text


def test_where_strapping_runs_over_rafters_the_wood_is_told_on_all_four_sides():
    laid = "surface: ceiling, spacing: 24in, first_center: 12in"
    rafters = f"{{name: rafters, member: 2x8, direction: side-to-side, {laid}}}"
    strapping = f"{{name: strapping, member: 1x3, laid: flat, direction: front-to-back, under: rafters, {laid}}}"
    more = f"framing: [{rafters}, {strapping}]\n"
    (mark,) = made_of(FLAT, "from_left: 49in, from_front: 50in", more=more).holes
    sides = {(one.name, tuple(one.way.round(3))): one.gap for one in mark.wood}
    half = {"rafters": 0.75, "strapping": 1.25}
    assert {name for name, _ in sides} == {"rafters", "strapping"}
    assert sorted(gap / INCH for gap in sides.values()) == pytest.approx(
        sorted([50 - 36 - half["rafters"] - 4, 60 - 50 - half["rafters"] - 4,
                49 - 36 - half["strapping"] - 4, 60 - 49 - half["strapping"] - 4])
    )  # fmt: skip


def test_the_sheet_of_all_holes_and_every_page_of_a_barred_one_say_not_to_cut_yet():
    long = "joists of the house as it was before they raised the roof over the eastern rooms and the old stairs"
    laid = "surface: ceiling, member: 2x8, spacing: 16in, direction: side-to-side, first_center: 12in"
    places = "from_left: 4ft, from_front: 28in", "from_left: 9ft, from_front: 36in"
    made = made_of(FLAT, *places, more=f"framing: [{{name: {long}, {laid}}}]\n")
    barred, free = made.holes
    assert [bool(made.bars(mark.speaker)) for mark in (barred, free)] == [True, False]
    overview, *_ = markout_sheets(made, PAPERS["Letter"])
    assert words_on(overview).count("DO NOT CUT YET") == 1
    for cable in ("", "pull it along the joists to the rack in the closet " * 40):
        sheets = hole_sheets(made, barred, None, PAPERS["Letter"], cable)
        assert len(sheets) == (2 if cable else 1)
        assert all("DO NOT CUT YET" in words_on(sheet) for sheet in sheets)
        others = hole_sheets(made, free, None, PAPERS["Letter"], cable)
        assert not any("DO NOT CUT" in words_on(sheet) for sheet in others)


def words_on(sheet: Sheet) -> str:
    return " ".join(text.get_text() for text in sheet.axes.texts)
