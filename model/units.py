"""Lengths and angles as a tape and a level read them, to and from metres and radians.

The inch is 0.0254 m exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal, get_args

INCH = 0.0254
FOOT = 0.3048

PrintUnits = Literal["ft-in", "mm", "cm", "m"]
BareUnit = Literal["in", "ft", "mm", "cm", "m"]
PRINT_UNITS: tuple[PrintUnits, ...] = get_args(PrintUnits)
BARE_UNITS: tuple[BareUnit, ...] = get_args(BareUnit)

HOW_TO_WRITE = """write it like 5' 6-1/2", 5ft 6.5in, 66-1/2in, 1.69m or 1690mm"""
LONGEST_TEXT = 60

_METRES = {"mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": Fraction(1), "in": Fraction(254, 10000),
           "ft": Fraction(3048, 10000)}  # fmt: skip
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SAME_MARKS = str.maketrans({"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "\u00a0": " "})

_NUMBER = r"\d+\s*/\s*\d+|\d+(?:\s*-\s*|\s+)\d+\s*/\s*\d+|\d+(?:\.\d+)?|\.\d+"
_FEET = r"(?:'|ft\.?|feet|foot)"
_INCHES = r"(?:\"|''|in\.?|inches|inch)"
_METRIC = re.compile(rf"({_NUMBER})\s*(mm|cm|m)")
_FEET_AND_INCHES = re.compile(rf"({_NUMBER})\s*{_FEET}(?:\s*-?\s*({_NUMBER})\s*{_INCHES})?")
_INCHES_ONLY = re.compile(rf"({_NUMBER})\s*{_INCHES}")
_MIXED = re.compile(r"(?:(\d+)(?:\s*-\s*|\s+))?(\d+)\s*/\s*(\d+)")
_BARE = re.compile(rf"({_NUMBER})")
_FEET_THEN_BARE = re.compile(rf"({_NUMBER})\s*{_FEET}\s*-?\s*({_NUMBER})")
_ANGLE = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*(?:deg|degrees?|°)?")


class MeasureError(ValueError):
    """A length or an angle that cannot be read; the message says how to write it."""


def parse_length(text: str, *, bare: BareUnit | None = None) -> float:
    """Metres in a length written as `5' 6-1/2"`, `5'-6 1/2"`, `5ft 6.5in`, `66-1/2in`, `1.69m` or `1690mm`.

    A leading minus is kept. Zero needs no unit; another bare number is read in the unit `bare`, or refused.

    Raises MeasureError for anything else, twelve or more inches after feet, or a comma.
    """
    if len(text) > LONGEST_TEXT:
        raise MeasureError(f"{text[:LONGEST_TEXT]}... is too long for a length; {HOW_TO_WRITE}")
    plain = text.translate(_SAME_MARKS)
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, " " + fraction)
    plain = plain.strip().lower()
    negative = plain.startswith("-")
    body = plain[1:].lstrip() if negative else plain
    metres = _unsigned(body, shown=text, bare=bare)
    return -metres if negative else metres


def _unsigned(body: str, *, shown: str, bare: BareUnit | None) -> float:
    if "," in body:
        raise MeasureError(f"{shown}: commas are not read in lengths; {HOW_TO_WRITE}")
    if found := _METRIC.fullmatch(body):
        return float(_number(found[1], shown) * _METRES[found[2]])
    if found := _FEET_AND_INCHES.fullmatch(body):
        feet, inches = _number(found[1], shown), _number(found[2] or "0", shown)
        if found[2] and inches >= 12:
            raise MeasureError(f"{shown}: inches after feet must be less than 12")
        if found[2] and feet.denominator != 1:
            raise MeasureError(f"{shown}: feet must be whole when inches follow")
        return float(feet * _METRES["ft"] + inches * _METRES["in"])
    if found := _INCHES_ONLY.fullmatch(body):
        return float(_number(found[1], shown) * _METRES["in"])
    if found := _BARE.fullmatch(body):
        value = _number(found[1], shown)
        if bare is None and value != 0:
            raise MeasureError(f"{shown} has no unit; {HOW_TO_WRITE}, or state bare_lengths: in at the top of the file")
        return float(value * _METRES[bare or "m"])
    if found := _FEET_THEN_BARE.fullmatch(body):
        raise MeasureError(
            f"{shown}: the {found[2]} after the feet needs its inch mark, as in {found[1]}' {found[2]}\""
        )
    raise MeasureError(f"{shown} is not a length; {HOW_TO_WRITE}")


def _number(text: str, shown: str) -> Fraction:
    found = _MIXED.fullmatch(text)
    if not found:
        return Fraction(text)
    whole, over, under = (int(part or 0) for part in found.groups())
    if under == 0:
        raise MeasureError(f"{shown} divides by zero")
    return whole + Fraction(over, under)


def to_mark(metres: float, mark: float) -> float:
    """Metres to the nearest mark of a tape; from halfway up, also where rounding has left a hair less than half."""
    return math.floor(metres / mark + 0.5 + 1e-6) * mark


def format_length(metres: float, units: PrintUnits = "ft-in") -> str:
    """A length as a tape shows it: to 1/16 in (`5' 6-1/2"`), to 1 mm in `mm`, `cm` or `m`."""
    if units == "ft-in":
        return _feet_and_inches(metres)
    thousandths = math.floor(abs(metres) * 1000 + 0.5)
    minus = "-" if metres < 0 and thousandths else ""
    if units == "mm":
        return f"{minus}{thousandths} mm"
    if units == "cm":
        return f"{minus}{thousandths // 10}.{thousandths % 10} cm"
    return f"{minus}{thousandths // 1000}.{thousandths % 1000:03d} m"


def format_distance(metres: float, units: PrintUnits = "ft-in") -> str:
    """A distance as processors take it: in feet to a tenth, or in metres to a hundredth."""
    return f"{metres / FOOT:.1f} ft" if units == "ft-in" else f"{metres:.2f} m"


def format_about(metres: float, units: PrintUnits = "ft-in") -> str:
    """A length to the inch, or to the centimetre, as one reels off cable."""
    step = INCH if units == "ft-in" else 0.01
    return format_length(math.floor(metres / step + 0.5 + 1e-6) * step, units)


def _feet_and_inches(metres: float) -> str:
    sixteenths = math.floor(abs(metres) / INCH * 16 + 0.5)
    minus = "-" if metres < 0 and sixteenths else ""
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    fraction = str(Fraction(part, 16)) if part else ""
    written = "-".join(piece for piece in (str(inches) if inches or feet or not part else "", fraction) if piece)
    return f"{minus}{feet}' {written}\"" if feet else f'{minus}{written}"'


def parse_angle(text: str) -> float:
    """Radians in `35deg`, `35°`, `35 degrees` or a bare number of degrees. Raises MeasureError otherwise."""
    found = _ANGLE.fullmatch(text.strip().lower()) if len(text) <= LONGEST_TEXT else None
    if not found:
        raise MeasureError(f"{text[:LONGEST_TEXT]} is not an angle; write it like 25deg or 25")
    return math.radians(float(found[1]))


def format_angle(radians: float) -> str:
    """Degrees to a tenth: `25.0°`."""
    return f"{round(math.degrees(radians), 1) + 0.0:.1f}°"


def format_pitch(slope: float) -> str:
    """A slope in radians as rise in 12 of run, to an eighth: `4-1/8 in 12`."""
    eighths = math.floor(math.tan(slope) * 12 * 8 + 0.5)
    whole, part = divmod(eighths, 8)
    fraction = str(Fraction(part, 8)) if part else ""
    return "-".join(piece for piece in (str(whole) if whole or not part else "", fraction) if piece) + " in 12"
