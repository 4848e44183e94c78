"""Readings in the words in which meters and processors show them."""

from __future__ import annotations

import math

from earshed.model.sound.readings import Reading, What
from earshed.model.units import PrintUnits, format_distance


def value_words(what: What, value: float, units: PrintUnits) -> str:
    """A figure with its unit: ohm, metres, seconds or dB; of polarity its word."""
    match what:
        case "resistance":
            return "open" if math.isinf(value) else f"{value:.1f} ohm"
        case "polarity":
            return "normal" if value > 0 else "reversed"
        case "distance":
            return format_distance(value, units)
        case "delay":
            return f"{1000 * value:.1f} ms"
    return f"{round(value, 1) + 0.0:.1f} dB"


def difference_words(reading: Reading, units: PrintUnits) -> str:
    """By how much more was read than expected, with its sign; nothing where that is no figure."""
    more = reading.difference
    if more is None or math.isinf(more) or reading.what == "polarity":
        return ""
    words = value_words(reading.what, abs(more), units)
    return f"{'-' if more < 0 and any(digit in words for digit in '123456789') else '+'}{words}"
