"""What a scan or a test hole found behind a face, and holes that a former owner left in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.speaker_type import Cutout
from earshed.model.surface import Surface

HiddenKind = Literal["blocking", "pipe", "cable", "duct", "driver box", "unknown"]

CAUTIONS: Mapping[str, str] = {
    "pipe": "only a plumber moves a pipe",
    "cable": "it may be live: only an electrician moves a cable",
    "unknown": "find out what it is before any cut near it",
}
"""Common practice, no source; local codes and licensed trades decide."""


@dataclass(frozen=True, eq=False)
class KeepOut:
    """A patch of a face that no hole may be cut in, metres: its shape there, the distance to keep from it, and how far
    off it may be. `behind` is how deep behind the board it begins, where something less deep fits before it.
    """

    name: str
    kind: HiddenKind
    surface: Surface
    shape: FaceShape
    keep_clear: float
    within: float
    behind: float | None = None


@dataclass(frozen=True, eq=False)
class ExistingHole:
    """A hole that is there already, at `position` (3,) on a face; `long_axis` (3,) is that of a rectangular one."""

    name: str
    position: Array
    surface: Surface
    cut: Cutout
    long_axis: Array | None
    shape: FaceShape
