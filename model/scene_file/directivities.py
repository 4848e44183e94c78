"""Builds what is known of how speaker types radiate; reads the files that say it, beside the file that names them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path as FilePath

from earshed.model.scene_file.beside import is_file_name
from earshed.model.scene_file.lookup import entries_of
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_sound import DirectivityFile, PistonFile
from earshed.model.scene_file.tree import Table, Text, shown_path
from earshed.model.sound.directivity import Source
from earshed.model.sound.piston import Piston
from earshed.model.sound.response import Response
from earshed.model.sound.response_table import read_response
from earshed.model.sound.sofa import read_sofa
from earshed.model.sound.table_rows import LARGEST_TABLE, BadResponse

READ_FROM = ("measured", "sofa")
"""Keys of a directivity that name a file."""
MOST_LISTED = 8


def build_directivity(entry: DirectivityFile | None, folder: FilePath, path: Path) -> Source | None:
    """How a type radiates, where more is known than its coverage angle; files are in `folder`. Raises Misfit."""
    if entry is None:
        return None
    if entry.piston is not None:
        return _piston(entry.piston)
    key, name = ("measured", entry.measured) if entry.measured is not None else ("sofa", entry.sofa)
    assert name is not None
    where = (*path, key)
    if not is_file_name(name):
        raise Misfit(f"{name[:60]} is not a plain file name; the file stands beside the one that names it", where)
    file = folder / name
    try:
        if not file.is_file():
            raise Misfit(_not_there(name, folder), where)
        told = file.stat()
        return _read(key, file, (told.st_mtime_ns, told.st_size))
    except OSError as error:
        raise Misfit(f"{name[:60]} cannot be read: {error.strerror or error}", where) from None
    except BadResponse as error:
        raise Misfit(str(error), where) from None


def _piston(entry: PistonFile) -> Piston:
    tweeter = None if entry.tweeter is None else entry.tweeter / 2
    return Piston(entry.woofer / 2, tweeter, entry.crossover)


@lru_cache(maxsize=64)
def _read(key: str, file: FilePath, _: tuple[int, int]) -> Response:
    """The directivity in a file, kept while its time and size, the last argument, stay: each scheme reads it again.

    Raises BadResponse and OSError.
    """
    if key == "sofa":
        return read_sofa(file, file.name)
    with file.open("rb") as table:
        return read_response(table.read(LARGEST_TABLE + 1), file.name)


def _not_there(name: str, folder: FilePath) -> str:
    suffix = FilePath(name).suffix.lower()
    try:
        there = sorted(each.name for each in folder.iterdir() if each.suffix.lower() == suffix)[:MOST_LISTED]
    except OSError:
        there = []
    others = f"; there are {', '.join(there)}" if there else ""
    return f"there is no file {name[:60]} in {shown_path(folder)}, where the file is that names it{others}"


def type_folders(scene: Table) -> dict[str, FilePath]:
    """By the names of speaker types, the folder of the file that says how each radiates."""
    return {name: file.parent for name, _, file in _named(scene)}


def response_paths(scene: Table) -> Iterator[FilePath]:
    """The files of directivity that a tree names, under its schemes too."""
    for table in (scene, *(entry.node for entry in entries_of(scene, "schemes").values())):
        for _, name, file in _named(table) if isinstance(table, Table) else ():
            if is_file_name(name):
                yield file.parent / name


def _named(scene: Table) -> Iterator[tuple[str, str, FilePath]]:
    """Types whose directivity is in a file: their names, its name, and the file that names it."""
    for name, kind in entries_of(scene, "speaker_types").items():
        said = kind.node.get("directivity") if isinstance(kind.node, Table) else None
        for key in READ_FROM:
            node = said.get(key) if isinstance(said, Table) else None
            if isinstance(node, Text):
                yield name, node.value, FilePath(node.mark.file)
