"""Kinds of values in a scene file, read from text."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from difflib import get_close_matches
from typing import Annotated, Any, ClassVar, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from earshed.model.clearances import USUAL
from earshed.model.framing import DRESSED
from earshed.model.member_marks import HOW_SURE
from earshed.model.speaker_type import Aiming, Angled, Cutout, Fixed, Pivoting, Rectangular, Round
from earshed.model.units import INCH, BareUnit, MeasureError, parse_angle, parse_length
from earshed.model.window import ANY_AZIMUTH

T = TypeVar("T")

TWO_SIZES = "two sizes, left to right by front to back (on a wall, across by up), such as 24in x 48in"
AZIMUTHS = "two azimuths in degrees, the right end first, such as 30..45 (plus is left; -45..-30 is right)"
ELEVATIONS = "two elevations in degrees, the lower first, such as 30..55"
LONGEST_NAME = 200
BOOLEANS = {"true": True, "yes": True, "false": False, "no": False}
RIGHT_ANGLE = math.pi / 2
LARGEST_LENGTH = 60.0
"""Metres: past this a room is refused, so nothing in it can be larger."""
LONGEST_SPOOL = 2000.0


class Part(BaseModel):
    """A table of known keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)
    usual_keys: ClassVar[tuple[str, ...]] = ()
    """The keys to show where the table is missing."""

    @model_validator(mode="before")
    @classmethod
    def _only_known_keys(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            raise PydanticCustomError("not_a_table", "needs keys, such as {example}", {"example": _example(cls)})
        known = [field.alias or name for name, field in cls.model_fields.items()]
        for key in value:
            if key not in known:
                raise PydanticCustomError("unknown_key", "{message}", {"key": key, "message": unknown_key(key, known)})
        return value


def _example(part: type[Part]) -> str:
    keys = part.usual_keys or tuple(part.model_fields)[:3]
    return "{" + ", ".join(f"{key}: ..." for key in keys) + "}"


def unknown_key(key: str, allowed: list[str]) -> str:
    """What to say of a key that is not known here."""
    near = get_close_matches(key, allowed, n=1)
    hint = f"; did you mean `{near[0]}`?" if near else "."
    return f"`{key[:60]}` is not a key here{hint} Allowed: {', '.join(allowed)}"


def _text(value: Any, what: str) -> str:
    if not isinstance(value, str):
        raise ValueError(f"must be {what}, not a {'list' if isinstance(value, list) else 'table'}")
    if not value:
        raise ValueError(f"is empty; it must be {what}")
    return value


def _as_written(validate: Callable[..., Any], what: str, *types: str) -> Any:
    """A validator, and what an editor is told of the values it takes; what is text here may be of other types to it."""
    told = WithJsonSchema({"type": [*types], "description": what})
    return BeforeValidator(validate, json_schema_input_type=Annotated[Any, told])


def from_text(read: Callable[[str], T], what: str) -> Any:
    """A validator that reads text; ValueErrors of `read` become messages."""

    def validate(value: Any) -> T:
        return read(_text(value, what))

    return _as_written(validate, what, "string", "number", "boolean")


def _from_tape(read: Callable[[str, BareUnit | None], T], what: str) -> Any:
    """A validator that reads text with lengths in it, bare ones in the unit that the file states."""

    def validate(value: Any, info: ValidationInfo) -> T:
        return read(_text(value, what), (info.context or {}).get("bare"))

    return _as_written(validate, what, "string", "number")


def _length(least: float | None, *, inclusive: bool = True) -> Any:
    def read(text: str, bare: BareUnit | None) -> float:
        metres = parse_length(text, bare=bare)
        if abs(metres) > LARGEST_LENGTH:
            raise ValueError(f"{text} is past the {LARGEST_LENGTH:g} m (about 197 ft) that a room may measure")
        if least is not None and (metres < least or (metres == least and not inclusive)):
            raise ValueError(f"{text} must be {'more than' if not inclusive else 'at least'} {least:g}")
        return metres

    return _from_tape(read, "a length")


def _angle(low: float, high: float) -> Any:
    """Degrees above `low`, up to `high`."""

    def read(text: str) -> float:
        angle = parse_angle(text)
        degrees = round(math.degrees(angle), 9)
        if not low < degrees <= high:
            raise ValueError(f"{text} must be more than {low:g} and at most {high:g} degrees")
        return angle

    return from_text(read, "an angle")


def _bool(text: str) -> bool:
    if text.lower() not in BOOLEANS:
        raise ValueError(f"{text} must be true or false")
    return BOOLEANS[text.lower()]


def _aspect(text: str) -> float:
    found = re.fullmatch(r"(\d+(?:\.\d+)?)(?:\s*:\s*(\d+(?:\.\d+)?))?", text)
    ratio = float(found[1]) / (float(found[2]) if found[2] else 1.0) if found and float(found[2] or 1) else 0.0
    if not 0.2 <= ratio <= 10:
        raise ValueError(f"{text} is not a picture shape; write it like 16:9 or 2.39:1")
    return ratio


def _band(text: str) -> float:
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(k?hz)", text.lower())
    hertz = float(found[1]) * (1000 if found[2] == "khz" else 1) if found else 0.0
    if not 20 <= hertz <= 40_000:
        raise ValueError(
            f"{text} is not one audible band; write the highest at which the angle holds, like 4kHz or 500Hz"
        )
    return hertz


def _aiming(value: Any) -> Aiming:
    if value == "fixed":
        return Fixed()
    if isinstance(value, dict) and len(value) == 1:
        (kind, text), *_ = value.items()
        if kind in ("angled", "pivoting"):
            angle = parse_angle(_text(text, "an angle"))
            if not 0 < round(math.degrees(angle), 9) < 90:
                raise ValueError(f"{kind}: {text} must be more than 0 and less than 90 degrees")
            return Angled(angle) if kind == "angled" else Pivoting(angle)
    raise ValueError("must be fixed, {angled: ANGLE} or {pivoting: LIMIT}")


def _count(text: str) -> int:
    if not re.fullmatch(r"[1-9]\d?", text):
        raise ValueError(f"{text} must be a whole number from 1 to 99")
    return int(text)


def _pitch(text: str) -> float:
    """Slope in radians of `6 in 12`, `6/12` or an angle."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?|\d+[- ]\d+/\d+)\s*(?:in|/|:)\s*12", text.lower())
    try:
        slope = math.atan(parse_length(f"{found[1]}in") / (12 * INCH)) if found else parse_angle(text)
    except MeasureError:
        slope = 0.0
    if not 0 < slope < math.radians(85):
        raise ValueError(f"{text} is not a pitch; write it like 6 in 12 or 26deg")
    return slope


def _turn(text: str) -> float:
    """Radians of a turn, to the right positive."""
    found = re.fullmatch(r"(?:(.+?)\s+)?(right|left)", text.lower())
    try:
        angle = parse_angle(found[1]) if found and found[1] else RIGHT_ANGLE
    except MeasureError:
        angle = 0.0
    if not found or not 0 < round(math.degrees(angle), 9) < 180:
        raise ValueError(f"{text} is not a turn; write right, left, or how far one turns, as in 45deg right")
    return angle if found[2] == "right" else -angle


def read_number(text: str, unit: str, low: float, high: float, example: str) -> float:
    """A number with or without its unit, within limits."""
    found = re.fullmatch(rf"(-?\d+(?:\.\d+)?)\s*(?:{unit})?", text, re.IGNORECASE)
    value = float(found[1]) if found else math.inf
    if not low <= value <= high:
        raise ValueError(f"{text} must be from {low:g} to {high:g}, written like {example}")
    return value


def _ohms(text: str) -> float:
    return read_number(text, "ohms?|Ω", 1, 100, "8ohm")


def _percent(text: str) -> float:
    return read_number(text, "%|percent|per cent", 0, 100, "5%") / 100


def _loss_limit(text: str) -> float:
    return read_number(text, "%|percent|per cent", 0.1, 50, "5%") / 100


def _coefficient(text: str) -> float:
    if re.fullmatch(r"\d+(?:\.\d+)?", text) and float(text) > 1:
        raise ValueError(f"{text} must be from 0 to 1; where a data sheet prints more, write 1")
    return read_number(text, "", 0, 1, "0.35")


def _celsius(text: str) -> float:
    return read_number(text, "°?C", -40, 90, "20C")


def _wire_size(text: str) -> tuple[int | None, float]:
    """A gauge (AWG) and no area, or no gauge and an area in mm2."""
    if found := re.fullmatch(r"(\d\d?)\s*(?:AWG|ga\.?|gauge)?", text, re.IGNORECASE):
        if not 8 <= int(found[1]) <= 24:
            raise ValueError(f"{text} must be from 8 to 24 AWG, or an area such as 2.5 mm2")
        return int(found[1]), 0.0
    if found := re.fullmatch(r"(\d+(?:\.\d+)?)\s*mm(?:2|²)", text, re.IGNORECASE):
        if not 0.2 <= float(found[1]) <= 16:
            raise ValueError(f"{text} must be from 0.2 to 16 mm2")
        return None, float(found[1])
    raise ValueError(f"{text} is not the size of a conductor; write it like 14 AWG or 2.5 mm2")


def _spool(text: str, bare: BareUnit | None) -> float:
    metres = parse_length(text, bare=bare)
    if not 1 <= metres <= LONGEST_SPOOL:
        raise ValueError(f"{text} must be from 1 m (3' 4\") to {LONGEST_SPOOL:g} m, which is what spools hold")
    return metres


def _clearance_kind(text: str) -> str:
    if text not in USUAL:
        raise ValueError(unknown_key(text, list(USUAL)))
    return text


def _sure(text: str, bare: BareUnit | None) -> float:
    """Metres by which something found may be off, from how it was found, or said outright."""
    if text.lower() in HOW_SURE:
        return HOW_SURE[text.lower()]
    try:
        return _not_negative(text, bare)
    except ValueError:
        words = ", ".join(HOW_SURE)
        raise ValueError(f"{text} must be one of {words}, or a length by which it may be off") from None


def _open_depth(text: str, bare: BareUnit | None) -> float:
    """A depth in metres, inf for what is open."""
    return math.inf if text.lower() == "open" else _size(text, bare)


def _not_negative(text: str, bare: BareUnit | None) -> float:
    metres = parse_length(text, bare=bare)
    if metres < 0:
        raise ValueError(f"{text} must be at least 0")
    return metres


def _range(text: str, what: str, most: float) -> tuple[float, float]:
    """Radians of `LOW..HIGH` in degrees, neither past `most` either way."""
    low, _, high = text.partition("..")
    try:
        limits = parse_angle(low), parse_angle(high)
    except MeasureError:
        raise ValueError(f"{text} is not {what}") from None
    if high.startswith(".") or any(abs(round(math.degrees(limit), 9)) > most for limit in limits):
        raise ValueError(f"{text} is not {what}, neither past {most:g} degrees")
    return limits


def read_azimuths(text: str) -> tuple[float, float]:
    """Radians of `RIGHT..LEFT` in degrees, the left end past pi where they run over the rear; -180..180 is all round.

    Raises ValueError for what is no such range, and for one wider than half a circle.
    """
    right, left = _range(text, AZIMUTHS, 180)
    if (right, left) == ANY_AZIMUTH:
        return ANY_AZIMUTH
    right = math.pi if right == -math.pi else right
    left = left if left >= right else left + 2 * math.pi
    if round(math.degrees(left - right), 9) > 180:
        low, high = (end.strip() for end in text.split(".."))
        raise ValueError(
            f"{text} is wider than half a circle, from its first angle leftward to its second; for what is between "
            f"them the other way write {high}..{low}"
        )
    return right, left


def read_elevations(text: str) -> tuple[float, float]:
    """Radians of `LOW..HIGH` in degrees. Raises ValueError for what is no such range."""
    low, high = _range(text, ELEVATIONS, 90)
    if low > high:
        raise ValueError(f"{text} begins with the higher one; write the lower one first")
    return low, high


def _member(value: Any, info: ValidationInfo) -> tuple[float, float]:
    text = _text(value, "a member's size")
    if text in DRESSED:
        return DRESSED[text]
    try:
        thickness, depth = (parse_length(part.strip()) for part in text.split(" x "))
    except (MeasureError, ValueError):
        near = get_close_matches(text, (info.context or {}).get("members", ()), n=1)
        hint = f"; did you mean {near[0]}?" if near else ""
        sizes = f"one of {', '.join(DRESSED)}, a size such as 1-3/4in x 9-1/2in"
        raise ValueError(f"{text} must be {sizes}, or a name under members{hint}") from None
    if not (0 < thickness <= 0.5 and 0 < depth <= 1.5):
        raise ValueError(f"{text} is not the size of a framing member")
    return thickness, depth


def _size(text: str, bare: BareUnit | None) -> float:
    metres = parse_length(text, bare=bare)
    if not 0 < metres <= LARGEST_LENGTH:
        raise ValueError(f"{text} must be more than 0, and within the {LARGEST_LENGTH:g} m that a room may measure")
    return metres


def _two_sizes(text: str, bare: BareUnit | None) -> tuple[float, float]:
    parts = text.lower().split(" x ")
    if len(parts) != 2:
        raise ValueError(f"{text} must be {TWO_SIZES}")
    return _size(parts[0].strip(), bare), _size(parts[1].strip(), bare)


def _cutout(text: str, bare: BareUnit | None) -> Cutout:
    if " x " not in text.lower():
        return Round(_size(text, bare))
    short, long = sorted(_two_sizes(text, bare))
    return Rectangular(short, long)


def read_finish(value: Any) -> Any:
    """What a ceiling is made of. Raises ValueError for a word that is none of it."""
    if isinstance(value, (dict, str)) and (not isinstance(value, str) or value in ("board", "deck")):
        return value
    shown = value if isinstance(value, str) else "a list"
    raise ValueError(f"must be board, deck (bare, no cavity) or {{tiles: 24in x 48in}}, not {shown}")


def _name(text: str) -> str:
    if len(text) > LONGEST_NAME:
        raise ValueError(f"{text[:40]}... is longer than the {LONGEST_NAME} letters that a name may have")
    return text


Name = Annotated[str, from_text(_name, "a name")]
Words = Annotated[str, from_text(str, "text")]
Length = Annotated[float, _length(None)]
Height = Annotated[float, _length(0.0)]
Size = Annotated[float, _length(0.0, inclusive=False)]
Angle = Annotated[float, _angle(-360, 360)]
CoverageAngle = Annotated[float, _angle(0, 360)]
Flag = Annotated[bool, from_text(_bool, "true or false")]
Aspect = Annotated[float, from_text(_aspect, "a picture shape")]
Band = Annotated[float, from_text(_band, "a band")]
AimingField = Annotated[Aiming, BeforeValidator(_aiming)]
Pitch = Annotated[float, from_text(_pitch, "a pitch")]
CutoutField = Annotated[Cutout, _from_tape(_cutout, "a diameter, or two sides such as 6in x 9in")]
Count = Annotated[int, from_text(_count, "a whole number")]
TwoSizes = Annotated[tuple[float, float], _from_tape(_two_sizes, TWO_SIZES)]
Turn = Annotated[float, from_text(_turn, "a turn")]
Azimuths = Annotated[tuple[float, float], from_text(read_azimuths, AZIMUTHS)]
Elevations = Annotated[tuple[float, float], from_text(read_elevations, ELEVATIONS)]
Member = Annotated[tuple[float, float], BeforeValidator(_member)]
ClearanceKind = Annotated[str, from_text(_clearance_kind, "what it is kept from")]
Sure = Annotated[float, _from_tape(_sure, "how sure it is")]
Ohms = Annotated[float, from_text(_ohms, "an impedance")]
Percent = Annotated[float, from_text(_percent, "a percentage")]
LossLimit = Annotated[float, from_text(_loss_limit, "a percentage")]
Coefficient = Annotated[float, from_text(_coefficient, "an absorption coefficient")]
Celsius = Annotated[float, from_text(_celsius, "a temperature")]
WireSize = Annotated[tuple[int | None, float], from_text(_wire_size, "the size of a conductor")]
SpoolLength = Annotated[float, _from_tape(_spool, "a length")]
OpenDepth = Annotated[float, _from_tape(_open_depth, "a depth")]
