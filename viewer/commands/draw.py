"""earshed draw: the room in three dimensions, as a picture, as a page that turns, or as a file for other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.speaker import Speaker
from earshed.viewer.camera import VIEWS
from earshed.viewer.documents import finding_documents
from earshed.viewer.gl import require_gl
from earshed.viewer.gltf.room_file import Contents, room_glb
from earshed.viewer.output import OutputError, file_name, make_folder, print_json, refuse_existing, write_bytes
from earshed.viewer.pages.room_page import room_page
from earshed.viewer.pages.room_view import RoomView
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

HAS_NO = {".glb": {"view": "--from", "size": "--size", "on": "--date"}, ".html": {"size": "--size"}}
"""Options that say nothing to a kind of file: a model has no view, a page takes the window's size."""


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
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File: .png is a picture, .html a page on which the room can be turned, .glb a model for other programs. "
    "[default: SCENE-SCHEME-VIEW.png]",
)
@picture_options
@click.pass_context
def command(
    context: click.Context,
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
    path = out or Path(f"{stem_of(scene, scheme)}-{file_name(view)}.png")
    kind = path.suffix.lower()
    if kind not in (".png", ".html", ".glb"):
        raise OutputError(f"{path}: a picture is written as .png, a page as .html, a model as .glb")
    for parameter, option in HAS_NO.get(kind, {}).items():
        if context.get_parameter_source(parameter) is ParameterSource.COMMANDLINE:
            raise OutputError(f"{option} says nothing to a {kind} file; leave it out, or draw a .png")
    seats = [seat.name for seat in room.seats]
    if view not in (*VIEWS, *seats):
        choices = [f'"{name}"' if "," in name else name for name in (*VIEWS, *seats)]
        raise OutputError(f"there is no view from {view}; choose {', '.join(choices)}")
    if heat and not room.judged:
        raise OutputError(f"{scene} has no speakers to map; draw it without --heat, or add some under speakers:")
    if kind == ".png" and heat and view in seats:
        raise OutputError("from a seat the heat map is seen edge on; choose another view for --heat")
    refuse_existing([path], force=force)
    speakers = _shown(room, names, scene)
    plane = plane_of(room, scene) if kind == ".png" and heat and speakers else None
    if kind == ".png":
        require_gl()
    make_folder(path.parent)
    date = printed_date(on)
    match kind:
        case ".png":
            content = take(Shot(room, view, speakers, plane, size, date))
        case ".html":
            content = room_page(RoomView(room, speakers, view, "map" if heat else "cones"), date)
        case _:
            content = room_glb(_model(room, speakers, heat=heat))
    write_bytes(path, content)
    findings = find_all(room, seat_pairs(room))
    if as_json:
        document = {"scene": room.title, "scheme": room.scheme, "files": [str(path)]}
        print_json({**document, "findings": finding_documents(findings)})
    else:
        click.echo(f"Written: {path}")
    end(findings)


def _model(scene: Scene, speakers: list[Speaker], *, heat: bool) -> Contents:
    """The cones of some speakers, or the map of one or of all of them."""
    if not heat:
        return Contents(scene, cones=speakers)
    return Contents(scene, own_maps=speakers) if len(speakers) == 1 else Contents(scene, set_map=speakers)


def _shown(scene: Scene, names: tuple[str, ...], path: Path) -> list[Speaker]:
    """The named speakers; without names those in the ceiling, or all where none is."""
    if names:
        return chosen_speakers(scene, names, path)
    overhead = [speaker for speaker in scene.judged if speaker.type.mount == "in-ceiling"]
    return overhead or list(scene.judged)
