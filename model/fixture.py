"""Things that already hang in the room and that speakers have to live with."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.geometry import Array
from earshed.model.surface import Surface


@dataclass(frozen=True, eq=False)
class CanLight:
    """A recessed light: `position` (3,) of its center on the face, `cutout` and `body` diameters, metres.

    Drawn square to its face, as most are.
    """

    name: str
    position: Array
    surface: Surface
    cutout: float
    body: float

    @property
    def normal(self) -> Array:
        return self.surface.normal
