"""Keys of speaker types that say how they sound: how they radiate, how loud they are, what they take."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import model_validator

from earshed.model.scene_file.fields import Name, Part, Size, from_text, read_number
from earshed.model.units import INCH

WOOFERS = (0.5 * INCH, 24 * INCH)
"""Diameters that a piston may have, metres. Common practice, no source."""
CROSSOVERS_HZ = (200.0, 10_000.0)
DIRECTIVITIES = "nominal, {piston: {woofer: DIAMETER, ...}}, {measured: FILE.csv} or {sofa: FILE.sofa}"


def _crossover(text: str) -> float:
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(k?)hz", text.lower())
    hertz = float(found[1]) * (1000.0 if found[2] else 1.0) if found else 0.0
    low, high = CROSSOVERS_HZ
    if not low <= hertz <= high:
        raise ValueError(f"{text} must be from {low:g}Hz to {high / 1000:g}kHz, written like 2.5kHz")
    return hertz


def _sensitivity_db(text: str) -> float:
    return read_number(text, "dB", 60, 120, "88dB")


def _max_level(text: str) -> float:
    return read_number(text, "dB", 60, 150, "105dB")


def _test_power(text: str) -> float:
    return read_number(text, "W|watts?", 0.1, 100, "1W")


def _power(text: str) -> float:
    return read_number(text, "W|watts?", 1, 5000, "100W")


Crossover = Annotated[float, from_text(_crossover, "a crossover")]
SensitivityLevel = Annotated[float, from_text(_sensitivity_db, "a sensitivity")]
MaxLevel = Annotated[float, from_text(_max_level, "a level")]
TestPower = Annotated[float, from_text(_test_power, "a power")]
Power = Annotated[float, from_text(_power, "a power")]


class PistonFile(Part):
    """Diameters of the drivers, and where they hand over; of one driver, woofer alone."""

    woofer: Size
    tweeter: Size | None = None
    crossover: Crossover | None = None

    @model_validator(mode="after")
    def _fits_together(self) -> PistonFile:
        if (self.tweeter is None) != (self.crossover is None):
            raise ValueError("tweeter and crossover go together; a speaker of one driver has neither")
        low, high = WOOFERS
        for key, diameter in (("woofer", self.woofer), ("tweeter", self.tweeter)):
            if diameter is not None and not low <= diameter <= high:
                raise ValueError(f"{key} must be from 1/2in to 24in across; it is a diameter")
        if self.tweeter is not None and self.tweeter >= self.woofer:
            raise ValueError("the tweeter must be smaller than the woofer; both are diameters")
        return self


class DirectivityFile(Part):
    piston: PistonFile | None = None
    measured: Name | None = None
    sofa: Name | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> DirectivityFile:
        if sum(each is not None for each in (self.piston, self.measured, self.sofa)) != 1:
            raise ValueError(f"must be one of {DIRECTIVITIES}")
        return self


def read_directivity(value: Any) -> Any:
    """The word nominal as nothing more, since that is what a coverage angle gives by itself. Raises ValueError."""
    if isinstance(value, str) and value != "nominal":
        raise ValueError(f"{value or 'nothing'} must be {DIRECTIVITIES}")
    return None if value == "nominal" else value


class SensitivityFile(Part):
    """Level at 1 m: at 2.83 V, or at some watts into the nominal impedance."""

    level: SensitivityLevel
    watts: TestPower | None = None


def read_sensitivity(value: Any) -> Any:
    """A level by itself as one at 2.83 V."""
    return {"level": value} if isinstance(value, str) else value
