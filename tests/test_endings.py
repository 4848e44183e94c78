"""How a run ends when something outside it fails: one line, the right code, whole files or none."""

from __future__ import annotations

import contextlib
import errno
import io
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import pytest
from PIL import Image

from earshed.viewer import gl, quantities
from earshed.viewer.cli import run
from earshed.viewer.output import OutputError

ROOT = Path(__file__).resolve().parent.parent
SHIPPED = str(ROOT / "scenes" / "bonus-room.yaml")
PROGRAM = [sys.executable, "-m", "earshed.viewer.cli"]
SMALL = ("--size", "400x300")
CELLAR = """\
format: 1
title: Cellar
bare_lengths: m
room: {width: 3, length: 4, ceiling: {shape: flat, height: 2.3}}
seats: [{name: stool, at: {from_left: 1.5, from_front: 2.5}, ear_height: 1, main: true}]
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}}
speakers:
  - {name: a, type: flush, at: {from_left: 1, from_front: 2}}
  - {name: b, type: flush, at: {from_left: 2, from_front: 2}}
listening_plane: {height: 1, step: 0.2}
"""
FILES = ["speaker-a.png", "speaker-b.png", "set.png", "coverage.npz", "seats.csv"]


def earshed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


@pytest.fixture
def cellar(tmp_path: Path) -> Path:
    scene = tmp_path / "cellar.yaml"
    scene.write_text(CELLAR, encoding="utf-8")
    return scene


def one_line(end: tuple[int, str, str]) -> str:
    """The message of a run that ended with 2 and said so in one line."""
    code, out, err = end
    assert (code, out) == (2, "")
    assert err.endswith("\n")
    assert err.count("\n") == 1
    return err


def assert_whole(folder: Path) -> list[str]:
    """Every file in a folder is complete, and none is a part of one; their names."""
    for path in folder.iterdir():
        assert path.name in FILES or path.name.startswith("speaker-"), path
        if path.suffix == ".png":
            with Image.open(path) as opened:
                opened.load()
        elif path.suffix == ".npz":
            with np.load(path) as loaded:
                assert {"x", "y", "off_axis_deg"} <= dict(loaded).keys()
        else:
            assert path.read_bytes().endswith(b"\n")
    return [path.name for path in folder.iterdir()]


# --- places that cannot be written


@pytest.mark.parametrize(("command", "below"), [("map", ""), ("map", "maps"), ("draw", "a.png")])
def test_out_under_a_file(command: str, below: str, cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl, "_PROBE", "")
    assert str(cellar) in one_line(earshed(command, cellar, "--out", cellar / below, *SMALL))
    assert cellar.read_text(encoding="utf-8") == CELLAR
    assert list(cellar.parent.iterdir()) == [cellar]


@pytest.mark.parametrize("command", ["map", "draw"])
def test_a_name_too_long_for_the_disk(command: str, cellar: Path) -> None:
    name = "a" * 300 + (".png" if command == "draw" else "")
    one_line(earshed(command, cellar, "--out", cellar.parent / name, *SMALL))
    assert list(cellar.parent.iterdir()) == [cellar]


