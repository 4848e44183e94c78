"""earshed markout: the tape measurements that place every hole, and sheets of them to carry up the ladder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.mark_out.hung import Wish
from earshed.model.scene_file.read import read_scene
from earshed.viewer.markout_document import markout_document
from earshed.viewer.markout_options import found_seconds, made_from, markout_options
from earshed.viewer.markout_tables import print_mark_out
from earshed.viewer.output import print_json, write_bytes
from earshed.viewer.session import SceneCommand, end, scene_options
from earshed.viewer.sheets.options import loaded_pack, need_pdf, printed_in, sheet_options


@click.command("markout", cls=SceneCommand)
@scene_options
@markout_options
@click.option("--speaker", "names", metavar="NAME", multiple=True, help="Only this speaker; may be repeated.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="File for the sheets, a PDF.")
@sheet_options
def command(scene: Path, scheme: str | None, as_json: bool, names: tuple[str, ...], **options: Any) -> None:
    """Print for every hole the tapes that place it on its slope, the checks that prove it, and what is round it.

    With --out the same as sheets: one for the ceiling and the walls, and a page for each hole in large print. Ends with
    1 where a hole cannot be cut as drawn.
    """
    room, ruler = printed_in(read_scene(scene, scheme), options["step"])
    made = made_from(room, ruler, scene, Wish(options["base"], options["start"]), names)
    out = options["out"]
    if out is not None:
        need_pdf(out, force=options["force"])
    seconds = found_seconds(made, quiet=as_json)
    written = []
    if out is not None:
        pack, print_ = loaded_pack(room, options)
        write_bytes(out, pack.markout_pdf(made, seconds, print_))
        written.append(out)
    if as_json:
        print_json(markout_document(made, seconds, written))
    else:
        print_mark_out(made, seconds, written)
    end(made.findings)
