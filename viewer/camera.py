"""Where a picture is taken from, and where points of the room fall on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from earshed.model.geometry import FRONT, RIGHT, TOUCHING, UP, Array, unit
from earshed.model.room import SkinKind
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.section import Section, section_of

VIEWS = ("corner", "plan", "front", "rear", "left", "right", "ceiling", "section")
CORNER_WAY = np.array([0.62, -1.0, 0.95])
"""From the middle of the room towards the corner from which it is seen."""
CORNER_ANGLE = 28.0
"""Degrees of view of the corner picture; narrow, so that walls stay nearly parallel."""
SEAT_ANGLE = 78.0
"""Degrees of view, up and down, from a seat: wide enough to show the picture and the ceiling."""
MARGIN = 1.06
"""Times the size of the room that a picture in perspective shows."""
STANDING, UNDER = 1.5, 0.02
"""Metres: the height at which a ceiling is seen from below, and how far under its lowest edge where that is lower."""
UP_ANGLE, LEANING = 96.0, 0.62
"""Degrees of view, up and down, at the ceiling from a seat; how far ahead one looks there, in parts of how far up."""
LEVEL_MARGIN = 1.16
"""The same without perspective, where a scale bar stands under the room."""
CUT_MARGIN = 1.24
"""The same of a section, round which the shell is painted."""


@dataclass(frozen=True, eq=False)
class View:
    """A camera: its place and what it looks at (3,), which way is up, and its lens.

    `half_height` metres for a view without perspective, else `angle` degrees of view up and down. `words` say from
    where the room is seen.
    """

    place: Array
    target: Array
    up: Array
    words: str
    half_height: float | None = None
    angle: float = 30.0
    seat: Seat | None = None
    is_cut: bool = False
    """Whether the room is cut through at the camera, square to its sight, of a view without perspective."""
    section: Section | None = None
    """The upright cut that is seen."""

    def apply(self, plotter: pv.Plotter) -> None:
        camera = plotter.camera
        camera.position, camera.focal_point, camera.up = tuple(self.place), tuple(self.target), tuple(self.up)
        camera.parallel_projection = self.half_height is not None
        if self.half_height is not None:
            camera.parallel_scale = self.half_height
        else:
            camera.view_angle = self.angle
        plotter.reset_camera_clipping_range()
        if self.is_cut:
            camera.clipping_range = (0.0, camera.clipping_range[1])
        if self.seat is not None:
            near, far = camera.clipping_range
            camera.clipping_range = (min(near, 0.05), far)

    @property
    def is_level_cut(self) -> bool:
        """Whether the room is cut level, and seen from below."""
        return self.is_cut and bool(self.target[2] != self.place[2])

    @property
    def without(self) -> tuple[SkinKind, ...]:
        """Kinds of faces that are left out: from above the sides of what rises into the ceiling, which would hang in
        the air before the seats, since the ceiling itself is not seen."""
        from_above = self.seat is None and self.place[2] > self.target[2] + TOUCHING
        return ("side",) if from_above else ()

    def shows(self, point: Array) -> bool:
        """Whether a point (3,) is not cut off."""
        return not self.is_cut or bool((point - self.place) @ (self.target - self.place) > -1e-9)

    def faces(self, inward: Array) -> bool:
        """Whether a wall whose normal (2,) into the room this is shows its inner side."""
        return bool((self.place - self.target)[:2] @ inward > -1e-9)

    def sees_into(self, inward: Array, points: Array) -> NDArray[np.bool_]:
        """Whether a face with the unit normal (3,) into the room shows its inner side at points (N, 3) on it."""
        sight = self.place - (points if self.half_height is None else self.target)
        seen: NDArray[np.bool_] = np.broadcast_to(sight @ inward > -1e-9, points.shape[:1])
        return seen

    def pixels(self, points: Array, size: tuple[int, int]) -> Array:
        """Pixels (N, 2), from the top left, at which points (N, 3) fall in a picture of that size; nan behind."""
        ahead = unit(self.target - self.place)
        right = unit(np.cross(ahead, self.up))
        over = np.cross(right, ahead)
        local = (points - self.place) @ np.stack([right, over, ahead], axis=-1)
        if self.half_height is not None:
            flat = local[:, :2] / self.half_height
        else:
            with np.errstate(invalid="ignore"):
                depth = np.where(local[:, 2:] > 0.05, local[:, 2:], np.nan)
            flat = local[:, :2] / (depth * np.tan(np.radians(self.angle) / 2))
        width, height = size
        return np.stack([width / 2 + flat[:, 0] * height / 2, height / 2 - flat[:, 1] * height / 2], axis=-1)


def find_view(scene: Scene, name: str, aspect: float, *, beside: Scene | None = None) -> View:
    """The view of that name, or from the seat of that name; `aspect` is width / height. Raises KeyError.

    A room `beside` it, which a picture of the same view is taken of, is to fit it too.
    """
    corners = np.concatenate([one.room.shell.vertices for one in (scene, beside) if one is not None])
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle, span = (low + high) / 2, high - low
    if name == "corner":
        return _corner(corners, aspect)
    if name == "plan":
        return _level(middle, UP, FRONT, span[:2], aspect, "above", span)
    sides = {"front": FRONT, "rear": -FRONT, "left": -RIGHT, "right": RIGHT}
    if name in sides:
        across = span[[0, 2]] if name in ("front", "rear") else span[[1, 2]]
        words = f"the {name}" + (", so left is on the right" if name == "front" else "")
        return _level(middle, sides[name], UP, across, aspect, words, span)
    if name == "ceiling":
        return from_below(scene, aspect, beside=beside, margin=LEVEL_MARGIN)
    if name == "section":
        return _cut(section_of(scene), low, high, aspect)
    return seat_view(scene, seat_named(scene, name))


def seat_named(scene: Scene, name: str) -> Seat:
    """The seat of that name, in either posture. Raises KeyError."""
    for seat in scene.seats:
        if seat.name == name:
            return seat
    raise KeyError(name)


def from_below(scene: Scene, aspect: float, *, beside: Scene | None = None, margin: float = MARGIN) -> View:
    """A ceiling as one sees it who looks up, facing the front: left is left, the front is at the foot.

    Without perspective, from just under all that hangs, so that nothing on the floor is in the way. A room `beside` it
    is to fit the picture too, of which both are seen with some `margin`, times their size.
    """
    both = [one for one in (scene, beside) if one is not None]
    corners = np.concatenate([one.room.shell.vertices for one in both])
    low, high = corners.min(axis=0), corners.max(axis=0)
    rims = [ring for one in both for face in one.room.surfaces if face.kind == "ceiling"
            for ring in face.rings()]  # fmt: skip
    lowest = min(float(ring[:, 2].min()) for ring in rims)
    span = high - low
    half = max(span[1] / 2, span[0] / 2 / aspect) * margin
    place = np.array([*(low + high)[:2] / 2, min(STANDING, lowest - UNDER)])
    words = "below, looking up: left is left, the front is at the foot"
    return View(place, place + UP, -FRONT, words, half_height=float(half), is_cut=True)


def _cut(section: Section, low: Array, high: Array, aspect: float) -> View:
    """Square to a cut, with all of the room's height and of its size across."""
    middle = section.origin + ((low + high) / 2 - section.origin) @ section.right * section.right
    middle = middle + (low + high)[2] / 2 * UP
    across = float(np.abs((high - low) @ section.right))
    half = max((high - low)[2] / 2, across / 2 / aspect) * CUT_MARGIN
    words = "a cut behind the main seats, looking to the front"
    if section.way[1] < -0.5:
        words = "a cut before the main seats, looking to the rear, so left is on the right"
    elif section.way[0] > 0.5:
        words = "the left, cut beside the main seats"
    return View(middle, middle + section.way, UP, words, half_height=float(half), is_cut=True, section=section)


