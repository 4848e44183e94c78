"""The sheet for the day when all is wired: what each speaker should measure, what it does, blanks where nobody has read
it yet, and what is not as it should be."""

from __future__ import annotations

from collections.abc import Sequence

from earshed.model.checks.readings import flagged
from earshed.model.finding import SEVERITIES
from earshed.model.scene import Scene
from earshed.model.sound.balance import balances
from earshed.model.sound.commissioning import COIL, OPEN, SHORTED, expected
from earshed.model.sound.level import Drive
from earshed.model.sound.reading_words import value_words
from earshed.model.sound.readings import Compared, Reading, What, compared
from earshed.model.units import PrintUnits
from earshed.viewer import palette
from earshed.viewer.level_words import MEANING, assumed_words, drive_words
from earshed.viewer.reading_rows import AS_EXPECTED, HEADS, flag_words, reading_row, remark, was_read
from earshed.viewer.sheets.flow import Flow, Group, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet

HEAD, PART, PLAIN, ROW = Style(16.0, bold=True), Style(11.0, bold=True), Style(9.5), Style(10.5)
DIM = Style(9.0, color=palette.SOFT_INK)
OFF = Style(9.5, bold=True, color=palette.LIMIT)
BLANK = "________"
COLUMNS = (
    ("speaker", 1.9), ("cable", 0.85), ("", 1.1), ("ohm at the rack", 1.6), ("polarity", 1.25), ("distance", 1.05),
    ("delay", 1.1), ("trim", 1.1), ("level", 1.2), ("photo", 1.35),
)  # fmt: skip
KINDS: Sequence[What] = ("resistance", "polarity", "distance", "delay", "trim", "level")
"""What is read, in the order of its columns."""
AT_SEATS = (1.9, 2.6, 1.2, 1.2, 1.2, 2.6)
HOW = (
    "1. Before an amplifier is connected, read the ohms of each pair at the rack: far under what stands here something "
    "is shorted, far over it, or endless, something is open. 2. See at every speaker that + goes to +. 3. Type in "
    "distance or delay, and trim. 4. Play band-limited noise (500 Hz to 4 kHz) through one speaker at a time, at one "
    "setting, and read the level at the reference position: what counts is how each differs from the others, to 3 dB. "
    "5. Write what you read into the scene, under the speaker's measured, and print this sheet again."
)


def commission_sheets(scene: Scene, paper: PaperSize) -> list[Sheet]:
    """The sheet of a scene's speakers, on as many pages as they need. Raises ValueError for a scene without seats."""
    drive, units = Drive(), scene.print_units
    found = compared(expected(scene, balances(scene, drive)))
    flow = Flow(lambda: new_sheet(paper.turned, "Commissioning"))
    flow.words("Commissioning", HEAD)
    flow.words(HOW, PLAIN)
    flow.gap(3.0)
    groups = [_group(one, units) for one in found]
    flow.grouped([head for head, _ in COLUMNS], groups, [share for _, share in COLUMNS], ROW.size)
    _at_seats(flow, found, units)
    _to_mend(flow, found, units)
    flow.gap(2.0)
    flow.words(_small_print(found, drive, units), DIM)
    return flow.sheets


def _group(one: Compared, units: PrintUnits) -> Group:
    """The rows of a speaker: as it should be, as it is, and where something is not as it should be, what."""
    run, balance = one.expected.run, one.expected.balance
    wanted = [
        f"{one.expected.ohm:.1f} ({one.expected.short:.1f} to {one.expected.open:.0f})",
        "normal",
        value_words("distance", balance.arrival.distance, units),
        value_words("delay", balance.arrival.delay, units),
        value_words("trim", balance.trim, units),
        value_words("level", one.level, units),
    ]
    readings = [one.of(what) for what in KINDS]
    read = [BLANK if each is None else _marked(each, units) for each in readings]
    photo = one.measured.photo
    rows = [
        ([one.speaker.name, run.pull.label if run is not None else "____", "expected", *wanted, ""], ROW),
        (["", "", "measured", *read, BLANK if photo is None else photo.name], ROW),
    ]
    if any(each is not None and each.flag is not None for each in readings):
        off = ["" if each is None or each.flag is None else flag_words(each) for each in readings]
        rows.append((["", "", "", *off, ""], OFF))
    return rows


def _marked(reading: Reading, units: PrintUnits) -> str:
    """What was read, with a sign where it is as expected."""
    words = value_words(reading.what, reading.measured, units)
    return words if reading.flag is not None or reading.expected is None else f"{words} {AS_EXPECTED}"


def _at_seats(flow: Flow, found: Sequence[Compared], units: PrintUnits) -> None:
    rows = [
        [one.speaker.name, reading.seat or "", *reading_row(reading, units)[1:]]
        for one in found
        for reading in one.at_seats
    ]
    if rows:
        _part(flow, "Levels at seats")
        flow.table(["speaker", "seat", *HEADS[2:]], rows, AT_SEATS, ROW)


def _to_mend(flow: Flow, found: Sequence[Compared], units: PrintUnits) -> None:
    findings = sorted(flagged(found, units), key=lambda one: SEVERITIES.index(one.severity))
    if findings:
        _part(flow, "What is not as expected")
    for finding in findings:
        flow.words(f"{finding.severity}: {finding.subject}: {finding.message}", PLAIN)
        flow.gap(0.5)


def _part(flow: Flow, title: str) -> None:
    flow.need(25.0)
    flow.gap(3.5)
    flow.words(title, PART)
    flow.gap(0.5)


def _small_print(found: Sequence[Compared], drive: Drive, units: PrintUnits) -> str:
    loop = "the cable's loop and " if any(one.expected.run is not None for one in found) else ""
    level = f"Level: with the trim, at {drive_words(drive)}, mean of 500 Hz to 4 kHz. {MEANING} {assumed_words()}."
    ohm = (
        f"Ohm: {loop}{COIL:g} of the nominal impedance (common practice, no source); in brackets from {SHORTED:g} to "
        f"{OPEN:g} times that."
    )
    if not was_read(found):
        return f"{ohm} {level}"
    return f"{remark(found, units)} {ohm} {level}"
