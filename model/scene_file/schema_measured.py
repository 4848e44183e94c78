"""Keys of what was read of a speaker on site."""

from __future__ import annotations

import math
import re
from datetime import date
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from earshed.model.scene_file.beside import is_file_name
from earshed.model.scene_file.fields import Name, Part, Size, from_text, read_number

OHM = (0, 10_000)
LEVEL_DB = (20, 140)
TRIM_DB = (-60, 20)
DELAY_MS = (0, 200)
"""Limits of what is read. Sound takes as long across the largest room that there may be; the others are common
practice, no source."""


def _number(text: str, unit: str, limits: tuple[float, float], example: str, also: str = "") -> float:
    """A number as it is read off a display, with its sign, and with or without its unit, an expression."""
    low, high = limits
    try:
        return read_number(text.removeprefix("+"), unit, low, high, example)
    except ValueError:
        named = example.lstrip("-.0123456789")
        raise ValueError(f"{text} must be from {low:g} to {high:g} {named}, written like {example}{also}") from None


def _resistance(text: str) -> float:
    """Ohm, inf for what is open."""
    if text.lower() == "open":
        return math.inf
    return _number(text, "ohms?|Ω", OHM, "6.1ohm", ", or open where the meter reads endless (OL)")


def _level(text: str) -> float:
    return _number(text, r"dB(?:\(?[ACZ]\)?)?", LEVEL_DB, "78.5dB")


def _trim(text: str) -> float:
    return _number(text, "dB", TRIM_DB, "-2.5dB")


def _delay(text: str) -> float:
    return _number(text, "ms", DELAY_MS, "3.4ms") / 1000


def _photo(text: str) -> str:
    if not is_file_name(text):
        raise ValueError(f"{text[:60]} is not a plain file name; photos stand beside the file that names them")
    return text


def _date(text: str) -> str:
    try:
        if re.fullmatch(r"\d{4}-\d\d-\d\d", text, re.ASCII):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    raise ValueError(f"{text} is not a date; write year, month and day, as in 2026-11-26")


Level = Annotated[float, from_text(_level, "a level that was read")]


class MeasuredFile(Part):
    usual_keys: ClassVar[tuple[str, ...]] = ("resistance", "polarity", "level")

    resistance: Annotated[float, from_text(_resistance, "a resistance")] | None = None
    polarity: Literal["normal", "reversed"] | None = None
    distance: Size | None = None
    delay: Annotated[float, from_text(_delay, "a delay")] | None = None
    trim: Annotated[float, from_text(_trim, "a trim")] | None = None
    level: Level | None = None
    levels: dict[Name, Level] = Field(default_factory=dict)
    photo: Annotated[str, from_text(_photo, "a file name")] | None = None
    date: Annotated[str, from_text(_date, "a date")] | None = None
    by: Name | None = None
