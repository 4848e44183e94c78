"""What `earshed new` writes: text that reads back, in the order of a walk, in a file that is whole."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.scene_file.draft import taped
from earshed.model.scene_file.draft_text import scalar
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.tree import Text, parse_tree
from earshed.model.units import FOOT, INCH, parse_length
from tests.new_command import DEN, SHAPES, ceiling, check, new

UNIT = {"ft-in": "in", "mm": "mm", "cm": "cm", "m": "m"}


# --- the text


def uncommented(text: str) -> str:
    """The file with the # taken away from the lines that are examples."""
    return re.sub(r"(?m)^#(?! \S|$)", "", text)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("units", UNIT)
@pytest.mark.parametrize("layout", ["none", "five and two above"])
def test_the_examples_read_once_their_marks_are_taken_away(shape: str, units: str, layout: str, tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    words = ["--print-units", units, "--layout", layout, "--screen", "none" if layout == "none" else "90in"]
    assert new(path, *DEN, *ceiling(shape), *words, "--yes").code == 0
    text = path.read_text(encoding="utf-8")
    before = read_scene(path)
    path.write_text(uncommented(text), encoding="utf-8")
    after = read_scene(path)
    assert set(after.datums) == {"chimney corner"}
    assert sum(found.mark.found for found in after.framing[0].found) == 2
    assert after.cavities["ceiling"].insulation
    assert list({found.name: found.kind for found in after.keep_outs}.values()) == ["pipe", "unknown"]
    assert [hole.name for hole in after.existing_holes] == ["old light"]
    assert after.clearances.own
    assert [opening.name for opening in after.openings] == ["door"]
    assert [box.name for box in after.room.boxes] == ["cupboard"]
    assert len(after.room.zones) == len(before.room.zones) + (shape != "tray")
    assert after.schemes
    assert after.screen
    assert after.speakers
    assert len(after.room.risers) == 1
    assert after.wiring
    assert after.wiring.rack


def test_the_sections_come_in_the_order_of_a_walk(tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    new(path, *DEN, *ceiling("gable"), "--yes")
    keys = re.findall(r"(?m)^#?([a-z_]+):", path.read_text(encoding="utf-8"))
    assert keys == [
        "format", "title", "print_units", "catalogs", "room", "datums", "framing", "cavities", "keep_outs",
        "existing_holes", "clearances", "surfaces", "fixtures", "openings", "screen", "seats", "risers", "speakers",
        "wiring", "letterhead", "schemes",
    ]  # fmt: skip


def test_each_speaker_says_what_the_worst_seat_gets(tmp_path: Path) -> None:
    """The angle in the remark is the one that check prints, and where the layout asks otherwise it is said."""
    path = tmp_path / "den.yaml"
    new(path, *DEN, *ceiling("gable"), "--yes")
    printed = check(path).out
    text = path.read_text(encoding="utf-8")
    remarks = re.findall(r"(?m)^  # (.*)\n(?:  # .*\n)*  - \{name: ([^,]+), type", text)
    assert len(remarks) == 9
    for remark, name in remarks:
        worst = re.search(r"([\d.]+)° off axis, (\w+)", remark)
        assert worst
        (row,) = [
            line for line in printed.splitlines() if line.startswith(name) and "●" in line and "inside" not in line
        ]
        angles = [float(angle) for angle in re.findall(r"([\d.]+)°", row)]
        assert max(angles) == float(worst[1])
    assert "the layout asks for the height of the ears" in text  # the center, below the picture


@pytest.mark.parametrize(
    "title",
    ["Den", "Den: loft # 2", "12", "yes", "- x", "'quoted", '"', "{a: b}", "a, b", "Ünder the röof", "#1", "x: ", "?"],
)
def test_titles_that_yaml_would_take_otherwise(title: str, tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    done = new(path, *DEN, *ceiling("flat"), "--title", title, "--yes")
    assert done.code == 0, done.err
    assert read_scene(path).title == title.strip()


@given(st.text(st.characters(exclude_categories=["Cc", "Cs", "Cn"]), min_size=1))
def test_any_text_is_written_so_that_it_reads_back(text: str) -> None:
    said = " ".join(text.split())
    tree = parse_tree(f"a: {scalar(text)}\nb: [{scalar(text)}, {{c: {scalar(text)}}}]", "x")
    assert tree.get("a") == Text(said, tree.get("a").mark)
    first, second = tree.get("b").nodes
    assert (first.value, second.get("c").value) == (said, said)


@given(st.sampled_from(list(UNIT)), st.floats(-60, 60))
def test_a_length_is_written_so_that_it_reads_back(units: str, metres: float) -> None:
    assert parse_length(taped(metres, units)) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize(
    ("metres", "units", "text"),
    [(12 * FOOT, "ft-in", "12'"), (6.5 * INCH, "ft-in", '6-1/2"'), (-38 * INCH, "ft-in", "-3' 2\""), (0, "ft-in", "0"),
     (0.3 * INCH, "ft-in", "0.3in"), (0.3, "m", "0.3m"), (1.25, "cm", "125cm"), (0.6505, "mm", "650.5mm")],
)  # fmt: skip
def test_lengths_are_written_as_a_tape_shows_them(metres: float, units: str, text: str) -> None:
    assert taped(metres, units) == text


@pytest.mark.parametrize(
    ("width", "units"), [("14ft", "ft-in"), ("4.2m", "m"), ("420cm", "cm"), ("4200mm", "mm"), ("170in", "ft-in")]
)
def test_it_prints_in_the_units_in_which_the_room_was_measured(width: str, units: str, tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    assert new(path, "--width", width, "--length", "6m", *ceiling("flat"), "--yes").code == 0
    assert read_scene(path).print_units == units


def test_lengths_without_units_are_read_in_the_one_that_is_stated(tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    done = new(
        path,
        "--bare-lengths",
        "cm",
        "--width",
        "420",
        "--length",
        "600",
        "--ceiling",
        "flat",
        "--height",
        "250",
        "--yes",
    )
    assert done.code == 0, done.err
    scene = read_scene(path)
    assert (scene.room.plan.width, scene.room.plan.length, scene.print_units) == (4.2, 6.0, "cm")


# --- the file


def test_a_file_that_exists_is_not_replaced_unless_told(tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    path.write_text("mine", encoding="utf-8")
    refused = new(path, *DEN, *ceiling("flat"), "--yes")
    assert refused.code == 2
    assert "add --force to replace it, or choose another name" in refused.err
    assert path.read_text(encoding="utf-8") == "mine"
    assert new(path, *DEN, *ceiling("flat"), "--yes", "--force").code == 0
    assert read_scene(path).title == "Den"
    assert [each.name for each in tmp_path.iterdir()] == ["den.yaml"]


def test_it_says_what_to_do_next_and_folders_are_made(tmp_path: Path) -> None:
    path = tmp_path / "a job" / "den & loft.yaml"
    done = new(path, *DEN, *ceiling("flat"), "--yes")
    assert done.out == f"Written: {path}\nNext:\n  earshed check '{path}'\n  earshed map '{path}'\n"
    text = path.read_text(encoding="utf-8")
    assert "`earshed check 'den & loft.yaml'`\n" in text
    assert "title: Den & loft\n" in text


def test_without_speakers_there_is_no_map_to_make(tmp_path: Path) -> None:
    done = new(tmp_path / "den.yaml", *DEN, *ceiling("flat"), "--layout", "none", "--yes")
    assert "earshed check" in done.out
    assert "earshed map" not in done.out


def test_json_names_the_file_and_what_was_made_to_fit(tmp_path: Path) -> None:
    path = tmp_path / "den.yaml"
    done = new(path, *DEN, *ceiling("flat"), "--seats", "9", "--yes", "--json")
    document = json.loads(done.out)
    assert document.keys() == {"format", "scene", "files", "notes"}
    assert (document["scene"], document["files"]) == ("Den", [str(path)])
    assert sum(note.startswith("seat ") for note in document["notes"]) == 2
    assert done.err == ""


@pytest.mark.parametrize(
    "words",
    [[], ["--form", "--schema"], ["den.yaml", "--form"], ["den.yaml", "--schema"], ["den.yaml", "--out", "x"],
     ["--form", "--width", "12'"], ["--schema", "--yes"], ["--form", "--json"]],
    ids=" ".join,
)  # fmt: skip
def test_words_that_do_not_go_together(words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = new(*words)
    assert done.code == 2
    assert "Error: " in done.err or "error" in done.out
    assert list(tmp_path.iterdir()) == []
