"""earshed check --watch, as its user drives it: a scene is saved in one way or another, and the next turn shows it."""

from __future__ import annotations

import io
import json
import math
import os
import pty
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image

from earshed.viewer import file_watch, watch
from earshed.viewer.cli import run

PROGRAM = [sys.executable, "-m", "earshed.viewer.cli", "check"]
PATIENCE = 180.0
"""Seconds after which a turn that does not come is a failure; a slow machine takes a few."""
# The speaker hangs AT metres from the left, 1.5 m above an ear 1 m from the left: off axis by atan((AT - 1) / 1.5).
DEN = """\
format: 1
title: Den
bare_lengths: m
room: {width: 4, length: 5, ceiling: {shape: flat, height: 2.5}}
seats: [{name: stool, at: {from_left: 1, from_front: 2}, ear_height: 1, main: true}]
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}}
speakers:
  - {name: top, type: flush, at: {from_left: AT, from_front: 2}}
listening_plane: {height: 1, step: 0.25}
schemes: {moved: {speakers: {top: {at: {from_left: 1.2, from_front: 2}}}}}
"""
BARE = DEN.partition("speaker_types:")[0]


def den(at: float) -> str:
    return DEN.replace("AT", str(at))


def angle(at: float) -> str:
    return f"{math.degrees(math.atan2(abs(at - 1), 1.5)):.1f}"


class Watch:
    """A running watch on a scene in a folder of its own, and what it has printed so far."""

    def __init__(self, folder: Path, text: str, *more: str) -> None:
        self.folder = folder / "run"
        self.folder.mkdir()
        self.scene = self.folder / "den.yaml"
        self.scene.write_text(text, encoding="utf-8")
        self.picture = self.folder / "den-watch.png"
        self._log = folder / "log"
        with self._log.open("w") as log:
            line = [*PROGRAM, "den.yaml", "--watch", *more]
            self.process = subprocess.Popen(line, cwd=self.folder, stdout=log, stderr=subprocess.STDOUT)

    @property
    def printed(self) -> str:
        return self._log.read_text(encoding="utf-8")

    @property
    def turns(self) -> list[str]:
        """What each turn that is over printed."""
        return self.printed.split("; Ctrl-C ends it.\n")[:-1]

    def until(self, happened: Callable[[], bool]) -> None:
        deadline = time.monotonic() + PATIENCE
        while not happened():
            assert self.process.poll() is None, self.printed
            assert time.monotonic() < deadline, self.printed
            time.sleep(0.02)

    def until_turn(self, *words: str) -> str:
        """The last turn, once it holds these words."""
        self.until(lambda: bool(self.turns) and all(word in self.turns[-1] for word in words))
        return self.turns[-1]

    def stop(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE)

    def move_over(self, text: str) -> None:
        """Saves as many editors do."""
        part = self.folder / "den.yaml~"
        part.write_text(text, encoding="utf-8")
        part.replace(self.scene)

    def write_in_place(self, text: str) -> None:
        with self.scene.open("r+", encoding="utf-8") as file:
            file.write(text)
            file.truncate()


def whole(picture: Path) -> bytes:
    """The bytes of a picture that can be read to its end."""
    found = picture.read_bytes()
    with Image.open(io.BytesIO(found)) as opened:
        opened.load()
        assert opened.size == watch.PICTURE_SIZE
    return found


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Callable[..., Watch]]:
    begun: list[Watch] = []

    def starter(text: str, *more: str) -> Watch:
        begun.append(Watch(tmp_path, text, *more))
        return begun[-1]

    yield starter
    for one in begun:
        one.process.kill()
        one.process.wait()


# --- as its user drives it


