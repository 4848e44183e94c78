"""When files count as saved: by a clock of our own that moves files about between looks."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from earshed.viewer.file_watch import GONE_LOOKS, POLL, look_at, wait_for_change

Step = Callable[[Path], object] | None
OLD = 1_700_000_000_000_000_000
"""A time of writing (ns), so that no two steps differ by chance."""


def saved(text: str, at: int = OLD + 5) -> Step:
    def write(path: Path) -> None:
        path.write_text(text, encoding="utf-8")
        os.utime(path, ns=(at, at))

    return write


def renamed_over(text: str, at: int) -> Step:
    """As editors save: a new file beside it, moved over it."""

    def move(path: Path) -> None:
        new = path.with_suffix(".new")
        saved(text, at)(new)
        new.replace(path)

    return move


def away(path: Path) -> None:
    path.rename(path.with_suffix(".away"))


def back(path: Path) -> None:
    path.with_suffix(".away").rename(path)


class OutOfSteps(Exception):
    pass


def looks(steps: list[Step], monkeypatch: pytest.MonkeyPatch, folder: Path, *, there: bool = True) -> int | None:
    """After how many looks the wait is over, each of the steps done before one look; None if it never is."""
    path, other = folder / "den.yaml", folder / "other.yaml"
    other.write_text("beside it", encoding="utf-8")
    if there:
        saved("as it was", OLD)(path)
    taken = 0

    def sleep(seconds: float) -> None:
        nonlocal taken
        assert seconds == POLL
        if taken == len(steps):
            raise OutOfSteps
        step = steps[taken]
        taken += 1
        if step:
            step(path)

    before = look_at([path, other])
    with monkeypatch.context() as patch:
        patch.setattr(time, "sleep", sleep)
        try:
            wait_for_change(before)
        except OutOfSteps:
            return None
    return taken


LONG = [None] * (2 * GONE_LOOKS)
CASES = {
    "nothing happens": (LONG, None),
    "saved in place": ([None, None, saved("as it is now"), *LONG], 4),
    "saved with the same length": ([saved("as it wAS"), *LONG], 2),
    "saved at the same time with another length": ([saved("as it was now", OLD), *LONG], 2),
    "another file of the same length and time moved over it": ([renamed_over("as it wAS", OLD), *LONG], 2),
    "saved in parts": ([saved(f"part {n}", OLD + n) if n else None for n in range(6)] + LONG, 7),
    "written back as it was": ([saved("as it is", OLD), saved("as it was", OLD), *LONG], None),
    "away for a moment and back as it was": ([away, None, back, *LONG], None),
    "away for a moment and back with something new": ([away, None, saved("as it is now"), *LONG], 4),
    "just short of gone": ([away, *[None] * (GONE_LOOKS - 1), back, *LONG], None),
    "gone": ([away, *LONG], GONE_LOOKS + 1),
}


@pytest.mark.parametrize(("steps", "after"), CASES.values(), ids=CASES)
def test_how_long_is_waited(steps, after, tmp_path, monkeypatch):
    assert looks(steps, monkeypatch, tmp_path) == after


def test_a_file_that_was_not_there_is_not_waited_for_as_one_that_went(tmp_path, monkeypatch):
    assert looks(LONG, monkeypatch, tmp_path, there=False) is None
    assert looks([None, saved("made"), *LONG], monkeypatch, tmp_path, there=False) == 3
    (tmp_path / "den.yaml").unlink()
    other = tmp_path / "other.yaml"
    beside: Step = lambda _: saved("changed", OLD + 9)(other)  # noqa: E731
    assert looks([beside, *LONG], monkeypatch, tmp_path, there=False) == 2


@pytest.mark.parametrize("path", ["nowhere/den.yaml", "a" * 300, "nul\0"])
def test_a_path_that_no_file_can_have_is_one_that_is_not_there(path):
    assert look_at([Path(path)]) == {Path(path): None}
