"""A sheet to fill in once all is wired: what each speaker should measure, and blanks for what it does."""

from __future__ import annotations

from collections.abc import Sequence

from earshed.model.scene import Scene
from earshed.model.sound.balance import balances
from earshed.model.sound.commissioning import COIL, OPEN, SHORTED, Expected, expected
from earshed.model.sound.level import Drive
from earshed.viewer import palette
from earshed.viewer.level_words import MEANING, assumed_words, distance_words, drive_words
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet

HEAD, PLAIN, ROW = Style(16.0, bold=True), Style(9.5), Style(10.5)
DIM = Style(9.0, color=palette.SOFT_INK)
BLANK, SHORT = "_________", "_____"
COLUMNS = (
    ("speaker", 1.9), ("cable", 0.9), ("ohm at the rack", 1.6), ("measured", 1.2), ("+ to +", 0.7), ("distance", 1.0),
    ("delay", 1.0), ("trim", 0.9), ("both set", 0.9), ("level", 1.0), ("measured", 1.2), ("photo", 0.8),
)  # fmt: skip
HOW = (
    "1. Before an amplifier is connected, read the ohms of each pair at the rack: far under what stands here something "
    "is shorted, far over it, or endless, something is open. 2. See at every speaker that + goes to +. 3. Type in "
    "distance or delay, and trim. 4. Play band-limited noise (500 Hz to 4 kHz) through one speaker at a time, at one "
    "setting, and read the level at the reference position: what counts is how each differs from the others, to 3 dB."
)


def commission_sheets(scene: Scene, paper: PaperSize) -> list[Sheet]:
    """The sheet of a scene's speakers, on as many pages as they need. Raises ValueError for a scene without seats."""
    drive = Drive()
    found = expected(scene, balances(scene, drive))
    flow = Flow(lambda: new_sheet(paper.turned, "Commissioning"))
    flow.words("Commissioning", HEAD)
    flow.words(HOW, PLAIN)
    flow.gap(3.0)
    rows = [_row(scene, one) for one in found]
    flow.table([head for head, _ in COLUMNS], rows, [share for _, share in COLUMNS], ROW)
    flow.gap(2.0)
    flow.words(_small_print(found, drive), DIM)
    return flow.sheets


def _row(scene: Scene, one: Expected) -> list[str]:
    balance = one.balance
    level = balance.reference.speech + balance.trim
    return [
        balance.speaker.name,
        one.run.pull.label if one.run is not None else SHORT,
        f"{one.ohm:.1f} ({one.short:.1f} to {one.open:.0f})",
        BLANK,
        "____",
        distance_words(balance.arrival.distance, scene.print_units),
        f"{1000 * balance.arrival.delay:.1f} ms",
        f"{balance.trim:.1f} dB",
        SHORT,
        f"{level:.1f} dB",
        BLANK,
        SHORT,
    ]


def _small_print(found: Sequence[Expected], drive: Drive) -> str:
    loop = "the cable's loop and " if any(one.run is not None for one in found) else ""
    return (
        f"Ohm: {loop}{COIL:g} of the nominal impedance (common practice, no source); in brackets from {SHORTED:g} to "
        f"{OPEN:g} times that. Level: with the trim, at {drive_words(drive)}, mean of 500 Hz to 4 kHz. {MEANING} "
        f"{assumed_words()}."
    )
