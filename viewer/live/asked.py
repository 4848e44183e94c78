"""What the page asks for, read from its messages; whatever is not of that form is refused in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from earshed.model.geometry import Array
from earshed.model.sound.bands import OCTAVES
from earshed.viewer.live.maps import MapChoice
from earshed.viewer.quantities import QUANTITIES

LONGEST_TEXT = 2000


class Refused(Exception):
    """Something that cannot be done; the message says why, and what can."""


@dataclass(frozen=True)
class Asked:
    """One message: the `act` by its name and what is said of it; `number` goes back with the answer."""

    act: str
    number: int
    said: Mapping[str, Any]

    @classmethod
    def read(cls, document: Any) -> Asked:
        """Raises Refused for anything but a message of the page."""
        if not isinstance(document, dict) or not isinstance(document.get("act"), str):
            raise Refused("a message names its act")
        number = document.get("n", 0)
        return cls(document["act"], number if isinstance(number, int) else 0, document)

    def text(self, key: str) -> str:
        value = self.said.get(key)
        if not isinstance(value, str) or len(value) > LONGEST_TEXT:
            raise Refused(f"{key}: needs a text of at most {LONGEST_TEXT} characters")
        return value

    def text_or_none(self, key: str) -> str | None:
        return None if self.said.get(key) is None else self.text(key)

    def number_of(self, key: str, low: float = -1e4, high: float = 1e4) -> float:
        value = self.said.get(key)
        if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
            raise Refused(f"{key}: needs a number")
        if not low <= value <= high:
            raise Refused(f"{key}: {value:g} must be from {low:g} to {high:g}")
        return float(value)

    def number_or_none(self, key: str, low: float, high: float) -> float | None:
        return None if self.said.get(key) is None else self.number_of(key, low, high)

    def point(self, key: str) -> Array:
        """A point or a direction (3,) in the room's axes, metres."""
        value = self.said.get(key)
        if not isinstance(value, list) or len(value) != 3 or not all(isinstance(one, int | float) for one in value):
            raise Refused(f"{key}: needs three numbers")
        point: Array = np.array(value, dtype=np.float64)
        if not np.all(np.abs(point) < 1e4):
            raise Refused(f"{key}: needs three numbers of a size that a room has")
        return point

    def flag(self, key: str) -> bool:
        return self.said.get(key) is True

    @property
    def goes_on(self) -> bool:
        """Whether it is a step of something that a hand still holds, after which more steps come."""
        return self.act == "drag" or self.flag("rough")

    @property
    def gesture(self) -> str | None:
        """What the steps of one drag, or of one turn of a slider, have in common."""
        value = self.said.get("gesture")
        return None if value is None else str(value)[:80]


@dataclass(frozen=True)
class Look:
    """What one page shows: which map, which thing is chosen, and whether it shows the scene as it was opened."""

    choice: MapChoice = field(default_factory=MapChoice)
    chosen: str | None = None
    before: bool = False
    all_cones: bool = False
    """Whether every speaker shows its cone, and not the chosen one alone."""

    def shows_cone(self, name: str) -> bool:
        return self.all_cones or name == self.chosen

    @classmethod
    def read(cls, asked: Asked) -> Look:
        """Raises Refused."""
        named, band = asked.text("quantity"), asked.number_of("band", 0, len(OCTAVES) - 1)
        quantity = next((one for one in QUANTITIES if one == named), None)
        if quantity is None:
            raise Refused(f"{named[:40]} is no quantity that can be mapped")
        choice = MapChoice(quantity, asked.text_or_none("speaker"), int(band))
        return cls(choice, asked.text_or_none("chosen"), asked.flag("before"), asked.flag("all_cones"))
