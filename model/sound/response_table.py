"""Reads a table of measured directivity: rows of angles, columns of frequencies, levels in dB; one plane or two.

    angle,     500, 1000, 2000, 4000, 8000
    horizontal
    0,           0,    0,    0,    0,    0
    10,       -0.1, -0.2, -0.4, -0.9, -1.6
    ...
    vertical
    0,           0,    0,    0,    0,    0
    ...

Without the words it is the same all round. Levels are relative or absolute: each frequency is set to 0 dB at 0 degrees.
Angles rise; 0 to 180 stand for both sides, -180 to 180 or 0 to 350 for each (the two orbits in steps of 10 degrees are
those of ANSI/CTA-2034-A, as pages on it report), plus being to the right as one looks the way it plays, and up.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from earshed.model.geometry import Array, frozen
from earshed.model.sound.response import Response
from earshed.model.sound.table_rows import PLANES, BadResponse, Row, Rows, read_rows

WIDEST_STEP = 30.0
"""Degrees between rows, past which a beam would slip between them. Common practice, no source."""
LEAST_REACH = 90.0
LOUDEST_DB, LOUDEST_ROW_DB = 20.0, 6.0
"""Over the axis, of one level and of a row on average, past which 0 degrees can be no axis."""
MOST_RATIO, ABOUT_ONE = 2.0, 0.1
"""Of pressures to that on the axis, up to which levels look like ratios where the axis has 1, or nearly that."""

Side = tuple[Array, Array]
"""Angles (N,), degrees, rising from 0, and levels (N, F), dB re those at 0."""


def read_response(raw: bytes, file: str) -> Response:
    """The directivity in the bytes of a table; `file` names it in messages. Raises BadResponse."""
    table = read_rows(raw, file)
    sides = {plane: _sides(table, rows) for plane, rows in table.planes.items()}
    if not sides:
        raise BadResponse(f"{file} has no rows of angles")
    if "" in sides:
        (right, left) = sides[""]
        if left is not right:
            words = "two sides of one plane: name it horizontal, and add a vertical one; a table without planes is the "
            raise BadResponse(f"{file} has {words}same all round, from 0 to 180 degrees")
        planes = [right]
    else:
        missing = [plane for plane in PLANES if plane not in sides]
        if missing:
            raise BadResponse(f"{file} needs rows of the {missing[0]} plane too")
        (right, left), (up, down) = (sides[plane] for plane in PLANES)
        planes = [right, up, left, down]
    degrees = np.unique(np.concatenate([angles for angles, _ in planes]))
    levels = np.stack([_at(degrees, side) for side in planes], axis=1)
    return Response(frozen(np.radians(degrees)), frozen(table.frequencies), frozen(levels), file)


def _sides(table: Rows, rows: Sequence[Row]) -> tuple[Side, Side]:
    """The plus and the minus side of a plane; one and the same where only one is given. Raises BadResponse."""
    for before, row in pairwise(rows):
        if row.degrees <= before.degrees:
            words = f"{row.degrees:g} degrees comes after {before.degrees:g}; angles must rise from row to row"
            raise table.wrong(row.line, words, 1)
        if row.degrees - before.degrees > WIDEST_STEP:
            words = f"nothing between {before.degrees:g} and {row.degrees:g} degrees; steps are {WIDEST_STEP:g} at most"
            raise table.wrong(row.line, words, 1)
    axis = next((row for row in rows if row.degrees == 0.0), None)
    if axis is None:
        place = f", rows {rows[0].line} to {rows[-1].line}" if rows else ""
        raise BadResponse(f"{table.file}{place}: there is no row of 0 degrees, the axis, which levels are taken from")
    _need_decibels(table, rows, axis)
    degrees = np.array([row.degrees for row in rows])
    levels = np.array([row.levels for row in rows]) - np.array(axis.levels)
    in_front = (degrees >= 0.0) & (degrees <= 180.0)
    plus: Side = degrees[in_front], levels[in_front]
    minus = plus
    if degrees[0] < 0.0:
        minus = -degrees[degrees <= 0.0][::-1], levels[degrees <= 0.0][::-1]
    elif degrees[-1] > 180.0:
        behind = (degrees >= 180.0) & (degrees < 360.0)
        minus = (
            np.concatenate([[0.0], 360.0 - degrees[behind][::-1]]),
            np.concatenate([plus[1][:1], levels[behind][::-1]]),
        )
    if degrees[0] < 0.0 and degrees[-1] > 180.0:
        words = f"angles run from {degrees[0]:g} to {degrees[-1]:g}; they run from 0 to 180, from -180 to 180 or to 360"
        raise table.wrong(rows[-1].line, words, 1)
    plus, minus = _with_behind(plus, minus), _with_behind(minus, plus)
    for angles, _ in (plus, minus):
        if angles[-1] < LEAST_REACH:
            words = f"angles end at {angles[-1]:g} degrees off the axis on one side; {LEAST_REACH:g} is the least"
            raise table.wrong(rows[-1].line, words, 1)
    return plus, minus


def _with_behind(side: Side, other: Side) -> Side:
    """A side, with the level straight behind where the other has it alone: an orbit passes there once."""
    if side[0][-1] == 180.0 or other[0][-1] != 180.0:
        return side
    return np.append(side[0], 180.0), np.concatenate([side[1], other[1][-1:]])


def _need_decibels(table: Rows, rows: Sequence[Row], axis: Row) -> None:
    """Raises BadResponse for ratios in place of levels, and for levels that rise off the axis past belief."""
    everything = [level for row in rows for level in row.levels]
    near_one = max(abs(level - 1.0) for level in axis.levels) <= ABOUT_ONE
    if near_one and min(everything) >= 0.0 and max(everything) <= MOST_RATIO:
        words = f"1 on the axis, and from 0 to {MOST_RATIO:g} elsewhere, look like ratios; levels must be in dB"
        raise table.wrong(axis.line, words, 2)
    for row in rows:
        over = np.array(row.levels) - np.array(axis.levels)
        if over.max() > LOUDEST_DB or over.mean() > LOUDEST_ROW_DB:
            worst = int(over.argmax())
            words = f"{row.levels[worst]:g} is {over[worst]:g} dB over the axis; what is down has a minus sign"
            raise table.wrong(row.line, words, worst + 2)


def _at(degrees: Array, side: Side) -> Array:
    """Levels (M, F) at degrees (M,), straight between rows; past the last row as there."""
    angles, levels = side
    return np.stack([np.interp(degrees, angles, column) for column in levels.T], axis=-1)
