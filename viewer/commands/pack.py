"""earshed pack: every sheet that goes up the ladder, in one document."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.checks.run import find_all
from earshed.model.mark_out.hung import Wish
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import read_scene
from earshed.viewer.markout_options import found_seconds, made_from, markout_options
from earshed.viewer.output import print_json, write_bytes
from earshed.viewer.session import SceneCommand, end, printed_date, scene_options
from earshed.viewer.sheets.options import chosen_paper, chosen_scale, need_pdf, printed_in, sheet_options
from earshed.viewer.sheets.pack import Print, pack_pdf
from earshed.viewer.sheets.plans import PlanOptions


@click.command("pack", cls=SceneCommand)
@scene_options
@click.option("--out", metavar="FILE", required=True, type=click.Path(path_type=Path), help="File for it, a PDF.")
@click.option("--scale", metavar="S", help="Of the plans: 1:25, 1/4in (to the foot) and the like; else what fits.")
@markout_options
@sheet_options
def command(scene: Path, scheme: str | None, as_json: bool, out: Path, **options: Any) -> None:
    """Write the whole pack: cautions, checks, ceiling plan, elevations, mark-out, and the wiring with its labels.

    The wiring is in it where the scene says where the rack is. Ends with 1 where something cannot be built as drawn.
    """
    room, ruler = printed_in(read_scene(scene, scheme), options["step"])
    need_pdf(out, force=options["force"])
    scale = chosen_scale(options["scale"])
    paper = chosen_paper(options["paper"], room)
    plans = PlanOptions(scale, paper if scale or options["paper"] else None, ruler=ruler)
    made = None
    if any(one.surface is not None for one in room.speakers):
        made = made_from(room, ruler, scene, Wish(options["base"], options["start"]))
    seconds = {} if made is None else found_seconds(made, quiet=as_json)
    write_bytes(out, pack_pdf(room, made, seconds, plans, Print(paper, printed_date(options["on"]))))
    if as_json:
        print_json({"scene": room.title, "scheme": room.scheme, "files": [str(out)]})
    else:
        click.echo(f"wrote {out}")
    end(find_all(room, seat_pairs(room)))
