"""Things that already sit on or hang from the faces of the room, and that speakers have to live with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.sound.materials import Material
from earshed.model.surface import Surface

FixtureKind = Literal["can light", "vent", "detector", "sprinkler", "fan", "pendant"]

STAYS: Mapping[str, str] = {
    "detector": "a detector is never moved or covered",
    "sprinkler": "a sprinkler is never moved, covered or painted",
}
"""Kinds that stay where they are, whatever is in the way. Common practice, no source; local codes decide."""


@dataclass(frozen=True, eq=False)
class Hanging:
    """What hangs below a fixture: all within `radius` of the plumb line through `center` (2,), between two heights."""

    center: Array
    radius: float
    bottom: float
    top: float


@dataclass(frozen=True, eq=False)
class Fixture:
    """A fixture at `position` (3,) on a face, metres.

    `cut` is its hole in the board, if it has one, `shape` all that it takes up at the face (of a can light, its body
    behind the board), `keep_clear` the distance that rims are to keep from its shape, or from what hangs below it.
    """

    name: str
    kind: FixtureKind
    position: Array
    surface: Surface
    shape: FaceShape
    keep_clear: float
    cut: FaceShape | None = None
    hanging: Hanging | None = None

    @property
    def normal(self) -> Array:
        return self.surface.normal

    @property
    def seen(self) -> FaceShape:
        """What of it shows on the face: the hole of a light, else its shape."""
        return self.cut or self.shape


@dataclass(frozen=True, eq=False)
class FaceOpening:
    """An opening in a ceiling, such as a hatch or a skylight set flush."""

    name: str
    surface: Surface
    shape: FaceShape
    material: Material | None = None
    """None where the scene does not say."""
