"""What is dimensioned on a ceiling plan and on a wall, as running dimensions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.plan import Plan, Wall
from earshed.model.ruler import Ruler
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer.face_views import from_inside
from earshed.viewer.hidden_drawing import overhead
from earshed.viewer.sheets.dimensions import Row, Running, Tick, ticks_of

SPEAKERS, OTHERS, CORNERS = "speakers", "other", "corners"
AT_WALL = 0.15
"""Metres from a wall within which the back of a box hangs on it."""
TURNED_IN = 0.7
"""Cosine from which a box faces away from its wall."""


def is_square(plan: Plan) -> bool:
    """Whether the main walls are the sides of a rectangle, so that a distance from a wall is the same all along it."""
    level = np.abs(np.diff(plan.corners, axis=0, append=plan.corners[:1])).min(axis=1)
    return plan.kind == "rectangle" and bool(level.max() < TOUCHING)


def is_overhead(speaker: Speaker) -> bool:
    """Whether a speaker is put up by the ceiling plan: cut into what is overhead, or fastened up in the room."""
    if speaker.surface is not None:
        return overhead(speaker.surface)
    return speaker.type.mount == "on-surface"


def ceiling_dimensions(scene: Scene, ruler: Ruler) -> tuple[Running, Running]:
    """Distances from the left wall, across, and from the front wall, down the plan.

    In a room that is no true rectangle they are from the box round it, as all places of the scene are.
    """
    plan = scene.room.plan
    speakers = [one.position[:2] for one in scene.speakers if is_overhead(one)]
    others = [one.position[:2] for one in scene.fixtures if overhead(one.surface)]
    corners = plan.outer_corners
    boxed = not is_square(plan)
    across = _running(0, 0.0, 1, "left edge" if boxed else "left wall", plan.width, ruler,
                      speakers, [*others, *_picture_middle(scene, 0)], corners)  # fmt: skip
    back = _running(1, 0.0, -1, "front edge" if boxed else "front wall", plan.length, ruler,
                    speakers, [*others, *_picture_middle(scene, 1)], corners)  # fmt: skip
    return across, back


def wall_dimensions(scene: Scene, wall: Surface, ruler: Ruler) -> tuple[Running, Running]:
    """Distances along a wall from its left end as seen from inside the room, and heights over the floor."""
    flat = from_inside(wall)
    left, right = wall_ends(scene, wall)
    speakers = [flat(one.position) for one in speakers_on(scene, wall)]
    fixtures = [flat(one.position) for one in scene.fixtures if on_wall(one.surface, wall)]
    patches = [flat(point) for patch in patches_on(scene, wall) for point in patch.corners[[0, 2]]]
    corners = shapely.get_coordinates(shapely.transform(wall.outline, lambda uv: flat(wall.to_room(uv))))
    middle = [flat(scene.screen.center)] if scene.screen is not None and scene.screen.wall.name == wall.name else []
    across = _running(0, left, 1, "left end", right - left, ruler, speakers, [*fixtures, *patches, *middle], corners)
    top = float(corners[:, 1].max())
    return across, _running(1, 0.0, 1, "floor", top, ruler, speakers, [*fixtures, *patches], corners)


def on_wall(face: Surface | None, wall: Surface) -> bool:
    return face is not None and face.name == wall.name


def speakers_on(scene: Scene, wall: Surface) -> list[Speaker]:
    """Those cut into a wall, and boxes that hang on it."""
    return [one for one in scene.speakers if on_wall(one.surface, wall) or _hangs_on(one, wall)]


def _hangs_on(speaker: Speaker, wall: Surface) -> bool:
    """Whether the back of a box is at a wall, and turned to it."""
    if speaker.surface is not None or speaker.type.mount != "on-surface":
        return False
    back = speaker.position - speaker.normal * speaker.type.size.depth
    at = wall.to_face(back)
    near = abs(float((back - wall.origin) @ wall.normal)) < AT_WALL and shapely.intersects_xy(wall.outline, *at)
    return bool(near and speaker.normal @ wall.normal > TURNED_IN)


def patches_on(scene: Scene, wall: Surface) -> Iterator[WallPatch]:
    """The picture and the openings on a wall."""
    there = (scene.screen, *scene.openings)
    return (patch for patch in there if patch is not None and patch.wall.name == wall.name)


def plan_wall(scene: Scene, wall: Surface) -> Wall:
    """The edge of the plan that a wall stands on."""
    return next(edge for edge in scene.room.plan.walls if edge.name == wall.name)


def wall_ends(scene: Scene, wall: Surface) -> tuple[float, float]:
    """Its left and right end as seen from inside the room, metres across the drawing."""
    edge = plan_wall(scene, wall)
    left, right = sorted(float(from_inside(wall)(np.append(end, 0.0))[0]) for end in (edge.start, edge.end))
    return left, right


def _picture_middle(scene: Scene, axis: int) -> list[Array]:
    """The middle of the picture, where its center line is square to an axis of the plan."""
    screen = scene.screen
    return [screen.center[:2]] if screen is not None and abs(screen.wall.inward[axis]) < 1e-6 else []


def _running(
    axis: int,
    origin: float,
    sense: int,
    start: str,
    size: float,
    ruler: Ruler,
    speakers: list[Array],
    others: list[Array],
    corners: Array,
) -> Running:
    rows = [(SPEAKERS, speakers), (OTHERS, others)]
    found = [Row(caption, ticks_of(points, axis, origin, sense, ruler)) for caption, points in rows]
    whole = ruler.bare(size)
    between = tuple(tick for tick in ticks_of(corners, axis, origin, sense, ruler) if tick.text != whole)
    span = np.zeros((2, 2))
    span[:, axis] = origin, origin + sense * size
    kept = tuple(row for row in (*found, Row(CORNERS, between)) if row.ticks)
    return Running(axis, origin, sense, start, kept, Tick(size, whole, span))  # type: ignore[arg-type]
