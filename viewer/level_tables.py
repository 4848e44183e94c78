"""What `earshed levels` prints."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from earshed.model.scene import Scene
from earshed.model.sound.balance import Balance, shown_seats
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.exposure import LIMIT, exposure_table
from earshed.model.sound.level import Drive
from earshed.model.sound.readings import Compared
from earshed.model.units import PrintUnits, format_distance
from earshed.viewer.level_words import MEANING, assumed_words, drive_words
from earshed.viewer.reading_rows import HEADS, reading_row, remark, was_read
from earshed.viewer.tables import PlainConsole, bare_table
from earshed.viewer.wording import scheme_words, shortened, starred


def print_levels(scene: Scene, found: Sequence[Balance], drive: Drive, compared: Sequence[Compared]) -> None:
    """Settings for a processor, the level at each main seat, what falls off by band, and what was read on site against
    what was expected."""
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(f"{scheme_words(scene)}; drive {drive_words(drive)}", style="dim"))
    console.print()
    table = bare_table(
        "To set, for the reference position", "", "distance", "time", "delay", "level", "trim", "loudest"
    )
    for one in found:
        loudest = "not stated" if one.loudest is None else f"{one.loudest:.1f} dB"
        table.add_row(
            Text(one.speaker.name), format_distance(one.arrival.distance, scene.print_units), _ms(one.arrival.time),
            _ms(one.arrival.delay), f"{one.reference.speech:.1f} dB", f"{one.trim:.1f} dB", loudest,
        )  # fmt: skip
    console.print(table)
    console.print(Text("level: mean over 500 Hz to 4 kHz; trim: down to the softest, to half a dB", style="dim"))
    console.print()
    seats = shown_seats(scene)
    table = bare_table("Level at each main seat, mean over 500 Hz to 4 kHz", "", *map(starred, seats), "spread")
    for one in found:
        table.add_row(Text(one.speaker.name), *(f"{at.speech:.1f}" for at in one.main), f"{one.speech_spread:.1f} dB")
    console.print(table)
    console.print()
    table = bare_table("Spread across the main seats, dB by octave", "", *OCTAVES.names)
    for one in found:
        table.add_row(Text(one.speaker.name), *(f"{each:.1f}" for each in one.spreads))
    console.print(table)
    console.print()
    table = bare_table("Tone at the seat that loses most, dB re the axis by octave", "", "seat", *OCTAVES.names)
    for one in found:
        least = min(one.main, key=lambda at: float(at.tone.sum()))
        table.add_row(
            Text(one.speaker.name), Text(least.seat.name), *(f"{round(each, 1) + 0.0:.1f}" for each in least.tone)
        )
    console.print(table)
    console.print(Text(f"{MEANING} {assumed_words()}", style="dim"))
    if was_read(compared):
        console.print()
        _print_readings(console, compared, scene.print_units)
    _print_exposure(console, max((at.speech for one in found for at in one.main), default=0.0))


def _ms(seconds: float) -> str:
    return f"{1000 * seconds:.2f} ms"


def _print_readings(console: PlainConsole, compared: Sequence[Compared], units: PrintUnits) -> None:
    """Every reading with its flag, speaker by speaker."""
    table = bare_table("Expected against measured", *HEADS)
    for one in compared:
        rows = [(reading_row(reading, units), reading.flag is not None) for reading in one.readings]
        if one.measured.photo is not None:
            rows.append((("photo", "", one.measured.photo.name, "", ""), False))
        for number, ((*cells, flag), is_off) in enumerate(rows):
            name = one.speaker.name if number == 0 else ""
            table.add_row(*map(Text, (name, *cells)), Text(flag, style="bold red" if is_off else ""))
    console.print(table)
    console.print(Text(remark(compared, units), style="dim"))


def _print_exposure(console: PlainConsole, loudest: float) -> None:
    """How long such levels may be heard in a day, where there are any past the limit."""
    if loudest <= LIMIT:
        return
    told = ", ".join(f"{level:g} dBA {minutes:g} min" for level, minutes in exposure_table(loudest))
    console.print()
    console.print(Text(f"a day's recommended exposure (NIOSH), as information: {told}", style="dim"))
