"""Tables of what is asked besides: what is other than in the design, and how sure each verdict is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console
from rich.text import Text

from earshed.model.as_built import SAME_AIM, Comparison, PairChange, SeatChange, SpeakerChange
from earshed.model.geometry import TOUCHING
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.speaker_type import Verdict
from earshed.model.tolerance import Spread, Tolerance
from earshed.model.units import PrintUnits, format_angle, format_length
from earshed.viewer.tables import VERDICT_MARKS, PlainConsole, bare_table
from earshed.viewer.wording import counted, shortened, starred


def print_comparison(comparison: Comparison) -> None:
    """Which speakers differ from the design and how, what that changes at each seat, and whether the design holds."""
    console = PlainConsole()
    console.print()
    console.print(Text(f"What changed against {shortened(comparison.against, 60)}", style="bold"))
    units = comparison.scene.print_units
    for change in comparison.speakers:
        console.print(Text(f"{change.name}: {'; '.join(_told(change, units))}"))
    for seat in comparison.seats:
        told = f"ears {format_length(seat.moved, units)} from where they were" if seat.moved else _came_or_went(seat)
        console.print(Text(f"{seat.name}: {told}"))
    if not comparison.speakers and not comparison.seats:
        console.print(Text("no speaker and no seat"))
    console.print()
    _print_seats(console, comparison.pairs)
    console.print(_whether_it_holds(comparison))


def _told(change: SpeakerChange, units: PrintUnits) -> Iterator[str]:
    before, after = change.before, change.after
    if before is None or after is None:
        yield _came_or_went(change)
        return
    if change.moved > TOUCHING:
        yield f"moved {format_length(change.moved, units)}: {change.way_words(units)}"
    if before.surface and after.surface and before.surface.name != after.surface.name:
        yield f"from {before.surface.called} to {after.surface.called}"
    if change.retyped:
        now, then = after.type.name, before.type.name
        yield f"{now} in place of {then}" if now != then else f"{now} is other than it was"
    if change.rewired:
        yield f"carries {after.channel or 'no channel'} in place of {before.channel or 'none'}"
    if change.turned > SAME_AIM:
        yield f"aim turned by {format_angle(change.turned)}"
    elif change.faced > SAME_AIM:
        yield f"baffle turned by {format_angle(change.faced)}"


def _came_or_went(change: SpeakerChange | SeatChange) -> str:
    return "taken out" if change.before else "added, not in the design"


def _print_seats(console: Console, pairs: Sequence[PairChange]) -> None:
    """A row for each seat and speaker whose figures are other, and how many are as designed."""
    table = bare_table("", "seat", "speaker", "designed", "as built", "change", "verdict")
    shown = [pair for pair in pairs if not _alike(pair)]
    for pair in shown:
        table.add_row(
            Text(pair.before.seat.name),
            Text(pair.before.speaker.name),
            _cell(pair.before),
            _cell(pair.after) if pair.after else "",
            f"{'-' if pair.change < 0 else '+'}{format_angle(abs(pair.change))}" if pair.after else "",
            Text(_still(pair), style="" if pair.holds else "bold red"),
        )
    if shown:
        console.print(table)
    if len(shown) < len(pairs):
        others = "other " if shown else ""
        console.print(Text(f"the {others}{counted(len(pairs) - len(shown), 'angle')} as designed", style="dim"))
    console.print()


def _alike(change: PairChange) -> bool:
    after = change.after
    return after is not None and abs(change.change) <= SAME_AIM and _cell(change.before) == _cell(after)


def _still(change: PairChange) -> str:
    """What has become of a verdict: "still covered", "now fringe", "no longer covered"."""
    before, after = change.before, change.after
    if after is None or (after.verdict == "outside" and before.verdict != "outside"):
        return f"no longer {before.verdict}"
    told = f"{'still' if after.verdict == before.verdict else 'now'} {after.verdict}"
    return f"{told}, now blocked" if before.visible and not after.visible else told


def _cell(pair: Pair) -> Text:
    return Text(f"{format_angle(pair.off_axis)} ").append_text(_mark(pair.verdict, ""))


def _mark(verdict: Verdict, words: str) -> Text:
    mark, style = VERDICT_MARKS[verdict]
    return Text(f"{mark} {words}".rstrip(), style=style)


def _whether_it_holds(comparison: Comparison) -> Text:
    if not comparison.pairs:
        return Text("The design has no verdicts to hold.")
    if not comparison.lost:
        return Text("Every verdict of the design still holds.", style="green")
    lost = [f"{one.before.speaker.name} at {one.before.seat.name} ({_still(one)})" for one in comparison.lost]
    return Text(f"These verdicts of the design do not hold: {'; '.join(lost)}. All others do.", style="bold red")


def print_tolerance(scene: Scene, spreads: Sequence[Spread], tolerance: Tolerance) -> None:
    """What each pair may come to within a tolerance, and which verdicts are sure."""
    console = PlainConsole()
    console.print()
    if not spreads:
        console.print(Text("There is no seat with a speaker to be sure of."))
        return
    table = bare_table(
        f"How sure it is, within {tolerance.words(scene.print_units)}",
        *("speaker", "seat", "least", "as drawn", "most", "verdict"),
    )
    for spread in sorted(spreads, key=lambda spread: scene.judged.index(spread.pair.speaker)):
        pair = spread.pair
        table.add_row(
            Text(pair.speaker.name),
            Text(starred(pair.seat)),
            *(format_angle(angle) for angle in (spread.least, pair.off_axis, spread.most)),
            _possible(spread),
        )
    console.print(table)
    sure = sum(spread.sure for spread in spreads)
    rest = "all of them" if sure == len(spreads) else f"{len(spreads) - sure} could flip"
    console.print(Text(f"{sure} of {counted(len(spreads), 'verdict')} sure: {rest}; * main seat"))


def _possible(spread: Spread) -> Text:
    """The verdict, and what it could be besides."""
    verdict = spread.pair.verdict
    others = [other for other in spread.verdicts if other != verdict]
    words, style = (f", could be {' or '.join(others)}", "bold") if others else (", sure", "dim")
    return _mark(verdict, verdict).append(words, style=style)
