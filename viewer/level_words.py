"""What is asked of levels as it is written, and what they mean in words."""

from __future__ import annotations

import re

from earshed.model.sound.level import RATED_VOLTS, USUAL_OHM, USUAL_SENSITIVITY, Air, Drive

HOW_DRIVE = "write volts or watts, as 2.83V or 20W"
HOW_AIR = "write degrees and humidity, as 20C 50%"
MEANING = (
    "Levels are predictions of the direct sound alone, each band driven by itself at the full drive; the room adds to "
    "them. They are no verdict on hearing."
)


def read_drive(text: str) -> Drive:
    """A drive as it is written. Raises ValueError."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?|\.\d+)\s*([vw])(?:olts?|atts?)?", text.strip().lower())
    if not found or not 0.001 <= float(found[1]) <= 5000:
        raise ValueError(f"{text} is no drive from 0.001 to 5000; {HOW_DRIVE}")
    value = float(found[1])
    return Drive(value) if found[2] == "v" else Drive(None, value)


def read_air(text: str) -> Air:
    """Air as it is written. Raises ValueError."""
    found = re.fullmatch(r"(-?\d+(?:\.\d+)?)\s*°?c[,\s]+(\d+(?:\.\d+)?)\s*%", text.strip().lower())
    if not found or not (-20 <= float(found[1]) <= 50 and float(found[2]) <= 100):
        raise ValueError(f"{text} is no air of a room; {HOW_AIR}")
    return Air(float(found[1]), float(found[2]))


def drive_words(drive: Drive) -> str:
    """What speakers are driven with, and what that is in watts."""
    if drive.watts is not None:
        return f"{drive.watts:g} W into the nominal impedance"
    assert drive.volts is not None
    watts = [f"{drive.volts**2 / ohm:.3g} W into {ohm:g} ohm" for ohm in (8.0, 4.0)]
    return f"{drive.volts:g} V: {', '.join(watts)}"


def assumed_words() -> str:
    return f"Assumed where a type does not say: {USUAL_SENSITIVITY:g} dB at {RATED_VOLTS} V and 1 m, {USUAL_OHM:g} ohm"
