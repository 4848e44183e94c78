"""A scene that is still being written down: its values as texts, as they will stand in the file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from earshed.model.units import INCH, PrintUnits, format_length, parse_length

SAME = 1e-9
"""Metres within which two lengths are one."""
_METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0}

Values = Mapping[str, "str | Values"]
"""Keys of a table with their texts or tables, in order."""


@dataclass(frozen=True)
class SpeakerLine:
    """A proposed speaker: its keys, and what to remark beside it."""

    values: Values
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Draft:
    """The sections of a first scene; those that are empty are written as examples."""

    title: str
    print_units: PrintUnits
    bare_lengths: str | None
    width: str
    length: str
    ceiling: Values
    screen: Values = field(default_factory=dict)
    seats: tuple[Values, ...] = ()
    riser: Values = field(default_factory=dict)
    speakers: tuple[SpeakerLine, ...] = ()


def taped(metres: float, units: PrintUnits) -> str:
    """A length as a scene says it: as a tape shows it where that loses nothing, else in decimals."""
    if abs(metres) < SAME:
        return "0"
    if units != "ft-in":
        return f"{_decimal(metres / _METRES[units])}{units}"
    text = format_length(metres).replace("' 0\"", "'")
    return text if abs(parse_length(text) - metres) < SAME else f"{_decimal(metres / INCH)}in"


def _decimal(number: float) -> str:
    return f"{number:.10f}".rstrip("0").rstrip(".")
