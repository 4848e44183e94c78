"""Unsaved work, kept on disk while it goes on, so that a closed tab or a program that is stopped loses none of it."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout
from platformdirs import user_state_path

from earshed.model.editing.changes import Changes
from earshed.model.editing.draft import Scheme
from earshed.viewer.output import OutputError, write_bytes

FORMAT = 1
FOLDER = "EARSHED_STATE"
"""The variable of the environment that names another folder for unsaved work."""
Work = Mapping[Scheme, Changes]
"""What is changed, by the scheme under which it is."""


@dataclass(frozen=True)
class Kept:
    """Work that an earlier run left behind: since when, and where it lies."""

    work: Work
    scheme: Scheme
    since: str
    place: Path

    @property
    def count(self) -> int:
        return sum(changes.count for changes in self.work.values())

    def let_go(self) -> None:
        """Takes it off the disk."""
        self.place.unlink(missing_ok=True)
        _lock_of(self.place).unlink(missing_ok=True)


class Keeper:
    """Keeps the unsaved work on one scene file. While it runs, no other run takes what it keeps for left behind."""

    def __init__(self, scene: Path) -> None:
        """Raises OutputError where nothing can be kept."""
        self._scene = Path(os.path.abspath(scene))
        folder = state_folder()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._place = folder / f"{_stem(self._scene)}-{secrets.token_hex(4)}.json"
            self._lock = FileLock(_lock_of(self._place))
            self._lock.acquire(timeout=0)
            self._written: Any = None
        except OSError as error:
            raise OutputError(f"unsaved work cannot be kept in {folder}: {error.strerror or error}") from None

    def keep(self, work: Work, scheme: Scheme) -> None:
        """Writes work down whole, or where there is none, takes what was written off the disk. Raises OutputError."""
        said = [
            {"scheme": name, "changes": changes.to_plain()} for name, changes in work.items() if not changes.is_empty
        ]
        if (said, scheme) == self._written:
            return
        self._written = None
        if not said:
            self._place.unlink(missing_ok=True)
            return
        now = datetime.now().isoformat(timespec="minutes")
        document = {"format": FORMAT, "scene": str(self._scene), "since": now, "scheme": scheme, "work": said}
        write_bytes(self._place, json.dumps(document, ensure_ascii=False, indent=1).encode("utf-8"))
        self._written = said, scheme

    def set_aside(self, work: Work, scheme: Scheme) -> None:
        """Keeps work that is not gone on with, so that the next run offers it. Raises OutputError."""
        here = self._place
        self._place, self._written = here.with_name(f"{_stem(self._scene)}-{secrets.token_hex(4)}.json"), None
        try:
            self.keep(work, scheme)
        finally:
            self._place, self._written = here, None

    def left_behind(self) -> list[Kept]:
        """What earlier runs on this file left, the latest first."""
        places = [place for place in state_folder().glob(f"{_stem(self._scene)}-*.json") if place != self._place]
        found = [kept for place in places if _is_free(place) for kept in self._read(place)]
        return sorted(found, key=lambda kept: kept.since, reverse=True)

    def close(self) -> None:
        """Ends the run; what is kept stays, and is found by the next."""
        self._lock.release()
        if not self._place.exists():
            _lock_of(self._place).unlink(missing_ok=True)

    def _read(self, place: Path) -> Iterator[Kept]:
        """What a file holds; nothing where it is not of that form, or of another scene."""
        try:
            document: Any = json.loads(place.read_text(encoding="utf-8"))
            if document["format"] == FORMAT and document["scene"] == str(self._scene):
                work = {_scheme(one["scheme"]): Changes.from_plain(one["changes"]) for one in document["work"]}
                yield Kept(work, _scheme(document["scheme"]), str(document["since"]), place)
        except (OSError, ValueError, KeyError, TypeError):
            return  # whoever wrote it, it is none of ours to use, nor to take away


def state_folder() -> Path:
    """Where unsaved work is kept."""
    named = os.environ.get(FOLDER)
    return Path(named) if named else user_state_path("earshed", appauthor=False)


def _stem(scene: Path) -> str:
    return hashlib.sha256(os.fsencode(scene)).hexdigest()[:20]


def _lock_of(place: Path) -> Path:
    return place.with_suffix(".lock")


def _is_free(place: Path) -> bool:
    """Whether no run that is still going on keeps its work there."""
    try:
        with FileLock(_lock_of(place)).acquire(timeout=0):
            return True
    except (Timeout, OSError):
        return False


def _scheme(said: Any) -> Scheme:
    if said is not None and not isinstance(said, str):
        raise ValueError("a scheme is a name, or none")
    return said
