"""Speakers: a type placed in the room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from earshed.model.aim import Aim
from earshed.model.channel import Channel
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array, angle_between
from earshed.model.hole import Hole, cut_shape, hole_shape
from earshed.model.measured import Measured
from earshed.model.speaker_type import Coverage, Cutout, SpeakerType
from earshed.model.surface import Surface
from earshed.model.window import Window


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
    long_axis: Array | None = None
    """Direction (3,) in its face of the long side of a rectangular hole."""
    window: Window | None = None
    """From where it is to be heard, where the scene says so itself."""
    measured: Measured | None = None
    """What was read of it on site."""

    @property
    def hole(self) -> FaceShape | None:
        """What is cut out of its face; None for a cabinet."""
        return self._on_face(self.type.cutout or self.type.rim)

    @property
    def rim(self) -> FaceShape | None:
        """What shows of it on its face; None for a cabinet."""
        return self._on_face(self.type.rim)

    def _on_face(self, cut: Cutout) -> FaceShape | None:
        if self.surface is None:
            return None
        return cut_shape(cut, self.surface, self.surface.to_face(self.position), self.long_axis)

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


def speaker_holes(speakers: Iterable[Speaker], ahead: Array) -> tuple[Hole, ...]:
    """The holes of the speakers that are cut into a face; `ahead` (2,) is the plan way to the screen."""
    holes = []
    for one in speakers:
        if one.surface is not None:
            middle = one.surface.to_face(one.position)
            shape = hole_shape(one.type, one.surface, middle, ahead, long_axis=one.long_axis, axis=one.axis)
            holes.append(Hole(one.name, one.type, one.surface, one.position, shape))
    return tuple(holes)
