"""What comes out: one JSON document, and files that are whole or not there at all."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, BinaryIO

import click

FORMAT = 1
"""Of what --json prints."""


class OutputError(Exception):
    """Something that cannot be written; the message says why and what would help."""


class ReaderGone(Exception):
    """Nobody reads what is printed any more, as with `| head`."""


def print_json(document: dict[str, Any]) -> None:
    """One JSON document on stdout, of plain doubles. Raises ValueError for a number that is not finite."""
    click.echo(json.dumps({"format": FORMAT, **document}, allow_nan=False, indent=1))


def print_json_error(message: str, file: str, line: int = 1, column: int = 1) -> None:
    """The JSON document of what could not be done; without a place of its own it stands at the start of its file."""
    print_json(error_document(message, file, line, column))


def error_document(message: str, file: str, line: int = 1, column: int = 1) -> dict[str, Any]:
    """What could not be done, and where, as a plain document."""
    return {"error": {"message": message, "file": file, "line": line, "column": column}}


def refuse_existing(paths: Iterable[Path], *, force: bool, option: str = "--out") -> None:
    """Raises OutputError for files that are already there, unless they may be replaced; `option` moves them."""
    try:
        there = [path for path in paths if path.exists()]
    except OSError as error:  # a name too long, a folder that may not be searched
        raise OutputError(f"cannot write {error.filename}: {error.strerror}") from None
    if there and not force:
        more = f" (and {len(there) - 1} more)" if len(there) > 1 else ""
        raise OutputError(f"{there[0]} exists already{more}; add --force to replace it, or choose another {option}")


def need_picture(path: Path, *, force: bool) -> None:
    """Raises OutputError for a file that is to be a picture and does not say so, or is there already."""
    if path.suffix.lower() != ".png":
        raise OutputError(f"{path}: pictures are written as .png")
    refuse_existing([path], force=force)


def make_folder(folder: Path) -> None:
    """Makes a folder and those above it. Raises OutputError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"cannot make the folder {folder}: {error.strerror or error}") from None


def write_whole(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Writes a file beside its place and moves it there when it is complete. Raises OutputError.

    Whatever stops the writing, Ctrl-C included, leaves neither a part of the file nor a trace beside it.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
    except OSError as error:
        raise OutputError(f"cannot write in {path.parent}: {error.strerror or error}") from None
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            write(file)
        part.chmod(0o666 & ~_umask())
        part.replace(path)
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}") from None
    finally:
        part.unlink(missing_ok=True)


def write_bytes(path: Path, content: bytes) -> None:
    """Writes a file whole or not at all. Raises OutputError."""
    write_whole(path, lambda file: file.write(content))


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def file_name(name: str) -> str:
    """A name made fit for any file system: letters, digits and dashes, at most 60 characters."""
    kept = "".join(char if char.isalnum() and char.isascii() else "-" for char in name.lower())
    return "-".join(part for part in kept.split("-") if part)[:60] or "unnamed"


def file_names(names: Iterable[str]) -> dict[str, str]:
    """A distinct file name for each of some distinct names."""
    taken: dict[str, str] = {}
    for name in names:
        stem, number = file_name(name), 2
        while stem in taken.values():
            stem, number = f"{file_name(name)[:56]}-{number}", number + 1
        taken[name] = stem
    return taken
