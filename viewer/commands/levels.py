"""earshed levels: how loud, how even and when each speaker arrives, and what to set for that."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from earshed.model.scene_file.read import read_scene
from earshed.model.sound.balance import balances
from earshed.model.sound.bands import Bands
from earshed.model.sound.commissioning import expected
from earshed.model.sound.level import Air, Drive
from earshed.model.sound.readings import compared
from earshed.viewer.band_options import bands_option
from earshed.viewer.level_document import levels_document
from earshed.viewer.level_tables import print_levels
from earshed.viewer.level_words import read_air, read_drive
from earshed.viewer.output import OutputError, print_json, write_bytes
from earshed.viewer.session import SceneCommand, scene_options
from earshed.viewer.sheets.options import loaded_pack, need_pdf, printed_in, sheet_options


def _read(parse: Callable[[str], Any]) -> Callable[[click.Context, click.Parameter, str | None], Any]:
    def read(ctx: click.Context, parameter: click.Parameter, text: str | None) -> Any:
        try:
            return None if text is None else parse(text)
        except ValueError as error:
            raise click.BadParameter(str(error)) from None

    return read


@click.command("levels", cls=SceneCommand)
@scene_options
@click.option(
    "--drive", metavar="V|W", default="2.83V", show_default=True, callback=_read(read_drive), help="As 2.83V or 20W."
)
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="Commissioning sheet, a PDF.")
@bands_option
@sheet_options
@click.option("--air", metavar="AIR", callback=_read(read_air), help="Let air take its share, as 20C 50%.")
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    drive: Drive,
    air: Air | None,
    out: Path | None,
    bands: Bands,
    **options: Any,
) -> None:
    """Print what arrives of each speaker: when, how loud at each main seat, how even from seat to seat, band by band.

    And the distances, delays and trims to type into a processor for the reference position; and where the scene says
    what was measured on site, that against what is expected. With --out a sheet to fill in once all is wired: what each
    should measure, what it does, and blanks for what nobody has read yet.
    """
    room, _ = printed_in(read_scene(scene, scheme), options["step"])
    if not room.seats:
        raise OutputError(f"{scene} has no seats to listen from; add some under seats:")
    if not room.judged:
        raise OutputError(f"{scene} has no speakers with a coverage angle; add some under speakers:")
    if out is not None:
        need_pdf(out, force=options["force"])
        pack, print_ = loaded_pack(room, options)
        write_bytes(out, pack.commission_pdf(room, print_))
    found = balances(room, drive, air, bands)
    against = compared(expected(room, found))
    if as_json:
        print_json({**levels_document(room, found, drive, against), "files": [str(out)] if out is not None else []})
    else:
        print_levels(room, found, drive, against)
        if out is not None:
            click.echo(f"written: {out}")
