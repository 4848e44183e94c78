"""Pictures of before and after as sheets: both side by side under one heading, or one alone, with a key and a foot."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageFont

from earshed.viewer import palette
from earshed.viewer.annotate import WIDE, KeyRow, Sheet
from earshed.viewer.compare.views import Difference, Key, ViewPair
from earshed.viewer.wording import shortened

GAP = 16
"""Pixels between two pictures of a page 1400 wide."""
_STROKES = tuple(np.array([[x + 0.2, 0.0], [x - 0.2, 1.0]]) for x in (0.2, 0.5, 0.8))
FOOT = "predictions, not measurements"
SIGNS = "on a seat, the worst that it gets: disc covered, half disc fringe, cross outside · "
"""Of plans, in the foot of a sheet."""


@dataclass(frozen=True)
class Foot:
    """What every sheet of a run says: of which scene, what before and after are called, and the date."""

    title: str
    before: str
    after: str
    date: str


def pair_sheet(view: ViewPair, foot: Foot, size: tuple[int, int], signs: str = "") -> bytes:
    """A PNG of both pictures of a view beside each other; `signs` says in the foot what its signs mean."""
    sheet, top = _sheet(view.title, view.caption, view.key, foot, size)
    gap = round(GAP * sheet.unit)
    box = ((size[0] - 2 * sheet.edge - gap) / 2, sheet.bottom - top)
    font = sheet.font(17, bold=True)
    for number, (picture, words) in enumerate(((view.before, "before: "), (view.after, "after: "))):
        label = _cut(sheet, words + (foot.after if number else foot.before), font, box[0])
        shown = _fitted(picture, box)
        left = sheet.edge + number * (box[0] + gap)
        y = top + (box[1] - shown.height) / 4  # nearer to the heading than to the foot
        sheet.draw.text((left, y - 1.45 * font.size), label, font=font, fill=palette.INK)
        sheet.page.paste(shown, (round(left + (box[0] - shown.width) / 2), round(y)))
    return _finished(sheet, foot, signs)


def change_sheet(one: Difference, foot: Foot, size: tuple[int, int]) -> bytes:
    """A PNG of what is other between two scenes."""
    sheet, top = _sheet(one.title, one.caption, one.key, foot, size)
    shown = _fitted(one.picture, (size[0] - 2 * sheet.edge, sheet.bottom - top))
    font = sheet.font(17, bold=True)
    words = _cut(
        sheet, f"{shortened(foot.after, 60)} against {shortened(foot.before, 60)}", font, size[0] - 2 * sheet.edge
    )
    sheet.draw.text((sheet.edge, top - 1.45 * font.size), words, font=font, fill=palette.INK)
    sheet.page.paste(shown, (round((size[0] - shown.width) / 2), round(top)))
    return _finished(sheet, foot, SIGNS)


def _sheet(title: str, caption: str, key: Key, foot: Foot, size: tuple[int, int]) -> tuple[Sheet, float]:
    """A page with its heading, and where its pictures begin."""
    rows = [KeyRow(one.color, "", one.words, _STROKES if one.struck else ()) for one in key.swatches]
    sheet = Sheet(size, rows, key.title)
    first = ". ".join(caption.rstrip(".").split(". ")[:2])  # as much as fits a line
    sheet.heading(shortened(title, 90), shortened(f"{first}.", 240))
    return sheet, sheet.top + 2.0 * sheet.font(17).size


def _cut(sheet: Sheet, words: str, font: ImageFont.FreeTypeFont, room: float) -> str:
    """Words in one line, cut to a width in pixels, with dots where they were cut."""
    told = shortened(words, 100)
    while sheet.draw.textlength(told, font=font) > room:
        told = shortened(told, len(told) - 1)
    return told


def _fitted(picture: Image.Image, box: tuple[float, float]) -> Image.Image:
    """A picture as large as a box allows."""
    scale = min(box[0] / picture.width, box[1] / picture.height)
    size = (max(1, int(picture.width * scale)), max(1, int(picture.height * scale)))
    return picture.resize(size, Image.Resampling.LANCZOS)


def _finished(sheet: Sheet, foot: Foot, signs: str) -> bytes:
    sheet.key()
    sheet.footer(f"{shortened(foot.title, 50)} · {foot.date}", f"{signs}{FOOT}" if sheet.width >= WIDE else FOOT)
    buffer = io.BytesIO()
    sheet.page.save(buffer, "PNG", optimize=True)
    return buffer.getvalue()
