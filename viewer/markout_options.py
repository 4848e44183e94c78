"""Options of a mark-out, which `markout` and `pack` share."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import MarkOut, mark_out
from earshed.model.mark_out.second import second_choices
from earshed.model.ruler import Ruler
from earshed.model.scene import Scene
from earshed.model.search.place import Place
from earshed.viewer.output import OutputError

F = TypeVar("F", bound=Callable[..., Any])


def markout_options(command: F) -> F:
    """From where tapes are pulled."""
    for option in (
        click.option(
            "--base", metavar="NAME", help="Tape slopes from here where a face has it: low, ridge, or a wall by name."
        ),
        click.option(
            "--from", "start", metavar="NAME", help="Tape levels from here: center, a wall, or a datum of the scene."
        ),
    ):
        command = option(command)
    return command


def made_from(scene: Scene, ruler: Ruler, path: Path, wish: Wish, names: Sequence[str] = ()) -> MarkOut:
    """The mark-out of a scene, from what is wished. Raises OutputError for what is not there."""
    known = [one.name for one in scene.speakers if one.surface is not None]
    for name in names:
        if name not in known:
            raise OutputError(f"{path} has no speaker {name} with a hole; it has {', '.join(known) or 'none'}")
    if not known:
        raise OutputError(f"{path} has no speaker that is cut into a face; give one a mount of in-ceiling or in-wall")
    try:
        return mark_out(scene, ruler, wish, names)
    except ValueError as error:
        raise OutputError(f"{path}: {error}") from None


def found_seconds(made: MarkOut, *, quiet: bool) -> dict[str, Place]:
    """The second choice for each hole, with progress on stderr where someone looks on."""
    seconds: dict[str, Place] = {}
    hidden = quiet or not sys.stderr.isatty()
    with click.progressbar(length=1000, label="second choices", file=sys.stderr, hidden=hidden) as bar:
        for share, found in second_choices(made.scene, [mark.speaker for mark in made.holes]):
            seconds |= found
            bar.update(int(1000 * share) - bar.pos)
    return seconds
