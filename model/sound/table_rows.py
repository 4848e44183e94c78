"""The cells of a table of directivity: frequencies, and rows of levels by plane, each value told where it cannot be."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

PLANES = ("horizontal", "vertical")
LARGEST_TABLE = 5_000_000
"""Bytes."""
WIDEST_RATIO = 2.1
"""Between neighboring columns: an octave, by nominal frequencies."""
NEEDED_HZ = (1000.0, 8000.0)
"""What a table must reach over: here speakers beam, and words are understood. Common practice, no source."""
MOST_DB = 400.0
"""Of a level either way, far past anything that is measured."""
_HERTZ = re.compile(r"(\d+(?:\.\d+)?)\s*(k?)(?:hz)?", re.IGNORECASE)


class BadResponse(ValueError):
    """A file of directivity that cannot be used; the message names the file, the place in it, and what is allowed."""


@dataclass(frozen=True)
class Row:
    """One row: its number in the file, its angle and the levels under each frequency, dB."""

    line: int
    degrees: float
    levels: list[float]


@dataclass
class Rows:
    """A table as it stands in a file: its columns' frequencies, and rows by plane, "" for one that is all round."""

    file: str
    frequencies: list[float] = field(default_factory=list)
    planes: dict[str, list[Row]] = field(default_factory=dict)

    def wrong(self, line: int, words: str, column: int | None = None) -> BadResponse:
        """What is wrong with a row, or with one of its cells."""
        place = "" if column is None else f", column {column}"
        if column is not None and 2 <= column < len(self.frequencies) + 2:
            place += f" ({self.frequencies[column - 2]:g} Hz)"
        return BadResponse(f"{self.file}, row {line}{place}: {words}")


def read_rows(raw: bytes, file: str) -> Rows:
    """The rows in the bytes of a table. Raises BadResponse."""
    if len(raw) > LARGEST_TABLE:
        raise BadResponse(f"{file} is larger than {LARGEST_TABLE // 1_000_000} MB, so it is hardly such a table")
    table = Rows(file)
    for line, cells in _lines(raw, file):
        name = cells[0].lower()
        if not table.frequencies:
            table.frequencies = _frequencies(table, line, cells)
        elif name in PLANES and not any(cells[1:]):
            if name in table.planes or "" in table.planes:
                raise table.wrong(line, f"{name} comes too late; each plane is named once, before all its rows", 1)
            table.planes[name] = []
        else:
            table.planes.setdefault(next(reversed(table.planes), ""), []).append(_row(table, line, cells))
    if not table.frequencies:
        raise BadResponse(f"{file} is empty; it needs a row of frequencies, and under it a row for each angle")
    return table


def _lines(raw: bytes, file: str) -> Iterator[tuple[int, list[str]]]:
    """The rows that say something, each with its number in the file, their cells stripped of blanks."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BadResponse(f"{file}, row {line}: it is not UTF-8 text; save the table as CSV in UTF-8") from None
    delimiter = max(",;\t", key=text.partition("\n")[0].count)
    rows = csv.reader(text.splitlines(), delimiter=delimiter)
    try:
        for row in rows:
            cells = [cell.strip() for cell in row]
            if any(cells) and not cells[0].startswith("#"):
                yield rows.line_num, cells
    except csv.Error as error:
        raise BadResponse(f"{file}, row {rows.line_num}: it is no CSV: {error}") from None


def _frequencies(table: Rows, line: int, cells: Sequence[str]) -> list[float]:
    hertz: list[float] = []
    for column, cell in enumerate(cells[1:], start=2):
        found = _HERTZ.fullmatch(cell)
        value = float(found[1]) * (1000.0 if found[2] else 1.0) if found else 0.0
        if not 10.0 <= value <= 100_000.0:
            said = f"{cell} is no frequency" if cell else "it is empty"
            raise table.wrong(line, f"{said}; the first row holds frequencies, as 4000, 4kHz or 4000 Hz", column)
        if hertz and value <= hertz[-1]:
            raise table.wrong(line, f"{cell} comes after {hertz[-1]:g} Hz; frequencies must rise", column)
        if hertz and value > WIDEST_RATIO * hertz[-1]:
            words = f"no band between {hertz[-1]:g} and {value:g} Hz; columns are at most an octave apart"
            raise table.wrong(line, words, column)
        hertz.append(value)
    low, high = NEEDED_HZ
    if not hertz or hertz[0] > low or hertz[-1] < high:
        reach = f"they reach from {hertz[0]:g} to {hertz[-1]:g} Hz" if hertz else "there are none"
        raise table.wrong(line, f"frequencies must reach at least from {low:g} to {high:g} Hz; {reach}")
    return hertz


def _row(table: Rows, line: int, cells: Sequence[str]) -> Row:
    degrees = _number(cells[0].removesuffix("°").removesuffix("deg"))
    if degrees is None or not -180.0 <= degrees <= 360.0:
        allowed = "an angle from -180 to 360 degrees, or the word horizontal or vertical"
        raise table.wrong(line, f"{cells[0] or 'an empty cell'} must be {allowed}", 1)
    if len(cells) != len(table.frequencies) + 1:
        words = f"it has {len(cells) - 1} levels, and there are {len(table.frequencies)} frequencies"
        raise table.wrong(line, words)
    levels = []
    for column, cell in enumerate(cells[1:], start=2):
        level = _number(cell)
        if level is None or abs(level) > MOST_DB:
            raise table.wrong(line, f"{cell or 'an empty cell'} is no level; each cell holds one in dB", column)
        levels.append(level)
    return Row(line, degrees, levels)


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
