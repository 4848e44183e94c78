"""What `earshed place` prints: the best few places of each speaker, and what could be given up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from rich.table import Table
from rich.text import Text

from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Choice, Together
from earshed.model.search.ask import STEP, Ask
from earshed.model.search.kept_holes import KeptHoles
from earshed.model.search.place import Place
from earshed.model.speaker_type import Fixed
from earshed.model.turning import rim_mark
from earshed.model.units import format_angle, format_length
from earshed.viewer.aim_words import rim_words, turning_words
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.hole_tables import print_holes
from earshed.viewer.hole_words import hole_words
from earshed.viewer.place_words import (
    complaints,
    heard_words,
    joint_words,
    kept_words,
    lost_words,
    missed_words,
    relaxed_words,
    slide_words,
    where_words,
    wood_words,
)
from earshed.viewer.served_words import served_words, shadow_words
from earshed.viewer.tables import PlainConsole
from earshed.viewer.wording import called, scheme_words, shortened

MOST_RELAXED = 5


@dataclass(frozen=True, eq=False)
class Report:
    """What a search has to say: `whom` it places for, the answers, for several speakers what goes `together`, what
    becomes of the `holes` that are there, the files written, and the share that was searched."""

    scene: Scene
    whom: str
    answers: Sequence[Answer]
    together: Together | None
    holes: KeptHoles | None
    written: Sequence[Path]
    searched: float


def print_report(report: Report, unwritten: Path | None) -> None:
    """The choices for each speaker or pair, or the places of several that go together, each with a second choice;
    `unwritten` is a file for which there was nothing to write."""
    console = PlainConsole()
    _print_head(console, report)
    for number, answer in enumerate(report.answers):
        console.print()
        _print_title(console, answer, complete=report.searched == 1.0)
        if report.together is None:
            for rank, choice in enumerate(answer.choices, start=1):
                _print_choice(console, report.scene, answer, rank, choice)
        else:
            _print_settled(
                console, report.scene, answer, report.together.chosen[number], report.together.second[number]
            )
        _print_relaxed(console, answer)
    if report.together is not None and len(report.answers) > 1:
        console.print()
        console.print(Text(joint_words(report.together)))
    if report.holes is not None:
        print_holes(console, report.scene, report.holes)
    _print_end(console, report.written, unwritten)


def _print_settled(console: PlainConsole, scene: Scene, answer: Answer, chosen: Choice, second: Choice | None) -> None:
    if chosen:
        _print_choice(console, scene, answer, 1, chosen)
    elif answer.choices:
        console.print(Text("  no place that keeps clear of the others", style="bold red"))
    if second is not None:
        console.print(Text("  if the test hole finds something", style="dim"))
        _print_choice(console, scene, answer, 2, second)


def _print_head(console: PlainConsole, report: Report) -> None:
    console.print(Text(shortened(report.scene.title), style="bold"))
    console.print(Text(f"{scheme_words(report.scene)}; placed for {report.whom}", style="dim"))
    if report.searched < 1.0:
        console.print(Text(f"stopped when {report.searched:.0%} was searched: the best so far", style="yellow"))


def _print_title(console: PlainConsole, answer: Answer, *, complete: bool) -> None:
    names = " and ".join(called(ask.speaker) for ask in answer.asks)
    kinds = len({offer.type.name for offer in answer.asks[0].offers})
    console.print(Text(names, style="bold"))
    types = f"{kinds} types" if kinds != 1 else "1 type"
    units = answer.asks[0].scene.print_units
    coarse = f", every {format_length(answer.step, units)} since the faces are large" if answer.step > STEP else ""
    console.print(Text(f"  {answer.tried:,} places tried{coarse}, {types} offered", style="dim"))
    if not answer.choices and not complete:
        console.print(Text("  nothing found yet: stopped too early to tell", style="yellow"))
    elif not answer.choices:
        console.print(Text("  nothing fits", style="bold red"))
        if answer.missed is not None:
            console.print(Text(f"  {missed_words(answer, answer.missed)}"))


def _print_choice(console: PlainConsole, scene: Scene, answer: Answer, number: int, choice: Choice) -> None:
    console.print()
    line = Text(f"  {number}  ", style="bold")
    line.append(choice[0].offer.type.name, style="bold")
    line.append(f": {hole_words(choice[0].speaker, scene.print_units)}", style="")
    console.print(line)
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(style="dim", no_wrap=True)
    table.add_column(overflow="fold")
    for ask, place in zip(answer.asks, choice, strict=True):
        if len(choice) > 1:
            table.add_row("     ", Text(place.speaker.name, style="bold"))
        for head, words in _rows(scene, ask, place):
            table.add_row(f"     {head}", Text(words))
    lost = lost_words(answer, choice)
    if lost:
        table.add_row("     compared", Text(lost))
    console.print(table)


def _rows(scene: Scene, ask: Ask, place: Place) -> Iterator[tuple[str, str]]:
    units = scene.print_units
    yield "where", where_words(scene, place)
    if place.fit is not None:
        yield "hole", kept_words(place.fit, units)
    yield "seats", "; ".join(f"{one.seat.name} {format_angle(one.off_axis)} {one.verdict}" for one in place.pairs)
    yield "level", served_words(place.served)
    yield "shadow", shadow_words(place.shadow)
    if not isinstance(place.offer.type.aiming, Fixed):
        rim = rim_words(
            rim_mark(place.speaker, place.speaker.axis, scene.ahead), partial(format_length, units=scene.print_units)
        )
        yield "turn", turning_words(place.speaker) + (f"; {rim}" if rim else "")
    yield "heard", heard_words(ask, place)
    yield "clear", wood_words(place, units)
    if place.slides:
        yield "can slide", slide_words(place, units)
    if place.instead:
        others = (f"{one.type} {format_angle(one.worst)} {one.verdict}" for one in place.instead[:3])
        yield "instead", "; ".join(others)
    wrong = list(complaints(ask, place))
    if wrong:
        yield "but", "; ".join(wrong)


def _print_relaxed(console: PlainConsole, answer: Answer) -> None:
    if not answer.helpful:
        if not answer.is_good and answer.ideal is not None:
            console.print(Text("  no single condition, given up, would make it as it should be", style="yellow"))
        return
    console.print()
    console.print(Text("  what giving up one condition would buy, best first", style="dim"))
    for relaxed in answer.helpful[:MOST_RELAXED]:
        console.print(Text(f"     {relaxed_words(relaxed, answer)}"))


def _print_end(console: PlainConsole, written: Sequence[Path], unwritten: Path | None) -> None:
    console.print()
    console.print(Text(BEFORE_CUTTING, style="dim"))
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)
    if unwritten is not None:
        console.print(Text(f"nothing to write to {unwritten}", style="yellow"), soft_wrap=True)
