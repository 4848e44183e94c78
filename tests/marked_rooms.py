"""Rooms with holes to mark out, and the way back from printed tapes to a place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from earshed.model.hole import Hole, hole_shape
from earshed.model.listening_plane import PlaneSpec
from earshed.model.mark_out.second import second_choices
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.search.place import Place
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Fixed, Round, SpeakerType
from earshed.model.surface import Surface
from earshed.model.units import INCH, parse_length

HEAD = """\
format: 1
title: Marked
print_units: ft-in
room: {room}
screen: {{wall: {wall}, width: 6ft, bottom: 2ft}}
seats:
  - {{name: sofa, at: {{from_center: 0, from_front: 11ft}}, ear_height: 3' 4", main: true}}
speaker_types:
  flush: {{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, mounting_depth: 4in}}
  slot: {{mount: in-wall, aiming: fixed, coverage: 90deg, cutout: 6in x 9in, bezel: 7in x 10in}}
speakers:
"""


def up(x: float, y: float) -> str:
    """A flush speaker, feet from the left and from the front."""
    return f"{{name: up, type: flush, at: {{from_left: {x}ft, from_front: {y}ft}}}}"


def marked(room: str, *speakers: str, more: str = "") -> Scene:
    """A scene in feet and inches, its picture in the middle of the front wall."""
    text = (
        HEAD.format(room=room, wall="1" if "outline" in room else "front")
        + "".join(f"  - {one}\n" for one in speakers)
        + more
    )
    return scene_from_tree(parse_tree(text, "marked.yaml"), None)


def plane_of(scene: Scene, name: str) -> tuple[np.ndarray, np.ndarray]:
    """A point (3,) and the normal (3,) of what a tape is said to begin at."""
    if name == "the picture's center line":
        ahead = scene.ahead
        return scene.screen.center, np.array([ahead[1], -ahead[0], 0.0])
    bare = name.removeprefix("the ")
    for lead in ("low crease at ", "high crease at ", "low crease to ", "high crease to "):
        bare = bare.removeprefix(lead)
    face = scene.room.surface(bare.removeprefix("the "))
    return face.origin, face.normal


def rebuilt(scene: Scene, hole: Mapping[str, Any], other_slope: str | None = None) -> tuple[np.ndarray, np.ndarray]:
    """The place (3,) that the printed tapes of a hole lead to, by the planes of what they begin at alone; and the unit
    directions (2, 3) along the base and square to it.

    `other_slope` names the face that "the ridge" is at.
    """
    face = scene.room.surface(hole["face"])
    square, along = hole["square"], hole["along"]
    base_name = square["from"] if square["from"] != "the ridge" else other_slope
    point, normal = plane_of(scene, base_name)
    run = np.cross(face.normal, normal)
    run /= np.linalg.norm(run)
    inward = np.cross(face.normal, run)
    # A point of the base: on both planes.
    on_base = np.linalg.lstsq(
        np.array([face.normal, normal, run]),
        np.array([face.normal @ face.origin, normal @ point, run @ face.origin]),
        rcond=None,
    )[0]
    middle = face.to_room(np.array(face.outline.centroid.coords[0]))
    inward = inward if (middle - on_base) @ inward > 0 else -inward
    out = parse_length(square["printed"]) * inward
    start, aside = plane_of(scene, along["from"])
    from_corner = along["how"].endswith("; then square to it")
    place = on_base if from_corner else on_base + out
    place = place + ((start - place) @ aside) / (run @ aside) * run
    place = place + parse_length(along["printed"]) * (run if _way(along["how"], run) else -run)
    return (place + out if from_corner else place), np.array([run, inward])


def _way(how: str, run: np.ndarray) -> bool:
    """Whether a direction (3,) is the one of a tape's words."""
    named = {"right": (1, 0), "left": (-1, 0), "front": (0, 1), "rear": (0, -1)}
    said = next(
        (way for word, way in named.items() if f"towards the {word}" in how or f"to the {word} of" in how), None
    )
    return said is None or float(np.dot(said, run[:2])) > 0


def empty_scene(room: Room) -> Scene:
    """A room with nothing said of it but its shape."""
    return Scene("Empty", None, (), "mm", room, {}, (), (), (), (), None, (), {}, (), PlaneSpec(1.0, 0.1))


def hole_in(scene: Scene, face: Surface, middle: np.ndarray) -> Hole:
    """A round hole of 8 in about a place (2,) of a face."""
    kind = SpeakerType("flush", "in-ceiling", Fixed(), None, Round(8 * INCH), Round(9 * INCH))
    return Hole("up", kind, face, face.to_room(middle), hole_shape(kind, face, middle, scene.ahead))


def spot_on(face: Surface, rng: np.random.Generator) -> np.ndarray:
    """A place (2,) of a face, anywhere on it."""
    low_u, low_v, high_u, high_v = face.outline.bounds
    while True:
        place = np.array([rng.uniform(low_u, high_u), rng.uniform(low_v, high_v)])
        if face.outline.contains(shapely.Point(place)):
            return place


def seconds_of(scene: Scene, speakers: Sequence[Speaker]) -> dict[str, Place]:
    """The second choices for some speakers, by name."""
    return {name: place for _, found in second_choices(scene, speakers) for name, place in found.items()}
