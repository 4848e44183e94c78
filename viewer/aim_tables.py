"""What `earshed aim` prints: a block for each speaker, seat by seat, and how to turn it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from rich.table import Table
from rich.text import Text

from earshed.model.aim_advice import AimAdvice
from earshed.model.pairs import Pair
from earshed.model.scene import Scene
from earshed.model.sound.served import Served, tone_of
from earshed.model.speaker_type import Fixed
from earshed.model.turning import rim_mark
from earshed.model.units import format_angle, format_length
from earshed.viewer.aim_words import aiming_words, instead_words, landing_words, rim_words, turning_words
from earshed.viewer.served_words import SERVED_LEGEND, decibels, shadow_words
from earshed.viewer.tables import PlainConsole, bare_table, verdict_text
from earshed.viewer.wording import called, scheme_words, shortened, starred


def print_aims(scene: Scene, whom: str, advice: Sequence[AimAdvice], written: Sequence[Path]) -> None:
    """The advice for each speaker; `whom` says for which seats."""
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(f"{scheme_words(scene)}; aimed for {whom}", style="dim"))
    for one in advice:
        console.print()
        console.print(Text(called(one.speaker), style="bold"))
        console.print(Text(f"  {one.speaker.type.name}: {aiming_words(one.speaker.type.aiming)}"))
        console.print(_seat_table(one))
        console.print(_turning_table(scene, one))
    console.print()
    legend = "off-axis angle: ● covered (to -3 dB), ◐ fringe (to -6 dB), ✕ outside; * main seat"
    console.print(Text(legend, style="dim"))
    console.print(Text(SERVED_LEGEND, style="dim"))
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)


def _seat_table(one: AimAdvice) -> Table:
    """A row for each seat: what it gets today, what it would get, and the gain; then how loud and how even that is."""
    aims = [(one.today, one.served_today)]
    heads = ["today"]
    if one.worth_turning:
        aims.append((one.best, one.served_best))
        heads += ["best aim", "gain"]
    if one.even is not None:
        aims.append((one.even.pairs, one.even.served))
        heads.append("most even")
    table = _indented("seat", *heads)
    worst = one.worst_best if one.worth_turning else one.worst_today
    for pairs in zip(*(pairs for pairs, _ in aims), strict=True):
        cells = [verdict_text(each) for each in pairs]
        if one.worth_turning:
            cells.insert(2, Text(format_angle(pairs[0].off_axis - pairs[1].off_axis)))
        table.add_row(*_seat(pairs[0], worst), *cells)
    for name, value, sense in _MEASURES:
        values = [value(found) for _, found in aims]
        cells = [Text(decibels(each)) for each in values]
        if one.worth_turning:
            cells.insert(2, Text(decibels(sense * (values[1] - values[0]))))
        table.add_row("", Text(name, style="dim"), *cells)
    return table


_MEASURES: tuple[tuple[str, Callable[[Served], float], int], ...] = (
    ("softest seat", lambda found: found.softest.speech, 1),
    ("spread", lambda found: found.spread, -1),
    ("4 kHz", lambda found: tone_of(found.dullest), 1),
)
"""What is told under the seats, and whether more of it is a gain."""


def _indented(*columns: str) -> Table:
    table = bare_table("", "", *columns)
    table.columns[0].width = 0
    for column in table.columns[2:]:
        column.no_wrap = True
    return table


def _seat(pair: Pair, worst: Pair) -> tuple[str, Text]:
    cell = Text(starred(pair.seat))
    if pair.seat is worst.seat:
        cell.append(" (worst)", style="dim")
    return "", cell


def _turning_table(scene: Scene, one: AimAdvice) -> Table:
    """How to turn it, or that there is nothing to turn, and what another type would do."""
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(style="dim", no_wrap=True)
    table.add_column(overflow="fold")
    fixed = isinstance(one.speaker.type.aiming, Fixed)
    text = partial(format_length, units=scene.print_units)
    if not fixed and one.worth_turning:
        table.add_row("  now", Text(turning_words(one.speaker)))
        table.add_row("  turn it", Text(turning_words(one.turned)))
    elif not fixed:
        table.add_row("  best", Text(f"as it is aimed already: {turning_words(one.speaker)}"))
    if not fixed:
        shown = one.turned if one.worth_turning else one.speaker
        rim = rim_words(rim_mark(shown, shown.axis, scene.ahead), text)
        if rim:
            table.add_row("  bezel", Text(rim))
    table.add_row("  lands on", Text(landing_words(one.lands, text)))
    if one.even is not None:
        rim = rim_words(rim_mark(one.even.turned, one.even.turned.axis, scene.ahead), text)
        table.add_row("  most even", Text("; ".join(filter(None, (turning_words(one.even.turned), rim)))))
    table.add_row("  shadow", Text(shadow_words(one.shadow)))
    instead = instead_words(one, scene)
    if instead:
        table.add_row("  instead", Text(instead))
    return table
