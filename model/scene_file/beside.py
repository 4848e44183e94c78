"""Files that a scene file names: by a plain file name, looked for in a folder."""

from __future__ import annotations

import os
import re
from pathlib import Path, PureWindowsPath

from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.tree import Text, shown_path

MOST_LOOKED_INTO = 200
MOST_LISTED = 8
_BEGINNING = 20_000


def is_file_name(name: str) -> bool:
    """Whether a text is a plain file name, on whatever system it is read."""
    return name not in ("", ".", "..") and PureWindowsPath(name).name == name


def need_file_name(name: Text, key: str) -> None:
    """Raises SceneError for a text that is no plain file name."""
    if not name.value:
        raise SceneError(f"{key}: needs a file name", name.mark)
    if not is_file_name(name.value):
        words = f"{name.value[:60]} is not a plain file name; what belongs together stands in one folder"
        raise SceneError(f"{key}: {words}", name.mark)


def listed(folder: Path, key: str) -> list[str]:
    """Names of the YAML files in a folder that have a key at their top; a few are enough for a message."""
    try:
        with os.scandir(folder) as entries:
            files = sorted(Path(entry.path) for entry in entries if entry.is_file())
    except OSError:
        return []
    names = [path for path in files if path.suffix.lower() in (".yaml", ".yml")]
    return [shown_path(Path(path.name)) for path in names[:MOST_LOOKED_INTO] if _has_key(path, key)][:MOST_LISTED]


def _has_key(path: Path, key: str) -> bool:
    try:
        with path.open("rb") as file:
            beginning = file.read(_BEGINNING)
    except OSError:
        return False
    return re.search(rf"(?m)^['\"]?{key}['\"]?\s*:", beginning.decode("utf-8-sig", "replace")) is not None
