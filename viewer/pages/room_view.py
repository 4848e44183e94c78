"""A room that is turned on a page: its model, from where it is seen, names and keys, as a piece of HTML."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from markupsafe import Markup

from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.annotate import KeyRow
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.gltf.room_file import Contents, room_glb
from earshed.viewer.key_rows import band_rows, cone_rows, hidden_rows
from earshed.viewer.light import light_rows
from earshed.viewer.pages.assets import templates
from earshed.viewer.pages.stops import numbers, stop_id, stops_of
from earshed.viewer.wording import called, shortened

First = Literal["cones", "map", "light"]


@dataclass(frozen=True, eq=False)
class RoomView:
    """What a page shows of a room: the speakers whose coverage shows, those that show as `lamps` too, from which view
    or seat, and as what at first."""

    scene: Scene
    speakers: Sequence[Speaker]
    view: str = "corner"
    first: First = "cones"
    lamps: Sequence[Speaker] = ()


def room_figure(view: RoomView, number: int = 1) -> Markup:
    """A figure to be put on a page that has the styles and scripts of `assets`; `number` tells those of a page apart.

    It holds the room's model, about half a megabyte.
    """
    scene, speakers = view.scene, view.speakers
    own = speakers if len(speakers) > 1 else ()
    contents = Contents(scene, cones=speakers, set_map=speakers if own else (), own_maps=speakers, lamps=view.lamps)
    stops = stops_of(scene, view.view)
    facts = {
        "corners": [numbers(corner) for corner in scene.room.shell.vertices],
        "stops": stops,
        "start": stop_id(view.view),
        "labels": _labels(scene, speakers),
    }
    maps = ["All speakers"] if own else []
    return Markup(
        templates()
        .get_template("room_view.html")
        .render(
            number=number,
            title=shortened(scene.title, 200),
            facts=facts,
            model=base64.b64encode(room_glb(contents)).decode("ascii"),
            maps=[*maps, *(shortened(called(speaker), 60) for speaker in speakers)],
            first=view.first,
            cone_key=cone_rows(scene, speakers),
            band_key=band_rows() if speakers else [],
            light_key=_light_key(view),
            hidden_key=hidden_rows(scene),
            has_seats=bool(scene.seats),
        )
    )


def _light_key(view: RoomView) -> list[KeyRow]:
    """What the light says, and whose limits the lines in it are where they are of several."""
    if not view.lamps:
        return []
    lines = cone_rows(view.scene, view.lamps) if len(view.lamps) > 1 else []
    return [*light_rows(len(view.lamps)), *lines]


def _labels(scene: Scene, speakers: Sequence[Speaker]) -> list[dict[str, Any]]:
    """Names of speakers, seats and the screen, and where they are."""
    colors = cone_colors(speakers)
    labels = [("speaker", s.name, s.position, colors.get(s.name, palette.SOFT_INK)) for s in scene.speakers]
    labels += [
        ("seat", seat.name, seat.ear, palette.FABRIC_MAIN if seat.main else palette.FABRIC)
        for seat in upright_seats(scene.seats)
    ]
    if scene.screen:
        labels.append(("screen", "screen", scene.screen.center, palette.SCREEN))
    return [
        {"kind": kind, "name": shortened(name, 28), "at": numbers(place), "color": color}
        for kind, name, place, color in labels
    ]
