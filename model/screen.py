"""The picture on its wall, and openings in walls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import FRONT, Array
from earshed.model.plan import Wall
from earshed.model.sound.materials import Material


@dataclass(frozen=True, eq=False)
class WallPatch:
    """An upright rectangle on a wall: from `start` to `end` along it, from `bottom` to `top`, metres."""

    name: str
    wall: Wall
    start: float
    end: float
    bottom: float
    top: float
    material: Material | None = None
    """None where the scene does not say."""

    @property
    def center(self) -> Array:
        """Its middle (3,)."""
        return self.point((self.start + self.end) / 2, (self.bottom + self.top) / 2)

    @property
    def corners(self) -> Array:
        """Its corners (4, 3), round from start and bottom."""
        return np.array([
            self.point(self.start, self.bottom), self.point(self.end, self.bottom),
            self.point(self.end, self.top), self.point(self.start, self.top),
        ])  # fmt: skip

    def point(self, along: float, height: float) -> Array:
        """The point (3,) of its wall at a distance from the wall's start and a height."""
        return self.wall.point(along, height)


@dataclass(frozen=True, eq=False)
class Screen(WallPatch):
    """The picture, and whether sound passes through it, as through a woven or a perforated screen."""

    transparent: bool = False


def picture_patch(wall: Wall, center: float, size: tuple[float, float], bottom: float) -> Screen:
    """A picture of that width and height, its middle at a distance along a wall, its lower edge at `bottom`; metres."""
    width, height = size
    return Screen("screen", wall, center - width / 2, center + width / 2, bottom, bottom + height)


def ahead_of_seats(screen: WallPatch | None) -> Array:
    """Plan direction (2,) in which seats face: square to the screen's wall, or to the front without one."""
    return -screen.wall.inward if screen else FRONT[:2]


def picture_size(diagonal: float, aspect: float) -> tuple[float, float]:
    """Width and height of a picture of that diagonal; `aspect` is width over height."""
    height = diagonal / np.hypot(aspect, 1.0)
    return float(aspect * height), float(height)
