"""`earshed reflections`: what it prints, its document and sheets, and how it ends."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
import yaml

from earshed.model.checks.reflections import reflection_findings
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import main_seats
from earshed.model.sound.early import SOON, STRONG, early_reflections, scene_reflections
from earshed.model.sound.reflections import SPEED_OF_SOUND
from earshed.model.sound.reverberation import reverberation
from earshed.model.taped_words import point_words
from earshed.viewer.cli import run
from earshed.viewer.reflection_rows import face_rows, reflection_rows, time_rows
from tests.pdf_pages import pages_of
from tests.scene_files import put
from tests.test_early import DEN

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
SCHEMES = [
    (path, scheme)
    for path in SCENES
    for scheme in ("base", *yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)["schemes"])
]
BONUS = next(path for path in SCENES if path.stem == "bonus-room")
Captured = pytest.CaptureFixture[str]


def document(path: Path, capsys: Captured, *options: str, code: int = 0) -> dict:
    assert run(["reflections", str(path), "--json", *options]) == code
    return json.loads(capsys.readouterr().out, parse_constant=lambda word: pytest.fail(word))


def test_the_document_says_what_was_found(tmp_path: Path, capsys: Captured) -> None:
    """By hand, as in test_early: off the window 20 lg(2 / sqrt 20) = -6.9897 dB, (sqrt 20 - 2) / 343.215 s later."""
    told = document(put(tmp_path, den=DEN), capsys)
    assert (told["format"], told["scene"], told["scheme"]) == (1, "Den", None)
    assert told["early"] == {
        "within_s": SOON, "above_db": STRONG, "judged_hz": [1000.0, 8000.0], "directivity": True,
    }  # fmt: skip
    assert {one["seat"] for one in told["reflections"]} == {"near"}  # the main one
    window = next(one for one in told["reflections"] if one["off"] == "window")
    assert window["face"] == "left wall"
    assert (window["material"], window["assumed"]) == ("window glass", True)
    assert window["point_m"] == pytest.approx([0, -2, 1.2])
    assert window["spreading_db"] == pytest.approx(-6.9897, abs=1e-4)
    assert window["delay_s"] == pytest.approx(7.2028e-3, abs=1e-7)
    assert window["length_m"] - window["direct_m"] == pytest.approx(window["delay_s"] * SPEED_OF_SOUND)
    assert window["leaves"] == pytest.approx([-2 / math.sqrt(5), -1 / math.sqrt(5), 0])
    assert window["arrives_from"] == pytest.approx([-2 / math.sqrt(5), 1 / math.sqrt(5), 0])
    assert window["off_axis_deg"] == pytest.approx(math.degrees(math.atan2(2, 1)))
    assert len(window["absorbed_db"]) == len(told["bands_hz"]) == 8
    lasts = told["reverberation"]
    assert lasts["area_m2"] == pytest.approx(sum(face["area_m2"] for face in lasts["faces"]))
    assert all(0 < short < long for short, long in zip(lasts["eyring_s"], lasts["sabine_s"], strict=True))
    assert [(one["severity"], one["rule"], one["subject"]) for one in told["findings"]] == [
        ("note", "early-reflections", "near")
    ]


def test_where_nothing_absorbs_the_document_has_no_figure(tmp_path: Path, capsys: Captured) -> None:
    hard = "{125Hz: 0, 250Hz: 0, 500Hz: 0, 1kHz: 0, 2kHz: 0, 4kHz: 0}"
    text = DEN[: DEN.index("fixtures:")] + DEN[DEN.index("seats:") :]
    text = text.replace("{walls: brick}", "{walls: hard, floor: hard, ceiling: hard}")
    path = put(tmp_path, den=f"{text}materials: {{hard: {hard}}}\n")
    assert document(path, capsys)["reverberation"]["sabine_s"] == [None] * 8
    assert run(["reflections", str(path)]) == 0
    assert "no end" in capsys.readouterr().out


def test_speakers_and_seats_are_chosen_by_name(tmp_path: Path, capsys: Captured) -> None:
    path = put(tmp_path, den=DEN)
    told = document(path, capsys, "--seat", "back", "--speaker", "cube")
    assert {one["seat"] for one in told["reflections"]} == {"back"}
    both = document(path, capsys, "--seat", "near", "--seat", "back", "--seat", "near")
    assert {one["seat"] for one in both["reflections"]} == {"near", "back"}


@pytest.mark.parametrize("columns", ["80", "120"])
def test_what_is_printed_names_face_point_delay_and_level(
    columns: str, tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    path = put(tmp_path, den=DEN.replace("title: Den", "title: Den\nprint_units: mm"))
    assert run(["reflections", str(path)]) == 0
    printed = capsys.readouterr().out
    assert max(map(len, printed.splitlines())) <= int(columns)
    words = " ".join(printed.split())
    for told in ("7.2 ms", "2470 mm", "63°", "plasterboard (assumed)", "Sabine", "Eyring", "1 kHz", "note: near: "):
        assert told in words
    if columns == "120":
        assert "window, window glass 2000 mm from the front, 1200 mm up" in words


def test_points_are_told_as_they_are_taped(tmp_path: Path) -> None:
    scene = read_scene(put(tmp_path, den=DEN.replace("title: Den", "title: Den\nprint_units: cm")))
    found = scene_reflections(scene, scene.judged, scene.seats)
    told = {
        facing.name: point_words(scene, point, found.reflectors[face].face)
        for facing, point, face, ear in zip(
            found.facings, found.paths.points, found.paths.face, found.paths.ear, strict=True
        )
        if ear == 0
    }
    assert told["window"] == "200.0 cm from the front, 120.0 cm up"
    assert told["floor"] == told["skylight"] == "on the center line (200.0 cm from the left), 200.0 cm from the front"
    assert told["screen"] == "on the center line (200.0 cm from the left), 120.0 cm up"


def test_a_note_counts_what_a_seat_hears_and_names_the_strongest(tmp_path: Path) -> None:
    scene = read_scene(put(tmp_path, den=DEN))
    early = early_reflections(scene_reflections(scene, scene.judged, main_seats(scene.seats)))
    (note,) = reflection_findings(scene, early)
    strongest = max(early, key=lambda one: one.level)
    assert note.message.startswith(f"{len(early)} reflections come within 15 ms of the direct sound and 10 dB under it")
    assert f"of cube off {strongest.facing.name} (" in note.message
    assert f"{strongest.level:.1f} dB after {1000 * strongest.delay:.1f} ms" in note.message
    (alone,) = reflection_findings(scene, early[:1])
    assert alone.message.startswith("1 reflection comes ")
    assert [*reflection_findings(scene, ())] == []


@pytest.mark.parametrize(("path", "scheme"), SCHEMES, ids=lambda value: getattr(value, "stem", value))
def test_every_shipped_scene_has_tables_whose_rows_fit_their_heads(path: Path, scheme: str) -> None:
    scene = read_scene(path, scheme)
    early = early_reflections(scene_reflections(scene, scene.judged, main_seats(scene.seats)))
    lasts = reverberation(scene)
    tables = [rows for _, rows in reflection_rows(scene, early)]
    assert sum(len(rows.rows) for rows in tables) == len(early) > 0
    for rows in (*tables, time_rows(lasts), face_rows(scene, lasts)):
        assert rows.rows
        assert {len(cells) for cells in rows.rows} == {len(rows.heads)}


def test_the_sheets_show_each_speaker_and_number_its_points(tmp_path: Path, capsys: Captured) -> None:
    out = tmp_path / "new" / "reflections.pdf"
    line = ["reflections", str(BONUS), "--scheme", "proposed", "--out", str(out), "--date", "2026-01-01"]
    assert run([*line, "--speaker", "front left", "--speaker", "upper front right"]) == 0
    assert str(out) in capsys.readouterr().out.replace("\n", "")
    pages = pages_of(out)
    assert len(pages) == 3
    told = document(BONUS, capsys, "--scheme", "proposed", "--speaker", "front left")
    assert "First reflections: front left (M+030)" in pages[0].text
    assert "2026-01-01" in pages[0].text
    for number in range(1, len(told["reflections"]) + 1):
        assert pages[0].text.split().count(str(number)) >= 2  # on the plan and in the table
    assert "upper front right (U-045)" in pages[1].text
    assert "Reverberation and faces" in pages[2].text
    assert "What to know" in pages[2].text
    whole = out.read_bytes()
    assert run(line) == 2
    assert "exists already; add --force" in capsys.readouterr().err
    assert out.read_bytes() == whole
    assert run([*line, "--force"]) == 0
    assert len(pages_of(out)) > 3


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        (DEN, ("--speaker", "tube"), "has no speaker tube with a coverage angle; it has cube"),
        (DEN, ("--seat", "far"), "has no seat far; it has near, back"),
        (DEN, ("--out", "page.png"), "these sheets are written as .pdf"),
        (DEN[: DEN.index("speaker_types:")], (), "has no speakers with a coverage angle"),
        (DEN[: DEN.index("seats:")] + DEN[DEN.index("speaker_types:") :], (), "has no seats; add some under seats:"),
        (DEN.replace("{walls: brick}", "{walls: brik}"), (), "there is no material called brik; did you mean brick?"),
    ],
)
def test_what_cannot_be_done_ends_with_two(
    text: str, options: tuple[str, ...], words: str, tmp_path: Path, capsys: Captured
) -> None:
    path = put(tmp_path, den=text)
    assert run(["reflections", str(path), *options]) == 2
    assert words in capsys.readouterr().err.replace("\n", " ")
    assert words in document(path, capsys, *options, code=2)["error"]["message"]
