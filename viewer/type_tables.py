"""What `earshed types` prints."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from earshed.model.scene import Scene
from earshed.viewer.tables import PlainConsole, bare_table
from earshed.viewer.type_words import HALF_SPACE, TypeSound, band_rows, facts
from earshed.viewer.wording import scheme_words, shortened

MEANING = (
    "beam width: full angle between the -6 dB directions; index: directivity index, the axis against the same power "
    f"sent evenly to all sides; {HALF_SPACE}"
)


def print_types(scene: Scene, sounds: Sequence[TypeSound], written: Sequence[Path]) -> None:
    """Each type's facts, and its figures band by band."""
    console = PlainConsole()
    console.print(Text(shortened(scene.title), style="bold"))
    console.print(Text(scheme_words(scene), style="dim"))
    for sound in sounds:
        console.print()
        console.print(Text(sound.kind.name, style="bold"))
        for label, words in facts(sound, scene):
            console.print(Text(f"{label}: {words}"))
        heads, rows = band_rows(sound)
        table = bare_table("", *heads)
        for row in rows:
            table.add_row(*row)
        console.print(table)
    console.print()
    console.print(Text(MEANING, style="dim"))
    if written:
        console.print(Text("Written", style="bold"))
    for path in written:
        console.print(Text(f"  {path}"), soft_wrap=True)
