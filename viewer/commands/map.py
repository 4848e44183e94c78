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
from earshed.model.pairs import best_of_seats, seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.speaker import Speaker
from earshed.viewer.collecting import collecting_by_hand, free_pages
from earshed.viewer.data_files import seats_csv, write_arrays
from earshed.viewer.documents import finding_documents
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import set_page, speaker_page
from earshed.viewer.output import (
    OutputError,
    file_names,
    make_folder,
    print_json,
    refuse_existing,
    write_bytes,
    write_whole,
)
from earshed.viewer.plane import plane_of
from earshed.viewer.session import (
    SceneCommand,
    chosen_speakers,
    end,
    picture_options,
    printed_date,
    scene_options,
    stem_of,
)
from earshed.viewer.sound_maps import BANDS, QUANTITIES, Quantity, SoundMap, levels_of, sound_files, sound_pages
from earshed.viewer.tables import print_map


@click.command("map", cls=SceneCommand)
@scene_options
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.  [default: SCENE-SCHEME-map]")
@click.option(
    "--quantity", type=click.Choice(QUANTITIES), default="off-axis", show_default=True, help="What the pictures show."
)
@click.option(
    "--band", type=click.Choice(list(BANDS)), default="4k", show_default=True, help="Octave of level and spread, Hz."
)
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
) -> None:
    """Map the off-axis angle, the level or the spread over the listening plane.

    Writes a picture per speaker and one for the set, coverage.npz (the maps as arrays) and seats.csv (the exact
    figures seat by seat). Of level a picture per speaker against the reference position, of spread one of how unequal
    the channels are.
    """
    room = read_scene(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    folder = out or Path(f"{stem_of(scene, scheme)}-map")
    if quantity != "off-axis":
        if not room.seats:
            raise OutputError(f"{scene} has no seats, so no reference position to hold levels against")
        asked = SoundMap(quantity, BANDS[band])
        files = _sound(room, scene, asked, speakers, folder, size, printed_date(on), force=force, quiet=as_json)
        if as_json:
            print_json({"scene": room.title, "scheme": room.scheme, "files": [str(path) for path in files]})
        else:
            for path in files:
                click.echo(f"wrote {path}")
        return
    stems = file_names([speaker.name for speaker in speakers])
    pictures = [folder / f"speaker-{stems[speaker.name]}.png" for speaker in speakers]
    files = [*pictures, folder / "set.png", folder / "coverage.npz", folder / "seats.csv"]
    refuse_existing(files, force=force)
    plane = plane_of(room, scene)
    make_folder(folder)

    pairs = seat_pairs(room)
    mapped = [pair for pair in pairs if pair.speaker in speakers]
    cover = map_coverage(room, plane, speakers)
    write_whole(folder / "coverage.npz", lambda file: write_arrays(file, cover))
    write_bytes(folder / "seats.csv", seats_csv(mapped))
    sheet = MapSheet(room, size, printed_date(on), plane)
    with collecting_by_hand(), _progress(len(files) - 2, quiet=as_json) as progress:
        for path, speaker in zip(pictures, speakers, strict=True):
            mine = [pair for pair in mapped if pair.speaker is speaker]
            write_bytes(path, speaker_page(sheet, cover, speaker, mine))
            progress.update(1)
            free_pages()
        counted = best_of_seats(mapped)
        write_bytes(folder / "set.png", set_page(sheet, cover, counted))
        progress.update(1)

    findings = find_all(room, pairs)
    if as_json:
        print_json(_document(room, files, cover, findings))
    else:
        print_map(files, cover, findings)
    end(findings)


def _sound(
    room: Scene,
    scene: Path,
    asked: SoundMap,
    speakers: Sequence[Speaker],
    folder: Path,
    size: tuple[int, int],
    date: str,
    *,
    force: bool,
    quiet: bool,
) -> list[Path]:
    """Writes the maps of sound that are asked for, and the arrays with levels in them."""
    plane = plane_of(room, scene)
    cover = map_coverage(room, plane, speakers)
    pictures, arrays = sound_files(asked, cover, folder), folder / "coverage.npz"
    refuse_existing([*pictures.values(), arrays], force=force)
    sheet = MapSheet(room, size, date, plane)
    found, heard = levels_of(sheet, cover)
    make_folder(folder)
    write_whole(arrays, lambda file: write_arrays(file, cover, found))
    with collecting_by_hand(), _progress(len(pictures), quiet=quiet) as progress:
        for name, page in sound_pages(asked, sheet, cover, found, heard):
            write_bytes(pictures[name], page)
            progress.update(1)
            free_pages()
    return [*pictures.values(), arrays]


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
