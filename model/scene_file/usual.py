"""Answers that a first scene takes where nobody gives others. Common practice all of them, no source."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from earshed.model.picture_fit import largest_picture, picture_on
from earshed.model.scene_file.answers import Answers, size_of, units_of
from earshed.model.scene_file.draft import taped
from earshed.model.scene_file.drafting import ASPECT, drafted
from earshed.model.units import FOOT, INCH

PICTURES = tuple(inches * INCH for inches in range(100, 35, -5))
"""Diagonals in metres, the largest first."""
BESIDE_PICTURE = 18 * INCH
"""Wall to leave on either side of the picture, for a speaker, and above it."""
ROWS_APART = 5 * FOOT
BEHIND_LAST_ROW = 1 * FOOT
SEATS_IN_A_ROW = 3


def usual(key: str, answers: Answers) -> str:
    """The usual answer to a question that has one, after the answers to those before it. Raises KeyError without."""
    return _USUAL[key](answers)


def _fixed(feet_and_inches: str, metres: float) -> Callable[[Answers], str]:
    def answer(answers: Answers) -> str:
        units = units_of(answers)
        return feet_and_inches if units == "ft-in" else taped(metres, units)

    return answer


def _rounded(metres: float, answers: Answers) -> str:
    """A length down to a whole inch or centimetre."""
    units = units_of(answers)
    step = INCH if units == "ft-in" else 0.01
    return taped(max(1, math.floor(metres / step + 1e-6)) * step, units)


def _screen(answers: Answers) -> str:
    """The largest of some usual pictures that leaves room beside it; none where even the smallest does not."""
    room = drafted(answers).scene.room
    wall = room.plan.walls[0]
    bottom = size_of({**answers, "screen_bottom": usual("screen_bottom", answers)}, "screen_bottom")
    free = largest_picture(room, wall, aspect=ASPECT, bottom=bottom, margin=1 * INCH)
    for diagonal in PICTURES:
        picture = picture_on(wall, diagonal, ASPECT, bottom)
        if diagonal <= free and picture.start >= BESIDE_PICTURE:
            return f"{round(diagonal / INCH)}in"
    return "none"


def _seats(answers: Answers) -> str:
    """As many seats as stand side by side, up to three."""
    apart = size_of({**answers, "seat_spacing": usual("seat_spacing", answers)}, "seat_spacing")
    width = size_of(answers, "width")
    return str(max(1, min(SEATS_IN_A_ROW, math.floor(width / apart - 0.5))))


def _front_row(answers: Answers) -> str:
    """Two thirds of the way to the rear wall; half of it where a second row is to follow."""
    share = 1 / 2 if answers["rows"] == "2" else 2 / 3
    return _rounded(size_of(answers, "length") * share, answers)


def _row_spacing(answers: Answers) -> str:
    behind = size_of(answers, "length") - size_of(answers, "front_row")
    return _rounded(min(ROWS_APART, max(behind - BEHIND_LAST_ROW, behind / 2)), answers)


_USUAL: Mapping[str, Callable[[Answers], str]] = {
    "ridge_at": lambda answers: "middle",
    "far_low": lambda answers: "same",
    "screen": _screen,
    "screen_bottom": _fixed("24in", 0.6),
    "seats": _seats,
    "rows": lambda answers: "1",
    "front_row": _front_row,
    "seat_spacing": _fixed("26in", 0.65),
    "ear_height": _fixed("40in", 1.0),
    "row_spacing": _row_spacing,
    "riser": _fixed("8in", 0.2),
    "layout": lambda answers: "five and four above",
    "print_units": lambda answers: units_of(answers),
}
