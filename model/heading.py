"""Headings in words: plan directions as they are spoken in the room.

Left and right are the room's own, as seen when facing the screen wall, whatever the heading starts from:
"20 degrees right of rear" leans from the rear towards the right-hand wall.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np

from earshed.model.geometry import FRONT, PARALLEL, RIGHT, UP, Array, square_to
from earshed.model.units import MeasureError, parse_angle

NAMED: Mapping[str, Array] = {
    "front": FRONT, "rear": -FRONT, "left": -RIGHT, "right": RIGHT, "up": UP, "down": -UP,
}  # fmt: skip
_LEVEL = ("front", "rear", "left", "right")
_CLOCKWISE = ("front", "right", "rear", "left")
_QUARTERS = {name: _CLOCKWISE.index(name) for name in _LEVEL}
"""Quarter turns from front, clockwise as seen from above; halfway between two, front and rear come first."""
_BETWEEN = re.compile(rf"(.+?)\s+({'|'.join(_LEVEL)})\s+of\s+({'|'.join(_LEVEL)})")
_TIPPED = re.compile(r"(.+?)\s+and\s+(.+?)\s+(up|down)")

HOW_TO_WRITE = (
    "write front, rear, left, right, up, down, `35deg right of front`, or degrees clockwise from front seen from above"
)


def parse_heading(text: str) -> Array:
    """Unit vector (3,) of a heading. Raises MeasureError for words that name none.

    A bare angle turns clockwise from front as seen from above: 90 is right. "20deg right of rear and 10deg down" leaves
    the level too, as an axis out of a wall may.
    """
    words = " ".join(text.lower().split())
    if found := _TIPPED.fullmatch(words):
        return _turned(parse_heading(found[1]), NAMED[found[3]], parse_angle(found[2]))
    if words in NAMED:
        return NAMED[words]
    if found := _BETWEEN.fullmatch(words):
        start, side = NAMED[found[3]], NAMED[found[2]]
        if start @ side == 0:
            return _turned(start, side, parse_angle(found[1]))
        raise MeasureError(f"{text}: {found[2]} and {found[3]} are not square to each other")
    try:
        return _turned(FRONT, RIGHT, parse_angle(words))
    except MeasureError:
        raise MeasureError(f"{text} is not a heading; {HOW_TO_WRITE}") from None


def _turned(start: Array, side: Array, angle: float) -> Array:
    return math.cos(angle) * start + math.sin(angle) * side


def lean_words(normal: Array, axis: Array) -> str:
    """How an axis (3,) leans as drawn on a ceiling face round its hole, to a degree; empty where it leans nowhere.

    The angle is taken in the face itself, from the direction on it nearest to front; on a slope it differs from the
    plan direction in which the axis points. Faces that stand upright have no such front: empty.
    """
    ahead = square_to(FRONT, normal)
    lean = axis - (axis @ normal) * normal
    if ahead is None or abs(normal[2]) < PARALLEL or np.linalg.norm(lean) < PARALLEL:
        return ""
    aside = np.cross(ahead, normal) * (1 if normal[2] > 0 else -1)
    return heading_words((lean @ ahead) * FRONT + (lean @ aside) * RIGHT)


def heading_words(direction: Array) -> str:
    """The plan direction of a vector (3,) in words, to a degree, from the nearest wall: "35 degrees right of front".

    A vector with no level part is "straight down" or "straight up".
    """
    if np.hypot(direction[0], direction[1]) < PARALLEL * np.linalg.norm(direction):
        return "straight down" if direction[2] < 0 else "straight up"
    start, turn = min(_turns(direction), key=lambda found: abs(round(found[1])))
    degrees = abs(round(turn))
    if degrees == 0:
        return start
    return f"{degrees} degree{'s' if degrees != 1 else ''} {_side(start, turn)} of {start}"


def side_words(direction: Array) -> str:
    """The side to which a direction (3,) leads, of front, right, rear, left, upper and lower the nearest."""
    if abs(direction[2]) > np.hypot(direction[0], direction[1]):
        return "upper" if direction[2] > 0 else "lower"
    return min(_turns(direction), key=lambda found: abs(round(found[1])))[0]


def heading_text(direction: Array) -> str:
    """The plan direction of a vector (3,) that is not upright, as `parse_heading` reads it, to a thousandth degree."""
    start, turn = min(_turns(direction), key=lambda found: abs(found[1]))
    degrees = f"{abs(turn):.3f}".rstrip("0").rstrip(".")
    return start if degrees == "0" else f"{degrees}deg {_side(start, turn)} of {start}"


def _turns(direction: Array) -> list[tuple[str, float]]:
    """Degrees that a vector (3,) is turned, clockwise as seen from above, from each way that has a name."""
    bearing = math.degrees(math.atan2(direction[0], direction[1]))
    return [(start, (bearing - 90 * quarter + 180) % 360 - 180) for start, quarter in _QUARTERS.items()]


def _side(start: str, turn: float) -> str:
    return _CLOCKWISE[(_QUARTERS[start] + (1 if turn > 0 else -1)) % 4]
