"""Lengths as texts of a scene file."""

from __future__ import annotations

from earshed.model.moves import MARKS
from earshed.model.scene_file.draft import taped
from earshed.model.units import PrintUnits, to_mark

KEPT = 1e-6
"""Metres by which a place may seem to move through rounding, and still be where it was."""


def exact_text(metres: float, units: PrintUnits) -> str:
    """A length that reads back as what it is: as a tape shows it where that loses nothing, else in decimals."""
    return taped(metres, units)


def marked_text(metres: float, units: PrintUnits) -> str:
    """A length to the nearest mark of the tape, 1/16 in or 1 mm."""
    return taped(to_mark(metres, MARKS[units]), units)
