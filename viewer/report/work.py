"""What has to be done, with room for a price and a signature, and what is handed over once it is."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.as_built import Comparison
from earshed.model.units import format_distance, format_length
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.compare.speaker_words import speaker_words
from earshed.viewer.compare.work_words import work_list
from earshed.viewer.report.blocks import Blanks, Block, Lines, Part, Section, Table, Words
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.questions import SHORT
from earshed.viewer.report.shots import Shots
from earshed.viewer.wire_rows import label_rows
from earshed.viewer.wording import counted, shortened

BLANK = "__________"
NOTHING = " (nothing to do)"
PAINT = (
    "A grille may be painted before it goes on, away from its speaker and thinly, so that no hole of it fills; ask its "
    "maker first. Never paint what is behind it. (Common practice, no source.)"
)


def changes(facts: Facts) -> Section:
    """The list of changes with blanks for prices, and where to sign."""
    rows = tuple(_rows(facts))
    blocks: list[Block] = []
    if facts.before is not None:
        blocks.append(Words(f'Counted from the room as it is in "{facts.before.scheme or "the scene itself"}".'))
    if rows:
        priced = (
            *((what, line, "" if line.endswith(NOTHING) else BLANK) for what, line in rows),
            ("In all", "", BLANK),
        )
        blocks.append(Table("", ("what", "to do", "price"), priced, (0.9, 4.0, 1.0)))
    else:
        blocks.append(Words("Nothing is to be done."))
    blocks.append(Words(BEFORE_CUTTING, "note"))
    if rows:
        blocks.append(Words("Signed for the work listed above, at the prices filled in:"))
    blocks.append(Blanks(("date", "client", "installer")))
    return Section("changes", "What is to be done, and what it costs", tuple(blocks))


def _rows(facts: Facts) -> Iterator[tuple[str, str]]:
    if facts.before is None:
        yield from _whole(facts)
        return
    for work in work_list(facts.change):
        for line in work.lines:
            yield work.title, f"{line[:1].upper()}{line[1:]}"
        if work.rest:
            yield work.title, f"{work.rest[:1].upper()}{work.rest[1:]}{NOTHING}"


def _whole(facts: Facts) -> Iterator[tuple[str, str]]:
    """Everything that the scene has, where nothing says what is there already."""
    for part in facts.change.parts:
        yield "Speakers", f"{part.after} x {part.type.name}"
    holes = len([one for one in facts.scene.speakers if one.surface is not None])
    if holes:
        yield "Holes", f"{counted(holes, 'hole')}"
    if facts.schedule is not None:
        for total in facts.schedule.totals:
            cut = format_length(total.cut, facts.scene.print_units)
            yield "Cables", f"{total.cable.name}: {counted(len(total.runs), 'run')}, {cut} in all"


def handover(facts: Facts, shots: Shots) -> Section:
    """What stays with the room: settings, cables and their labels, paint, and the room as it was built."""
    blocks: list[Block | Part] = []
    units = facts.scene.print_units
    if facts.settings:
        rows = tuple(
            (
                shortened(one.speaker.name, SHORT),
                format_distance(one.arrival.distance, units),
                f"{1000 * one.arrival.delay:.1f} ms",
                f"{one.trim:.1f} dB",
            )
            for one in facts.settings
        )
        note = (
            "Distance or delay, and trim, for the middle of the main seats; predicted, to be checked by ear and meter."
        )
        heads = ("speaker", "distance", "delay", "trim")
        blocks.append(Part("Settings of the processor", (Table("", heads, rows, (2.0, 1.0, 1.0, 1.0), note),)))
    if facts.schedule is not None and facts.schedule.runs:
        labels = label_rows(facts.schedule)
        spares = [shortened(run.pull.name, SHORT) for run in facts.schedule.runs if run.pull.is_spare]
        told = f"Spare cables, for later: {', '.join(spares)}." if spares else "No spare cable is planned."
        table = Table("", labels.heads, labels.rows, (0.7, 2.2, 1.0, 2.4), "A label is on both ends of every cable.")
        blocks.append(Part("Cables and their labels", (Words(told), table)))
    blocks.append(Part("Paint", (Words(PAINT),)))
    if facts.built is not None:
        plan = () if shots.built is None else (shots.built,)
        blocks.append(Part("As built", (*plan, *_built(facts, facts.built[0]))))
    return Section("handover", "Handed over", tuple(blocks))


def _built(facts: Facts, built: Comparison) -> Iterator[Block]:
    """What is other in the room as built than in its design."""
    units = facts.scene.print_units
    lines = [
        f"{shortened(one.name, SHORT)}: {speaker_words(one, units) or 'turned by less than shows'}"
        for one in built.speakers
    ]
    against = shortened(built.against, 60)
    if lines:
        yield Lines(f"Against {against}", tuple(lines))
    else:
        yield Words(f"Every speaker is where {against} has it.")
    lost = len(built.lost)
    yield Words(
        "Every seat gets at least what the design gave it."
        if not lost
        else f"{counted(lost, 'verdict')} of the design {'does' if lost == 1 else 'do'} not hold."
    )
