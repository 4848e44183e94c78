"""The plumb mark on the floor under a hole: where a laser stands to show its center."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import TOUCHING, Array
from earshed.model.mark_out.datum import CENTER, ROOM_CENTER
from earshed.model.scene import Scene
from earshed.model.taped import measured


@dataclass(frozen=True)
class FloorTape:
    """Metres along the floor from something named; `side` of it where it could be either, as one faces the screen."""

    start: str
    distance: float
    side: str = ""


@dataclass(frozen=True, eq=False)
class FloorMark:
    """The point (2,) plumb under a hole, its two tapes, what it is on, and the metres from there up to the center."""

    point: Array
    tapes: tuple[FloorTape, FloorTape]
    on: str
    height: float


def floor_mark(scene: Scene, center: Array, mark: float) -> FloorMark:
    """The mark under a point (3,): off the picture's center line and back from its wall; without a picture from the
    nearer side and the front. `mark` is the step of the tape, metres, to which it is on a center line."""
    point = center[:2]
    riser = next((one for one in scene.room.risers if one.over(point) and one.upper[2] > TOUCHING), None)
    ground = float(scene.room.floor_under(point))
    return FloorMark(
        point, _tapes(scene, center, mark), riser.name if riser else "the floor", float(center[2]) - ground
    )


def _tapes(scene: Scene, center: Array, mark: float) -> tuple[FloorTape, FloorTape]:
    if scene.screen is not None:
        step = center[:2] - scene.screen.center[:2]
        aside = float(step @ np.array([scene.ahead[1], -scene.ahead[0]]))
        side = "" if abs(aside) < mark / 2 else ("right" if aside > 0 else "left")
        wall = scene.screen.wall
        called = wall.name if wall.name[-1:].isdigit() else f"the {wall.name}"
        return FloorTape(CENTER, abs(aside), side), FloorTape(called, -float(step @ scene.ahead))
    room = scene.room
    across, back = measured(center, room.overhead(center[:2])[1], room.plan, mark).along
    if across[0] == "center":
        side = "right" if across[1] > 0 else "left"
        first = FloorTape(ROOM_CENTER, abs(across[1]), side if abs(across[1]) >= mark / 2 else "")
    else:
        first = FloorTape(f"the {across[0]}", across[1])
    return first, FloorTape(f"the {back[0]}", back[1])
