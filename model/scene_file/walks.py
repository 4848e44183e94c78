"""Builds the survey of a room that was walked: its walls in turn, and the diagonals taped across it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from earshed.model.adjustment import adjust
from earshed.model.geometry import Array
from earshed.model.plan import RECTANGLE_CORNERS, Plan, four_sided, outline
from earshed.model.scene_file.fields import RIGHT_ANGLE
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_room import DiagonalFile, RoomFile
from earshed.model.survey import CRITICAL, FieldNotes, Reading, Survey, reading_deviation
from earshed.model.traverse import (
    ONCE_ROUND,
    closing_changes,
    closing_lengths,
    comes_back,
    goes_once_round,
    misclosure,
)
from earshed.model.units import PrintUnits, format_angle, format_length

ABOUT_SQUARE = math.radians(15)
"""How far a corner may be stated from square in a room whose walls go by side. Common practice, no source."""
MOST_WAYS = 3
FINEST = 9
"""Decimals of a metre that fitted corners are kept to, so that what was taped square comes out square."""


def build_survey(room: RoomFile, units: PrintUnits) -> Survey | None:
    """The best fit to a room's walk and diagonals; None for a room given otherwise.

    Raises Misfit for a walk that does not come back to its start, and for diagonals that cannot be.
    """
    if room.walk is None:
        if room.diagonals:
            raise Misfit("they are taped between the corners of a walk, and the room has none", ("room", "diagonals"))
        return None
    for key in ("width", "length", "outline"):
        if getattr(room, key) is not None:
            raise Misfit(f"the walk gives the whole plan; leave out {key}", ("room", key), at_key=True)
    lengths = np.array([entry.wall for entry in room.walk])
    turns = np.array([entry.turn for entry in room.walk])
    walls = [Reading(i, (i + 1) % len(lengths), float(length)) for i, length in enumerate(lengths)]
    alone = FieldNotes(tuple(walls), turns)
    if not comes_back(lengths, turns):
        raise Misfit(_why_not_back(alone, units), ("room", "walk"))
    diagonals: list[Reading] = []
    for index, entry in enumerate(room.diagonals):
        path: Path = ("room", "diagonals", index)
        diagonal = _diagonal(entry, turns, path)
        _refuse_double(diagonal, diagonals, path)
        _refuse_too_long(diagonal, lengths, units, (*path, "length"))
        diagonals.append(diagonal)
    for index, diagonal in enumerate(diagonals):
        _refuse_no_triangle(diagonal, [*walls, *diagonals], units, ("room", "diagonals", index, "length"))
    return adjust(FieldNotes((*walls, *diagonals), turns))


def surveyed_plan(survey: Survey) -> Plan:
    """The plan that a survey found. Raises ValueError for an outline that no room can have."""
    measured = np.round(survey.corners, FINEST) * [1.0, -1.0]
    return four_sided(measured) if _goes_by_side(survey.notes.turns) else outline(measured)


def _goes_by_side(turns: Array) -> bool:
    return len(turns) == 4 and bool(np.all(np.abs(turns - RIGHT_ANGLE) <= ABOUT_SQUARE))


def _why_not_back(walk: FieldNotes, units: PrintUnits) -> str:
    """What is wrong with a walk that does not come back, and which slip in its turns would explain it."""
    lengths, turns = walk.lengths, walk.turns
    if goes_once_round(-turns):
        return "the turns go round to the left; walk with the room on your right, the screen wall first, left to right"
    ways = [_told(change) for change in closing_changes(lengths, turns)]
    if goes_once_round(turns):
        miss = format_length(float(np.hypot(*misclosure(walk.walked))), units)
        wrong = f"the walk ends {miss} from its start, more than a tenth of its length"
        other = [f"wall {at + 1} at {format_length(length, units)}" for at, length in closing_lengths(lengths, turns)]
        ways = ways or other
    else:
        total, round_once = format_angle(float(turns.sum())), format_angle(ONCE_ROUND)
        wrong = f"the turns add up to {total} to the right, and once round a room they add up to {round_once}"
    if not ways:
        return f"{wrong}: a wall is missing or misread, or more than one turn is wrong"
    return f"{wrong}; it would close with {', or with '.join(ways[:MOST_WAYS])}"


def _told(change: dict[int, float]) -> str:
    """A change of turns in words; a square turn needs no angle."""
    turns = []
    for position, turn in change.items():
        size = "" if abs(abs(turn) - RIGHT_ANGLE) < 1e-9 else f" {format_angle(abs(turn))}"
        turns.append(f"a{size} turn to the {'right' if turn > 0 else 'left'} at the end of wall {position + 1}")
    return " and ".join(turns)


def _diagonal(entry: DiagonalFile, turns: Array, path: Path) -> Reading:
    start, end = _corner(entry.start, turns, (*path, "from")), _corner(entry.to, turns, (*path, "to"))
    count = len(turns)
    if start == end:
        raise Misfit("it begins and ends at the same corner", (*path, "to"))
    for first, second in ((start, end), (end, start)):
        if (first + 1) % count == second:
            raise Misfit(f"that is wall {first + 1}, which the walk has taped", (*path, "to"))
    return Reading(start, end, entry.length)


def _corner(name: str, turns: Array, path: Path) -> int:
    """A corner's position from its number or, in a room whose walls go by side, its name. Raises Misfit."""
    count = len(turns)
    numbers = {str(number + 1): number for number in range(count)}
    named = {name: i for i, name in enumerate(RECTANGLE_CORNERS)} if _goes_by_side(turns) else {}
    position = (numbers | named).get(name)
    if position is None:
        names = f", or {', '.join(named)}" if named else ""
        raise Misfit(f"there is no corner {name}; the corners are 1 to {count}{names}", path)
    return position