def test_every_way_of_saving_makes_a_turn(start: Callable[..., Watch]) -> None:
    running = start(den(1.5))
    first = running.until_turn("Written: den-watch.png")
    assert f"{angle(1.5)}° ● covered" in first
    assert "->" not in first
    pictures = [whole(running.picture)]

    running.move_over(den(3.0))
    second = running.until_turn("stool / top")
    assert f"stool / top: {angle(1.5)} -> {angle(3.0)} degrees, covered -> outside\n" in second
    assert f"new warning: top: stool is {angle(3.0)}° off axis, outside" in second
    assert second.index("new warning") < second.index("What each seat gets")
    pictures.append(whole(running.picture))

    running.write_in_place(den(1.25))
    third = running.until_turn("stool / top", angle(1.25))
    assert f"stool / top: {angle(3.0)} -> {angle(1.25)} degrees, outside -> covered\n" in third
    assert f"gone warning: top: stool is {angle(3.0)}° off axis, outside" in third
    pictures.append(whole(running.picture))
    assert len(set(pictures)) == 3

    running.move_over(den(1.25) + "# a remark\n")
    assert "stool / top" not in running.until_turn("nothing else for any seat")

    assert "\x1b" not in running.printed
    assert running.stop() == 130
    assert running.printed.endswith("\nstopped\n")
    assert {path.name for path in running.folder.iterdir()} == {"den.yaml", "den-watch.png"}


def test_a_scene_that_cannot_be_read_is_told_and_waited_for(start: Callable[..., Watch]) -> None:
    running = start(den(1.5))
    running.until_turn("Written")
    picture = whole(running.picture)

    running.move_over(den(1.5).replace("width: 4", "width: wide"))
    told = running.until_turn("den.yaml:4:15: ")
    assert "Written" not in told
    assert whole(running.picture) == picture

    running.scene.unlink()
    running.until_turn("den.yaml:1:1: cannot read the file")
    assert whole(running.picture) == picture

    running.move_over(den(2.0))
    mended = running.until_turn("Written")
    assert f"stool / top: {angle(1.5)} -> {angle(2.0)} degrees" in mended  # against the last that could be read
    assert whole(running.picture) != picture

    running.scene.unlink()
    running.move_over(den(1.8))
    running.until_turn(f"{angle(2.0)} -> {angle(1.8)} degrees")
    assert running.stop() == 130


def test_one_that_cannot_be_read_from_the_first_gets_its_picture_later(start: Callable[..., Watch]) -> None:
    running = start("oops: [")
    running.until_turn("den.yaml:1:8: ")
    assert not running.picture.exists()
    running.move_over(BARE)
    assert "What each seat gets" not in running.until_turn("Written: den-watch.png")
    bare = whole(running.picture)
    running.move_over(den(1.5))
    assert f"new: stool / top: {angle(1.5)} degrees, covered" in running.until_turn("stool / top")
    assert whole(running.picture) != bare


@pytest.mark.parametrize("moment", ["among the tables", "in the picture"])
def test_ctrl_c_at_any_time_leaves_whole_files(moment: str, start: Callable[..., Watch]) -> None:
    running = start(den(1.5), "--scheme", "moved", "--picture", "pictures/live.png")
    last_word = {"among the tables": "den.yaml", "in the picture": "No findings"}[moment]
    running.until(lambda: last_word in running.printed)
    assert running.stop() == 130
    assert running.printed.endswith("stopped\n")
    assert {path.name for path in running.folder.iterdir()} <= {"den.yaml", "pictures"}
    for path in (running.folder / "pictures").glob("*"):
        assert path.name == "live.png"
        whole(path)


def test_a_terminal_is_cleared_at_each_turn(tmp_path: Path) -> None:
    (tmp_path / "den.yaml").write_text(den(1.5), encoding="utf-8")
    ours, theirs = pty.openpty()
    process = subprocess.Popen([*PROGRAM, "den.yaml", "--watch"], cwd=tmp_path, stdout=theirs, stderr=theirs)
    os.close(theirs)
    shown = b""
    try:
        while b"Ctrl-C ends it" not in shown:
            shown += os.read(ours, 4096)  # fails with an error once the process has ended
        assert shown.count(b"\x1b[2J") == 1
        assert shown.index(b"\x1b[2J") < shown.index(b"Den")
    finally:
        process.kill()
        process.wait()
        os.close(ours)


# --- within one process