@pytest.mark.parametrize("command", ["map", "draw"])
def test_a_folder_that_may_not_be_searched(command: str, cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the system answers whoever has no right to it, whatever is asked of it."""
    locked = str(cellar.parent / "locked")

    def guard(name: str) -> Callable[..., Any]:
        ask = getattr(os, name)

        def asked(path: Any, *rest: Any, **more: Any) -> Any:
            if str(path).startswith(locked):
                raise PermissionError(errno.EACCES, "Permission denied", str(path))
            return ask(path, *rest, **more)

        return asked

    for name in ("stat", "mkdir", "open"):
        monkeypatch.setattr(os, name, guard(name))
    out = f"{locked}/maps" if command == "map" else f"{locked}/a.png"
    assert "Permission denied" in one_line(earshed(command, cellar, "--out", out, *SMALL))


def test_a_folder_that_may_not_be_written(cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def deny(*_: Any, **__: Any) -> Any:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(tempfile, "mkstemp", deny)
    out = cellar.parent / "maps"
    assert str(out) in one_line(earshed("map", cellar, "--out", out, *SMALL))
    assert list(out.iterdir()) == []


class FullDisk:
    """Opens files on a disk with room for so many bytes in all."""

    def __init__(self, room: int) -> None:
        self.room, self.open = room, os.fdopen

    def __call__(self, handle: int, mode: str) -> BinaryIO:
        disk, file = self, self.open(handle, mode)
        write = file.write

        class Limited(io.BufferedIOBase):
            def writable(self) -> bool:
                return True

            def write(self, data: Any) -> int:
                disk.room -= len(memoryview(data).cast("B"))
                if disk.room < 0:
                    raise OSError(errno.ENOSPC, "No space left on device")
                return write(data)

            def tell(self) -> int:
                return file.tell()

            def seek(self, *place: int) -> int:
                return file.seek(*place)

            def flush(self) -> None:
                if not file.closed:
                    file.flush()

            def close(self) -> None:
                file.close()
                super().close()

        return Limited()


@pytest.mark.parametrize("room", [0, 700, 3000, 9000, 20_000])
def test_a_disk_that_fills_leaves_whole_files_and_old_ones(
    room: int, cellar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = cellar.parent / "maps"
    out.mkdir()
    (out / "set.png").write_bytes(b"old")
    with monkeypatch.context() as patch:
        patch.setattr(os, "fdopen", FullDisk(room))
        message = one_line(earshed("map", cellar, "--out", out, "--force", *SMALL))
    assert "No space left on device" in message
    assert str(out) in message
    assert (out / "set.png").read_bytes() == b"old"
    (out / "set.png").unlink()
    assert len(assert_whole(out)) < len(FILES)


def test_a_disk_that_fills_with_json(cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fdopen", FullDisk(100))
    code, out, err = earshed("map", cellar, "--out", cellar.parent / "maps", "--json", *SMALL)
    assert (code, err) == (2, "")
    document = json.loads(out)
    assert document.keys() == {"format", "error"}
    assert document["error"].keys() == {"message", "file", "line", "column"}
    assert (document["error"]["file"], document["error"]["line"]) == (str(cellar), 1)


# --- Ctrl-C


def test_ctrl_c_in_the_middle_of_a_map(tmp_path: Path) -> None:
    out = tmp_path / "maps"
    process = subprocess.Popen(
        [*PROGRAM, "map", SHIPPED, "--out", str(out), "--size", "1000x700"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    deadline = time.monotonic() + 120
    while not list(out.glob("speaker-*.png")) and process.poll() is None and time.monotonic() < deadline:
        time.sleep(0.005)
    process.send_signal(signal.SIGINT)
    printed, told = process.communicate(timeout=120)
    assert process.returncode == 130
    assert (printed, told.split()) == ("", ["stopped"])
    left = assert_whole(out)
    assert left
    assert "set.png" not in left


@pytest.mark.parametrize("after", [0, 1])
def test_ctrl_c_between_files(after: int, cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page, made = quantities.speaker_page, []

    def stop(*arguments: Any) -> bytes:
        if len(made) == after:
            raise KeyboardInterrupt
        made.append(page(*arguments))
        return made[-1]

    monkeypatch.setattr(quantities, "speaker_page", stop)
    code, out, err = earshed("map", cellar, "--out", cellar.parent / "maps", *SMALL)
    assert (code, out, err.split()) == (130, "", ["stopped"])
    assert set(assert_whole(cellar.parent / "maps")) == {"coverage.npz", "seats.csv", *FILES[:after]}


def test_ctrl_c_within_a_file(cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def half(file: BinaryIO, *_: Any, **__: Any) -> None:
        file.write(b"half of it")
        raise KeyboardInterrupt

    monkeypatch.setattr(np.lib.format, "write_array", half)
    assert earshed("map", cellar, "--out", cellar.parent / "maps", *SMALL)[0] == 130
    assert list((cellar.parent / "maps").iterdir()) == []


# --- where the printed text goes


@pytest.mark.parametrize("more", [[], ["--json"]], ids=["tables", "json"])
def test_no_room_for_what_is_printed(more: list[str], cellar: Path) -> None:
    """/dev/full answers every write as a full disk does. 2, not the 1 that means findings."""
    with open("/dev/full", "w") as full:
        done = subprocess.run([*PROGRAM, "check", str(cellar), *more], stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 2
    assert "No space left on device" in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("more", [[], ["--json"]], ids=["tables", "json"])
def test_a_reader_that_has_gone_is_no_finding(more: list[str], cellar: Path) -> None:
    """As with `| head`, whose end nobody should take for an error in the scene."""
    reader, writer = os.pipe()
    os.close(reader)
    try:
        done = subprocess.run([*PROGRAM, "check", str(cellar), *more], stdout=writer, stderr=subprocess.PIPE, text=True)
    finally:
        os.close(writer)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(("encoding", "more"), [("ascii", []), ("cp1252", []), ("cp1252", ["--json"])])
def test_a_terminal_or_a_file_of_few_letters(encoding: str, more: list[str], cellar: Path) -> None:
    """What an encoding lacks, as those of Windows files and old terminals do, is replaced; the rest is printed.

    JSON is UTF-8 whatever the terminal (RFC 8259, section 8.1).
    """
    cellar.write_text(CELLAR.replace("Cellar", "Kjeller på loftet 視"), encoding="utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    done = subprocess.run([*PROGRAM, "check", str(cellar), *more], capture_output=True, env=environment)
    assert (done.returncode, done.stderr) == (0, b"")
    if more:
        assert json.loads(done.stdout.decode("utf-8"))["scene"] == "Kjeller på loftet 視"
    assert b"stool" in done.stdout


# --- no OpenGL

PACKAGES = ("libosmesa6", "libegl1")
PROBES = {
    "error": "raise SystemExit(1)",
    "crash": "import os; os.kill(os.getpid(), 11)",  # SIGSEGV, as VTK ends where no library is usable
    "abort": "import os; os.abort()",
}


@pytest.mark.parametrize("how", PROBES)
def test_without_opengl_draw_says_what_to_install(how: str, cellar: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl, "_PROBE", PROBES[how])
    message = one_line(earshed("draw", cellar, "--out", cellar.parent / "a.png"))
    assert all(package in message for package in PACKAGES)
    assert list(cellar.parent.iterdir()) == [cellar]
    code, out, err = earshed("draw", cellar, "--out", cellar.parent / "a.png", "--json")
    assert (code, err) == (2, "")
    assert PACKAGES[0] in json.loads(out)["error"]["message"]
    assert earshed("map", cellar, "--out", cellar.parent / "maps", "--speaker", "a", *SMALL)[0] == 0
    assert earshed("check", cellar)[0] == 0


def test_a_trial_that_hangs_counts_as_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl, "_PROBE", "import time; time.sleep(60)")
    monkeypatch.setattr(gl, "PATIENCE", 0.2)
    with pytest.raises(OutputError, match=PACKAGES[0]):
        gl.require_gl()


def test_the_trial_draws_here() -> None:
    """The same machine draws all the pictures of these tests."""
    gl.require_gl()


HIDE = """
import sys
class Missing:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("vtk", "vtkmodules"):
            raise ImportError("libXrender.so.1: cannot open shared object file: No such file or directory")
sys.meta_path.insert(0, Missing())
from earshed.viewer.cli import run
sys.exit(run(sys.argv[1:]))
"""


def test_a_library_that_vtk_misses_on_import(cellar: Path) -> None:
    line = [sys.executable, "-c", HIDE]
    out = str(cellar.parent / "a.png")
    drawn = subprocess.run([*line, "draw", str(cellar), "--out", out], capture_output=True, text=True)
    assert (drawn.returncode, drawn.stdout) == (2, "")
    assert all(package in drawn.stderr for package in (*PACKAGES, "libxrender1", "libXrender.so.1"))
    assert "Traceback" not in drawn.stderr
    told = subprocess.run([*line, "draw", str(cellar), "--out", out, "--json"], capture_output=True, text=True)
    assert told.returncode == 2
    assert PACKAGES[0] in json.loads(told.stdout)["error"]["message"]
    mapped = [*line, "map", str(cellar), "--out", str(cellar.parent / "maps"), *SMALL]
    assert subprocess.run(mapped, capture_output=True).returncode == 0
    assert set(assert_whole(cellar.parent / "maps")) == set(FILES)
