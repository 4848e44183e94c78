"""earshed types: how each speaker type radiates."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import Bands
from earshed.viewer.band_options import bands_option
from earshed.viewer.output import OutputError, print_json, write_bytes
from earshed.viewer.session import SceneCommand, scene_options
from earshed.viewer.sheets.options import loaded_pack, need_pdf, printed_in, sheet_options
from earshed.viewer.type_document import types_document
from earshed.viewer.type_tables import print_types
from earshed.viewer.type_words import types_used


@click.command("types", cls=SceneCommand)
@scene_options
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for a sheet of each type, a PDF.")
@bands_option
@sheet_options
def command(scene: Path, scheme: str | None, as_json: bool, out: Path | None, bands: Bands, **options: Any) -> None:
    """Print for each speaker type that is placed how wide it radiates, and how much it gathers, band by band.

    And from where that is known: measured, from the sizes of its drivers, or guessed from its coverage angle.
    """
    room, _ = printed_in(read_scene(scene, scheme), options["step"])
    if not room.speakers:
        raise OutputError(f"{scene} has no speakers; add some under speakers:")
    written = []
    if out is not None:
        need_pdf(out, force=options["force"])
        pack, print_ = loaded_pack(room, options)
        write_bytes(out, pack.types_pdf(room, print_))
        written.append(out)
    sounds = types_used(room, bands)
    if as_json:
        print_json(types_document(room, sounds, written))
    else:
        print_types(room, sounds, written)
