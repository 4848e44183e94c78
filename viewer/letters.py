"""The letters that sketches in a terminal are drawn with."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Letters:
    """One letter each for the parts of a sketch."""

    level: str
    upright: str
    front_left: str
    front_right: str
    rear_left: str
    rear_right: str
    picture: str
    picture_edge_on: str
    seat: str
    crease_level: str
    crease_upright: str
    crease_slanted: str
    low: str
    """A level line at the foot of its row."""


BOX = Letters("─", "│", "┌", "┐", "└", "┘", "═", "║", "o", "╌", "┆", "·", "_")
PLAIN = Letters("-", "|", "+", "+", "+", "+", "=", "#", "o", ".", ":", ".", "_")


def letters_for(encoding: str | None) -> Letters:
    """Box letters where an encoding has them, else plain ASCII."""
    try:
        "".join(vars(BOX).values()).encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return PLAIN
    return BOX
