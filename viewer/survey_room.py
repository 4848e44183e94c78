"""Pages of the survey sheet on the room itself: its plan, its ceiling, and points to pull a tape from."""

from __future__ import annotations

from earshed.viewer.blanks import INCHES, LENGTH, TAPED, WORD, blank, ruled

_WALL = (("wall:", LENGTH), ("turn:", WORD))

_PLAN = [
    blank("title", "_" * 50),
    blank("print_units", " ft-in / mm / cm / m   (ring one)"),
    "",
    "THE PLAN. Face the screen wall: left and right are yours.",
    "room:",
    "  " + blank("width", LENGTH, "left to right"),
    "  " + blank("length", LENGTH, "screen wall to rear wall"),
    "",
    "Where it is no rectangle, walk round it from the left end of the screen wall, to",
    "the right. Give each wall and the turn at its end (right, left, 45deg right),",
    "then both diagonals between corners, which show a slip of the tape.",
    "  walk:",
    *ruled((("", "{row}"), *_WALL, ("", "{after}"), *_WALL), 6),
    "",
    "  diagonals:",
    *ruled((("from:", "corner ____"), ("to:", "corner ____"), ("length:", LENGTH)), 2),
    "",
    "Sketch it here, screen wall at the top, with ridge, doors, and a north arrow.",
    *[line for _ in range(9) for line in ("", " ." + "     ." * 12)],
]

_CEILING = [
    "Ring the shape; heights are above the floor. Where a ridge cannot be reached,",
    "read the pitch of the slope with a level.",
    "ceiling:",
    "",
    "  shape: flat     ____________",
    "                 |            |     " + blank("height", LENGTH),
    "                 |____________|",
    "",
    "  shape: shed             _____     " + blank("low", LENGTH),
    "                 ____-----    |     " + blank("high", LENGTH, "pitch: ___ in 12"),
    "                 |            |     " + blank("rises", "left / right / front / rear"),
    "                 |____________|",
    "",
    "  shape: gable        _             " + blank("ridge", "front-to-back / side-to-side"),
    "                    _- -_           " + blank("low", LENGTH, "left (front) wall"),
    "                  _-     -_         " + blank("peak", LENGTH, "pitch: ___ in 12"),
    "                 |         |        " + blank("ridge_at", LENGTH, "from left (front)"),
    "                 |_________|        " + blank("far_low", LENGTH, "the wall beyond"),
    "                                    " + blank("flat_top", LENGTH, "if cut off level"),
    "",
    "  shape: hip        _______         " + blank("low", LENGTH),
    "                   /       \\        " + blank("peak", LENGTH, "pitch: ___ in 12"),
    "                  |_________|       (four slopes of one pitch)",
    "",
    "  shape: tray       _______         " + blank("height", LENGTH, "of the border"),
    "                 __|       |__      " + blank("inset", LENGTH, "border's width"),
    "                 |           |      " + blank("rise", INCHES, "of the middle above it"),
    "                 |___________|      " + blank("run", INCHES, "where its sides slope"),
    "",
    "  " + blank("finish", "board / deck (bare boards) / tiles  ______ x ______"),
    "  shape: planes: three points on each slope, as left, front, height",
    *[
        line
        for number in (1, 2)
        for line in ("", f"  {number}   ____ , ____ , ____      ____ , ____ , ____      ____ , ____ , ____")
    ],
    "",
    "Parts with a ceiling of their own (dormer, bay), by their left, front corner.",
    "  zones:",
    *ruled((("name:", WORD), ("from_left:", TAPED), ("from_front:", TAPED), ("width:", TAPED), ("length:", TAPED)), 3),
    "  ceiling: of each, its shape and heights (shape: raised  by: ____ , a skylight)",
    *["", *["  1 " + "_" * 20 + "   2 " + "_" * 20 + "   3 " + "_" * 20]],
    "",
    "Bands boxed in along walls.",
    "  soffits:",
    *ruled((("name:", WORD), ("walls:", "________________"), ("width:", INCHES), ("bottom:", LENGTH)), 2),
]

ROOM_PAGES: tuple[tuple[str, list[str]], ...] = (
    ("SURVEY SHEET: THE PLAN", _PLAN),
    ("THE CEILING", _CEILING),
)
