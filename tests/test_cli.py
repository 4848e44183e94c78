"""The command line: what help says, what each command loads, and how slips on the line itself end."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from earshed.viewer.cli import COMMANDS, run

ROOT = Path(__file__).resolve().parent.parent
SCENE = str(ROOT / "scenes" / "basement.yaml")
DRAWING = {"pyvista", "vtk", "vtkmodules", "trimesh", "matplotlib", "PIL", "trame"}
HEAVY = DRAWING | {"numpy", "pydantic", "pydantic_core", "shapely", "manifold3d", "yaml", "rich"}
SPY = """
import sys
from earshed.viewer.cli import run
code = run(sys.argv[1:])
print(code, *sorted({name.split(".")[0] for name in sys.modules}), file=sys.stderr)
"""
TINY = """\
format: 1
title: Closet
bare_lengths: m
room: {width: 2, length: 3, ceiling: {shape: flat, height: 2.4}}
seats: [{name: stool, at: {from_left: 1, from_front: 2}, ear_height: 1, main: true}]
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}}
speakers: [{name: top, type: flush, at: {from_left: 1, from_front: 1.5}}]
listening_plane: {height: 1, step: 0.5}
"""


def loaded_by(*line: str) -> tuple[int, set[str]]:
    """Exit code of a command line in a fresh process, and the top-level modules loaded when it ends."""
    done = subprocess.run([sys.executable, "-c", SPY, *line], capture_output=True, text=True, check=True)
    code, *names = done.stderr.splitlines()[-1].split()
    return int(code), set(names)


# --- what is loaded when


@pytest.mark.parametrize("line", [["--help"], ["-h"], ["nonsense"]], ids=" ".join)
def test_help_loads_nothing_heavy(line: list[str]) -> None:
    code, names = loaded_by(*line)
    assert code == (2 if line == ["nonsense"] else 0)
    assert {"earshed", "click"} <= names
    assert not names & HEAVY


def test_check_loads_no_drawing_library() -> None:
    code, names = loaded_by("check", SCENE, "--json")
    assert code == 0
    assert {"numpy", "pydantic", "shapely"} <= names  # so the spy does see what is loaded
    assert not names & DRAWING


def test_flat_maps_need_no_library_for_three_dimensions(tmp_path: Path) -> None:
    scene = tmp_path / "closet.yaml"
    scene.write_text(TINY, encoding="utf-8")
    code, names = loaded_by("map", str(scene), "--size", "400x300", "--out", str(tmp_path / "maps"))
    assert code == 0
    assert "matplotlib" in names
    assert not names & {"pyvista", "vtk", "vtkmodules", "trimesh"}


# --- help


def test_help_names_every_command_that_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    modules = {path.stem for path in (ROOT / "viewer" / "commands").glob("*.py")} - {"__init__"}
    assert set(COMMANDS) == modules
    assert run(["--help"]) == 0
    listed = {line.split()[0] for line in capsys.readouterr().out.splitlines() if line.startswith("  ")}
    assert modules <= listed


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_each_command_names_its_options(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([name, "--help"]) == 0
    printed = re.sub(r"[,\[\]]", " ", capsys.readouterr().out)
    own = {"new": "--yes", "compare": "--before"}.get(name, "--scheme")
    assert {"SCENE", own, "--json"} <= set(printed.split())
    if name in ("map", "draw", "aim"):
        assert {"--out", "--size", "--speaker", "--force", "--date"} <= set(printed.replace(",", " ").split())


def test_help_without_arguments_and_by_its_short_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["-h"]) == 0
    short = capsys.readouterr().out
    assert run(["--help"]) == 0
    assert capsys.readouterr().out == short
    run([])
    everything = capsys.readouterr()
    assert "Usage: earshed" in everything.out + everything.err


def test_as_a_process_it_prints_and_ends_as_in_one() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "earshed.viewer.cli", "check", SCENE, "--json"], capture_output=True, text=True
    )
    assert done.returncode == 0
    assert done.stderr == ""
    assert json.loads(done.stdout)["scene"]
    missing = subprocess.run(
        [sys.executable, "-m", "earshed.viewer.cli", "check", "no-such.yaml"], capture_output=True, text=True
    )
    assert missing.returncode == 2
    assert missing.stdout == ""
    assert missing.stderr.startswith("no-such.yaml:1:1: ")
    assert missing.stderr.count("\n") == 1


# --- slips on the line

SLIPS = [
    ["nonsense"],
    ["check"],
    ["check", SCENE, "--nonsense"],
    ["check", SCENE, "two"],
    ["check", SCENE, "--scheme"],
    ["map", SCENE, "--date", "yesterday"],
    ["map", SCENE, "--size", "5x5"],
]
BAD_SIZES = ["", "x", "800", "800x", "x600", "399x300", "400x299", "8001x400", "400x8001", "-800x600", "800.0x600",
             "8e2x600", "800x600x3", "²00x300", "9" * 5000 + "x600"]  # fmt: skip


@pytest.mark.parametrize("line", SLIPS, ids=lambda line: " ".join(Path(word).name for word in line))
def test_a_slip_on_the_line_is_told_on_stderr(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(line) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "Error: " in printed.err
    assert "Traceback" not in printed.err


@pytest.mark.parametrize("size", BAD_SIZES, ids=lambda size: size[:12])
def test_sizes_that_are_none(size: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["map", SCENE, "--out", str(tmp_path / "out"), "--size", size]) == 2
    assert "400x300" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("line", [line for line in SLIPS if len(line) > 1], ids=lambda line: " ".join(line[2:]))
def test_a_slip_on_the_line_with_json_is_told_as_json(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever ends with 2 after --json leaves one document for the program that reads it."""
    assert run([line[0], "--json", *line[1:]]) == 2
    document = json.loads(capsys.readouterr().out)
    assert document.keys() == {"format", "error"}
    assert document["format"] == 1
    assert document["error"].keys() == {"message", "file", "line", "column"}
