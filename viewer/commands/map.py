"""earshed map: coverage maps and the numbers behind them."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, BinaryIO

import click
import numpy as np
from rich.console import Console

from earshed.model.checks.run import find_all
from earshed.model.coverage import Map, off_axis_map, set_coverage, shares, verdict_map
from earshed.model.listening_plane import ListeningPlane, PlaneTooFine, lay_plane
from earshed.model.pairs import Pair, best_pairs, seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.seating import seating_area
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict
from earshed.model.units import format_length
from earshed.viewer.documents import finding_documents
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import set_page, speaker_page
from earshed.viewer.output import file_names, make_folder, refuse_existing, write_whole
from earshed.viewer.session import (
    SceneCommand,
    chosen_speakers,
    degrees,
    end,
    load,
    picture_options,
    print_json,
    printed_date,
    scene_options,
)
from earshed.viewer.tables import print_findings

Shares = dict[Verdict, float]


@click.command("map", cls=SceneCommand)
@scene_options
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the files; made if need be. [default: SCENE-map]"
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
) -> None:
    """Map the off-axis angle over the listening plane.

    Writes a picture per speaker and one for the set, coverage.npz (the maps as arrays) and seats.csv (the exact
    figures seat by seat).
    """
    room = load(scene, scheme)
    speakers = chosen_speakers(room, names, scene)
    folder = out or Path(f"{scene.stem}-map")
    stems = file_names([speaker.name for speaker in speakers])
    pictures = {speaker.name: folder / f"speaker-{stems[speaker.name]}.png" for speaker in speakers}
    files = [*pictures.values(), folder / "set.png", folder / "coverage.npz", folder / "seats.csv"]
    refuse_existing(files, force=force)
    plane = _plane(room, scene)
    make_folder(folder)

    angles = off_axis_map(plane, np.array([s.position for s in speakers]), np.array([s.axis for s in speakers]))
    pairs = [pair for pair in seat_pairs(room) if pair.speaker in speakers]
    cover = set_coverage(speakers, angles)
    area = seating_area(room.seats).holds(plane.xy) if room.seats else np.zeros(plane.inside.shape, dtype=bool)
    by_speaker = {s.name: shares(verdict_map(s, angles[i]), area) for i, s in enumerate(speakers)}
    of_set = shares(cover.verdict, area)

    sheet = MapSheet(room, plane, size, printed_date(on))
    _write(folder / "coverage.npz", lambda file: _write_arrays(file, plane, speakers, angles))
    _write(folder / "seats.csv", lambda file: file.write(_seats_csv(room, pairs).encode()))
    with _progress(len(speakers) + 1, quiet=as_json) as done:
        for index, speaker in enumerate(speakers):
            mine = [pair for pair in pairs if pair.speaker is speaker]
            page = speaker_page(sheet, speaker, angles[index], mine, by_speaker[speaker.name])
            _write(pictures[speaker.name], lambda file, page=page: file.write(page))
            done.update(1)
        counted = [pair for seat in room.seats for pair in best_pairs([p for p in pairs if p.seat is seat])]
        page = set_page(sheet, speakers, cover, counted, of_set)
        _write(folder / "set.png", lambda file: file.write(page))
        done.update(1)

    findings = find_all(room, seat_pairs(room))
    if as_json:
        print_json(_document(room, files, by_speaker, of_set, findings))
    else:
        _print(room, files, by_speaker, of_set, findings)
    end(findings)


def _plane(scene: Scene, path: Path) -> ListeningPlane:
    try:
        return lay_plane(scene.room, scene.plane)
    except PlaneTooFine as error:
        enough = format_length(error.enough, "mm" if error.enough < 0.02 else scene.print_units)
        words = f"listening_plane, step: {error}; a step of {enough} would do"
        raise SceneError(words, Mark(str(path), 1, 1)) from None


def _write(path: Path, write: Callable[[BinaryIO], object]) -> None:
    write_whole(path, write)


def _write_arrays(file: BinaryIO, plane: ListeningPlane, speakers: Sequence[Speaker], angles: Map) -> None:
    np.savez_compressed(
        file,
        x=plane.x,
        y=plane.y,
        height=plane.height,
        inside=plane.inside,
        speakers=np.array([speaker.name for speaker in speakers]),
        off_axis_deg=angles,
    )


def _seats_csv(scene: Scene, pairs: Sequence[Pair]) -> str:
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(
        [
            "seat",
            "main",
            "speaker",
            "channel",
            "off_axis_deg",
            "verdict",
            "visible",
            "distance_m",
            "azimuth_deg",
            "elevation_deg",
        ]
    )
    for pair in pairs:
        rows.writerow(
            [
                pair.seat.name,
                "yes" if pair.seat.main else "no",
                pair.speaker.name,
                pair.speaker.channel.label if pair.speaker.channel else "",
                f"{degrees(pair.off_axis):.3f}",
                pair.verdict,
                "yes" if pair.visible else f"no: {pair.obstacle}",
                f"{pair.distance:.4f}",
                f"{degrees(pair.azimuth):.3f}",
                f"{degrees(pair.elevation):.3f}",
            ]
        )
    return text.getvalue()


def _progress(length: int, *, quiet: bool) -> Any:
    file = click.get_text_stream("stderr")
    return click.progressbar(length=length, label="drawing", file=file, hidden=quiet or not file.isatty())


def _document(
    scene: Scene, files: Sequence[Path], by_speaker: dict[str, Shares], of_set: Shares, findings: Any
) -> dict[str, Any]:
    return {
        "scene": scene.title,
        "scheme": scene.scheme,
        "files": [str(path) for path in files],
        "shares": {"set": of_set, "speakers": by_speaker},
        "findings": finding_documents(findings),
    }


def _print(scene: Scene, files: Sequence[Path], by_speaker: dict[str, Shares], of_set: Shares, findings: Any) -> None:
    console = Console(highlight=False, markup=False, emoji=False, soft_wrap=True)
    console.print("Share of the seating area (the seats and 2 ft round them):")
    for name, share in [*by_speaker.items(), ("the set, by its worst channel", of_set)]:
        console.print("  " + name + ": " + ", ".join(f"{verdict} {part:.0%}" for verdict, part in share.items()))
    print_findings(console, [finding for finding in findings if finding.severity != "note"])
    console.print("Written:")
    for path in files:
        console.print(f"  {path}")
