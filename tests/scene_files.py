"""Scene files on disk for tests, and all that a scene holds, in a form that can be compared."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry.base import BaseGeometry

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import Mark
from earshed.viewer.documents import check_document

APART = ("scheme", "schemes", "catalog_types", "taped_from")
"""Fields of a scene that say where it comes from, and how its places are said."""


def put(folder: Path, **files: str) -> Path:
    """Writes files NAME.yaml and gives the first one's path."""
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / f"{next(iter(files))}.yaml"


def put_marked(folder: Path, **files: str) -> tuple[Path, Mark]:
    """As `put`, and the place in them where the one `¦`, which is left out, stood."""
    found = [(name, text.split("¦")[0]) for name, text in files.items() if "¦" in text]
    (name, before), *_ = found
    assert len(found) == 1
    path = put(folder, **{key: text.replace("¦", "") for key, text in files.items()})
    line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    return path, Mark(str(folder / f"{name}.yaml"), line, column)


def checked(scene: Scene) -> dict[str, Any]:
    """What `check --json` prints, but for which scheme it is."""
    pairs = seat_pairs(scene)
    document = check_document(scene, pairs, find_all(scene, pairs))
    del document["scheme"]
    return json.loads(json.dumps(document))


def told(value: Any) -> Any:
    """All that a scene holds; which scheme it is under, which it has, and what a catalog brought, are left out."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, BaseGeometry):
        return value.wkt
    if is_dataclass(value):
        return {f.name: told(getattr(value, f.name)) for f in fields(value) if f.name not in APART}
    if isinstance(value, Mapping):
        return {key: told(item) for key, item in value.items()}
    return [told(item) for item in value] if isinstance(value, tuple) else value


def facts(scene: Scene) -> dict[str, Any]:
    """What check says of a scene, and the sizes that it says nothing of while all is well."""
    return {"checked": checked(scene), "told": told(scene)}
