"""What the README says and promises, tried."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from earshed.model.channel import parse_channel
from earshed.model.clearances import USUAL
from earshed.model.member_marks import HOW_SURE, USUAL_WITHIN
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.schema_measured import MeasuredFile
from earshed.model.sound.materials import MATERIALS
from earshed.model.units import INCH, parse_length
from earshed.viewer.cavity_table import cavity_table
from earshed.viewer.cli import COMMANDS, run

ROOT = Path(__file__).resolve().parent.parent
NOT_SHIPPED = (".venv", "build", "*.egg-info", ".git", ".*_cache", ".hypothesis", "pictures", "node_modules")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block_after(mark: str) -> str:
    """The fenced block that follows a mark in the README."""
    found = re.search(rf"{re.escape(mark)}\s*```\w*\n(.*?)```", README, re.DOTALL)
    assert found, mark
    return found[1].strip()


def test_first_scene_gives_the_verdict_it_promises(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = tmp_path / "den.yaml"
    scene.write_text(re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0], encoding="utf-8")
    assert run(["check", str(scene)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    quoted = re.search(r"A line such as `(.*?)` is the verdict", README, re.DOTALL)
    assert quoted
    assert " ".join(quoted[1].split()) in printed
    assert run(["check", str(scene), "--scheme", "tilted"]) == 0
    assert "outside the coverage limit" not in capsys.readouterr().out


def test_lines_of_the_reference_are_a_scene(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sample lines of every section, put into the first scene, are read without complaint."""
    scene, lines = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[:2]
    sections, speakers = lines.split("speakers:\n")
    types = "  in-wall round: {mount: in-wall, aiming: fixed, coverage: 90deg}\n"
    types += "  stand box: {mount: stand, aiming: fixed, coverage: 90deg}\n"
    text = scene.replace("speaker_types:\n", "speaker_types:\n" + types).replace("schemes:\n", speakers + "schemes:\n")
    path = tmp_path / "lines.yaml"
    path.write_text(text + sections, encoding="utf-8")
    assert run(["check", str(path)]) < 2, capsys.readouterr().err


