"""`earshed types`: figures printed, as a document and on paper are those of the directivity, and words can be read."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.beam_width import directivity_index
from earshed.model.sound.of_type import directivity_of
from earshed.viewer.cli import run
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.polar import LEAST_DB
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.type_page import HALF, WHOLE, type_sheets
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of
from tests.response_files import OCTAVE_HZ, piston_levels, table_text
from tests.scene_files import put

Captured = pytest.CaptureFixture[str]
ROOM = """\
format: 1
title: Snug
room: {width: 12', length: 16', ceiling: {shape: shed, low: 8', high: 11', rises: left}}
seats: [{name: chair, at: {from_left: 6', from_front: 10'}, ear_height: 40in, main: true}]
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, sensitivity: 88dB, power: 80W}
  bare: {mount: in-ceiling, aiming: fixed, coverage: 90deg}
  swivel:
    mount: in-ceiling
    aiming: {pivoting: 15deg}
    coverage: 100deg
    steers: tweeter
    directivity: {piston: {woofer: 5-1/4in, tweeter: 1in, crossover: 2.5kHz}}
    sensitivity: {level: 86dB, watts: 1}
    max_level: 105dB
    impedance: 4ohm
  horn: {mount: stand, aiming: fixed, coverage: 90deg, directivity: {measured: horn.csv}}
  sub 10 in: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: one, type: flush, at: {from_left: 3', from_front: 5'}}
  - {name: two, type: flush, at: {from_left: 9', from_front: 5'}}
  - {name: three, type: swivel, at: {from_left: 3', from_front: 12'}, aim: {tilt: 10deg, toward: rear}}
  - {name: four, type: horn, at: {from_left: 2', from_front: 2'}, height: 3', faces: rear}
  - {name: five, type: sub 10 in, at: {from_left: 10', from_front: 2'}, height: 7in, faces: rear}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    hertz, degrees = np.array(OCTAVE_HZ), np.arange(-170.0, 181.0, 10.0)
    planes = {name: (degrees, piston_levels(radius, degrees, hertz)) for name, radius in
              (("horizontal", 0.03), ("vertical", 0.06))}  # fmt: skip
    (tmp_path / "horn.csv").write_text(table_text(planes, hertz), encoding="utf-8")
    return put(tmp_path, snug=ROOM)


@pytest.fixture
def scene(path: Path) -> Scene:
    return read_scene(path)


def document(path: Path, capsys: Captured) -> dict:
    assert run(["types", str(path), "--json"]) == 0
    return json.loads(capsys.readouterr().out, parse_constant=lambda word: pytest.fail(word))


def test_the_document_holds_the_figures(path: Path, scene: Scene, capsys: Captured) -> None:
    told = document(path, capsys)
    assert [each["name"] for each in told["types"]] == ["flush", "swivel", "horn", "sub 10 in"]
    flush, swivel, horn, sub = told["types"]
    band = OCTAVES.index(4000)
    assert flush["bands"][band] == pytest.approx(
        {"hz": 4000.0, "across_deg": 90.0, "upright_deg": 90.0, "known": "stated",
         "index_db": float(directivity_index(directivity_of(scene.speaker_types["flush"]), within=math.pi / 2)[band])},
        abs=1e-4,
    )  # fmt: skip
    assert [each["known"] for each in flush["bands"]].count("guess") == 7
    assert flush["bands"][0]["across_deg"] is None
    assert flush["speakers"] == ["one", "two"]
    assert (swivel["sensitivity_db"], swivel["sensitivity_watts"], swivel["max_level_db"]) == (86, 1, 105)
    assert (swivel["steers"], swivel["crossover_hz"], swivel["impedance_ohm"]) == ("tweeter", 2500, 4)
    assert (horn["symmetric"], horn["half_space"], swivel["half_space"]) == (False, False, True)
    assert horn["bands"][band]["across_deg"] is None  # ka 2.2: the piston has no -6 dB
    assert horn["bands"][band]["upright_deg"] == pytest.approx(60.0, abs=1.0)  # 2 asin(2.2118 / 4.394) = 60.4
    assert [each["index_db"] for each in sub["bands"]] == pytest.approx([0.0] * len(OCTAVES), abs=1e-9)


def test_what_is_printed(path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    assert run(["types", str(path)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    for words in (
        "in-ceiling, fixed",
        "from its coverage angle at 4 kHz alone; other bands are guessed",
        "4 kHz 90° 9.8 dB stated 8 kHz 45°",
        "125 Hz >180° 3.0 dB guess",
        "placed: 2 speakers: one, two",
        "sensitivity: 88 dB at 1 m and 2.83 V",
        'woofer 5-1/4" across, tweeter 1", crossover 2.5 kHz',
        "limit 50.0°; by its directivity >180° at 4 kHz",
        "its tweeter alone: under 2.5 kHz it plays square to its face",
        "takes: at most 105 dB at 1 m, 4 ohm",
        "measured, across and upright, 125 Hz to 16 kHz, from horn.csv",
        "band across upright index known",
        "taken to be even to all sides",
    ):
        assert words in printed, words
    assert "nan" not in printed
    assert "bare" not in printed


def test_a_type_without_a_band_says_so(path: Path, capsys: Captured) -> None:
    text = path.read_text(encoding="utf-8").replace("name: one, type: flush", "name: one, type: bare")
    path.write_text(text, encoding="utf-8")
    assert run(["types", str(path)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "from its coverage angle at 4 kHz, taken for want of a band, alone" in printed


def test_a_scene_without_speakers(tmp_path: Path, capsys: Captured) -> None:
    path = put(tmp_path, snug=ROOM[: ROOM.index("speaker_types")])
    assert run(["types", str(path)]) == 2
    assert "has no speakers" in capsys.readouterr().err


# --- on paper


def curves(sheet: Sheet) -> list[Array]:
    """The curves of the plots on a sheet, (721, 2) each, millimetres, in the order of their bands."""
    return [np.array(line.get_data()).T for line in sheet.axes.lines if len(line.get_xdata()) == 721]


def test_curves_lie_where_the_levels_are(scene: Scene) -> None:
    """A point at an angle off the axis, which points down, is 30 dB of radius less its level from the middle."""
    (sheet, *_) = type_sheets(scene, PAPERS["Letter"])
    drawn = curves(sheet)
    assert len(drawn) == len(OCTAVES)
    angles = np.linspace(-math.pi / 2, math.pi / 2, 721)
    levels = directivity_of(scene.speaker_types["flush"]).level_toward(
        np.stack([np.cos(angles), np.sin(angles), np.zeros(721)], axis=-1)
    )
    for band, curve in enumerate(drawn):
        lowest = curve[360]  # on the axis, which is the rim
        middle = lowest + np.array([0.0, HALF])
        reach = np.linalg.norm(curve - middle, axis=1)
        np.testing.assert_allclose(reach, np.clip(1 + levels[:, band] / LEAST_DB, 0, None) * HALF, atol=1e-6)
        outer = reach > 1.0
        turned = np.arctan2(curve[:, 0] - middle[0], middle[1] - curve[:, 1])
        np.testing.assert_allclose(turned[outer], angles[outer], atol=1e-6)


def test_a_cabinet_has_whole_disks_in_two_planes(scene: Scene) -> None:
    sheets = [sheet for sheet in type_sheets(scene, PAPERS["Letter"]) if sheet.title.endswith("horn")]
    drawn = curves(sheets[0])
    assert len(drawn) == 2 * len(OCTAVES)
    for curve in drawn:
        assert np.linalg.norm(curve[0] - curve[-1]) < 1e-6  # straight behind, both sides meet
        assert np.ptp(curve[:, 1]) <= 2 * WHOLE + 1e-6


@pytest.mark.parametrize("paper", PAPERS)
def test_words_of_a_page_can_be_read(scene: Scene, paper: str) -> None:
    for sheet in type_sheets(scene, PAPERS[paper]):
        sheet.figure.set_dpi(360)  # so that letters are hardly fitted to pixels
        boxes = boxes_on(sheet.figure)
        assert_apart(sheet.axes.texts, boxes)
        left, low, right, high = (each * 360 / 25.4 for each in sheet.area)
        for text, box in boxes.items():
            assert left - 5 <= box.x0 <= box.x1 <= right + 5, text
            assert low - 5 <= box.y0 <= box.y1 <= high + 5, text


def test_the_document_on_paper(path: Path, capsys: Captured) -> None:
    out = path.parent / "made" / "types.pdf"
    assert run(["types", str(path), "--out", str(out), "--date", "2026-03-02"]) == 0
    assert "types.pdf" in capsys.readouterr().out
    pages = pages_of(out)
    told = [page.text for page in pages]
    assert "Speaker type: flush" in told[0]
    assert "2026-03-02" in told[0]
    assert f"page 1 of {len(pages)}" in told[0]
    for words in ("125 Hz to 1 kHz", "2 kHz to 16 kHz", "beam width, degrees", "directivity index, dB", "stated"):
        assert words in told[0]
    assert any("upright, 2 kHz to 16 kHz" in text for text in told)
    assert run(["types", str(path), "--out", str(out)]) == 2
    assert run(["types", str(path), "--out", str(out.with_suffix(".png"))]) == 2
    again = path.parent / "again.pdf"
    assert run(["types", str(path), "--out", str(again), "--date", "2026-03-02"]) == 0
    assert again.read_bytes() == out.read_bytes()


def test_thirds_hold_the_octaves_middles_and_what_is_stated(path: Path, capsys: Captured) -> None:
    found = {}
    for bands in ("octaves", "thirds"):
        assert run(["types", str(path), "--bands", bands, "--json"]) == 0
        kinds = {one["name"]: one for one in json.loads(capsys.readouterr().out)["types"]}
        found[bands] = {band["hz"]: band for band in kinds["flush"]["bands"]}
    assert len(found["thirds"]) == 3 * len(found["octaves"])
    assert found["thirds"][4000.0]["across_deg"] == pytest.approx(90.0, abs=0.01)
    widths = [band["across_deg"] or 360.0 for band in found["thirds"].values()]
    assert widths == sorted(widths, reverse=True)
