"""earshed draw: the room in three dimensions, as a picture, as a page that turns, or as a file for other programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from earshed.model.checks.run import find_all
from earshed.model.listening_plane import ListeningPlane, lay_plane
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
from earshed.viewer.pages.room_view import First, RoomView
from earshed.viewer.picture import LOOKS, SHOWS, Look, Shot, Show, take
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

HAS_NO = {
    ".glb": {"view": "--from", "size": "--size", "on": "--date", "look": "--look", "unnamed": "--no-names"},
    ".html": {"size": "--size", "look": "--look", "unnamed": "--no-names"},
}
"""Options that say nothing to a kind of file: a model has no view, a page takes the window's size."""
FIRST: dict[Show, First] = {"cones": "cones", "heat": "map", "light": "light"}
"""What a page shows at first."""
SOFT_STEP = 0.03
"""Metres between points at which light is worked out, at most."""
EDGE_ON = {
    "ceiling": "the ceiling is seen from over the plane at ear height",
    "section": "a section shows the plane at ear height edge on",
}
"""Views from which nothing on the plane can be seen, and why."""


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
@click.option(
    "--look",
    type=click.Choice(LOOKS),
    default="screen",
    show_default=True,
    help="From a seat: at the screen, or up at the ceiling.",
)
@click.option(
    "--show",
    type=click.Choice(SHOWS),
    help="Cones of coverage, a map of off-axis angles at ear height, coverage as light there, or the room alone as it "
    "will look.  [default: cones; from the ceiling, room]",
)
@click.option("--heat", is_flag=True, help="The same as --show heat.")
@click.option("--no-names", "unnamed", is_flag=True, help="Leave out the names beside speakers and seats.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File: .png is a picture, .html a page on which the room can be turned, .glb a model for other programs. "
    "[default: SCENE-SCHEME-VIEW.png, with what --look and --show ask after it]",
)
@picture_options
@click.pass_context
def command(
    context: click.Context,
    scene: Path,
    scheme: str | None,
    as_json: bool,
    view: str,
    look: Look,
    show: Show | None,
    heat: bool,
    unnamed: bool,
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
    if heat and show not in (None, "heat"):
        raise OutputError(f"--heat is --show heat; leave it out, or leave out --show {show}")
    told = "-".join([file_name(view), *(["up"] if look == "up" else []), *([show] if show else [])])
    path = out or Path(f"{stem_of(scene, scheme)}-{told}.png")
    shown: Show = "heat" if heat else show or ("room" if view == "ceiling" else "cones")
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
    if look == "up" and view not in seats:
        raise OutputError(f"--look up is from a seat; the view from {view} has no eyes to lift")
    if shown in ("heat", "light") and not room.judged:
        raise OutputError(
            f"{scene} has no speakers to map; draw it without {_asked(shown, heat)}, or add some under speakers:"
        )
    if kind == ".png" and shown in ("heat", "light") and (view in seats or view in EDGE_ON):
        words = EDGE_ON.get(view, "from a seat the plane at ear height is seen edge on")
        raise OutputError(f"{words}; choose another view for {_asked(shown, heat)}")
    if kind == ".html" and (view == "section" or show == "room"):
        asked = "--from section" if view == "section" else "--show room"
        raise OutputError(f"{asked} is drawn as a .png; leave it out for a page")
    refuse_existing([path], force=force)
    speakers = _shown(room, names, scene)
    plane = _plane(room, scene, shown) if kind == ".png" and speakers else None
    if kind == ".png":
        require_gl()
    make_folder(path.parent)
    date = printed_date(on)
    match kind:
        case ".png":
            content = take(Shot(room, view, speakers, plane, size, date, shown, look, names=not unnamed))
        case ".html":
            content = room_page(RoomView(room, speakers, view, FIRST[shown], lamps=speakers), date)
        case _:
            content = room_glb(_model(room, speakers, shown))
    write_bytes(path, content)
    findings = find_all(room, seat_pairs(room))
    if as_json:
        document = {"scene": room.title, "scheme": room.scheme, "files": [str(path)]}
        print_json({**document, "findings": finding_documents(findings)})
    else:
        click.echo(f"Written: {path}")
    end(findings)


def _asked(show: Show, heat: bool) -> str:
    """The option as it was given."""
    return "--heat" if heat else f"--show {show}"


def _plane(scene: Scene, path: Path, show: Show) -> ListeningPlane | None:
    """Where what is shown is laid: for light no coarser than it takes to look soft."""
    if show not in ("heat", "light"):
        return None
    plane = plane_of(scene, path)
    if show == "light" and plane.step > SOFT_STEP:
        return lay_plane(scene.room, replace(scene.plane, step=SOFT_STEP))
    return plane


def _model(scene: Scene, speakers: list[Speaker], show: Show) -> Contents:
    """The room alone, or with the cones, the light or the map of some speakers."""
    if show == "room":
        return Contents(scene)
    if show == "cones":
        return Contents(scene, cones=speakers)
    if show == "light":
        return Contents(scene, lamps=speakers)
    return Contents(scene, own_maps=speakers) if len(speakers) == 1 else Contents(scene, set_map=speakers)


def _shown(scene: Scene, names: tuple[str, ...], path: Path) -> list[Speaker]:
    """The named speakers; without names those in the ceiling, or all where none is."""
    if names:
        return chosen_speakers(scene, names, path)
    overhead = [speaker for speaker in scene.judged if speaker.type.mount == "in-ceiling"]
    return overhead or list(scene.judged)
