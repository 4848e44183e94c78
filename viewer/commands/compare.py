"""earshed compare: two schemes of a scene, or two files, before and after."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

import click

from earshed.model.compare.maps import MapChange, RoomsDiffer, map_change
from earshed.model.listening_plane import PlaneTooFine
from earshed.viewer.collecting import collecting_by_hand
from earshed.viewer.compare.asked import Compared, compared
from earshed.viewer.compare.document import compare_document
from earshed.viewer.compare.tables import print_compared, printed_files
from earshed.viewer.compare.words import areas_sentence
from earshed.viewer.output import OutputError, print_json
from earshed.viewer.plane import too_fine_words
from earshed.viewer.session import SceneCommand, date_option, end, force_option, printed_date, size_option


@click.command("compare", cls=SceneCommand)
@click.argument("scene", type=click.Path(path_type=Path))
@click.argument("other", type=click.Path(path_type=Path), required=False)
@click.option("--before", metavar="NAME", help="Scheme to begin with, or base.  [default: as found]")
@click.option("--after", metavar="NAME", help="Scheme to end with, or base.  [default: proposed]")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of tables.")
@click.option("--out", type=click.Path(path_type=Path), help="A page, FILE.html, or a folder for pictures and page.")
@size_option
@force_option
@date_option
def command(
    scene: Path,
    other: Path | None,
    before: str | None,
    after: str | None,
    as_json: bool,
    out: Path | None,
    size: tuple[int, int],
    force: bool,
    on: Any,
) -> None:
    """Hold two schemes of a scene against each other, or two files: what each seat gains, and what it takes.

    With --out as one page that a client can open anywhere, or as pictures side by side. Ends with 1 where something
    in either scene cannot be built as drawn.
    """
    found = compared([scene, other] if other else [scene], before, after)
    maps = _maps(found)
    files: list[Path] = []
    if out is not None:
        if isinstance(maps, str):
            raise OutputError(f"no pictures of {found.before.label} and {found.after.label}: {maps}")
        drawing = importlib.import_module("earshed.viewer.compare.files")  # what draws, needed for this alone
        wanted = drawing.Wanted(out, size, printed_date(on), force)
        files = _write(found, maps, drawing, wanted, quiet=as_json)
    areas = f"No maps: {maps}." if isinstance(maps, str) else areas_sentence(found.change, maps)
    if as_json:
        print_json(compare_document(found, maps, files))
    else:
        print_compared(found, areas)
        printed_files(files)
    end(found.findings)


def _write(found: Compared, maps: MapChange, drawing: Any, wanted: Any, *, quiet: bool) -> list[Path]:
    """Draws and writes all that is asked for."""
    drawing.need_place(wanted)
    steps = 2 + sum(signal.in_both for signal in found.change.changed)
    hidden = quiet or not sys.stderr.isatty()
    bar = click.progressbar(length=steps, label="drawing", file=sys.stderr, hidden=hidden)
    with collecting_by_hand(), bar as progress:
        drawn = drawing.draw_all(found, maps, lambda: progress.update(1))
    files: list[Path] = drawing.write_files(found, drawn, wanted, areas_sentence(found.change, maps))
    return files


def _maps(found: Compared) -> MapChange | str:
    """The maps of both scenes on one grid, or why there are none."""
    if not found.change.signals:
        return "neither has speakers with a coverage angle"
    try:
        return map_change(found.before.scene, found.after.scene, found.change.signals)
    except RoomsDiffer as error:
        return str(error)
    except PlaneTooFine as error:
        return f"the finer listening_plane has too small a step: {too_fine_words(error, found.after.scene.print_units)}"
