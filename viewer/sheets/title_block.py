"""The foot of every sheet: what it is of, its scale with a bar to check the print by, its page, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.patches import Rectangle

from earshed.model.scene import Scene
from earshed.model.units import INCH, PrintUnits
from earshed.viewer import palette
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.sheets.sheet import FOOT, MARGIN, Sheet
from earshed.viewer.sheets.writing import cut_to, text_width
from earshed.viewer.wording import scheme_words

UNIT_WORDS: dict[PrintUnits, str] = {"ft-in": "feet and inches", "mm": "mm", "cm": "cm", "m": "m"}
SMALL, PLAIN, LARGE = 7.0, 8.0, 11.0
"""Points."""
BAR_ROOM = 70.0
"""Millimetres at the right of the block that are kept for the check bar."""


def stamp(sheets: Sequence[Sheet], scene: Scene, date: str, *, after: int = 0) -> None:
    """Draws the foot of some sheets, which are the last pages of one document, `after` others."""
    for number, sheet in enumerate(sheets, start=after + 1):
        _stamp(sheet, scene, date, f"page {number} of {after + len(sheets)}")


def _stamp(sheet: Sheet, scene: Scene, date: str, page: str) -> None:
    left, right = MARGIN, sheet.paper.width - MARGIN
    top = MARGIN + FOOT
    sheet.line([(left, top), (right, top)], width=0.5)
    sheet.paragraph(left, top - 0.5, right - left, BEFORE_CUTTING, SMALL, color=palette.LIMIT)
    sheet.line([(left, top - 8.5), (right, top - 8.5)], color=palette.FAINT)
    wide = right - BAR_ROOM - left
    sheet.write(left, MARGIN + 10.5, cut_to(sheet.title, wide, LARGE, bold=True), LARGE, bold=True)
    sheet.write(left, MARGIN + 5.5, cut_to(f"{scene.title} · {scheme_words(scene)}", wide, PLAIN), PLAIN)
    told = f"{date} · {sheet.scale} · lengths in {UNIT_WORDS[scene.print_units]}"
    page_wide = text_width(page, PLAIN, bold=True) + 3.0
    sheet.write(left, MARGIN + 0.8, cut_to(told, right - left - page_wide - BAR_ROOM, PLAIN), PLAIN)
    sheet.write(right, MARGIN + 0.8, page, PLAIN, bold=True, align="right")
    _check_bar(sheet, right, MARGIN + 8.0, inches=scene.print_units == "ft-in")


def _check_bar(sheet: Sheet, right: float, y: float, *, inches: bool) -> None:
    """A bar of known length: a print of another length has another scale."""
    part, words = (INCH * 500, "2 in") if inches else (10.0, "5 cm")
    parts = 4 if inches else 5
    left = right - parts * part
    for number in range(parts):
        fill = palette.INK if number % 2 == 0 else palette.PAPER
        bar = Rectangle((left + number * part, y), part, 1.8, fc=fill, ec=palette.INK, lw=0.6, zorder=20)
        sheet.axes.add_patch(bar)
    sheet.write(right, y + 3.4, f"print check: this bar is {words} long", SMALL, align="right", color=palette.SOFT_INK)
