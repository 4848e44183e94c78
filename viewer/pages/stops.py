"""From where a page shows a room: places that one goes to by a button."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from earshed.model.geometry import FRONT, RIGHT, UP, Array
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.viewer.camera import CORNER_WAY, SEAT_ANGLE, VIEWS, seat_view
from earshed.viewer.gltf.shapes import y_up
from earshed.viewer.wording import shortened

PLAN_WAY = UP - 1e-3 * FRONT
"""From straight above, a hair behind it, so that the front is up."""
CEILING_ANGLE = 100.0
"""Degrees of view, up and down, towards the ceiling."""
NEAR_FLOOR = 0.5
"""Metres above the floor from where the ceiling is seen."""
AHEAD = 0.08
"""How far one looks ahead there, in parts of how far up."""
SIDES = {"front": FRONT, "rear": -FRONT, "left": -RIGHT, "right": RIGHT}
Stop = dict[str, Any]
"""What the page's program is told of a place, and `without` which seats the room is seen; its axes are the file's."""


def stops_of(scene: Scene, start: str) -> list[Stop]:
    """The corner, the main seat, up at the ceiling and the plan, and the view or the seat named `start` as well."""
    stops = [_outside("corner", "Corner", CORNER_WAY)]
    seats = {seat.name: seat for seat in scene.seats if seat.name not in VIEWS}
    main = main_seats(scene.seats)
    shown = [main[0]] if main else []
    if start in seats and seats[start] not in shown:
        shown.append(seats[start])
    stops += [seat_stop(scene, seat) for seat in shown]
    stops.append(_ceiling(scene, main))
    stops.append(_outside("plan", "Plan", PLAN_WAY))
    if start in SIDES:
        stops.append(_outside(start, start.capitalize(), SIDES[start]))
    return stops


def stop_id(view: str) -> str:
    """The id of the view of that name, or the seat where it is none."""
    return view if view in VIEWS else f"seat {view}"


def _outside(name: str, words: str, way: Array) -> Stop:
    return {"id": name, "name": words, "kind": "outside", "way": numbers(way)}


def seat_stop(scene: Scene, seat: Seat) -> Stop:
    """From a seat, towards the picture."""
    view = seat_view(scene, seat)
    chair = [other.name for other in scene.seats if other.chair == seat.chair]
    place = {"eye": numbers(view.place), "target": numbers(view.target), "angle": SEAT_ANGLE, "without": chair}
    return {"id": f"seat {seat.name}", "name": f"Seat: {shortened(seat.name, 28)}", "kind": "inside", **place}


def _ceiling(scene: Scene, main: Sequence[Seat]) -> Stop:
    """From near the floor in the middle of the room, or where that is not free from a main seat, upwards."""
    low, high = scene.room.shell.vertices.min(axis=0), scene.room.shell.vertices.max(axis=0)
    eye = np.append((low + high)[:2] / 2, NEAR_FLOOR)
    eye[2] += float(scene.room.floor_under(eye[:2]))
    if main and not scene.room.holds(eye):
        eye = main[0].ear
    way = UP + AHEAD * np.append(scene.ahead, 0.0)
    seats = [seat.name for seat in scene.seats]
    place = {"eye": numbers(eye), "target": numbers(eye + way), "angle": CEILING_ANGLE, "without": seats}
    return {"id": "ceiling", "name": "Ceiling", "kind": "inside", **place}


def numbers(point: Array) -> list[float]:
    """A point or a direction (3,) in the axes of the file, to a tenth of a millimetre."""
    return [round(float(value), 4) for value in y_up(point)]
