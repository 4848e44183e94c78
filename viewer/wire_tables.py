"""What `earshed wire` prints."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.table import Table
from rich.text import Text

from earshed.model.finding import Finding
from earshed.model.wiring.schedule import Schedule
from earshed.viewer.cautions import BEFORE_BORING
from earshed.viewer.tables import PlainConsole, bare_table, print_findings
from earshed.viewer.wire_rows import Rows, cable_rows, label_rows, route_rows, run_rows, spool_rows, work_rows
from earshed.viewer.wire_words import end_words
from earshed.viewer.wording import scheme_words, shortened

NOT_BROKEN = ("label", "length", "way", "slack", "cut", "count", "allowed", "left", "installed", "runs")
"""Columns that make no sense in two lines."""


def print_wiring(schedule: Schedule, findings: Sequence[Finding], written: Sequence[Path]) -> None:
    """Runs, their ways, the work, the cable and its spools, labels, findings and cautions."""
    scene = schedule.scene
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(f"{scheme_words(scene)}; rack: {end_words(scene, schedule.rack)}", style="dim"))
    console.print()
    _print(console, run_rows(schedule))
    for rows in route_rows(schedule):
        console.print(Text(rows.title, style="bold"))
        console.print(Text(rows.remark, style="dim"))
        console.print(_table(rows, ""))
        console.print()
    for rows in (work_rows(schedule), cable_rows(schedule), spool_rows(schedule), label_rows(schedule)):
        if rows.rows:
            _print(console, rows)
    print_findings(console, findings)
    console.print()
    console.print(Text("Before you bore", style="bold"))
    for caution in BEFORE_BORING:
        console.print(Text(f"- {caution}"))
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)


def _print(console: PlainConsole, rows: Rows) -> None:
    console.print(_table(rows, rows.title))
    if rows.remark:
        console.print(Text(rows.remark, style="dim"))
    console.print()


def _table(rows: Rows, title: str) -> Table:
    table = bare_table(title, *rows.heads)
    for column, head in zip(table.columns, rows.heads, strict=True):
        column.no_wrap = head in NOT_BROKEN
    for cells in rows.rows:
        table.add_row(*map(Text, cells))
    return table
