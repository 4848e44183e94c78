"""earshed markout: the tape measurements that place every hole, and sheets of them to carry up the ladder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.mark_out.second import second_choices
from earshed.model.scene_file.read import read_scene
from earshed.viewer.markout_document import markout_document
from earshed.viewer.markout_options import made_from, markout_options
from earshed.viewer.markout_tables import print_mark_out
from earshed.viewer.output import print_json
from earshed.viewer.session import SceneCommand, end, scene_options


@click.command("markout", cls=SceneCommand)
@scene_options
@markout_options
@click.option("--speaker", "names", metavar="NAME", multiple=True, help="Only this speaker; may be repeated.")
def command(scene: Path, scheme: str | None, as_json: bool, names: tuple[str, ...], **options: Any) -> None:
    """Print for every hole the tapes that place it on its slope, the checks that prove it, and what is round it.

    Each tape runs from where it begins to the hole itself. Ends with 1 where a hole cannot be cut as drawn.
    """
    room = read_scene(scene, scheme)
    made = made_from(room, scene, options, names)
    seconds = second_choices(room, [one.speaker for one in made.holes])
    if as_json:
        print_json(markout_document(made, seconds, []))
    else:
        print_mark_out(made, seconds, [])
    end(made.findings)
