"""Overlays: files of changes to a scene that stays as it is."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from pydantic import ValidationError

from earshed.model.scene_file.beside import is_file_name, listed, need_file_name
from earshed.model.scene_file.catalogs import is_catalog
from earshed.model.scene_file.fields import Name, Part, Words, unknown_key
from earshed.model.scene_file.messages import schema_error
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.schemes import SECTIONS, apply_changes
from earshed.model.scene_file.tree import Entry, Table, Text, plain, read_brought, shown_path


class OverlayHead(Part):
    format: Literal["1"]
    based_on: Name
    title: Words | None = None
    scheme: Name | None = None


@dataclass(frozen=True)
class Overlay:
    """A file of changes: the scene they are laid over, and the scheme of it that they are made for, if they say."""

    tree: Table
    scene: Table
    scheme: Text | None


def is_overlay(tree: Table) -> bool:
    return "based_on" in tree.entries


def read_overlay(tree: Table, folder: Path) -> Overlay:
    """The overlay that a tree from a folder describes, with the scene under it. Raises SceneError."""
    head = replace(tree, entries={key: e for key, e in tree.entries.items() if key in OverlayHead.model_fields})
    try:
        OverlayHead.model_validate(plain(head))
    except ValidationError as error:
        raise schema_error(error, tree) from None
    for key, entry in tree.entries.items():
        if key == "schemes":
            raise SceneError("schemes: an overlay is one set of changes; schemes stand in the scene", entry.mark)
        if key == "builds_on":
            raise SceneError("builds_on: an overlay says what it is laid over as `scheme: NAME`", entry.mark)
        if key == "catalogs":
            raise SceneError("catalogs: are named in the scene that the overlay is based on", entry.mark)
        if key not in (*OverlayHead.model_fields, *SECTIONS, "remove"):
            raise SceneError(unknown_key(key, [*OverlayHead.model_fields, *SECTIONS, "remove"]), entry.mark)
    base, scheme = tree.get("based_on"), tree.get("scheme")
    assert isinstance(base, Text)
    return Overlay(tree, _read_base(base, tree, folder), scheme if isinstance(scheme, Text) else None)


def base_path(tree: Table, folder: Path) -> Path | None:
    """The file that an overlay is based on, whether it is there or not; None where it names none."""
    name = tree.get("based_on")
    return folder / name.value if isinstance(name, Text) and is_file_name(name.value) else None


def lay_over(scene: Table, overlay: Overlay) -> Table:
    """A scene's tree, under one of its schemes or none, with an overlay's changes made. Raises SceneError."""
    head = OverlayHead.model_fields
    changes = {key: entry for key, entry in overlay.tree.entries.items() if key not in head}
    changed = apply_changes(scene, replace(overlay.tree, entries=changes), "overlay")
    title: dict[str, Entry] = {key: overlay.tree.entries[key] for key in ("title",) if key in overlay.tree.entries}
    return replace(changed, entries={**changed.entries, **title})


def _read_base(name: Text, tree: Table, folder: Path) -> Table:
    need_file_name(name, "based_on")
    if name.value == Path(tree.mark.file).name:
        raise SceneError("based_on: an overlay cannot be based on itself; it names a scene beside it", name.mark)
    path = folder / name.value
    if not os.path.exists(path):
        there = ", ".join(listed(folder, "room")) or "no scenes"
        words = f"there is no {name.value[:60]} beside the overlay ({shown_path(folder)}), where there are: {there}"
        raise SceneError(f"based_on: {words}", name.mark)
    scene = read_brought(path, name.mark)
    if is_overlay(scene) or is_catalog(scene):
        what = "an overlay itself" if is_overlay(scene) else "a catalog"
        raise SceneError(f"based_on: {name.value} is {what}; an overlay is laid over a scene", name.mark)
    return scene
