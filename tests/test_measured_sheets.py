"""Readings as they are printed: the table, the document, and the commissioning sheet with values in."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from earshed.model.measured import Measured, Photo
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.balance import balances
from earshed.model.sound.level import Drive
from earshed.viewer.cli import run
from earshed.viewer.sheets.commission_page import BLANK, commission_sheets
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.title_block import stamp
from tests.measured_rooms import hall
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of
from tests.scene_files import put
from tests.test_scenes import ROOT

BARN = ROOT / "scenes" / "barn.yaml"
BONUS = ROOT / "scenes" / "bonus-room.yaml"
WORST = Measured(
    math.inf, "reversed", 9.9, 0.1234, -12.5, 120.0, {"sofa left": 66.0, "sofa right": 88.8},
    Photo("IMG_20261126_164500_upper_front_left_corner.jpg", None), "2026-11-20", "R. Featherstone of the second van",
)  # fmt: skip
READ = (WORST, Measured(6.2, "normal", 2.2, 0.0, 0.0, 78.5, {"sofa left": 70.0}), None, Measured(ohm=1.0, level=79.0))


def levels(capsys: pytest.CaptureFixture[str], path: Path, *options: str) -> str:
    assert run(["levels", str(path), *options]) == 0
    return capsys.readouterr().out


def document(capsys: pytest.CaptureFixture[str], path: Path, *options: str) -> dict[str, Any]:
    told = json.loads(levels(capsys, path, "--json", *options))
    return {one["speaker"]: one for one in told["speakers"]}


def test_the_table_shows_what_is_off_by_word_and_sign(capsys: pytest.CaptureFixture[str]) -> None:
    printed = levels(capsys, BARN, "--scheme", "as built")
    rows = [line.split("  ") for line in printed[printed.index("Expected against measured") :].splitlines()]
    cells = [[cell.strip() for cell in row if cell.strip()] for row in rows]
    assert ["level", "72.0 dB", "66.8 dB", "-5.2 dB", "▼ soft"] in cells
    assert ["upper left", "resistance", "6.2 ohm", "6.4 ohm", "+0.2 ohm", "✓"] in cells
    assert sum(row[-1:] == ["▼ soft"] for row in cells) == 2  # at the reference position, and at one seat
    assert "Read: 2026-11-20." in printed


def test_without_readings_there_is_no_such_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Expected against measured" not in levels(capsys, BARN, "--scheme", "proposed")


def test_the_document_has_every_reading_in_its_unit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    near = "resistance: open, polarity: reversed, distance: 1.02m, delay: 8.7ms, trim: -12dB, level: 70dB, photo: a.jpg"
    told = document(capsys, put(tmp_path, hall=hall(near=near, left="trim: -6dB, level: 75dB, date: 2026-11-20")))
    keys = ("what", "seat", "unit", "expected", "measured", "difference", "flag")
    rows = [[reading[key] for key in keys] for reading in told["near"]["readings"]]
    assert rows == [
        ["resistance", None, "ohm", 6.0, None, None, "open"],
        ["polarity", None, None, "normal", "reversed", None, "reversed"],
        ["distance", None, "m", pytest.approx(1.0), 1.02, pytest.approx(0.02), None],
        ["delay", None, "s", pytest.approx(0.00874, abs=2e-5), pytest.approx(0.0087), pytest.approx(0, abs=5e-5), None],
        ["trim", None, "dB", -12.0, -12.0, 0.0, None],
        ["level", None, "dB", pytest.approx(75.0, abs=0.03), 70.0, pytest.approx(-5.0, abs=0.03), "soft"],
    ]
    assert told["near"]["resistance_ohm"] == {"expected": 6.0, "short": 3.0, "open": 12.0}
    assert (told["near"]["photo"], told["left"]["measured_on"]) == ("a.jpg", "2026-11-20")
    assert (told["far"]["readings"], told["far"]["photo"]) == ([], None)


def test_what_was_in_the_document_is_there_still(capsys: pytest.CaptureFixture[str]) -> None:
    (one, *_) = document(capsys, BARN).values()
    assert {
        "speaker", "sensitivity_stated", "distance_m", "time_s", "delay_s", "trim_db", "loudest_db", "reference",
        "seats", "spread_db", "speech_spread_db",
    } < set(one)  # fmt: skip


# --- the sheet


def with_read(scene: Scene, *, long: bool = False) -> Scene:
    speakers = tuple(
        replace(
            one,
            measured=READ[index % len(READ)],
            name=f"the one called {one.name} at the far end of the bookcase" if long else one.name,
        )
        for index, one in enumerate(scene.speakers)
    )
    return replace(scene, speakers=speakers)


@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize("units", ["ft-in", "mm"])
@pytest.mark.parametrize("long", [False, True])
def test_the_sheet_with_values_can_be_read(paper: str, units: Any, long: bool) -> None:
    scene = replace(with_read(read_scene(BONUS, "proposed"), long=long), print_units=units)
    sheets = commission_sheets(scene, PAPERS[paper])
    stamp(sheets, scene, "2026-11-26")
    words = []
    for sheet in sheets:
        sheet.figure.set_dpi(300)
        boxes = boxes_on(sheet.figure)
        assert_apart(list(boxes), boxes)
        words += [text.get_text() for text in sheet.axes.texts]
    distance = "32.5 ft" if units == "ft-in" else "9.90 m"
    for shown in ("open", "✕ open", "✕ reversed", "≠ differs", "▲ loud", "✕ shorted", "6.2 ohm ✓", distance, BLANK):
        assert shown in words, shown


def test_blanks_are_where_nobody_has_read_anything() -> None:
    scene = read_scene(BONUS, "proposed")

    def blanks(scene: Scene) -> int:
        sheets = commission_sheets(scene, PAPERS["Letter"])
        return sum(text.get_text() == BLANK for sheet in sheets for text in sheet.axes.texts)

    count = len(balances(scene, Drive()))
    assert blanks(scene) == 7 * count
    first = replace(scene.speakers[0], measured=Measured(ohm=5.0, level=70.0))
    assert blanks(replace(scene, speakers=(first, *scene.speakers[1:]))) == 7 * count - 2


def test_the_barn_as_built_prints_its_readings(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    assert run(["levels", str(BARN), "--scheme", "as built", "--out", str(out)]) == 0
    (page,) = pages_of(out, dpi=40)
    for words in (
        "6.3 ohm ✓", f"66.8 dB {BLANK} ▼ soft", "Levels at seats", "back left 68.3 dB 63.6 dB -4.7 dB ▼ soft",
        "What is not as expected", "upper left: at the reference position it reads 66.8 dB, 5.2 dB less than",
        "Read: 2026-11-20.",
    ):  # fmt: skip
        assert words in page.text, words


def test_the_pack_has_the_same_sheet_and_names_photos(tmp_path: Path) -> None:
    scene = put(tmp_path, hall=hall(near="photo: near.jpg, polarity: reversed"))
    sheet, pack = tmp_path / "sheet.pdf", tmp_path / "pack.pdf"
    assert run(["levels", str(scene), "--out", str(sheet)]) == 0
    assert run(["pack", str(scene), "--out", str(pack)]) == 0
    alone = pages_of(sheet, dpi=40)[0].text
    assert "near.jpg" in alone
    body = alone[: alone.index("Commissioning Hall")]
    assert any(page.text.startswith(body) for page in pages_of(pack, dpi=40))
