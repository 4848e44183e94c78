"""Places in words, as they are taped: from the nearer wall and from the front, and up."""

from __future__ import annotations

import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.taped import From, tape_to
from earshed.model.units import INCH, format_about, format_length

TO_THE = {"ft-in": INCH, "mm": 0.01, "cm": 0.01, "m": 0.01}
"""Metres to whose multiples places are told where a sixteenth does not matter."""

SQUARE_TO = 0.9
"""Cosine from which a wall stands across the way that a tape is pulled."""


def from_words(scene: Scene, start: From, distance: float) -> str:
    """A distance with where its tape begins."""
    if start == "center":
        half = format_length(scene.room.plan.width / 2 + distance, scene.print_units)
        return f"on the center line ({half} from the left)"
    length = format_length(distance, scene.print_units)
    return f"{length} from its first corner" if start == "first corner" else f"{length} from the {start}"


def near_words(scene: Scene, point: Array, start: From, distance: float) -> str:
    """A distance with where its tape begins, to a point (3,); at that place itself, which wall is there."""
    if distance == 0 and start in ("left", "right", "front"):
        across = 1 if start == "front" else 0
        walls = [wall for wall in scene.room.plan.walls if abs(wall.inward[across]) > SQUARE_TO]
        spot = shapely.Point(point[:2])
        name = min(walls, key=lambda wall: shapely.LineString([wall.start, wall.end]).distance(spot)).name
        return f"at {name if name[-1:].isdigit() else f'the {name}'}"
    return from_words(scene, start, distance)


def point_words(scene: Scene, point: Array, face: Surface) -> str:
    """Where a point (3,) of a face is, to the inch or the centimetre, with its height where the face is upright."""
    taped = tape_to(point, face, scene.room.plan, TO_THE[scene.print_units])
    told = [near_words(scene, point, start, distance) for start, distance in taped.along]
    if abs(face.normal[2]) < TOUCHING:
        told.append(f"{format_about(float(point[2]), scene.print_units)} up")
    return ", ".join(told)
