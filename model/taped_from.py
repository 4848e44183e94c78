"""From where a place is taped: from which walls, from the center line, from a datum, or along a wall."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Side = Literal["left", "right", "center"]
End = Literal["front", "rear"]


@dataclass(frozen=True)
class TapedFrom:
    """On the floor a side and an end, on a wall the one of them that the wall runs between, or a named point for both.

    Where none is said, the tape is pulled along the wall from its first corner.
    """

    side: Side | None = None
    end: End | None = None
    datum: str | None = None


ALONG_THE_WALL = TapedFrom()
FROM_THE_CORNER = TapedFrom("left", "front")
"""As most places are taped, and those of which nothing is known."""
