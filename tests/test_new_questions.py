"""`earshed new` as a conversation: what it asks and when, wrong answers, input that ends, Ctrl-C, a terminal."""

from __future__ import annotations

import json
import os
import pty
import re
import select
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from earshed.model.scene_file.read import read_scene
from earshed.model.units import FOOT, INCH
from earshed.viewer.questions import QUESTIONS
from tests.new_command import DEN, SHAPES, ceiling, check, new
from tests.test_readme import block_after

ANSWERS = [
    "Loft",
    "14'",
    "20'",
    "gable",
    "front",
    "5'",
    "9'",
    "",
    "4' 6\"",
    "90in",
    "2'",
    "1",
    "2",
    "11'",
    "",
    "",
    "3",
    "",
]
"""To every question about a room under a gable, two of them in the usual way and two by a beginning or a number."""


def typed(*answers: str) -> str:
    return "".join(f"{answer}\n" for answer in answers)


def asked(out: str) -> list[str]:
    """The keys of the questions that were asked, in order, each as often as it was."""
    found = [(match.start(), q.key) for q in QUESTIONS for match in re.finditer(rf"(?m)^{re.escape(q.words)}", out)]
    return [key for _, key in sorted(found)]


def test_a_room_by_questions_alone(tmp_path: Path) -> None:
    path = tmp_path / "loft.yaml"
    done = new(path, answers=typed(*ANSWERS))
    assert (done.code, done.err) == (0, "")
    assert check(path).code == 0
    scene = read_scene(path)
    assert scene.title == "Loft"
    assert (scene.room.plan.width, scene.room.plan.length) == pytest.approx((14 * FOOT, 20 * FOOT))
    assert scene.room.ceiling_over([[0, -1], [14 * FOOT, -1], [7 * FOOT, -1]]) == pytest.approx(
        [5 * FOOT, 4.5 * FOOT, 9 * FOOT]
    )
    assert scene.screen.bottom == pytest.approx(2 * FOOT)
    assert [seat.ear[1] for seat in scene.seats] == pytest.approx([-11 * FOOT] * 2)
    assert [speaker.channel.label for speaker in scene.speakers] == ["M+030", "M-030", "M+000", "M+110", "M-110"]


def test_the_same_answers_as_options_write_the_same_file(tmp_path: Path) -> None:
    by_questions, by_options = tmp_path / "one" / "loft.yaml", tmp_path / "two" / "loft.yaml"
    assert new(by_questions, answers=typed(*ANSWERS)).code == 0
    words = ["--title", "Loft", "--width", "14'", "--length", "20'", "--ceiling", "gable", "--ridge", "front-to-back",
             "--low", "5'", "--peak", "9'", "--far-low", "4' 6\"", "--screen", "90in", "--screen-bottom", "2'",
             "--rows", "1", "--seats", "2", "--front-row", "11'", "--layout", "five at ear height"]  # fmt: skip
    done = new(by_options, *words, "--yes")
    assert done.code == 0, done.err
    assert by_questions.read_bytes() == by_options.read_bytes()


@pytest.mark.parametrize("shape", SHAPES)
def test_questions_come_in_the_order_of_a_walk_and_fit_the_ceiling(shape: str, tmp_path: Path) -> None:
    figures = {
        "flat": ["8'"], "shed": ["7'", "10'", "left"], "gable": ["side-to-side", "6'", "9'", "", ""],
        "hip": ["7'", "4 in 12"], "tray": ["8'", "9in", "2'"],
    }[shape]  # fmt: skip
    done = new(tmp_path / "a.yaml", answers=typed("", "14'", "18'", shape, *figures, *[""] * 9))
    assert done.code == 0, done.err
    keys = {
        "flat": ["height"], "shed": ["low", "high", "rises"], "gable": ["ridge", "low", "peak", "ridge_at", "far_low"],
        "hip": ["low", "peak"], "tray": ["height", "rise", "inset"],
    }[shape]  # fmt: skip
    others = [
        "screen",
        "screen_bottom",
        "rows",
        "seats",
        "front_row",
        "seat_spacing",
        "ear_height",
        "layout",
        "print_units",
    ]
    assert asked(done.out) == ["title", "width", "length", "shape", *keys, *others]


def test_a_second_row_brings_its_questions_and_no_picture_takes_its_own_away(tmp_path: Path) -> None:
    done = new(tmp_path / "a.yaml", "--screen", "none", "--rows", "2", *DEN, *ceiling("flat"), answers=typed(*[""] * 9))
    assert done.code == 0, done.err
    assert asked(done.out)[1:-2] == ["seats", "front_row", "seat_spacing", "ear_height", "row_spacing", "riser"]


