"""The blank survey sheet: fits its paper, follows the walk, and uses the keys of the scene file and no others."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from earshed.model.cavity import InsulationKind
from earshed.model.hidden import HiddenKind
from earshed.model.member_marks import HOW_SURE
from earshed.model.scene_file.json_schema import scene_schema
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_fixtures import FixtureFile
from earshed.model.scene_file.schema_room import CeilingFile
from earshed.viewer.blanks import blank, ruled
from earshed.viewer.survey_sheet import survey_sheet
from tests.new_command import new

SHEET = survey_sheet()
PAGES = SHEET.split("\f")
SECTIONS = [
    *("room", "datums", "framing", "cavities", "keep_outs", "existing_holes", "fixtures", "openings", "screen"),
    *("seats", "risers", "speakers"),
]
"""In the order of the scene file, README, "The scene file"."""


def choices(union: object, key: str) -> set[str]:
    """Every value that a key of some tables may have."""
    kinds = get_args(get_args(union)[0])
    return {value for kind in kinds for value in get_args(kind.model_fields[key].annotation)}


def headings() -> list[str]:
    """Every word with a colon that is a key of the file: keys are in small letters and underscores."""
    return re.findall(r"(?<![\w'])([a-z][a-z_]*):", SHEET)


def test_pages_fit_the_paper() -> None:
    """80 columns and 60 lines fit 8.5x11 and A4 at 10 letters and 6 lines to the inch: 8 by 10 inches."""
    assert len(PAGES) > 1
    for number, page in enumerate(PAGES, start=1):
        lines = page.split("\n")
        assert len(lines) <= 60
        assert max(map(len, lines)) <= 80
        assert lines[0].endswith(f"page {number} of {len(PAGES)}")
        assert "Job ____" in lines[1]
        assert page.endswith("\n")
        assert page.isascii()
        assert not any(line != line.rstrip() for line in lines)


def test_every_key_is_one_of_the_scene_file() -> None:
    schema = scene_schema()
    keys = {key for table in [schema, *schema["$defs"].values()] for key in table.get("properties", {})}
    assert set(headings()) <= keys
    assert len(set(headings())) > 40


def test_sections_come_in_the_order_of_the_file() -> None:
    firsts = [re.search(rf"(?m)^{section}:", SHEET) for section in SECTIONS]
    assert all(firsts)
    at = [first.start() for first in firsts if first]
    assert at == sorted(at)
    assert SHEET.index("title:") < at[0]
    order = list(SceneFile.model_fields)
    assert [order.index(section) for section in SECTIONS] == sorted(order.index(section) for section in SECTIONS)


def test_every_shape_of_ceiling_and_kind_of_fixture_is_asked_for() -> None:
    for shape in choices(CeilingFile, "shape"):
        assert f"shape: {shape}" in SHEET
    kinds = " / ".join(re.findall(r"(?m)^  kind: ([a-z /]+?)(?:  |$)", SHEET)).split(" / ")
    assert set(kinds) == choices(FixtureFile, "kind")
    assert len(kinds) == len(set(kinds))


@pytest.mark.parametrize(
    ("section", "keys"),
    [
        ("walk", "wall turn"),
        ("diagonals", "from to length"),
        ("zones", "name from_left from_front width length"),
        ("datums", "from_left from_front"),
        ("framing", "name surface member spacing direction first_center under"),
        ("members", "surface center near_edge far_edge sure"),
        ("cavities", "depth board insulation vent_gap"),
        ("keep_outs", "name kind from_left from_front width length diameter behind"),
        ("existing_holes", "name wall from_left from_front height cutout"),
        ("openings", "name wall from_left sill width height"),
        ("seats", "name from_left from_front ear_height main reclined"),
        ("risers", "name from_left from_front width length height"),
        ("speakers", "name type channel wall from_left from_front height"),
    ],
)
def test_tables_have_the_keys_to_type_in(section: str, keys: str) -> None:
    table = SHEET[re.search(rf"(?m)^ *{section}:\n", SHEET).end() :]
    heading, _, first = table.splitlines()[:3]
    assert [key for key in keys.split() if f"{key}:" not in heading] == []
    assert re.search(r"_{3,}", first)


def test_what_is_behind_the_board_is_written_down() -> None:
    """Every kind of hidden thing and of insulation, and every way in which a member was found."""
    page = next(page for page in PAGES if "\nkeep_outs:" in page)
    words = " ".join(SHEET.split())
    assert [kind for kind in get_args(HiddenKind) if kind not in " ".join(page.split())] == []
    assert [kind for kind in get_args(InsulationKind) if kind not in words[words.index("insulation: none") :]] == []
    assert [how for how in HOW_SURE if how not in words[words.index("sure: seen") :]] == []
    last = PAGES[-1]
    assert "clear depth" in last
    assert "board" in last


def test_what_no_blank_of_a_file_holds_is_on_the_last_page() -> None:
    last = PAGES[-1]
    assert len(re.findall(r"(?m)^  ____  ", last)) == 10  # test holes
    assert all(f"{key}:" in last for key in ("wiring", "rack", "beyond", "access"))
    assert last.index("test hole") < last.index("BEFORE YOU CUT")
    for caution in ("Isolate the power", "live cables, gas and water", "Never cut a joist", "fire-rated", "licensed"):
        assert caution in last


@pytest.mark.parametrize("rows", [1, 3])
def test_a_table_is_numbered_and_even(rows: int) -> None:
    lines = ruled((("", "{row}"), ("name:", "____"), ("", "{after}"), ("length:", "__")), rows)
    assert lines[0].split() == ["name:", "length:"]
    assert lines[1::2] == [""] * rows
    assert [line.split()[::2] for line in lines[2::2]] == [[str(n), str(n + rows)] for n in range(1, rows + 1)]
    assert {line.index("____") for line in lines[2::2]} == {lines[0].index("name:")}
    assert len(lines) == 1 + 2 * rows


def test_a_blank_names_its_key_first() -> None:
    assert blank("width", "____", "left to right") == "width:     ____  left to right"
    assert blank("low", "____") == "low:       ____"


def test_the_command_prints_it_as_it_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "sheets" / "survey.txt"
    assert new("--form").out == SHEET
    assert new("--form", "--out", path).out == f"Written: {path}\n"
    assert path.read_bytes() == SHEET.encode()
    again = new("--form", "--out", path)
    assert again.code == 2
    assert "--force" in again.err
    path.write_text("mine", encoding="utf-8")
    assert new("--form", "--out", path, "--force").code == 0
    assert path.read_bytes() == SHEET.encode()
    assert [each.name for each in path.parent.iterdir()] == ["survey.txt"]
    nowhere = new("--form", "--out", path / "below.txt")
    assert nowhere.code == 2
    assert "cannot make the folder" in nowhere.err
