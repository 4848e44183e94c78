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
from earshed.viewer.collecting import collecting_by_hand, free_pages
from earshed.viewer.data_files import seats_csv, write_arrays
from earshed.viewer.documents import finding_documents
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import set_page, speaker_page
from earshed.viewer.output import file_names, make_folder, print_json, refuse_existing, write_bytes, write_whole
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
from earshed.viewer.tables import print_map


@click.command("map", cls=SceneCommand)
@scene_options
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the files.  [default: SCENE-SCHEME-map]")
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
) -> None:
    """Map the off-axis angle over the listening plane.

    Writes a picture per speaker and one for the set, coverage.npz (the maps as arrays) and seats.csv (the exact
    figures seat by seat).
    """
    room = read_scene(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    folder = out or Path(f"{stem_of(scene, scheme)}-map")
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
