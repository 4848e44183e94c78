"""Blanks of a printed form: lines and tables of underscores, to be filled in with a pencil."""

from __future__ import annotations

from collections.abc import Sequence

LENGTH = "____' ______\""
TAPED = "___' ____\""
"""A length in a table."""
INCHES = '______"'
WORD = "__________"


def blank(key: str, unit: str, remark: str = "") -> str:
    """One key with its blank, and what to know of it."""
    return f"{key + ':':<11}{unit}  {remark}".rstrip()


def ruled(columns: Sequence[tuple[str, str]], rows: int) -> list[str]:
    """A table: each column with its heading and one blank, in which {row} and {after} stand for the row's number and
    for the one as many rows on. Rows stand two lines apart, to have room to write in."""
    lines = [_line([heading for heading, _ in columns], columns)]
    for row in range(1, rows + 1):
        lines += ["", _line([cell.format(row=row, after=row + rows) for _, cell in columns], columns)]
    return lines


def _line(cells: Sequence[str], columns: Sequence[tuple[str, str]]) -> str:
    widths = [max(len(heading), len(cell.format(row=1, after=1))) for heading, cell in columns]
    return ("  " + "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True))).rstrip()
