"""Answers to what a first scene is asked: texts by key, read one by one as the scene file reads them."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pydantic import TypeAdapter, ValidationError

from earshed.model.scene_file.fields import Size
from earshed.model.units import PRINT_UNITS, PrintUnits

Answers = Mapping[str, str]

MOST_SEATS_IN_A_ROW = 12
MOST_ROWS = 2

_SIZE: TypeAdapter[float] = TypeAdapter(Size)
_PITCH = re.compile(r".*(in|/|:)\s*12|.*(deg|degrees?|°)", re.IGNORECASE)


class Refused(ValueError):
    """An answer of which no scene can be made; the message says why, in the reader's own words where they are its."""


def size_of(answers: Answers, key: str) -> float:
    """Metres in an answer, as the scene file reads a size. Raises Refused."""
    try:
        return _SIZE.validate_python(answers[key], context={"bare": answers.get("bare_lengths")})
    except ValidationError as error:
        raise Refused(str(error.errors()[0]["ctx"]["error"])) from None


def count_of(answers: Answers, key: str, most: int) -> int:
    """A whole number from 1 up to `most`. Raises Refused."""
    text = answers[key].strip()
    if not (text.isascii() and text.isdigit() and len(text) < 4 and 1 <= int(text) <= most):
        raise Refused(f"{answers[key]} must be a whole number from 1 to {most}")
    return int(text)


def is_pitch(text: str) -> bool:
    """Whether a text for the height of a ridge is meant as a pitch: `6 in 12`, `6/12`, or degrees with their sign."""
    return _PITCH.fullmatch(text.strip()) is not None


def units_of(answers: Answers) -> PrintUnits:
    """The units to print in: as asked for, else those in which the room was measured."""
    for unit in PRINT_UNITS:
        if answers.get("print_units") == unit:
            return unit
    measured = answers.get("bare_lengths") or answers.get("width", "").strip().lower()
    for metric in ("mm", "cm", "m"):
        if measured.endswith(metric):
            return metric
    return "ft-in"
