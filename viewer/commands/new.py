"""earshed new: a first scene, a blank survey sheet, or the schema that editors use."""

from __future__ import annotations

import json
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from earshed.model.scene_file.draft_text import draft_text
from earshed.model.scene_file.drafting import Drafted
from earshed.model.scene_file.json_schema import scene_schema
from earshed.model.units import BARE_UNITS
from earshed.viewer.interview import Given, Talk, interview
from earshed.viewer.letters import letters_for
from earshed.viewer.output import make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.questions import QUESTIONS
from earshed.viewer.section_sketch import section_sketch
from earshed.viewer.session import SceneCommand
from earshed.viewer.sketch import plan_sketch
from earshed.viewer.survey_sheet import survey_sheet

SKETCHED_IN_SECTION = ("the ceiling", "the speakers")
"""Steps that change how the room is seen from the side."""


def _answer_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """An option for every question."""
    for question in reversed(QUESTIONS):
        choices = f": {', '.join(question.choices)}" if question.choices else ""
        command = click.option(question.option, question.key, metavar="ANSWER", help=f"{question.words}{choices}.")(
            command
        )
    return command


@click.command("new", cls=SceneCommand)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of words and sketches.")
@click.option("--form", is_flag=True, help="Print a blank survey sheet, to be filled in with tape and pencil.")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of scene files, for editors.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="File for the sheet or the schema, instead of printing it."
)
@click.option("--force", is_flag=True, help="Replace a file that exists.")
@click.option("--yes", "takes_usual", is_flag=True, help="Take the usual answer to every question that has one.")
@click.option("--bare-lengths", type=click.Choice(BARE_UNITS), help="Unit of lengths without one.")
@_answer_options
@click.argument("scene", required=False, type=click.Path(path_type=Path))
def command(
    scene: Path | None,
    as_json: bool,
    form: bool,
    schema: bool,
    out: Path | None,
    force: bool,
    takes_usual: bool,
    **answers: str | None,
) -> None:
    """Write a first scene from a few dimensions, which are asked for unless they come as options.

    Walls, ceiling, picture and seats as told; speakers where a layout of Rec. ITU-R BS.2051-3 has them; the rest of the
    file as examples to fill in. Heights of ridges can be pitches, as 6 in 12.
    """
    if [scene is not None, form, schema].count(True) != 1:
        raise click.UsageError("name the scene to write, or ask for --form or --schema")
    given = {key: text for key, text in answers.items() if text is not None}
    if scene is None:
        if given or takes_usual or as_json:
            raise click.UsageError("answers and --json go with a scene, not with --form or --schema")
        _print_or_write(survey_sheet() if form else json.dumps(scene_schema(), indent=1) + "\n", out, force)
        return
    if out is not None:
        raise click.UsageError("--out goes with --form and --schema; the scene is written where it is named")
    _write_scene(scene, Given(given, _title(scene), takes_usual), force=force, as_json=as_json)


def _print_or_write(text: str, out: Path | None, force: bool) -> None:
    if out is None:
        click.echo(text, nl=False)
        return
    refuse_existing([out], force=force)
    make_folder(out.parent)
    write_bytes(out, text.encode("utf-8"))
    click.echo(f"Written: {out}")


def _write_scene(path: Path, given: Given, *, force: bool, as_json: bool) -> None:
    refuse_existing([path], force=force, option="name")
    talk = Conversation(quiet=as_json)
    made = interview(given, talk.talk)
    make_folder(path.parent)
    write_bytes(path, draft_text(made.draft, path.name).encode("utf-8"))
    if as_json:
        print_json({"scene": made.scene.title, "files": [str(path)], "notes": list(made.notes)})
        return
    talk.tell_notes(made)
    name = shlex.quote(str(path))
    click.echo(f"Written: {path}\nNext:\n  earshed check {name}")
    if made.scene.speakers:
        click.echo(f"  earshed map {name}")


def _title(path: Path) -> str:
    """A file's name as a title."""
    words = " ".join(path.stem.replace("-", " ").replace("_", " ").split())
    return words[:1].upper() + words[1:] if words.isprintable() and words else "A new room"


class Conversation:
    """Speaks with whoever sits at the terminal: questions, sketches, and notes, each note once.

    Sketches are shown to a terminal, or where questions were asked; `quiet` keeps them and all but the questions away.
    """

    def __init__(self, *, quiet: bool) -> None:
        self._quiet = quiet
        self._asked = False
        self._told: set[str] = set()
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")

    @property
    def talk(self) -> Talk:
        return Talk(self.say, self.ask, self.show)

    def say(self, line: str) -> None:
        click.echo(line, err=self._quiet)

    def ask(self, prompt: str) -> str | None:
        """A line of input, without its end; None where there is no more, or no input at all."""
        click.echo(prompt, nl=False, err=self._quiet)
        try:
            line = sys.stdin.readline() if sys.stdin else ""
        except (OSError, ValueError):  # input that is closed
            line = ""
        self._asked = True
        if not line or not sys.stdin.isatty():
            self.say(line.rstrip("\n"))
        return line.rstrip("\n") if line else None

    def show(self, step: str, made: Drafted) -> None:
        """Sketches what a step made of the room, and tells what was made to fit."""
        if self._quiet or not (self._asked or sys.stdout.isatty()):
            return
        letters = letters_for(sys.stdout.encoding)
        lines = plan_sketch(made.scene, letters)
        if step in SKETCHED_IN_SECTION:
            lines += section_sketch(made.scene, letters)
        click.echo("\n".join(["", *lines, ""]))
        self.tell_notes(made)

    def tell_notes(self, made: Drafted) -> None:
        for note in made.notes:
            if note not in self._told:
                click.echo(f"note: {note}")
        self._told |= set(made.notes)
