"""`earshed wire`: what it prints, its documents and files, and how it ends."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from earshed.viewer.cautions import BEFORE_BORING
from earshed.viewer.cli import run
from earshed.viewer.sheets.label_page import label_sheets
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.wire_document import RUN_COLUMNS
from earshed.viewer.wire_rows import label_rows, route_rows, run_rows, spool_rows, work_rows
from tests.scene_files import put
from tests.wire_rooms import FLAT, flat, schedule_of

BONUS = Path(__file__).resolve().parent.parent / "scenes" / "bonus-room.yaml"
RACK = "rack: {wall: left, from_front: 3.3, height: 0.4}"
Captured = pytest.CaptureFixture[str]


def document(path: Path, capsys: Captured, *options: str, code: int = 0) -> dict:
    assert run(["wire", str(path), "--json", *options]) == code
    return json.loads(capsys.readouterr().out, parse_constant=lambda word: pytest.fail(word))


def test_the_document_says_all_that_the_tables_do(capsys: Captured) -> None:
    told = document(BONUS, capsys, "--scheme", "proposed")
    assert (told["format"], told["scheme"]) == (1, "proposed")
    runs = {one["label"]: one for one in told["runs"]}
    assert {"FL-1", "FC-1", "FR-1", "UFL-1", "LFE-1"} <= set(runs)
    for one in runs.values():
        assert one["route_m"] == pytest.approx(sum(leg["length_m"] for leg in one["legs"]))
        slack = one["beyond_m"] + one["loops_m"]
        assert one["length_m"] == pytest.approx(one["route_m"] + slack)
        assert one["cut_m"] >= one["length_m"] * (1 + told["waste"]) - 1e-6
        assert (one["loss"] is None) == (one["kind"] != "speaker")
    cut = [label for cable in told["cables"] for spool in cable["spools"] for label in spool["runs"]]
    assert sorted(cut) == sorted(runs)
    assert told["assumed"]["members_unknown_behind"]
    assert told["cautions"] == list(BEFORE_BORING)
    assert {"severity", "rule", "subject", "message"} == set(told["findings"][0])


def test_what_is_printed_names_every_run_hole_and_caution(capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    assert run(["wire", str(BONUS)]) == 0
    printed = capsys.readouterr().out
    told = " ".join(printed.split())
    for words in ("Runs", "To bore and to patch", "Cable", "Spools", "Labels, on both ends", "Before you bore"):
        assert words in printed
    assert "UFL-1 upper front left" in told
    assert "then as FL-1, from its leg" in told
    assert "side left (spare)" in told
    assert all(caution in told for caution in BEFORE_BORING)


def test_rows_have_as_many_cells_as_heads() -> None:
    schedule = schedule_of(BONUS.read_text(encoding="utf-8"))
    tables = [
        run_rows(schedule),
        *route_rows(schedule),
        work_rows(schedule),
        spool_rows(schedule),
        label_rows(schedule),
    ]
    for rows in tables:
        assert rows.rows
        assert {len(cells) for cells in rows.rows} == {len(rows.heads)}
    assert len(run_rows(schedule).rows) == len(label_rows(schedule).rows) == len(schedule.runs)


def test_legs_are_told_as_one_would_run_them() -> None:
    (rows,) = route_rows(schedule_of(flat(RACK)))
    assert rows.title == "UFL-1  top: 4.100 m, 1 to open and patch"
    assert rows.remark == "from the ceiling, 2.000 m from the left, 3.300 m from the front"
    assert rows.rows == (
        ("1", "ceiling, along the joists", "2.000 m", "fish", "at the left wall, 3.300 m from the front"),
        ("2", "left wall, down", "2.100 m", "open and patch the top plate; fish", "3.300 m from the front, 0.400 m up"),
    )


def test_members_that_nobody_gave_are_told_as_perhaps() -> None:
    """1.1 m level in a wall without studs in the scene: up to three at 16 in, and how wide a hole they all need."""
    wall = "rack: {wall: left, from_front: 4.4, height: 0.4}\naccess: {left wall: knee wall}"
    schedule = schedule_of(flat(wall))
    (rows,) = route_rows(schedule)
    assert "bore perhaps 3 studs" in [row[3] for row in rows.rows]
    assert rows.title.endswith("perhaps 3 more")
    told = [row for row in work_rows(schedule).rows if row[1] == "studs, not in the scene"]
    assert told == [("left wall", "studs, not in the scene", "bore", "?", "up to 0.012 m (1 cable)", "ask")]


def test_a_place_at_a_wall_is_told_by_its_wall() -> None:
    (rows,) = route_rows(schedule_of(flat("rack: {wall: 2, along: 3, height: 0.4}").replace(
        "width: 5, length: 6", "outline: [[0, 0], [5, 0], [5, 6], [0, 6]]")))  # fmt: skip
    assert "at wall 2, 3.300 m from the front" in [row[4] for row in rows.rows]


def test_a_label_says_which_cable_however_long_its_name_is() -> None:
    """The cable stands by itself, beside the label; a run that does not begin at the rack is told by its walls."""
    links = "links: {a plate by the door to a picture on the wall: {kind: network, ends_at: top, starts_at: "
    schedule = schedule_of(flat(f"{RACK}\n{links}{{wall: right, from_front: 3, height: 1}}}}}}"))
    assert label_rows(schedule).rows[1][2:] == ("network", "right wall to top")
    (sheet,) = label_sheets(schedule, PAPERS["Letter"])
    assert [text.get_text() for text in sheet.axes.texts].count("network") == 2


def test_the_table_of_runs_as_csv(tmp_path: Path, capsys: Captured) -> None:
    path, table = put(tmp_path, room=flat(RACK)), tmp_path / "out" / "runs.csv"
    assert run(["wire", str(path), "--csv", str(table)]) == 0
    assert str(table) in capsys.readouterr().out.replace("\n", "")
    (row,) = csv.DictReader(io.StringIO(table.read_text(encoding="utf-8")))
    assert tuple(row) == RUN_COLUMNS
    assert (row["label"], row["cable"], row["spool"]) == ("UFL-1", "speaker 16/2", "speaker 16/2, spool 1")
    assert float(row["route_m"]) == pytest.approx(4.1)
    assert run(["wire", str(path), "--csv", str(table)]) == 2
    assert "exists already; add --force" in capsys.readouterr().err
    assert run(["wire", str(path), "--csv", str(table), "--force"]) == 0


@pytest.mark.parametrize(
    ("text", "options", "words"),
    [
        (FLAT, (), "does not say where cables end; add it, on a wall as wiring: {rack: {wall: rear, from_left: 2'"),
        (flat("waste: 5%"), (), "does not say where cables end"),
        (flat(RACK), ("--csv", "runs.txt"), "the runs are written as .csv"),
        (flat(RACK).split("speakers:")[0] + f"wiring: {{{RACK}}}\n", (), "has nothing to wire"),
        (flat(RACK), ("--scheme", "other"), 'the scene has no scheme "other"'),
    ],
)
def test_what_cannot_be_done_ends_with_two(
    text: str, options: tuple[str, ...], words: str, tmp_path: Path, capsys: Captured
) -> None:
    path = put(tmp_path, room=text)
    assert run(["wire", str(path), *options]) == 2
    assert words in capsys.readouterr().err.replace("\n", " ")
    told = document(path, capsys, *options, code=2)
    assert words in told["error"]["message"]


def test_a_run_past_every_spool_ends_with_one(tmp_path: Path, capsys: Captured) -> None:
    short = f"{RACK}\ncables: {{short: {{kind: speaker, gauge: 12 AWG, spool: 5}}}}"
    path = put(tmp_path, room=flat(short))
    told = document(path, capsys, code=1)
    assert [one["rule"] for one in told["findings"] if one["severity"] == "error"] == ["past-spool"]
    assert run(["wire", str(path)]) == 1


def test_a_run_without_a_way_is_told_and_the_rest_goes_on(tmp_path: Path, capsys: Captured) -> None:
    box = "fixtures: [{name: shelf, kind: box, from_left: 1.5, from_front: 2.8, bottom: 1.5, width: 1, length: 1, "
    box += "height: 0.3}]"
    more = "spares: {other: {kind: speaker, at: {from_left: 4, from_front: 3.3}}}"
    path = put(tmp_path, room=flat(f"{RACK}\n{more}", box))
    told = document(path, capsys, code=1)
    lost, found = told["runs"]
    assert (lost["route_m"], lost["cut_m"], lost["legs"]) == (None, None, [])
    assert found["cut_m"] > 0
    assert run(["wire", str(path)]) == 1
    assert "no way" in capsys.readouterr().out