def _refuse_double(diagonal: Reading, before: Sequence[Reading], path: Path) -> None:
    for number, other in enumerate(before, start=1):
        if {diagonal.start, diagonal.end} == {other.start, other.end}:
            raise Misfit(f"it was taped already, as diagonal {number}", path)


def _refuse_too_long(diagonal: Reading, lengths: Array, units: PrintUnits, path: Path) -> None:
    """A straight line is no longer than the way along the walls, either way round."""
    count = len(lengths)
    for start, end in ((diagonal.start, diagonal.end), (diagonal.end, diagonal.start)):
        walls = [(start + i) % count for i in range((end - start) % count)]
        way = float(lengths[walls].sum())
        if diagonal.length > way + _slack([diagonal.length, *lengths[walls]]):
            told = " and ".join(str(wall + 1) for wall in walls)
            raise Misfit(
                f"{format_length(diagonal.length, units)} is more than the {format_length(way, units)} from corner to "
                f"corner along walls {told}",
                path,
            )


def _refuse_no_triangle(diagonal: Reading, readings: Sequence[Reading], units: PrintUnits, path: Path) -> None:
    """No side of a triangle is longer than the other two together (Euclid, Elements, book 1, proposition 20)."""
    for corner, one, other in _triangles(diagonal, readings):
        sides = sorted([diagonal.length, one.length, other.length])
        if sides[2] > sides[0] + sides[1] + _slack(sides):
            told = [format_length(side, units) for side in (diagonal.length, one.length, other.length)]
            raise Misfit(
                f"{told[0]} makes no triangle with the {told[1]} and {told[2]} from its ends to corner {corner + 1}: "
                "the longest is more than the other two together",
                path,
            )


def _triangles(diagonal: Reading, readings: Sequence[Reading]) -> Iterator[tuple[int, Reading, Reading]]:
    """Each corner to which both ends of a diagonal were taped, with the two readings."""
    taped = {frozenset((reading.start, reading.end)): reading for reading in readings}
    for corner in dict.fromkeys(end for reading in readings for end in (reading.start, reading.end)):
        one = taped.get(frozenset((diagonal.start, corner)))
        other = taped.get(frozenset((diagonal.end, corner)))
        if one and other and corner not in (diagonal.start, diagonal.end):
            yield corner, one, other


def _slack(lengths: Sequence[float]) -> float:
    """How far lengths may be out together by the noise of tapes alone, metres."""
    return CRITICAL * float(np.linalg.norm(reading_deviation(lengths)))
