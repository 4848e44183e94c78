"""Catalogs: files of types and sizes, laid under the scenes that name them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from earshed.model.scene_file.beside import is_file_name, listed, need_file_name
from earshed.model.scene_file.fields import Member, Name, Part, Words
from earshed.model.scene_file.messages import schema_error
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.schema_fixtures import FixtureTypeFile
from earshed.model.scene_file.schema_materials import MaterialFile
from earshed.model.scene_file.schema_speakers import SpeakerTypeFile
from earshed.model.scene_file.tree import Entry, Items, Table, Text, plain, read_brought, shown_path

GENERIC = "generic"
"""The word for the catalog that comes with the program."""
BY_CATALOG = ("members", "materials", "fixture_types", "speaker_types")


class CatalogFile(Part):
    format: Literal["1"]
    catalog: Words
    members: dict[Name, Member] = Field(default_factory=dict)
    materials: dict[Name, MaterialFile] = Field(default_factory=dict)
    fixture_types: dict[Name, FixtureTypeFile] = Field(default_factory=dict)
    speaker_types: dict[Name, SpeakerTypeFile] = Field(default_factory=dict)


def is_catalog(tree: Table) -> bool:
    return "catalog" in tree.entries and "room" not in tree.entries


def lay_catalogs(scene: Table, folder: Path) -> Table:
    """A scene's tree over the catalogs that it names; its own types stand before theirs, and the first named wins.

    `folder` is the scene's. Raises SceneError for a catalog that is not there or that is not right as a whole, also
    where the scene uses none of it.
    """
    entries = dict(scene.entries)
    for name in _names(scene):
        catalog = _read(name, folder)
        for section in BY_CATALOG:
            if section in catalog.entries:
                entries[section] = _laid_under(entries.get(section), catalog.entries[section])
    return replace(scene, entries=entries)


def catalog_paths(scene: Table, folder: Path) -> Iterator[Path]:
    """The files of the catalogs that a scene names; for one that is not there, where it would be beside the scene."""
    node = scene.get("catalogs")
    for name in node.nodes if isinstance(node, Items) else ():
        if isinstance(name, Text) and is_file_name(name.value):
            yield _found(name.value, folder) or folder / name.value


def config_folder() -> Path:
    """The user's folder for catalogs of every scene: %APPDATA% on Windows, else the XDG base directory's.

    XDG Base Directory Specification 0.8: a path that is not absolute is passed over.
    """
    named = os.environ.get("APPDATA" if sys.platform == "win32" else "XDG_CONFIG_HOME", "")
    home = Path(named) if os.path.isabs(named) else Path(os.path.expanduser("~"), ".config")
    return home / "earshed"


def _names(scene: Table) -> list[Text]:
    node = scene.get("catalogs")
    if node is None:
        return []
    if not isinstance(node, Items):
        raise SceneError("catalogs: must be a list, as in [generic, my-types.yaml]", node.mark)
    names: list[Text] = []
    for name in node.nodes:
        if not isinstance(name, Text):
            raise SceneError("catalogs: must be a list of file names, or generic", name.mark)
        for other in names:
            if other.value == name.value:
                raise SceneError(f"catalogs: {name.value} is named already on line {other.mark.line}", name.mark)
        names.append(name)
    return names


def _read(name: Text, folder: Path) -> Table:
    """A catalog's tree, checked. Raises SceneError."""
    need_file_name(name, "catalogs")
    path = _found(name.value, folder)
    if path is None:
        raise SceneError(_not_found(name.value, folder), name.mark)
    tree = read_brought(path, name.mark)
    if "catalog" not in tree.entries:
        for key, what in (("based_on", "an overlay"), ("room", "a scene")):
            if key in tree.entries:
                words = f"{name.value} is {what}, not a catalog, which begins with `format: 1` and `catalog: TITLE`"
                raise SceneError(words, name.mark)
    if "catalogs" in tree.entries:
        words = "a catalog brings no catalogs of its own; name them all in the scene"
        raise SceneError(words, tree.entries["catalogs"].mark)
    try:
        CatalogFile.model_validate(plain(tree))
    except ValidationError as error:
        raise schema_error(error, tree) from None
    return tree


def _found(name: str, folder: Path) -> Path | None:
    if name == GENERIC:
        return Path(str(files("earshed.scenes").joinpath("catalogs", "generic.yaml")))
    places = (folder / name, config_folder() / name)
    return next((path for path in places if os.path.exists(path)), None)


def _not_found(name: str, folder: Path) -> str:
    config = config_folder()
    places = f"beside the scene ({shown_path(folder)}) and in your configuration folder ({shown_path(config)})"
    there = dict.fromkeys([*listed(folder, "catalog"), *listed(config, "catalog"), GENERIC])
    return f"there is no catalog {name[:60]}: looked {places}; there are {', '.join(there)} (which comes with earshed)"


def _laid_under(own: Entry | None, catalog: Entry) -> Entry:
    """A section of a scene with what a catalog has besides."""
    if own is None:
        own = Entry(catalog.mark, Table({}, catalog.node.mark))
    if not isinstance(own.node, Table) or not isinstance(catalog.node, Table):  # which the schema will refuse
        return own
    more = {name: replace(e, borrowed=True) for name, e in catalog.node.entries.items() if name not in own.node.entries}
    return Entry(own.mark, replace(own.node, entries={**own.node.entries, **more}))
