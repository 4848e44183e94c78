"""Whether one cut-out takes in another: old holes, and the types that fit them."""

from __future__ import annotations

from earshed.model.face_shape import FaceShape
from earshed.model.units import INCH

SLOP = INCH / 16
"""Metres by which an old hole may stick out of a new one and still be trimmed with it. Common practice, no source."""


def covers(cut: FaceShape, old: FaceShape) -> bool:
    """Whether a cut takes in an old hole on the same face, but for what a saw leaves."""
    return bool(cut.outline.buffer(SLOP).covers(old.outline))
