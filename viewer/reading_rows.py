"""Readings against what was expected, as rows of words: flags by sign and word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from earshed.model.sound.reading_words import difference_words, value_words
from earshed.model.sound.readings import LEVEL_WITHIN, WITHIN, Compared, Flag, Reading
from earshed.model.units import PrintUnits

AS_EXPECTED = "✓"
FLAGS: Mapping[Flag, str] = {
    "short": "✕ shorted", "open": "✕ open", "reversed": "✕ reversed", "soft": "▼ soft", "loud": "▲ loud",
    "differs": "≠ differs",
}  # fmt: skip
ALONE = "nothing to compare"
HEADS = ("", "", "expected", "measured", "difference", "")
Row = tuple[str, str, str, str, str]
"""What was read, what was expected, what it came to, by how much more that is, and the flag."""


def was_read(found: Sequence[Compared]) -> bool:
    """Whether anything was written down at all."""
    return any(one.speaker.measured is not None for one in found)


def reading_row(reading: Reading, units: PrintUnits) -> Row:
    """One reading in words."""
    at = "" if reading.seat is None else f" at {reading.seat}"
    wanted = "" if reading.expected is None else value_words(reading.what, reading.expected, units)
    read = value_words(reading.what, reading.measured, units)
    return f"{reading.what}{at}", wanted, read, difference_words(reading, units), flag_words(reading)


def flag_words(reading: Reading) -> str:
    """The flag of a reading; where there is none, the sign of what is as expected."""
    if reading.flag is not None:
        return FLAGS[reading.flag]
    return ALONE if reading.expected is None else AS_EXPECTED


def remark(found: Sequence[Compared], units: PrintUnits) -> str:
    """Who read it and when, and how it is held against what was expected."""
    readers = dict.fromkeys((one.measured.date, one.measured.by) for one in found)
    told = [" by ".join(part for part in who if part) if who[0] else f"by {who[1]}" for who in readers if any(who)]
    read = f"Read: {'; '.join(told)}. " if told else ""
    far = ", ".join(f"{what} {value_words(what, value, units)}" for what, value in WITHIN.items())
    return (
        f"{read}{AS_EXPECTED} as expected. Expected levels take in the trims that are set, and are moved by what all "
        "levels read at one place share, their median, since neither the meter nor the drive is known. A level may be "
        f"off by {LEVEL_WITHIN:g} dB, a setting by half of a coarse step of a processor: {far} (common practice, no "
        "source)."
    )
