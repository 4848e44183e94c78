"""What `earshed levels` prints."""

from __future__ import annotations

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.sound.balance import Balance, shown_seats
from earshed.model.sound.bands import Bands
from earshed.model.sound.exposure import LIMIT, exposure_table
from earshed.model.sound.level import Drive
from earshed.model.sound.readings import Compared
from earshed.model.units import PrintUnits, format_distance
from earshed.viewer.level_words import MEANING, assumed_words, drive_words
from earshed.viewer.reading_rows import HEADS, reading_row, remark, was_read
from earshed.viewer.tables import PlainConsole, bare_table
from earshed.viewer.wording import scheme_words, shortened, starred

WIDEST = 8
"""Bands that a table has room for side by side."""
SETTINGS = (
    "level: mean over 500 Hz to 4 kHz; dBA: pink noise over all bands at the same drive, A-weighted (IEC 61672-1); "
    "trim: down to the softest, to half a dB"
)


def print_levels(scene: Scene, found: Sequence[Balance], drive: Drive, compared: Sequence[Compared]) -> None:
    """Settings for a processor, the level at each main seat, what falls off by band, and what was read on site against
    what was expected."""
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(f"{scheme_words(scene)}; drive {drive_words(drive)}", style="dim"))
    console.print()
    table = bare_table(
        "To set, for the reference position", "", "distance", "time", "delay", "level", "dBA", "trim", "loudest"
    )
    for one in found:
        loudest = "not stated" if one.loudest is None else f"{one.loudest:.1f} dB"
        at, heard = one.arrival, one.reference
        table.add_row(
            Text(one.speaker.name), format_distance(at.distance, scene.print_units), _ms(at.time), _ms(at.delay),
            f"{heard.speech:.1f} dB", f"{heard.a_weighted:.1f}", f"{one.trim:.1f} dB", loudest,
        )  # fmt: skip
    console.print(table)
    console.print(Text(SETTINGS, style="dim"))
    console.print()
    seats = shown_seats(scene)
    table = bare_table("Level at each main seat, mean over 500 Hz to 4 kHz", "", *map(starred, seats), "spread")
    for one in found:
        table.add_row(Text(one.speaker.name), *(f"{at.speech:.1f}" for at in one.main), f"{one.speech_spread:.1f} dB")
    console.print(table)
    console.print()
    spreads = [(one.speaker.name, "", one.spreads) for one in found]
    console.print(_by_band("Spread across the main seats, dB by band", found[0].reference.bands, spreads))
    console.print()
    console.print(_by_band("Tone at the seat that loses most, dB re the axis by band", found[0].reference.bands, [
        (one.speaker.name, least.seat.name, least.tone)
        for one in found
        for least in [min(one.main, key=lambda at: float(at.tone.sum()))]
    ]))  # fmt: skip
    console.print(Text(f"{MEANING} {assumed_words()}", style="dim"))
    if was_read(compared):
        console.print()
        _print_readings(console, compared, scene.print_units)
    _print_exposure(console, max((at.a_weighted for one in found for at in one.main), default=0.0))


def _by_band(title: str, bands: Bands, rows: Sequence[tuple[str, str, Array]]) -> Table:
    """Figures by band of speakers, each with a word about it: a line for each speaker, or for each band of many."""
    cells = [[f"{round(float(each), 1) + 0.0:.1f}" for each in figures] for _, _, figures in rows]
    told = any(word for _, word, _ in rows)
    if len(bands) <= WIDEST:
        table = bare_table(title, "", *(["seat"] if told else []), *bands.names)
        for (name, word, _), figures in zip(rows, cells, strict=True):
            table.add_row(Text(name), *([Text(word)] if told else []), *figures)
        return table
    table = bare_table(title, "", *(f"{name}, {word}" if word else name for name, word, _ in rows))
    for number, band in enumerate(bands.names):
        table.add_row(band, *(figures[number] for figures in cells))
    return table


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