def test_the_walked_room_is_a_room_whose_tapes_agree(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Put in the place of the first scene's room. What is said of it is in the installer's words for it."""
    scene, *others = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
    walked = next(block for block in others if "walk:" in block)
    before, _, after = scene.partition("room:\n")
    path = tmp_path / "walked.yaml"
    rest = after[after.index("screen:") :].replace("wall: front", "wall: 1")
    path.write_text(before + walked + rest, encoding="utf-8")
    assert run(["check", str(path)]) < 2, capsys.readouterr().err
    printed = " ".join(capsys.readouterr().out.split())
    assert "note: walk: the walls and diagonals agree within" in printed
    assert "out of square: corner" in printed


def test_the_den_as_built_says_what_does_not_hold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The commands of that section, on the first scene with the scheme put where the README says."""
    scene = tmp_path / "den.yaml"
    first = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    scene.write_text(f"{first}  {block_after('<!-- as built -->')}\n", encoding="utf-8")
    printed = []
    for line in block_after("<!-- ask as built -->").splitlines():
        command, name, *options = shlex.split(line, comments=True)[1:]
        assert (command, name) == ("check", scene.name)
        assert run([command, str(scene), *options]) == 0
        printed.append(" ".join(capsys.readouterr().out.split()))
    quoted = re.search(r"here `(.*?)` does not", README)
    assert quoted
    assert f"These verdicts of the design do not hold: {quoted[1]}. All others do." in printed[0]
    assert "What changed against base" in printed[1]
    assert 'How sure it is, within 1" and 3.0°' in printed[2]


def test_what_the_duct_hides_is_told_as_quoted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    path = tmp_path / "den.yaml"
    path.write_text(scene + block_after("<!-- in the way -->") + "\n", encoding="utf-8")
    assert run(["check", str(path)]) == 0, capsys.readouterr().err
    printed = " ".join(capsys.readouterr().out.split())
    quoted = re.search(r"Of the speaker on the left `check` then says `(.*?)`.*?`(.*?)`", README, re.DOTALL)
    assert quoted
    for words in quoted.groups():
        assert f"left: {words}" in printed


def test_the_lines_on_what_is_behind_the_board_are_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    path = tmp_path / "behind.yaml"
    path.write_text(scene + block_after("<!-- behind the board -->") + "\n", encoding="utf-8")
    assert run(["check", str(path)]) < 2, capsys.readouterr().err
    rows = cavity_table(read_scene(path)).rows
    assert '7-1/4" (rafters) + 3/4" (strapping) - 1" (vent gap)' in [cells[1] for cells in rows]


def test_the_lines_on_the_wire_wire_the_den(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    path = tmp_path / "den.yaml"
    path.write_text(scene + block_after("<!-- wiring -->") + "\n", encoding="utf-8")
    assert run(["wire", str(path)]) == 0, capsys.readouterr().err
    assert "rear left (spare)" in capsys.readouterr().out


def test_the_lines_on_materials_are_read_and_every_material_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    path = tmp_path / "den.yaml"
    path.write_text(scene + block_after("<!-- materials -->") + "\n", encoding="utf-8")
    assert run(["reflections", str(path)]) == 0, capsys.readouterr().err
    assert "felt panel" in capsys.readouterr().out
    listed = README[README.index("<!-- names of materials -->") : README.index("<!-- /names of materials -->")]
    assert re.findall(r"`(.*?)`", listed) == list(MATERIALS)


def test_the_den_as_measured_says_what_is_off(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]
    path = tmp_path / "den.yaml"
    path.write_text(f"{scene}  {block_after('<!-- measured -->')}\n", encoding="utf-8")
    assert run(["check", str(path), "--scheme", "as built"]) == 0, capsys.readouterr().err
    quoted = re.search(r"<!-- measured says -->`(.*?)`", README, re.DOTALL)
    assert quoted
    assert " ".join(quoted[1].split()) in " ".join(capsys.readouterr().out.split())
    table = README[README.index("| key | what it is |") :]
    told = re.findall(r"`(\w+)`", " ".join(row.split("|")[1] for row in table.split("\n\n")[0].splitlines()[2:]))
    assert sorted(told) == sorted(set(MeasuredFile.model_fields) - {"levels"})


def test_the_usual_distances_are_those_that_are_kept() -> None:
    """Every kind once, with its distance and where it is from."""
    table = README[README.index("<!-- clearances -->") : README.index("<!-- /clearances -->")]
    rows = re.findall(r"(?m)^\| (.*`.*) \| (\S+) \| (.*) \|$", table)
    told = {
        kind: (parse_length(usual), source) for kinds, usual, source in rows for kind in re.findall(r"`(.*?)`", kinds)
    }
    assert sum(len(re.findall(r"`(.*?)`", kinds)) for kinds, *_ in rows) == len(told)
    assert set(told) == set(USUAL)
    for kind, usual in USUAL.items():
        assert told[kind] == (pytest.approx(usual.distance), usual.source), kind


def test_how_sure_found_members_are_is_told_as_it_is_taken() -> None:
    words = " ".join(README.split())
    told = re.search(
        r"how it was found, `(\w+)`, `(\w+)` \(.*?\), `(\w+)` or `(\w+)`, which is taken as off by up to (.*?) in;",
        words,
    )
    assert told
    *names, figures = told.groups()
    lengths = [parse_length(f"{figure}in") for figure in re.split(r", | and ", figures)]
    assert dict(zip(names, lengths, strict=True)) == pytest.approx(HOW_SURE)
    assert f"by `tolerance`, {USUAL_WITHIN / INCH * 4:g}/4 in if not said" in words


def test_channel_words_of_the_table_are_read() -> None:
    rows = re.findall(r"^\| ([a-z, -]+) \| ([A-Z0-9+, -]+) \| ([a-z, -]+) \| ([A-Z0-9+, -]+) \|$", README, re.MULTILINE)
    assert len(rows) == 8
    for row in rows:
        for words, labels in (row[:2], row[2:]):
            for word, label in zip(words.split(", "), labels.split(", "), strict=True):
                assert parse_channel(word).label == label


def test_every_command_is_in_the_readme() -> None:
    for name in COMMANDS:
        assert f"`earshed {name} SCENE`" in README


@pytest.mark.parametrize(
    ("mark", "line"),
    [
        ("aim", 'scenes/attic.yaml --scheme proposed --seats all --speaker "upper right"'),
        ("place", 'scenes/bonus-room.yaml --scheme "as found" --speaker "upper rear left" --count 1'),
        ("markout", 'scenes/bonus-room.yaml --scheme proposed --speaker "upper rear left"'),
        ("wire", "scenes/bonus-room.yaml --scheme proposed"),
        ("compare", "scenes/office.yaml"),
        (
            "reflections",
            'scenes/bonus-room.yaml --scheme proposed --speaker "upper front right" --seat "sofa left"',
        ),
    ],
)
def test_what_a_command_prints_is_shown_as_it_is(
    mark: str, line: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command stands in the README, and so does what it prints in a terminal of 80 letters."""
    assert f"`earshed {mark} {line}`" in " ".join(README.split())
    monkeypatch.setenv("COLUMNS", "80")
    scene, *options = shlex.split(line)
    assert run([mark, str(ROOT / scene), *options]) == 0
    lines = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    told = block_after(f"<!-- {mark} printed -->").splitlines()
    start = lines.index(told[0])
    assert lines[start : start + len(told)] == told


def test_set_up_commands_are_one_line_each() -> None:
    for mark in ("<!-- job command -->", "<!-- test command -->"):
        assert "\n" not in block_after(mark)


def test_job_command_on_a_clean_copy(tmp_path: Path) -> None:
    """A fresh machine: only what the project ships, in a new folder, with its own virtual environment."""
    copy = tmp_path / "copy"
    shutil.copytree(
        ROOT,
        copy,
        ignore=shutil.ignore_patterns(*NOT_SHIPPED, "tests"),
    )
    done = subprocess.run(["bash", "-c", block_after("<!-- job command -->")], cwd=copy, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    pictures = {path.name for path in (copy / "pictures").iterdir()}
    assert {"set.png", "room.png", "seats.csv", "coverage.npz"} <= pictures
    assert all((copy / "pictures" / name).stat().st_size > 0 for name in pictures)


def test_pictures_in_the_readme_exist() -> None:
    for path in re.findall(r"!\[.*?\]\((.*?)\)", README):
        assert (ROOT / path).is_file(), path
