"""The table of cavities: each face with what its depth is made up of, sums by hand, within 80 columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from earshed.model.scene_file.read import read_scene
from earshed.viewer.cavity_table import CavityTable, cavity_table
from earshed.viewer.cli import run
from tests.scene_files import put

ROOM = """\
format: 1
title: Loft
room: {width: 15', length: 20', ceiling: {shape: gable, ridge: front-to-back, low: 5', peak: 9'}}
"""
RAFTERS = """\
framing:
  - {name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}
  - {name: strapping, surface: left slope, member: 1x3, laid: flat, spacing: 16in, direction: level, first_center: 8in,
     under: rafters}
"""
SPEAKER = """\
speaker_types: {round: {mount: in-wall, aiming: fixed, coverage: 90deg, cutout: 8in}}
speakers: [{name: one, type: round, wall: rear, from_left: 5', height: 3'}]
"""


def table(folder: Path, text: str) -> CavityTable:
    return cavity_table(read_scene(put(folder, loft=ROOM + text)))


def row(folder: Path, text: str, face: str) -> dict[str, str]:
    found = table(folder, text)
    cells = next(cells for cells in found.rows if face in cells[0])
    return dict(zip(found.heads[1:], cells[1:], strict=True))


@pytest.mark.parametrize("text", ["", SPEAKER])
def test_nothing_known_is_no_table(tmp_path: Path, text: str) -> None:
    assert table(tmp_path, text).rows == ()


def test_a_depth_is_the_sum_of_its_layers(tmp_path: Path) -> None:
    """PS 20, dry: a 2x8 is 7-1/4 in deep, a 1x3 3/4 in thick."""
    assert row(tmp_path, RAFTERS, "left slope") == {"depth": '7-1/4" (rafters) + 3/4" (strapping)', "free": '8"'}
    assert row(tmp_path, RAFTERS, "right slope") == {"depth": '7-1/4" (rafters)', "free": '7-1/4"'}


def test_only_what_is_nailed_under_a_run_is_added_to_it_and_the_least_counts(tmp_path: Path) -> None:
    """2x12 and 2x10 behind the slopes, each strapped: 11-1/4 + 3/4 = 12 in, and 9-1/4 + 3/4 = 10 in, of which part has
    1-1/2 in more under it; a run of 2x8 without straps is the least of all, where there is one."""
    place = "surface: ceiling, spacing: 24in, direction: level, first_center: 8in"
    runs = [
        f"{{name: purlins, member: 2x12, {place}}}",
        f"{{name: rafters, member: 2x10, {place}}}",
        f"{{name: thick, member: 2x4, laid: flat, {place}, under: rafters}}",
        f"{{name: thin, member: 1x3, laid: flat, {place}, under: rafters}}",
        f"{{name: other, member: 1x3, laid: flat, {place}, under: purlins}}",
    ]
    found = row(tmp_path, f"framing: [{', '.join(runs)}]\n", "left slope, right slope")
    assert found == {"depth": '9-1/4" (rafters) + 3/4" (thin)', "free": '10"'}
    runs.append(f"{{name: props, member: 2x8, {place}}}")
    found = row(tmp_path, f"framing: [{', '.join(runs)}]\n", "left slope, right slope")
    assert found == {"depth": '7-1/4" (props)', "free": '7-1/4"'}


def test_a_vent_gap_is_taken_off_and_insulation_is_told_apart(tmp_path: Path) -> None:
    said = "cavities: {left slope: {board: 5/8in, insulation: {batt: 5-1/2in}, vent_gap: 1in}}\n"
    assert row(tmp_path, RAFTERS + said, "left slope") == {
        "depth": '7-1/4" (rafters) + 3/4" (strapping) - 1" (vent gap)',
        "board": '5/8"',
        "insulation": 'batt 5-1/2"',
        "free": '0" (7")',
    }
    assert row(tmp_path, RAFTERS + said, "right slope")["board"] == ""
    assert "with the insulation held back" in table(tmp_path, RAFTERS + said).remark
    assert '1/2"' in table(tmp_path, RAFTERS + said).remark


@pytest.mark.parametrize(
    ("cavity", "cells"),
    [
        (
            "{depth: 5-1/2in, insulation: foam}",
            {"depth": '5-1/2" (as stated)', "insulation": "foam, full", "free": '0"'},
        ),
        ("{depth: open}", {"depth": "open", "free": "open"}),
        ("{depth: open, insulation: batt}", {"depth": "open", "insulation": "batt, full", "free": '0" (open)'}),
        ("{insulation: blown}", {"depth": "not known", "insulation": "blown, full", "free": "not known"}),
        ("{board: 1/2in}", {"depth": "not known", "board": '1/2"', "free": "not known"}),
    ],
)
def test_what_is_said_of_a_face(tmp_path: Path, cavity: str, cells: dict[str, str]) -> None:
    assert row(tmp_path, f"cavities: {{rear wall: {cavity}}}\n", "rear wall") == cells


def test_faces_of_which_the_same_is_known_share_a_row(tmp_path: Path) -> None:
    found = table(tmp_path, "cavities: {walls: {depth: 3-1/2in}, front wall: {board: 5/8in}}\n")
    faces = [set(cells[0].split(", ")) for cells in found.rows]
    assert {"left wall", "right wall", "rear wall"} in faces
    assert {"front wall"} in faces
    assert len(faces) == 2


def test_only_faces_that_matter_are_in_it(tmp_path: Path) -> None:
    found = table(tmp_path, RAFTERS + SPEAKER)
    assert {name for cells in found.rows for name in cells[0].split(", ")} == {"left slope", "right slope", "rear wall"}
    tiles = ROOM.replace("peak: 9'", "peak: 9', finish: deck")
    assert cavity_table(read_scene(put(tmp_path, deck=tiles + RAFTERS))).rows == ()


def test_it_is_printed_within_80_columns(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    said = "cavities: {ceiling: {insulation: {batt: 3-1/2in}, vent_gap: 1in}, walls: {depth: 3-1/2in, board: 5/8in}}\n"
    run(["check", str(put(tmp_path, loft=ROOM + RAFTERS + said + SPEAKER))])
    printed = capsys.readouterr().out
    assert "Cavities" in printed
    assert max(map(len, printed.splitlines())) <= 80
    part = " ".join(printed[printed.index("Cavities") : printed.index("Speakers")].split())
    assert '5/8"' in part
    assert "rafters" in part
    run(["check", str(put(tmp_path, bare=ROOM))])
    assert "Cavities" not in capsys.readouterr().out