def test_with_every_option_it_asks_nothing_and_says_little(tmp_path: Path) -> None:
    words = ["--title", "Den", *DEN, *ceiling("flat"), "--screen", "90in", "--screen-bottom", "2'", "--rows", "1",
             "--seats", "2", "--front-row", "11'", "--seat-spacing", "26in", "--ear-height", "40in", "--layout", "none",
             "--print-units", "ft-in"]  # fmt: skip
    done = new(tmp_path / "den.yaml", *words)
    assert (done.code, done.err) == (0, "")
    assert done.out == f"Written: {tmp_path / 'den.yaml'}\nNext:\n  earshed check {tmp_path / 'den.yaml'}\n"


def test_a_terminal_is_shown_the_room_without_any_question(tmp_path: Path) -> None:
    done = new(tmp_path / "den.yaml", *DEN, *ceiling("hip"), "--yes", answers="", terminal=True)
    assert done.code == 0
    assert asked(done.out) == []
    assert done.out.count("┌") == 5  # a plan for each step


def test_a_question_that_came_as_option_is_not_asked(tmp_path: Path) -> None:
    done = new(tmp_path / "a.yaml", "--width", "14'", "--rows", "1", answers=typed("", "18'", "flat", "8'", *[""] * 8))
    assert done.code == 0, done.err
    assert not {"width", "rows"} & set(asked(done.out))


# --- answers that will not do

WRONG = [
    ("width", "12", "12 has no unit; write it like"),
    ("width", "3in", "the room must be at least"),
    ("width", "61m", "past the 60 m"),
    ("width", "", "this needs an answer"),
    ("width", "five feet", "five feet is not a length"),
    ("width", "5' 13\"", "inches after feet must be less than 12"),
    ("shape", "dome", "must be flat, shed, gable, hip or tray, not dome"),
    ("peak", "4'", "the peak must be higher than the walls"),
    ("peak", "6 in 13", "6 in 13 is not a length"),
    ("peak", "89deg", "is not a pitch"),
    ("ridge_at", "14'", "ridge_at must lie inside the room"),
    ("far_low", "10'", "the peak must be higher than the walls"),
    ("screen", "big", "big is not a length"),
    ("rows", "3", "3 must be a whole number from 1 to 2"),
    ("seats", "x", "x must be a whole number from 1 to 12"),
    ("front_row", "25'", "beyond the walls"),
    ("ear_height", "9'", "above the ceiling there"),
    ("layout", "five", "must be none, front three"),
    ("layout", "8", "must be none, front three"),
    ("print_units", "in", "must be ft-in, mm, cm or m, not in"),
]
"""Key, answer, and what is said of it: the reader's words where they are its."""
ORDER = ["title", "width", "length", "shape", "ridge", "low", "peak", "ridge_at", "far_low", "screen", "screen_bottom",
         "rows", "seats", "front_row", "seat_spacing", "ear_height", "layout", "print_units"]  # fmt: skip


@pytest.mark.parametrize(("key", "answer", "said"), WRONG, ids=range(len(WRONG)))
def test_a_wrong_answer_is_refused_in_words_and_asked_again(key: str, answer: str, said: str, tmp_path: Path) -> None:
    at = ORDER.index(key)
    answers = [*ANSWERS[:at], answer, *ANSWERS[at:]]
    path = tmp_path / "loft.yaml"
    done = new(path, answers=typed(*answers))
    assert done.code == 0, done.err
    assert asked(done.out).count(key) == 2
    words = next(question.words for question in QUESTIONS if question.key == key)
    first, again = done.out.split(words)[1:3]
    assert said in first.splitlines()[-1] if first.splitlines()[-1].strip() else said in first.splitlines()[-2]
    assert said not in again
    assert read_scene(path).title == "Loft"


@pytest.mark.parametrize(
    "answer", ["]", "{a: b}", "# 12'", "'12'", '"', "\x00", "12' 6\" # wide", ": ", "- 12'", "é½", "x" * 5000]
)
def test_answers_that_would_break_the_file_are_refused(answer: str, tmp_path: Path) -> None:
    path = tmp_path / "loft.yaml"
    done = new(path, answers=typed(ANSWERS[0], answer, *ANSWERS[1:]))
    assert done.code == 0, done.err
    assert asked(done.out).count("width") == 2
    assert read_scene(path).room.plan.width == pytest.approx(14 * FOOT)


# --- input that ends


@pytest.mark.parametrize("count", range(len(ANSWERS)))
def test_input_that_ends_early_writes_nothing_and_says_what_is_missing(count: int, tmp_path: Path) -> None:
    done = new(tmp_path / "loft.yaml", answers=typed(*ANSWERS[:count]))
    assert done.code == 2
    assert list(tmp_path.iterdir()) == []
    missing = [question for question in QUESTIONS if question.key == ORDER[count]]
    assert missing[0].option in done.err
    assert all(question.option not in done.err.split() for question in QUESTIONS if question.key in ORDER[:count])
    assert done.err.count("\n") == 1
    if count > ORDER.index("peak"):
        assert "still needed" not in done.err
        assert "--yes for the usual" in done.err


