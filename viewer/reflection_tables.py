"""What `earshed reflections` prints."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.table import Table
from rich.text import Text

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.sound.early import Early
from earshed.model.sound.reverberation import Reverberation
from earshed.viewer.reflection_rows import LEVEL_REMARK, TREAT_REMARK, face_rows, reflection_rows, time_rows
from earshed.viewer.tables import PlainConsole, bare_table, print_findings
from earshed.viewer.wire_rows import Rows
from earshed.viewer.wording import scheme_words, shortened

NOT_BROKEN = ("no.", "after", "longer", "level", "off axis", "area")
"""Columns that make no sense in two lines."""


def print_reflections(
    scene: Scene, early: Sequence[Early], found: Reverberation, findings: Sequence[Finding], written: Sequence[Path]
) -> None:
    """A table for each speaker, reverberation, faces, and findings."""
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(scheme_words(scene), style="dim"))
    console.print()
    tables = [*reflection_rows(scene, early)]
    for _, rows in tables:
        _print(console, rows)
    for remark in (LEVEL_REMARK, TREAT_REMARK) if tables else ("No early reflections.",):
        console.print(Text(remark, style="dim"))
        console.print()
    for rows in (time_rows(found), face_rows(scene, found)):
        _print(console, rows)
    print_findings(console, findings)
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)


def _print(console: PlainConsole, rows: Rows) -> None:
    console.print(_table(rows))
    if rows.remark:
        console.print(Text(rows.remark, style="dim"))
    console.print()


def _table(rows: Rows) -> Table:
    table = bare_table(rows.title, *rows.heads)
    for column, head in zip(table.columns, rows.heads, strict=True):
        column.no_wrap = head in NOT_BROKEN
    for cells in rows.rows:
        table.add_row(*map(Text, cells))
    return table
