"""earshed map: coverage maps and the numbers behind them."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from earshed.model.checks.run import find_all
from earshed.model.coverage_map import CoverageMap, map_coverage
from earshed.model.finding import Finding
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import Bands
from earshed.viewer.band_options import band_of, bands_option
from earshed.viewer.collecting import collecting_by_hand, free_pages
from earshed.viewer.data_files import seats_csv, write_arrays
from earshed.viewer.documents import finding_documents
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.output import OutputError, make_folder, print_json, refuse_existing, write_bytes, write_whole
from earshed.viewer.plane import plane_of
from earshed.viewer.quantities import QUANTITIES, Asked, Found, Quantity, levels_of, pages
from earshed.viewer.session import (
    SceneCommand,
    chosen_speakers,
    end,
    picture_options,
    printed_date,
    scene_options,
    stem_of,
)
from earshed.viewer.tables import print_map


@click.command("map", cls=SceneCommand)
@scene_options
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.  [default: SCENE-SCHEME-map]")
@click.option(
    "--quantity", type=click.Choice(QUANTITIES), default="off-axis", show_default=True, help="What the pictures show."
)
@click.option("--band", metavar="HZ", default="4k", show_default=True, help="Band of level and spread.")
@bands_option
@picture_options
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    out: Path | None,
    names: tuple[str, ...],
    size: tuple[int, int],
    force: bool,
    on: Any,
    quantity: Quantity,
    band: str,
    bands: Bands,
) -> None:
    """Map the off-axis angle, the level, the spread or the shadows over the listening plane.

    Writes a picture per speaker and one for the set, coverage.npz (the maps as arrays) and seats.csv (the exact
    figures seat by seat). Of level a picture per speaker against the reference position, of spread one of how unequal
    the channels are, of shadow what each speaker does not see and what stands in its way.
    """
    asked = Asked(quantity, bands, band_of(band, bands))
    room = read_scene(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    if asked.of_levels and not room.seats:
        raise OutputError(f"{scene} has no seats, so no reference position to hold levels against")
    what = "map" if quantity == "off-axis" else f"{quantity}-map"
    folder = out or Path(f"{stem_of(scene, scheme)}-{what}")
    pictures, arrays, figures = asked.files(speakers, folder), folder / "coverage.npz", folder / "seats.csv"
    files = [*pictures.values(), arrays, figures]
    refuse_existing(files, force=force)
    plane = plane_of(room, scene)
    pairs = seat_pairs(room)
    mapped = [pair for pair in pairs if pair.speaker in speakers]
    cover = map_coverage(room, plane, speakers)
    found = Found(MapSheet(room, size, printed_date(on), plane), cover, mapped, levels_of(cover, room, asked))
    make_folder(folder)

    write_whole(arrays, lambda file: write_arrays(file, cover, found.levels))
    write_bytes(figures, seats_csv(mapped))
    with collecting_by_hand(), _progress(len(pictures), quiet=as_json) as progress:
        for name, page in pages(asked, found):
            write_bytes(pictures[name], page)
            progress.update(1)
            free_pages()

    findings = find_all(room, pairs)
    if as_json:
        print_json(_document(room, files, cover, findings))
    else:
        print_map(files, cover, findings)
        if found.levels is None:
            click.echo(f"{arrays} is without levels, which would be too many: set a coarser listening_plane step")
    end(findings)


def _progress(length: int, *, quiet: bool) -> Any:
    hidden = quiet or not sys.stderr.isatty()
    return click.progressbar(length=length, label="drawing", file=sys.stderr, hidden=hidden)


def _document(scene: Scene, files: Sequence[Path], cover: CoverageMap, findings: Sequence[Finding]) -> dict[str, Any]:
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "files": [str(path) for path in files],
        "shares": {"set": cover.set_shares, "speakers": cover.speaker_shares},
        "visible": {name: 1.0 - sum(hidden.values()) for name, hidden in cover.hidden_shares.items()},
        "hidden_by": cover.hidden_shares,
        "findings": finding_documents(findings),
    }
