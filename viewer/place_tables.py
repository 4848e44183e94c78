"""What `earshed place` prints: the best few places of each speaker, and what could be given up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.table import Table
from rich.text import Text

from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Choice, Together
from earshed.model.search.ask import Ask
from earshed.model.search.place import Place
from earshed.model.speaker_type import Fixed
from earshed.model.units import format_angle
from earshed.viewer.aim_words import rim_words, turning_words
from earshed.viewer.place_words import (
    complaints,
    heard_words,
    hole_words,
    lost_words,
    relaxed_words,
    travel_words,
    where_words,
    wood_words,
)
from earshed.viewer.tables import PlainConsole
from earshed.viewer.wording import called, scheme_words, shortened

MOST_RELAXED = 5
CAUTION = (
    "Before you cut: isolate power; a test hole first, to look for cables, pipes, ducts and wood; never cut framing. "
    "Insulation, a vapor barrier and a fire-rated ceiling need the right box; local codes and licensed trades decide."
)


def print_answers(
    scene: Scene, whom: str, answers: Sequence[Answer], written: Sequence[Path], *, stopped: float | None
) -> None:
    """The choices for each speaker or pair; `stopped` is the share that was searched, None where all was."""
    console = PlainConsole()
    _print_head(console, scene, whom, stopped)
    for answer in answers:
        console.print()
        _print_title(console, answer)
        for number, choice in enumerate(answer.choices, start=1):
            _print_choice(console, scene, answer, number, choice)
        _print_relaxed(console, answer)
    _print_end(console, written)


def print_together(
    scene: Scene,
    whom: str,
    answers: Sequence[Answer],
    together: Together,
    written: Sequence[Path],
    *,
    stopped: float | None,
) -> None:
    """The places of several speakers that go together, each with a second choice."""
    console = PlainConsole()
    _print_head(console, scene, whom, stopped)
    for answer, chosen, second in zip(answers, together.chosen, together.second, strict=True):
        console.print()
        _print_title(console, answer)
        _print_choice(console, scene, answer, 1, chosen)
        if second is not None:
            console.print(Text("  if the test hole finds something", style="dim"))
            _print_choice(console, scene, answer, 2, second)
    console.print()
    console.print(Text(joint_words(together)))
    _print_end(console, written)


def joint_words(together: Together) -> str:
    """How far the joint answer is from the best of each alone."""
    total, loss = format_angle(together.joint.cost[-1]), format_angle(max(0.0, together.joint.loss))
    if loss == format_angle(0.0):
        return f"Together: the worst angles add up to {total}; each has its own best place."
    return f"Together: the worst angles add up to {total}, {loss} more than the best place of each by itself."


def _print_head(console: PlainConsole, scene: Scene, whom: str, stopped: float | None) -> None:
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(f"{scheme_words(scene)}; placed for {whom}", style="dim"))
    if stopped is not None:
        console.print(Text(f"stopped when {stopped:.0%} was searched: the best so far", style="yellow"))


def _print_title(console: PlainConsole, answer: Answer) -> None:
    names = " and ".join(called(ask.speaker) for ask in answer.asks)
    kinds = len({offer.type.name for offer in answer.asks[0].offers})
    console.print(Text(names, style="bold"))
    types = f"{kinds} types" if kinds != 1 else "1 type"
    console.print(Text(f"  {answer.tried:,} places tried, {types} offered", style="dim"))
    if not answer.choices:
        console.print(Text("  nothing fits", style="bold red"))


def _print_choice(console: PlainConsole, scene: Scene, answer: Answer, number: int, choice: Choice) -> None:
    console.print()
    offer = choice[0].offer
    line = Text(f"  {number}  ", style="bold")
    line.append(offer.type.name, style="bold")
    line.append(f": {hole_words(offer, scene.print_units)}", style="")
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
        table.add_row("     against", Text(lost))
    console.print(table)


def _rows(scene: Scene, ask: Ask, place: Place) -> Iterator[tuple[str, str]]:
    units = scene.print_units
    yield "where", where_words(scene, place)
    yield "seats", "; ".join(f"{one.seat.name} {format_angle(one.off_axis)} {one.verdict}" for one in place.pairs)
    if not isinstance(place.offer.type.aiming, Fixed):
        rim = rim_words(place.speaker, scene)
        yield "turn", turning_words(place.speaker) + (f"; {rim}" if rim else "")
    yield "heard", heard_words(ask, place)
    yield "clear", wood_words(place, units)
    yield "can slide", travel_words(place, units)
    if place.instead:
        others = (f"{one.type} {format_angle(one.worst)} {one.verdict}" for one in place.instead[:3])
        yield "instead", "; ".join(others)
    wrong = list(complaints(ask, place))
    if wrong:
        yield "but", "; ".join(wrong)


def _print_relaxed(console: PlainConsole, answer: Answer) -> None:
    if not answer.helpful:
        if not answer.is_good:
            console.print(Text("  no single condition, given up, would make it as it should be", style="yellow"))
        return
    console.print()
    console.print(Text("  what giving up one condition would buy, best first", style="dim"))
    for relaxed in answer.helpful[:MOST_RELAXED]:
        console.print(Text(f"     {relaxed_words(relaxed, answer)}"))


def _print_end(console: PlainConsole, written: Sequence[Path]) -> None:
    console.print()
    console.print(Text(CAUTION, style="dim"))
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)
