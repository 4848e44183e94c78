"""earshed draw: a picture of the room in three dimensions."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.speaker import Speaker
from earshed.viewer.camera import VIEWS
from earshed.viewer.documents import finding_documents
from earshed.viewer.gl import require_gl
from earshed.viewer.output import OutputError, file_name, make_folder, need_picture, print_json, write_whole
from earshed.viewer.picture import Shot, take
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


@click.command("draw", cls=SceneCommand)
@scene_options
@click.option(
    "--from",
    "view",
    metavar="VIEW",
    default="corner",
    show_default=True,
    help=f"{', '.join(VIEWS)}, or a seat's name.",
)
@click.option("--heat", is_flag=True, help="Paint off-axis angles on the listening plane instead of drawing cones.")
@click.option("--out", type=click.Path(path_type=Path), help="File for the picture. [default: SCENE-SCHEME-VIEW.png]")
@picture_options
def command(
    scene: Path,
    scheme: str | None,
    as_json: bool,
    view: str,
    heat: bool,
    out: Path | None,
    names: tuple[str, ...],
    size: tuple[int, int],
    force: bool,
    on: Any,
) -> None:
    """Draw the room, seen into from any side, with the cones of its ceiling speakers.

    The cones run to the coverage limit and stop at the room's surfaces. Name speakers to see theirs instead.
    """
    room = read_scene(scene, scheme)
    seats = [seat.name for seat in room.seats]
    if view not in (*VIEWS, *seats):
        choices = [f'"{name}"' if "," in name else name for name in (*VIEWS, *seats)]
        raise OutputError(f"there is no view from {view}; choose {', '.join(choices)}")
    if heat and not room.judged:
        raise OutputError(f"{scene} has no speakers to map; draw it without --heat, or add some under speakers:")
    if heat and view in seats:
        raise OutputError("from a seat the heat map is seen edge on; choose another view for --heat")
    path = out or Path(f"{stem_of(scene, scheme)}-{file_name(view)}.png")
    need_picture(path, force=force)
    speakers = _shown(room, names, scene)
    plane = plane_of(room, scene) if heat and speakers else None
    require_gl()
    make_folder(path.parent)
    picture = take(Shot(room, view, speakers, plane, size, printed_date(on)))
    write_whole(path, lambda file: file.write(picture))
    findings = find_all(room, seat_pairs(room))
    if as_json:
        document = {"scene": room.title, "scheme": room.scheme, "files": [str(path)]}
        print_json({**document, "findings": finding_documents(findings)})
    else:
        click.echo(f"Written: {path}")
    end(findings)


def _shown(scene: Scene, names: tuple[str, ...], path: Path) -> list[Speaker]:
    """The named speakers; without names those in the ceiling, or all where none is."""
    if names:
        return chosen_speakers(scene, names, path)
    overhead = [speaker for speaker in scene.judged if speaker.type.mount == "in-ceiling"]
    return overhead or list(scene.judged)
