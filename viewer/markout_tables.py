"""What `earshed markout` prints: every hole with its tapes, and the checks between them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from rich.text import Text

from earshed.model.mark_out.mark_out import MarkOut
from earshed.model.search.place import Place
from earshed.viewer.cautions import BEFORE_CUTTING, DO_NOT_CUT
from earshed.viewer.hole_words import hole_words
from earshed.viewer.markout_rows import hole_rows, string_words, twin_words
from earshed.viewer.markout_words import face_words, leaves_words
from earshed.viewer.tables import PlainConsole, bare_table, print_findings
from earshed.viewer.wording import called, scheme_words, shortened


def print_mark_out(made: MarkOut, seconds: Mapping[str, Place], written: Sequence[Path]) -> None:
    console = PlainConsole()
    console.print(Text(shortened(made.scene.title), style="bold"))
    console.print(Text(scheme_words(made.scene), style="dim"))
    for mark in made.holes:
        console.print()
        title = Text(called(mark.speaker), style="bold")
        title.append(f"  {face_words(mark)}", style="not bold")
        if made.bars(mark.speaker):
            title.append(f"  {DO_NOT_CUT}", style="bold")
        console.print(title)
        console.print(Text(f"  {mark.speaker.type.name}: {hole_words(mark.speaker, made.ruler.units)}"))
        table = bare_table("", "", "")
        table.show_header = False
        for name, words in hole_rows(made, mark, seconds.get(mark.speaker.name)).all:
            table.add_row(Text(f"  {name}", style="dim"), Text(words))
        console.print(table)
    _print_checks(console, made)
    if made.without:
        names = ", ".join(one.name for one in made.without)
        console.print(Text(f"\nwithout a hole: {names}", style="dim"))
    console.print()
    print_findings(console, [one for one in made.findings if one.severity != "note"])
    console.print()
    console.print(Text(leaves_words(made.ruler), style="dim"))
    console.print(Text(BEFORE_CUTTING, style="dim"))
    for path in written:
        console.print(Text(f"written: {path}"), soft_wrap=True)


def _print_checks(console: PlainConsole, made: MarkOut) -> None:
    if not made.twins:
        return
    console.print()
    console.print(Text("Checks from hole to hole", style="bold"))
    for twin in made.twins:
        console.print(Text(f"  mirror    {twin_words(twin, made)}"))
    for string in made.strings:
        console.print(Text(f"  {'diagonal' if string.is_diagonal else 'string  '}  {string_words(string, made)}"))
    console.print(Text("  a string runs through the air, which across a ridge is shorter than the faces", style="dim"))
