"""earshed check: tables and findings."""

from __future__ import annotations

from pathlib import Path

import click

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import read_scene
from earshed.viewer.documents import check_document
from earshed.viewer.output import print_json
from earshed.viewer.session import SceneCommand, end, scene_options
from earshed.viewer.tables import print_check


@click.command("check", cls=SceneCommand)
@scene_options
def command(scene: Path, scheme: str | None, as_json: bool) -> None:
    """Print what each seat gets from each speaker, and what cannot be built as drawn.

    Ends with 1 where something cannot be built, 2 where the scene cannot be read.
    """
    room = read_scene(scene, scheme)
    pairs = seat_pairs(room)
    findings = find_all(room, pairs)
    if as_json:
        print_json(check_document(room, pairs, findings))
    else:
        print_check(room, pairs, findings)
    end(findings)
