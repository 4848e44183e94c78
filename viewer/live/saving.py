"""Saving what was changed: as a file of changes, or as a copy of the scene with one more scheme; never over a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from earshed.model.editing.overlay import overlay_of
from earshed.model.editing.scheme_file import with_scheme
from earshed.model.editing.summary import changes_in_words
from earshed.model.scene_file.beside import is_file_name
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.desk import Desk
from earshed.viewer.output import OutputError, file_name, write_bytes

MOST_WORDS = 60


def file_offers(desk: Desk) -> dict[str, Any]:
    """What the page asks before it saves: what has changed, in words, and names of files that are free."""
    path = desk.draft.path
    folder, stem = path.parent, path.stem
    name = _free_scheme(desk)
    lines = changes_in_words(desk.opened.scene, desk.answer.scene, desk.changes)
    return {
        "words": [str(line) for line in lines[:MOST_WORDS]],
        "files": {
            "opened": path.name,
            "name": name,
            "overlay": free_name(folder, f"{stem}-{file_name(desk.scheme or 'base')}-changes"),
            "scheme": free_name(folder, f"{stem}-{file_name(name)}"),
        },
    }


def save(desk: Desk, asked: Asked) -> str:
    """Saves as it is asked; gives what to say. Raises Refused where it cannot be, and then there is no new file."""
    file, kind = asked.text("file").strip(), asked.text("as")
    path = new_file(desk.draft.path.parent, file)
    if kind == "overlay":
        text, scheme = _overlay(desk), desk.scheme
    elif kind == "scheme":
        scheme = asked.text("name").strip()
        text = _with_scheme(desk, scheme)
    else:
        raise Refused("changes are saved as overlay or as scheme")
    write_text(path, text)
    try:
        read_scene(path, scheme or "base")
    except SceneError as error:  # nothing that does not read back is left lying about
        path.unlink(missing_ok=True)
        raise Refused(f"what would be saved does not read back: {error.words}") from None
    desk.note_saved()
    command = f"earshed check {path.name}" + (f' --scheme "{scheme}"' if kind == "scheme" else "")
    return f"Saved as {path.name}. The same figures come from: {command}"


def _overlay(desk: Desk) -> str:
    try:
        return overlay_of(desk.draft, desk.scheme, desk.changes)
    except SceneError as error:
        raise Refused(error.words) from None


def _with_scheme(desk: Desk, name: str) -> str:
    try:
        text = desk.draft.scene_path.read_bytes().decode("utf-8")
        return with_scheme(text, name, desk.scheme, desk.changes)
    except OSError as error:
        raise Refused(f"{desk.draft.scene_path.name} cannot be read: {error.strerror or error}") from None
    except ValueError as error:  # a name that is taken, or a file that is no scene any more
        raise Refused(str(error)) from None


def new_file(folder: Path, name: str) -> Path:
    """The path of a file that is not there yet. Raises Refused."""
    if not is_file_name(name) or Path(name).suffix.lower() not in (".yaml", ".yml"):
        raise Refused(f"{name[:60] or 'nothing'} is not the plain name of a .yaml file, such as room-changes.yaml")
    path = folder / name
    if path.exists() or path.is_symlink():
        raise Refused(f"{name} exists already; choose another name: no file is written over")
    return path


def write_text(path: Path, text: str) -> None:
    try:
        write_bytes(path, text.encode("utf-8"))
    except OutputError as error:
        raise Refused(str(error)) from None


def free_name(folder: Path, stem: str) -> str:
    """A name for a file that is not there."""
    names = (f"{stem}{'' if number == 1 else f'-{number}'}.yaml" for number in range(1, 1000))
    return next((name for name in names if not (folder / name).exists()), f"{stem}.yaml")


def _free_scheme(desk: Desk) -> str:
    stem = f"{desk.scheme} changed" if desk.scheme else "changed"
    names = (stem if number == 1 else f"{stem} {number}" for number in range(1, 1000))
    return next(name for name in names if name not in desk.draft.schemes)
