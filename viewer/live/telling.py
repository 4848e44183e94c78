"""What a page is told after each act: the models that have changed, the map, the figures, and what is chosen."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from earshed.model.editing.things import Thing, all_of
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.sound.bands import OCTAVES
from earshed.model.units import format_length
from earshed.viewer.cone_meshes import cone_colors, limit_lines
from earshed.viewer.documents import finding_documents
from earshed.viewer.gltf.heat import plane_edges
from earshed.viewer.gltf.shapes import y_up
from earshed.viewer.live.asked import Look
from earshed.viewer.live.chosen import chosen_document
from earshed.viewer.live.desk import Desk
from earshed.viewer.live.figures import Answer
from earshed.viewer.live.maps import map_picture
from earshed.viewer.live.packet import packed
from earshed.viewer.live.shapes import fixed_model, moving_model
from earshed.viewer.live.stops import live_stops
from earshed.viewer.pages.stops import numbers

FINE_POINTS, ROUGH_POINTS = 60_000, 3_000
"""Cells of the map, about, when all is still and while something moves: what the eye takes in, and what is at once."""
HEIGHTS = (0.5, 2.0)
"""Metres between which a hand slides the height of the map; it can be typed beyond."""


@dataclass(eq=False)
class Page:
    """One page, and what it has been sent."""

    look: Look = field(default_factory=Look)
    room: Any = None
    """What stands still, as it was sent last."""
    things: dict[str, Any] = field(default_factory=dict)
    """By name what is moved about, as it was sent last."""
    findings: Any = None
    """The findings that it was told last."""
    map: Any = None
    """Of which map it has the colors: of what, over which plane, and what it shows."""
    clear: Any = None
    """Of what it was told last where the hole could go."""
    opened: tuple[int, str | None] | None = None
    """Of which reading of the file, and which scheme, the page has the figures as it was opened."""


def shown(desk: Desk, page: Page) -> Answer:
    """The scene that a page shows: as it is, or as it was opened."""
    return desk.opened if page.look.before else desk.answer


def room_message(desk: Desk, page: Page) -> bytes | None:
    """The room with all that stands still, where the page has it not as it is."""
    scene = shown(desk, page).scene
    print_ = _print_of_room(desk, scene)
    if page.room == print_:
        return None
    page.room, page.map = print_, None  # the sheet for the map comes with the room
    stops = live_stops(scene)
    document = {
        "kind": "room",
        "title": scene.title,
        "corners": [numbers(corner) for corner in scene.room.shell.vertices],
        "stops": stops,
        "bands": list(OCTAVES.names),
    }
    return packed(document, [fixed_model(scene, lay_plane(scene.room, _spec(scene, ROUGH_POINTS)))])


def state_message(desk: Desk, page: Page, number: int = 0, said: str = "", *, points: int = FINE_POINTS) -> bytes:
    """All that changes, with a map of at most so many points; `number` is that of the act that is answered."""
    answer, opened = shown(desk, page), desk.opened
    scene, look = answer.scene, page.look
    model, gone = _moved(scene, page)
    fresh = page.opened != (desk.opened_at, desk.scheme)
    page.opened = desk.opened_at, desk.scheme
    parts = [] if model is None else [model]
    spec = _spec(scene, points)
    shows = answer, spec, look.choice
    painted: dict[str, Any] = {}
    if page.map != shows:
        layers = desk.layers(scene, desk.first_changes if look.before else desk.changes, spec)
        picture = map_picture(scene, layers, look.choice)
        painted = {"map": _map(layers.plane, picture.key, len(parts))}
        parts.append(picture.colors[::-1].tobytes())
        page.map = shows
    document = {
        "kind": "state",
        "n": number,
        "scheme": desk.scheme,
        "schemes": list(desk.draft.schemes),
        "undo": desk.history.undo_label,
        "redo": desk.history.redo_label,
        "unsaved": desk.unsaved,
        "before": look.before,
        "figures": answer.figures,
        **({"opened": opened.figures} if fresh else {}),
        "chosen": chosen_document(desk, scene, look.chosen),
        "plane": {
            "text": format_length(scene.plane.height, scene.print_units),
            "height": round(scene.plane.height, 4),
            "from_to": HEIGHTS,
        },
        "moved": 0 if model is not None else -1,
        "gone": gone,
        **painted,
        "limits": _limits(scene, look),
        "said": said,
        "file": desk.draft.path.name,
    }
    return packed(document, parts)


def findings_message(answer: Answer, page: Page, *, whole: bool) -> bytes | None:
    """The findings, or while something moves all but those on the wiring; None where the page has been told them."""
    found = answer.findings if whole else answer.most_findings
    documents = finding_documents(found)
    if page.findings == documents:
        return None
    page.findings = documents
    return packed({"kind": "findings", "findings": documents})


def word(kind: str, words: str, **more: Any) -> bytes:
    """Something that is told in words."""
    return packed({"kind": kind, "words": words, **more})


def _map(plane: ListeningPlane, key: dict[str, Any], part: int) -> dict[str, Any]:
    (left, rear), (right, front) = plane_edges(plane).tolist()
    rows, columns = plane.inside.shape
    return {"part": part, "columns": columns, "rows": rows, "bounds": [left, rear, right, front], "key": key}


def _limits(scene: Scene, look: Look) -> list[list[list[float]]]:
    """Where the coverage of the map's speaker ends, or of the one that is chosen."""
    names = [name for name in (look.choice.speaker, look.chosen) if name is not None]
    speaker = next((one for name in names for one in scene.judged if one.name == name), None)
    if speaker is None:
        return []
    return [np.round(y_up(line), 4).tolist() for line in limit_lines(scene, speaker)]


def _spec(scene: Scene, points: int) -> PlaneSpec:
    """The listening plane at the scene's height, with about so many points."""
    return replace(scene.plane, step=math.sqrt(float(np.prod(np.ptp(scene.room.plan.bounds, axis=0))) / points))


def _moved(scene: Scene, page: Page) -> tuple[bytes | None, list[str]]:
    """The things that a page has not as they are, as a model, and the names of those that are gone."""
    colors = cone_colors(scene.judged)
    cones = {one.name for one in scene.judged if page.look.shows_cone(one.name)}
    prints = {one.name: (*_print_of(scene, one, colors), one.name in cones) for one in all_of(scene)}
    fresh = [one for one in all_of(scene) if page.things.get(one.name) != prints[one.name]]
    gone = [name for name in page.things if name not in prints]
    page.things = prints
    return moving_model(scene, fresh, cones) if fresh else None, gone


def _print_of(scene: Scene, thing: Thing, colors: dict[str, str]) -> tuple[Any, ...]:
    """What tells one look of a thing from another."""
    if isinstance(thing, Seat):
        return (*thing.ear.tolist(), thing.main, thing.back_top, len(scene.seats))
    long = None if thing.long_axis is None else tuple(thing.long_axis.tolist())
    where = (*thing.position.tolist(), *thing.normal.tolist(), *thing.axis.tolist())
    return (*where, thing.type.name, long, colors.get(thing.name))


def _print_of_room(desk: Desk, scene: Scene) -> tuple[Any, ...]:
    body = {key: said for key, said in desk.changes.to_plain().items() if key not in ("speakers", "seats")}
    return desk.opened_at, desk.scheme, json.dumps(body, sort_keys=True), scene.plane.height
