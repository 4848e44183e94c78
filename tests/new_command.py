"""Runs `earshed new` as a user would, and keeps what it printed."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from earshed.viewer.cli import run

SHAPES = {
    "flat": ["--height", "8' 2\""],
    "shed": ["--low", "7' 6\"", "--high", "10' 3\"", "--rises", "right"],
    "gable": ["--ridge", "front-to-back", "--low", "5' 3\"", "--peak", "9' 8\""],
    "hip": ["--low", "7' 2\"", "--peak", "5 in 12"],
    "tray": ["--height", "8'", "--rise", "10in", "--inset", "2'"],
}
"""Ceilings as options."""


def ceiling(shape: str) -> list[str]:
    return ["--ceiling", shape, *SHAPES[shape]]


DEN = ["--width", "14' 2\"", "--length", "19'"]


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str


class Terminal(io.StringIO):
    """Text that stands for a terminal, with the letters that it has."""

    def __init__(self, text: str = "", encoding: str = "utf-8") -> None:
        super().__init__(text)
        self._encoding = encoding

    @property
    def encoding(self) -> str:
        return self._encoding

    def isatty(self) -> bool:
        return True


@contextlib.contextmanager
def standing_in(stdin: io.StringIO | None, out: io.StringIO, err: io.StringIO) -> Iterator[None]:
    with mock.patch.object(sys, "stdin", stdin), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        yield


def new(*words: str | Path, answers: str | None = None, terminal: bool = False, encoding: str = "utf-8") -> Ran:
    """Runs the command with some answers on its input (None: with no input at all)."""
    out = Terminal(encoding=encoding) if terminal else io.StringIO()
    err = io.StringIO()
    stdin = None if answers is None else Terminal(answers) if terminal else io.StringIO(answers)
    with standing_in(stdin, out, err):
        code = run(["new", *map(str, words)])
    return Ran(code, out.getvalue(), err.getvalue())


def check(path: Path) -> Ran:
    out, err = io.StringIO(), io.StringIO()
    with standing_in(None, out, err):
        code = run(["check", str(path)])
    return Ran(code, out.getvalue(), err.getvalue())
