"""Waits until files have been saved, by asking the disk again and again, which works in folders of every kind."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from pathlib import Path

POLL = 0.25
"""Seconds between two looks."""
GONE_LOOKS = 8
"""Looks for which a file may be away before that counts as a change: editors save by moving files about."""

Look = Mapping[Path, tuple[int, int, int] | None]
"""When each file was last written (ns), its size and its inode; None for one that is not there."""


def look_at(paths: Iterable[Path]) -> Look:
    """How files are now."""
    return {path: _state(path) for path in paths}


def wait_for_change(before: Look) -> None:
    """Returns once the files are other than they were `before`, and have been still from one look to the next.

    Where one has gone that was there, it is given time to come back.
    """
    last, still = before, 0
    while True:
        time.sleep(POLL)
        now = look_at(before)
        still = still + 1 if now == last else 0
        last = now
        gone = any(state is None and before[path] is not None for path, state in now.items())
        if now != before and still >= (GONE_LOOKS if gone else 1):
            return


def _state(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except (OSError, ValueError):  # a ValueError is a path that no file can have
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
