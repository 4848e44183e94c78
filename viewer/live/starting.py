"""Where there is no scene yet: the shipped ones to try, and a first room of one's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.tree import Text, parse_tree
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.first_room import form
from earshed.viewer.live.saving import free_name, new_file, write_text

LONGEST_ANSWER = 200


@dataclass(frozen=True)
class Shipped:
    """A scene that comes with Earshed: its file's name, its title, and what it teaches in a sentence."""

    file: str
    title: str
    teaches: str
    text: str


def shipped_scenes() -> list[Shipped]:
    """The scenes that come along, by the names of their files."""
    found = []
    for one in sorted(files("earshed.scenes").iterdir(), key=lambda entry: entry.name):
        if one.name.endswith(".yaml"):
            text = one.read_text(encoding="utf-8")
            try:
                title = parse_tree(text, one.name).get("title")
            except SceneError:
                continue
            first = text.splitlines()[0].lstrip("# ").rstrip(".").partition(": ")[2]
            found.append(Shipped(one.name, title.value if isinstance(title, Text) else one.name, first, text))
    return found


def start_document(folder: Path, said: Mapping[str, Any]) -> dict[str, Any]:
    """What a page without a scene shows: what can be opened, and the questions for a first room as far as they go."""
    answers = {key: text for key, text in said.items() if isinstance(text, str) and len(text) <= LONGEST_ANSWER}
    return {
        "folder": str(folder),
        "shipped": [{"file": one.file, "title": one.title, "teaches": one.teaches} for one in shipped_scenes()],
        "form": form(answers).document,
    }


def copied(folder: Path, asked: Asked) -> Path:
    """Copies a shipped scene to the folder, under a name that is free: what is changed is the user's own then.

    Raises Refused.
    """
    name = asked.text("scene")
    for one in shipped_scenes():
        if one.file == name:
            path = folder / free_name(folder, Path(name).stem)
            write_text(path, one.text)
            return path
    raise Refused(f"no scene called {name[:60]} comes with Earshed")


def begun(folder: Path, asked: Asked) -> Path:
    """Writes the first scene that answers make, under the name that is asked for. Raises Refused."""
    said = asked.said.get("answers")
    if not isinstance(said, dict):
        raise Refused("answers: needs a table of answers")
    answers = {str(key): text for key, text in said.items() if isinstance(text, str) and len(text) <= LONGEST_ANSWER}
    found = form(answers)
    if not found.complete:
        raise Refused("some questions are still open")
    path = new_file(folder, asked.text("file").strip())
    write_text(path, found.text(path.name))
    return path