class Over(BaseException):
    """Ends a watch after its looks."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "den.yaml").write_text(den(1.5), encoding="utf-8")
    monkeypatch.setattr(watch, "_page", lambda reading: b"a picture")
    return tmp_path


def stop_after(looks: int, monkeypatch: pytest.MonkeyPatch) -> None:
    left = iter(range(looks))

    def sleep(seconds: float) -> None:
        if next(left, None) is None:
            raise Over

    monkeypatch.setattr(time, "sleep", sleep)


def test_what_is_saved_during_a_turn_makes_another(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    stop_after(4, monkeypatch)
    saves = iter([3.0])

    def page(reading: watch.Reading) -> bytes:
        for at in saves:
            (folder / "den.yaml").write_text(den(at) + "# longer", encoding="utf-8")
        return b"a picture"

    monkeypatch.setattr(watch, "_page", page)
    with pytest.raises(Over):
        run(["check", "den.yaml", "--watch"])
    assert f"{angle(1.5)} -> {angle(3.0)} degrees" in capsys.readouterr().out


def test_it_answers_what_is_asked_besides(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    stop_after(0, monkeypatch)
    with pytest.raises(Over):
        run(["check", "den.yaml", "--watch", "--scheme", "moved", "--against", "base", "--tolerance", "1in"])
    printed = " ".join(capsys.readouterr().out.split())
    assert 'top: moved 11-13/16": 11-13/16" towards the left' in printed
    assert 'How sure it is, within 1"' in printed


def test_a_picture_that_was_there_is_kept_unless_forced(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    stop_after(0, monkeypatch)
    picture = folder / "den-moved-watch.png"
    picture.write_bytes(b"old")
    line = ["check", "den.yaml", "--watch", "--scheme", "moved"]
    assert run(line) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err == (
        "den-moved-watch.png exists already; add --force to replace it, or choose another --picture\n"
    )
    assert picture.read_bytes() == b"old"
    with pytest.raises(Over):
        run([*line, "--force"])
    assert picture.read_bytes() == b"a picture"
    with pytest.raises(Over):
        run([*line, "--picture", str(folder / "new" / "live.PNG")])
    assert (folder / "new" / "live.PNG").read_bytes() == b"a picture"


def test_every_file_that_a_scene_is_read_from_is_watched(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    """Also the one that only the last readable scene named, while this one cannot be read."""
    named = iter([[Path("types.yaml")], [], [], []])
    monkeypatch.setattr(watch, "files_of", lambda path: (path, *next(named)))
    saves = iter(["broken: [", den(1.5), den(1.6)])
    seen: list[set[str]] = []

    def change(before: file_watch.Look) -> None:
        seen.append({path.name for path in before})
        text = next(saves, None)
        if text is None:
            raise Over
        (folder / "den.yaml").write_text(text, encoding="utf-8")

    monkeypatch.setattr(watch, "wait_for_change", change)
    with pytest.raises(Over):
        run(["check", "den.yaml", "--watch"])
    assert seen == [{"den.yaml", "types.yaml"}] * 3 + [{"den.yaml"}]
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Watching")]
    both, one = ("Watching den.yaml, types.yaml; Ctrl-C ends it.", "Watching den.yaml; Ctrl-C ends it.")
    assert told == [both, both, one, one]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--watch", "--json"], "--watch prints again and again, and --json is one document; leave one of them out"),
        (["--watch", "--picture", "live.jpg"], "live.jpg: pictures are written as .png"),
        (["--picture", "live.png"], "--picture and --force go with --watch"),
        (["--force"], "--picture and --force go with --watch"),
    ],
)
def test_slips_on_the_line(more: list[str], words: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    stop_after(0, monkeypatch)
    assert run(["check", "den.yaml", *more]) == 2
    printed = capsys.readouterr()
    if "--json" in more:
        assert json.loads(printed.out)["error"] == {"message": words, "file": "den.yaml", "line": 1, "column": 1}
    else:
        assert (printed.out, printed.err) == ("", words + "\n")
    assert [path.name for path in folder.iterdir()] == ["den.yaml"]


def test_watching_is_loaded_by_its_option_alone() -> None:
    code = "import sys; from earshed.viewer.cli import run; run(sys.argv[1:]); print(*sys.modules, file=sys.stderr)"
    scene = str(Path(__file__).resolve().parent.parent / "scenes" / "basement.yaml")
    for more, loaded in (([], False), (["--watch", "--picture", "live.jpg"], True)):
        done = subprocess.run([sys.executable, "-c", code, "check", scene, *more], capture_output=True, text=True)
        names = set(done.stderr.split())
        assert "earshed.viewer.commands.check" in names
        assert ("earshed.viewer.watch" in names, "matplotlib" in names) == (loaded, loaded)
