"""What a hole in a face has to keep away from: shapes on that face, with the distances to keep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from earshed.model.face_shape import FaceShape
from earshed.model.finding import Severity
from earshed.model.hole import Part

Group = Literal["framing", "hidden", "edges", "openings", "screen", "boxes", "fixtures", "speakers", "old holes"]


@dataclass(frozen=True, eq=False)
class InRoom:
    """How a distance is measured to what is not on the face itself: metres from a part of a hole, and those to keep."""

    gap: Callable[[FaceShape], float]
    keep: float


@dataclass(frozen=True, eq=False)
class Level:
    """A distance that a part of a hole is to keep from a shape, metres; the shape itself may be `within` off.

    `rule` and `severity` are of the finding where it does not. `words` begin its sentence where the two are not to
    overlap, and else name the shape; they are empty where the finding is written elsewhere. `need` says what the
    distance is for.
    """

    rule: str
    severity: Severity
    part: Part
    shape: FaceShape
    distance: float
    words: str = ""
    need: str = ""
    within: float = 0.0
    in_room: InRoom | None = None
    """The true distance from what is not on the face itself, for which `shape` and `distance` keep holes out of no less
    than all the places that are too near."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """One thing in the way: its name in a sentence, the group that it belongs to, and distances, the gravest first.

    A cut that takes in all of the shape `taken_in` is clear of it too.
    """

    name: str
    group: Group
    levels: tuple[Level, ...]
    taken_in: FaceShape | None = None
    note: str = ""
    """What is to be known of it before anyone thinks of moving it instead."""
