"""Speakers' holes as shapes on a face: what is cut, what shows, and where clamps land."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from earshed.model.clamp import clamp_feet
from earshed.model.face_shape import FaceShape, rectangle_shape, round_shape
from earshed.model.geometry import TOUCHING, UP, Array, square_to
from earshed.model.speaker_type import Angled, Cutout, Round, SpeakerType
from earshed.model.surface import Surface

Part = Literal["cut", "rim", "clamps"]


@dataclass(frozen=True, eq=False)
class HoleShape:
    """What a type takes up on a face, in its coordinates: what is cut, what shows, and the feet of its clamps.

    Where the clamps are not known they may land anywhere round the cut, whose shape then stands for them.
    """

    cut: FaceShape
    rim: FaceShape
    clamps: tuple[FaceShape, ...] = ()

    def parts(self, part: Part) -> tuple[FaceShape, ...]:
        match part:
            case "cut":
                return (self.cut,)
            case "rim":
                return (self.rim,)
        return self.clamps or (self.cut,)

    @property
    def clamps_known(self) -> bool:
        return bool(self.clamps)


@dataclass(frozen=True, eq=False)
class Hole:
    """A speaker's hole: the face it is in, its center (3,), its shape there."""

    owner: str
    type: SpeakerType
    surface: Surface
    center: Array
    shape: HoleShape

    @property
    def cut(self) -> FaceShape:
        return self.shape.cut

    @property
    def rim(self) -> FaceShape:
        return self.shape.rim

    @property
    def middle(self) -> Array:
        """Its center (2,) in its face's coordinates."""
        return self.surface.to_face(self.center)


def hole_shape(
    kind: SpeakerType,
    surface: Surface,
    middle: Array,
    ahead: Array,
    *,
    long_axis: Array | None = None,
    axis: Array | None = None,
) -> HoleShape:
    """What a type takes up round a point (2,) of a face; `ahead` (2,) is the plan way to the screen, `long_axis` (3,)
    that of a rectangular hole, `axis` (3,) of one that leans, None where it is not known yet."""
    cut = cut_shape(kind.cutout or kind.rim, surface, middle, long_axis)
    rim = cut_shape(kind.rim, surface, middle, long_axis)
    return HoleShape(cut, rim, tuple(_feet(kind, surface, cut, ahead, axis)))


def screen_side(surface: Surface, ahead: Array) -> tuple[Array, Array]:
    """Unit directions (2,) in a face: from the middle of a hole to the screen-side mark of its rim, and square to it
    towards the right as one faces the screen; `ahead` (2,) is the plan way there.

    On a wall that faces that way or its opposite the mark is up. On a wall to the side it is ahead; square to it is up
    on the left one, and down on the right one, which mirrors it, as steep slopes have it.
    """
    front = np.append(ahead, 0.0)
    mark = square_to(front, surface.normal)
    if mark is None:
        mark = UP
    aside = np.cross(surface.normal, mark)
    return surface.frame @ mark, surface.frame @ (-aside if aside @ np.cross(front, UP) < -TOUCHING else aside)


def cut_shape(cut: Cutout, surface: Surface, middle: Array, long_axis: Array | None) -> FaceShape:
    """A round or rectangular cut round a point (2,) of a face; a rectangle of no known long axis counts as round."""
    if isinstance(cut, Round) or long_axis is None:
        return round_shape(middle, cut.across)
    return rectangle_shape(middle, surface.frame @ long_axis, cut.long, cut.short)


def _feet(kind: SpeakerType, surface: Surface, cut: FaceShape, ahead: Array, axis: Array | None) -> list[FaceShape]:
    """The feet of its clamps; none where they are not known, or turn with a lean that is not known yet."""
    if kind.clamps is None:
        return []
    start, aside = screen_side(surface, ahead)
    if isinstance(kind.aiming, Angled):
        lean = np.zeros(2) if axis is None else surface.frame @ (axis - (axis @ surface.normal) * surface.normal)
        length = float(np.hypot(*lean))
        if length < TOUCHING:
            return []
        round_about = start[0] * aside[1] - start[1] * aside[0]  # 1 or -1, the way that turns are counted
        start = lean / length
        aside = round_about * np.array([-start[1], start[0]])
    return clamp_feet(kind.clamps, cut, start, aside)
