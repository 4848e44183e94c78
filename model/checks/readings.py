"""What was measured on site and is not as expected."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.sound.balance import balances
from earshed.model.sound.commissioning import expected
from earshed.model.sound.level import Drive
from earshed.model.sound.reading_words import value_words
from earshed.model.sound.readings import LEVEL_WITHIN, WITHIN, Compared, Reading, compared
from earshed.model.units import PrintUnits

WHEN_WIRED = ("circuit-shorted", "circuit-open", "polarity-reversed", "level-differs")
"""Rules of the warnings."""


def reading_findings(scene: Scene) -> Iterator[Finding]:
    """Warnings on what is to be mended, notes on settings that are not those of the sheet, and on what is not used."""
    read = [one for one in scene.speakers if one.measured is not None]
    for one in read:
        photo = one.measured.photo if one.measured else None
        if photo is not None and photo.file is None:
            text = f"its photo {photo.name} is not in the folder of the scene"
            yield Finding("note", "photo-missing", one.name, text)
    for one in read:
        if not one.has_verdict:
            text = "nothing is worked out for a subwoofer, so what was measured of it is held against nothing"
            yield Finding("note", "readings-unused", one.name, text)
    if not any(one.has_verdict for one in read):
        return
    if not scene.seats:
        text = "there are no seats to listen from, so what was measured is held against nothing"
        yield Finding("note", "readings-unused", scene.title, text)
        return
    yield from flagged(compared(expected(scene, balances(scene, Drive()))), scene.print_units)


def flagged(found: Iterable[Compared], units: PrintUnits) -> Iterator[Finding]:
    """A finding for each reading that is not as expected."""
    for told in found:
        for reading in told.readings:
            if reading.flag is not None:
                yield _flagged(told, reading, units)


def _flagged(told: Compared, reading: Reading, units: PrintUnits) -> Finding:
    name = told.speaker.name
    match reading.what:
        case "resistance":
            return _circuit(told, reading)
        case "polarity":
            text = "its polarity was read as reversed: change + and - over at one end of its cable"
            return Finding("warning", "polarity-reversed", name, text)
        case "level":
            return _level(told, reading)
    assert reading.expected is not None
    wanted, found, most = (
        value_words(reading.what, value, units) for value in (reading.expected, reading.measured, WITHIN[reading.what])
    )
    text = f"its {reading.what} is set to {found}, and {wanted} was worked out for it: more than {most} apart"
    return Finding("note", "setting-differs", name, text)


def _circuit(told: Compared, reading: Reading) -> Finding:
    name, wanted = told.speaker.name, f"{told.expected.ohm:.1f} ohm are expected"
    if reading.flag == "short":
        text = f"its pair reads {reading.measured:.1f} ohm at the rack, and {wanted}: under "
        text += f"{told.expected.short:.1f} something is shorted; connect no amplifier before that is found"
        return Finding("warning", "circuit-shorted", name, text)
    read = "endless" if math.isinf(reading.measured) else f"{reading.measured:.1f} ohm"
    text = f"its pair reads {read} at the rack, and {wanted}: over {told.expected.open:.0f} something is open, at a "
    return Finding("warning", "circuit-open", name, text + "terminal or on the way")


def _level(told: Compared, reading: Reading) -> Finding:
    assert reading.difference is not None
    where = "the reference position" if reading.seat is None else reading.seat
    way = "more" if reading.difference > 0 else "less"
    text = (
        f"at {where} it reads {reading.measured:.1f} dB, {abs(reading.difference):.1f} dB {way} than the others lead "
    )
    text += f"one to expect, past {LEVEL_WITHIN:g} dB"
    if told.swapped is not None and reading.seat is None:
        text += f"; it would fit if it and {told.swapped} are swapped: play one of them and listen"
    return Finding("warning", "level-differs", told.speaker.name, text)
