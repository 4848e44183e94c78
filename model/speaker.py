"""Speakers: a type placed in the room."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.aim import Aim
from earshed.model.channel import Channel
from earshed.model.geometry import Array, angle_between
from earshed.model.speaker_type import Coverage, SpeakerType
from earshed.model.surface import Surface


@dataclass(frozen=True, eq=False)
class Speaker:
    """A placed speaker: `position` (3,) of its hole's or baffle's center, metres, and two unit directions (3,).

    `normal` is square to the baffle into the room, `axis` is where the strongest high-frequency sound goes.
    `surface` is the face it is cut into, None for a cabinet.
    """

    name: str
    type: SpeakerType
    channel: Channel | None
    position: Array
    normal: Array
    axis: Array
    aim: Aim
    surface: Surface | None

    @property
    def tilt(self) -> float:
        """Angle of the axis from the baffle normal, radians."""
        return float(angle_between(self.normal, self.axis))

    @property
    def has_verdict(self) -> bool:
        """Whether coverage is asked of it; subwoofers have no direction to speak of."""
        return not self.type.subwoofer

    @property
    def coverage(self) -> Coverage:
        """The type's coverage. Raises ValueError for a type that has none, as subwoofers have."""
        if self.type.coverage is None:
            raise ValueError(f"{self.name} has no coverage angle")
        return self.type.coverage
