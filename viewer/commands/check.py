"""earshed check: tables and findings."""

from __future__ import annotations

import importlib
from pathlib import Path

import click

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import read_scene
from earshed.viewer.documents import check_document
from earshed.viewer.output import OutputError, print_json
from earshed.viewer.session import SceneCommand, end, scene_options, stem_of
from earshed.viewer.tables import print_check


@click.command("check", cls=SceneCommand)
@scene_options
@click.option("--watch", "watching", is_flag=True, help="Do it again at every save, with a picture; Ctrl-C ends it.")
@click.option(
    "--picture",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="With --watch: file for the picture.  [default: SCENE-SCHEME-watch.png]",
)
@click.option("--force", is_flag=True, help="With --watch: replace a picture that was there before.")
def command(scene: Path, scheme: str | None, as_json: bool, watching: bool, picture: Path | None, force: bool) -> None:
    """Print what each seat gets from each speaker, and what cannot be built as drawn.

    Ends with 1 where something cannot be built, 2 where the scene cannot be read.
    """
    if watching and as_json:
        raise OutputError("--watch prints again and again, and --json is one document; leave one of them out")
    if (picture or force) and not watching:
        raise OutputError("--picture and --force go with --watch")
    if watching:
        watch = importlib.import_module("earshed.viewer.watch").watch  # what draws maps, needed for this alone
        watch(scene, scheme, picture or Path(f"{stem_of(scene, scheme)}-watch.png"), force=force)
    room = read_scene(scene, scheme)
    pairs = seat_pairs(room)
    findings = find_all(room, pairs)
    if as_json:
        print_json(check_document(room, pairs, findings))
    else:
        print_check(room, pairs, findings)
    end(findings)