@pytest.mark.parametrize("answers", [None, ""])
def test_without_input_it_says_what_it_needs(answers: str | None, tmp_path: Path) -> None:
    done = new(tmp_path / "loft.yaml", answers=answers)
    assert done.code == 2
    assert "still needed: --width, --length, --ceiling" in done.err
    done = new(tmp_path / "loft.yaml", *DEN, "--ceiling", "gable", "--yes", answers=answers)
    assert done.code == 2
    assert "still needed: --ridge, --low, --peak" in done.err
    assert list(tmp_path.iterdir()) == []


def test_json_keeps_questions_and_sketches_out_of_its_way(tmp_path: Path) -> None:
    done = new(tmp_path / "loft.yaml", "--json", answers=typed(*ANSWERS))
    assert json.loads(done.out)["files"] == [str(tmp_path / "loft.yaml")]
    assert asked(done.err) == ORDER
    assert "┌" not in done.err
    ended = new(tmp_path / "none.yaml", "--json", answers=typed(*ANSWERS[:3]))
    assert "--ceiling" in json.loads(ended.out)["error"]["message"]


def test_answers_from_a_pipe_are_printed_after_their_questions(tmp_path: Path) -> None:
    done = new(tmp_path / "loft.yaml", answers=typed(*ANSWERS))
    assert "Width, left to right, facing the screen wall: 14'\n" in done.out


def test_what_was_made_to_fit_is_told_once(tmp_path: Path) -> None:
    done = new(
        tmp_path / "a.yaml", "--width", "6'", "--screen", "100in", answers=typed("", "18'", "flat", "8'", *[""] * 8)
    )
    assert done.code == 0, done.err
    assert done.out.count("note: screen:") == 1


# --- as a process


def on_a_terminal(path: Path, keys: list[bytes]) -> tuple[int, str]:
    """Runs the command on a pseudo-terminal, typing each key line once it waits for one; its exit code and screen."""
    pid, screen = pty.fork()
    if pid == 0:
        os.execv(sys.executable, [sys.executable, "-m", "earshed.viewer.cli", "new", str(path)])
    shown, left = b"", list(keys)
    while True:
        ready, _, _ = select.select([screen], [], [], 60)
        assert ready, shown.decode()
        try:
            got = os.read(screen, 65536)
        except OSError:  # how Linux says that the other side has gone
            break
        if not got:
            break
        shown += got
        if left and shown.endswith(b": "):
            os.write(screen, left.pop(0))
    _, status = os.waitpid(pid, 0)
    return os.waitstatus_to_exitcode(status), shown.decode().replace("\r\n", "\n")


def test_on_a_terminal(tmp_path: Path) -> None:
    code, shown = on_a_terminal(tmp_path / "loft.yaml", [f"{answer}\n".encode() for answer in ANSWERS])
    assert code == 0, shown
    assert asked(shown) == ORDER
    assert "┌" in shown
    assert "Width, left to right, facing the screen wall: 14'\n" in shown  # as typed, and once
    assert shown.count("14'\n") == 1
    assert read_scene(tmp_path / "loft.yaml").title == "Loft"


@pytest.mark.parametrize(("key", "code"), [(b"\x03", 130), (b"\x04", 2)], ids=["Ctrl-C", "Ctrl-D"])
def test_stopped_on_a_terminal(key: bytes, code: int, tmp_path: Path) -> None:
    ended, shown = on_a_terminal(tmp_path / "loft.yaml", [b"Loft\n", b"14'\n", key])
    assert ended == code
    assert "Traceback" not in shown
    assert list(tmp_path.iterdir()) == []


def test_bytes_that_are_no_text_are_a_wrong_answer(tmp_path: Path) -> None:
    given = typed(*ANSWERS).encode().replace(b"14'\n", b"\xff\xfe\n14'\n")
    line = [sys.executable, "-m", "earshed.viewer.cli", "new", str(tmp_path / "loft.yaml")]
    done = subprocess.run(line, input=given, capture_output=True)
    assert done.returncode == 0, done.stderr
    assert b"is not a length" in done.stdout


def test_the_readme_line_with_all_as_options(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    program, command, *words = shlex.split(block_after("<!-- all as options -->"))
    assert (program, command) == ("earshed", "new")
    done = new(*words)
    assert done.code == 0, done.err
    assert check(tmp_path / "loft.yaml").code == 0
    ridge = 5 * FOOT + 3 * INCH + (7 * FOOT + INCH) * 8 / 12
    assert read_scene(tmp_path / "loft.yaml").room.shell.vertices[:, 2].max() == pytest.approx(ridge)


def test_every_question_has_an_option_that_help_explains() -> None:
    printed = " ".join(new("--help").out.split())
    for question in QUESTIONS:
        assert f"{question.option} ANSWER" in printed