def _corner(corners: Array, aspect: float) -> View:
    """From over the rear right corner, so that the screen wall is seen, as near as shows all `corners` (N, 3)."""
    way = unit(CORNER_WAY)
    half = float(np.tan(np.radians(CORNER_ANGLE) / 2))
    right = unit(np.cross(-way, UP))
    across = np.stack([right, np.cross(right, -way)], axis=-1)
    target = (corners.min(axis=0) + corners.max(axis=0)) / 2
    distance = 1.0
    for _ in range(20):  # center what is seen, then step back until it fits; settles in a few rounds
        local = corners - target
        nearer, flat = local @ way, local @ across / [aspect, 1.0]
        distance = float((np.abs(flat).max(axis=1) / half * MARGIN + nearer).max())
        seen = flat / ((distance - nearer) * half)[:, None]
        shift = (seen.min(axis=0) + seen.max(axis=0)) / 2 * distance * half * [aspect, 1.0]
        target = target + across @ shift
    return View(target + way * distance, target, UP, "the rear right corner, from above", angle=CORNER_ANGLE)


def _level(middle: Array, way: Array, up: Array, across: Array, aspect: float, words: str, span: Array) -> View:
    half = max(across[1] / 2, across[0] / 2 / aspect) * LEVEL_MARGIN
    return View(middle + way * (float(np.linalg.norm(span)) + 5), middle, up, words, half_height=float(half))


def seat_view(scene: Scene, seat: Seat) -> View:
    """From a seat's ears towards the picture and the ceiling before it."""
    target = scene.screen.center if scene.screen else seat.ear + FRONT
    target = target + UP * 0.25 * float(np.linalg.norm(target - seat.ear))
    return View(seat.ear, target, UP, f"{seat.name}, towards the screen wall", angle=SEAT_ANGLE, seat=seat)


def up_view(scene: Scene, seat: Seat) -> View:
    """From a seat's ears, the head let back, at the ceiling over and before it."""
    way = UP + LEANING * np.append(scene.ahead, 0.0)
    words = f"{seat.name}, up at the ceiling"
    return View(seat.ear, seat.ear + way, UP, words, angle=UP_ANGLE, seat=seat)
