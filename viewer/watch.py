"""earshed check --watch: the tables and a picture, made again whenever a scene is saved.

Loaded by that option alone, for it needs what draws maps, and `earshed check` does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import NoReturn

import click

from earshed.model.coverage_map import map_coverage
from earshed.model.listening_plane import ListeningPlane
from earshed.model.pairs import best_of_seats
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import files_of
from earshed.viewer.changes import changes
from earshed.viewer.checking import Answer, Question, check
from earshed.viewer.collecting import collecting_by_hand, free_pages
from earshed.viewer.file_watch import look_at, wait_for_change
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import room_page, set_page
from earshed.viewer.output import OutputError, make_folder, refuse_existing, write_bytes
from earshed.viewer.plane import plane_of

PICTURE_SIZE = (1400, 1000)


@dataclass(frozen=True, eq=False)
class Reading:
    """A scene as it was when it was last read, and what was found in it."""

    answer: Answer
    plane: ListeningPlane


def watch(path: Path, question: Question, picture: Path, *, force: bool) -> NoReturn:
    """Checks a scene now and whenever one of its files is saved, until Ctrl-C.

    The picture is replaced whole each time. One that was there before is not, unless by `force`; a scene that cannot
    be read leaves it as it is. Raises OutputError.
    """
    if picture.suffix.lower() != ".png":
        raise OutputError(f"{picture}: pictures are written as .png")
    refuse_existing([picture], force=force, option="--picture")
    make_folder(picture.parent)
    files: tuple[Path, ...] = ()
    last: Reading | None = None
    while True:
        now = files_of(path)
        before = look_at([*now, *files])  # taken first, so that what is saved during a turn makes another
        click.clear()  # does so on a terminal alone
        click.echo(f"{datetime.now():%H:%M:%S}  {path}")
        try:
            reading = _read(path, question)
        except SceneError as error:
            files = tuple(before)  # a scene that cannot be read may hide what else it is read from
            for problem in (error, *error.others):
                click.echo(str(problem))
        else:
            files = now
            if last:
                _print_changes(last.answer, reading.answer)
            click.echo()
            reading.answer.print()
            write_bytes(picture, _page(reading))
            click.echo(f"\nWritten: {picture}")
            last = reading
        click.echo(f"Watching {', '.join(map(str, files))}; Ctrl-C ends it.")
        wait_for_change(before)


def _read(path: Path, question: Question) -> Reading:
    answer = check(path, question)
    return Reading(answer, plane_of(answer.scene, path))


def _print_changes(last: Answer, now: Answer) -> None:
    lines = changes((last.pairs, last.findings), (now.pairs, now.findings))
    for line in lines or ["nothing else for any seat, and no other findings"]:
        click.echo(line)


def _page(reading: Reading) -> bytes:
    """The map of the set, or the room in plan where it has no speakers to map."""
    scene = reading.answer.scene
    sheet = MapSheet(scene, PICTURE_SIZE, f"{datetime.now():%Y-%m-%d}", reading.plane)
    with collecting_by_hand():
        try:
            if not scene.judged:
                return room_page(sheet)
            cover = map_coverage(scene, reading.plane, scene.judged)
            return set_page(sheet, cover, best_of_seats(reading.answer.pairs))
        finally:
            free_pages()
