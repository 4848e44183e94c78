"""Faces laid flat for drawing: the ceilings in plan, a wall as one sees it from inside the room."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import UP, Array
from earshed.model.near_block import block_before
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import draw_framing, draw_hidden, in_plan
from earshed.viewer.map_axes import scaled_axes
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import HALO, draw_polygon, draw_room, draw_seat_below, seat_labels
from earshed.viewer.wording import shortened

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class FaceView:
    """Axes on which some faces are drawn, in metres; `flat` takes points or ways (..., 3) to the axes' (..., 2)."""

    axes: Axes
    faces: tuple[Surface, ...]
    flat: Callable[[Array], Array]

    def shows(self, face: Surface | None) -> bool:
        return face is not None and any(one.name == face.name for one in self.faces)

    def area(self, face: Surface, area: BaseGeometry) -> BaseGeometry:
        """An area of a face, in its coordinates, as it lies on the axes."""
        return shapely.transform(area, lambda uv: self.flat(face.to_room(uv)))

    def outline(self, face: Surface, shape: FaceShape) -> Array:
        """The edge (N, 2) of a shape on a face."""
        return self.flat(shape.edge_on(face))


def from_inside(wall: Surface) -> Callable[[Array], Array]:
    """Points of a wall as (to the right, up), seen from inside the room."""
    right = np.cross(-wall.normal, UP)
    return lambda points: np.stack([points @ right, points[..., 2]], axis=-1)


def ceiling_view(figure: Figure, scene: Scene, faces: tuple[Surface, ...], box: Box) -> FaceView:
    """Axes for the ceilings of a room as they would be seen in a mirror on the floor, so that left stays left."""
    plan = scene.room.plan
    title = "reflected ceiling plan: the ceiling as seen in a mirror on the floor, so left stays left"
    axes = scaled_axes(figure, plan.bounds, (plan.width, plan.length), scene.print_units, box, title)
    return FaceView(axes, faces, in_plan)


def wall_view(figure: Figure, scene: Scene, wall: Surface, box: Box) -> FaceView:
    """Axes for a wall as it is seen from inside the room."""
    flat = from_inside(wall)
    bounds = np.reshape(shapely.transform(wall.outline, lambda uv: flat(wall.to_room(uv))).bounds, (2, 2))
    width, height = np.ptp(bounds, axis=0)
    title = f"{wall.name}, as seen from inside the room"
    return FaceView(
        scaled_axes(figure, bounds, (float(width), float(height)), scene.print_units, box, title), (wall,), flat
    )


def furnish_ceiling(view: FaceView, scene: Scene, marks: dict[str, Mark]) -> None:
    """The room over the areas: walls, creases, framing, what hangs and what is let in, and seats in broken lines."""
    draw_framing(view.axes, scene, view.flat, view.shows)
    draw_room(view.axes, scene, boxes="none")
    draw_hidden(view.axes, scene, view.flat, view.shows)
    for seat in scene.seats:
        draw_seat_below(view.axes, seat, scene.ahead, marks.get(seat.name))
    seat_labels(view.axes, scene.seats, {})


def furnish_wall(view: FaceView, scene: Scene) -> None:
    """What is behind, on, in and before a wall, and the wall's own outline, with the names of what it opens to."""
    wall = view.faces[0]
    draw_framing(view.axes, scene, view.flat, view.shows)
    draw_on_wall(view, scene)
    for patch, name in _patches(scene, wall):
        x, y = view.flat(patch.corners).mean(axis=0)
        view.axes.text(x, y, shortened(name, 24), ha="center", va="center", fontsize=8.5, color=palette.SOFT_INK,
                       path_effects=HALO, zorder=7, parse_math=False)  # fmt: skip


def draw_on_wall(view: FaceView, scene: Scene) -> None:
    """What is on, in and before a wall, and its outline; no framing and no names."""
    wall, axes = view.faces[0], view.axes
    for patch, _ in _patches(scene, wall):
        fill = "none" if patch is scene.screen else palette.PAPER
        axes.add_patch(Polygon(view.flat(patch.corners), closed=True, fc=fill, ec=palette.SCREEN, lw=1.4, zorder=6))
    for _, area in blocks_against(scene, wall):
        draw_polygon(axes, view.area(wall, area), fc=palette.PANEL, ec=palette.SOFT_INK, lw=1.1, zorder=6)
    for fixture in scene.fixtures:
        if fixture.surface.name == wall.name:
            ring = view.outline(wall, fixture.seen)
            axes.add_patch(Polygon(ring, closed=True, fill=False, ec=palette.SOFT_INK, lw=0.9, zorder=6))
    draw_hidden(axes, scene, view.flat, view.shows)
    draw_polygon(axes, view.area(wall, wall.outline), fc="none", ec=palette.INK, lw=3.2, zorder=8)


def blocks_against(scene: Scene, wall: Surface) -> Iterator[tuple[Block, BaseGeometry]]:
    """The boxes and risers that stand against a wall, each with the part of the wall it covers, in its coordinates."""
    for block in (*scene.room.boxes, *scene.room.risers):
        shape = block_before(block, wall, 0.0)
        if shape is not None:
            area = shape.outline.intersection(wall.outline)
            if area.area > 0:
                yield block, area


def _patches(scene: Scene, wall: Surface) -> Iterator[tuple[WallPatch, str]]:
    """The openings of a wall and the picture on it, with what they are called."""
    named = [*((patch, patch.name) for patch in scene.openings), *([(scene.screen, "screen")] if scene.screen else [])]
    return ((patch, name) for patch, name in named if patch.wall.name == wall.name)
