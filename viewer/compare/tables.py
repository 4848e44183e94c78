"""What `earshed compare` prints."""

from __future__ import annotations

from collections.abc import Sequence

from rich.padding import Padding
from rich.text import Text

from earshed.model.compare.seats import Gets, Given
from earshed.model.units import format_angle
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.compare.asked import Compared, Side
from earshed.viewer.compare.words import (
    SEAT_CHANGES,
    among_words,
    angle_change,
    gets_words,
    headline,
    signal_noun,
)
from earshed.viewer.compare.work_words import work_list
from earshed.viewer.tables import VERDICT_MARKS, PlainConsole, bare_table, print_findings
from earshed.viewer.wording import counted, shortened

CHANGE_STYLES = {"better": "green", "nearer": "green", "worse": "bold red", "farther": "yellow"}


def print_compared(found: Compared, areas: str) -> None:
    """Both scenes, whether it is worth it, seat by seat and speaker by speaker, and what has to be done; `areas` is
    what the maps say in a sentence."""
    console, change = PlainConsole(), found.change
    console.print(Text(shortened(found.title), style="bold"))
    before, after = (shortened(side.label, 60) for side in found.sides)
    console.print(Text(f"before: {before}; after: {after}", style="dim"))
    console.print()
    first, *more = headline(change)
    console.print(Text(first, style="bold"))
    for sentence in filter(None, (*more, areas)):
        console.print(Text(sentence))
    console.print()
    _print_seats(console, found)
    _print_given(console, found)
    _print_evenness(console, found)
    _print_work(console, found)
    for side in found.sides:
        _print_findings(console, side)


def _print_seats(console: PlainConsole, found: Compared) -> None:
    change = found.change
    if not change.seats:
        return
    noun = signal_noun(change)
    table = bare_table("What each seat gets of all of them", "", "before", "after", "change", "beside the others")
    for seat in change.seats:
        table.add_row(
            Text(f"{seat.seat} *" if seat.main else seat.seat),
            _gets(seat.before, noun),
            _gets(seat.after, noun),
            Text(SEAT_CHANGES[seat.change], style=CHANGE_STYLES.get(seat.change, "")),
            Text(among_words(seat, change)),
        )
    console.print(table)
    console.print(Text("* main seat", style="dim"))
    console.print()


def _gets(gets: Gets | None, noun: str) -> Text:
    if gets is None:
        return Text("-")
    mark, style = VERDICT_MARKS[gets.verdict]
    return Text(f"{mark} ", style=style).append(gets_words(gets, noun), style="")


def _print_given(console: PlainConsole, found: Compared) -> None:
    """A row for each main seat and channel that is other than it was, and how many are not."""
    main = found.change.main
    shown = [one for one in main if one.change != "same"]
    table = bare_table("Main seats, speaker by speaker", "seat", "speaker", "before", "after", "change", "level", "")
    for one in shown:
        level = "" if one.louder is None or abs(one.louder) < 0.05 else f"{one.louder:+.1f} dB"
        table.add_row(
            Text(one.seat), Text(one.signal.called), _given(one.before), _given(one.after), angle_change(one), level,
            Text(one.words, style=CHANGE_STYLES.get(one.change, "")),
        )  # fmt: skip
    if shown:
        console.print(table)
        words = "level: of 500 Hz to 4 kHz against the reference position, louder (+) or softer (-) than before"
        console.print(Text(words, style="dim"))
    if len(shown) < len(main):
        others = "other " if shown else ""
        console.print(Text(f"the {others}{counted(len(main) - len(shown), 'angle')} as before", style="dim"))
    console.print()


def _given(given: Given | None) -> Text:
    if given is None:
        return Text("-")
    mark, style = VERDICT_MARKS[given.pair.verdict]
    cell = Text(f"{format_angle(given.pair.off_axis)} ").append(f"{mark} {given.pair.verdict}", style=style)
    return cell if given.pair.visible else cell.append(" (blocked)", style="bold red")


def _print_evenness(console: PlainConsole, found: Compared) -> None:
    told = [(one.signal.called, _decibels(one.before), _decibels(one.after)) for one in found.change.evenness]
    shown = [row for row in told if row[1] != row[2]]
    if not shown:
        return
    table = bare_table("From the softest to the loudest main seat", "", "before", "after")
    for name, *figures in shown:
        table.add_row(Text(name), *figures)
    console.print(table)
    console.print()


def _decibels(level: float | None) -> str:
    return "-" if level is None else f"{level:.1f} dB"


def _print_work(console: PlainConsole, found: Compared) -> None:
    console.print(Text(f'What it takes, if the room is now as before ("{shortened(found.before.label, 60)}")', "bold"))
    for work in work_list(found.change):
        console.print(Text(work.title))
        for line in filter(None, (*work.lines, work.rest)):
            console.print(Padding(Text(line), (0, 0, 0, 2)))
    if any(hole.work not in ("stays", "open") for hole in found.change.holes):
        console.print(Text(BEFORE_CUTTING, style="dim"))
    console.print()


def _print_findings(console: PlainConsole, side: Side) -> None:
    """The errors of one scene, and how many more findings `check` would tell."""
    errors = [finding for finding in side.findings if finding.severity == "error"]
    rest = len(side.findings) - len(errors)
    more = f"; {counted(rest, 'warning or note').replace('warning or notes', 'warnings and notes')} with earshed check"
    told = counted(len(errors), "error") if errors else "nothing that cannot be built as drawn"
    console.print(Text(f"{shortened(side.label, 60)}: {told}{more if rest else ''}", style="bold" if errors else "dim"))
    if errors:
        print_findings(console, errors)


def printed_files(files: Sequence[object]) -> None:
    console = PlainConsole()
    for path in files:
        console.print(Text(f"wrote {path}"), soft_wrap=True)
