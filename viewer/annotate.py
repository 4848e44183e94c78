"""Writing on a finished picture: a heading, a key, and labels that keep out of each other's way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import matplotlib
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from earshed.model.geometry import Array
from earshed.viewer import palette

Box = tuple[float, float, float, float]
_FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@dataclass(frozen=True)
class Label:
    """Words for a point of the picture, pixels from the top left; `color` marks what they belong to."""

    words: str
    x: float
    y: float
    color: str = palette.INK


@dataclass(frozen=True)
class KeyRow:
    """A line of the key: a swatch, bold words, and words after them; `strokes` are lines (2, 2) over its color, in
    parts of the swatch's side from its lower left. On the color of paper they are all that is drawn."""

    color: str
    words: str
    more: str = ""
    strokes: tuple[Array, ...] = ()


WIDE = 1100
"""Pixels of width from which what stands under a heading is sure to fit one line."""


class Sheet:
    """A page of some size in pixels with room for a picture between its heading, its key and its foot."""

    def __init__(self, size: tuple[int, int], key: Sequence[KeyRow], key_title: str) -> None:
        self.page = Image.new("RGB", size, palette.PAPER)
        self.draw = ImageDraw.Draw(self.page)
        self.width, self.height = size
        self.unit = min(self.height / 1000, self.width / 1400)
        self.edge = 30 * self.unit
        self._key, self._key_title = key, key_title
        self._key_rows = self._wrap_key()
        self._step = max(27 * self.unit, 1.4 * self._letters(13.5))
        self._foot = self.height - max(34 * self.unit, 1.4 * self._letters(13))
        self._under = 20 * self.unit + 1.5 * self._letters(26)
        lines = 2 if self.width < WIDE else 1
        self.top = round(self._under + max(30 * self.unit, 1.4 * lines * self._letters(14.5) + 2))
        self.bottom = round(self._foot - 8 * self.unit - self._step * len(self._key_rows) - 6 * self.unit)
        self._taken: list[Box] = []

    @property
    def picture_size(self) -> tuple[int, int]:
        return self.width, max(100, self.bottom - self.top)

    def font(self, size: float, *, bold: bool = False) -> ImageFont.FreeTypeFont:
        name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
        return ImageFont.truetype(str(_FONTS / name), self._letters(size))

    def _letters(self, size: float) -> int:
        """Height of letters of a size in pixels; small pages do not make them smaller than can be read."""
        return max(9, round(size * self.unit))

    def paste(self, picture: Image.Image) -> None:
        self.page.paste(picture, (0, self.top))

    def heading(self, title: str, under: str) -> None:
        """Title and a line under it, top left."""
        font = self.font(14.5)
        place = (self.edge, 20 * self.unit)
        self.draw.text(
            place, self._fitted(title, self.font(26, bold=True)), font=self.font(26, bold=True), fill=palette.INK
        )
        first, rest = self._parted(under, font)
        for line, words in enumerate((first, self._fitted(rest, font))):
            if words:
                y = self._under + line * 1.35 * self._letters(14.5)
                self.draw.text((self.edge, y), words, font=font, fill=palette.SOFT_INK)

    def _parted(self, words: str, font: ImageFont.FreeTypeFont) -> tuple[str, str]:
        """Words in the line that they fill and what is left of them."""
        parts = words.split(" · ")
        kept = len(parts)
        while kept > 1 and self.draw.textlength(" · ".join(parts[:kept]), font=font) > self.width - 2 * self.edge:
            kept -= 1
        return self._fitted(" · ".join(parts[:kept]), font), " · ".join(parts[kept:])

    def _fitted(self, words: str, font: ImageFont.FreeTypeFont) -> str:
        """Words cut, with dots, to the width of the page."""
        room = self.width - 2 * self.edge
        if self.draw.textlength(words, font=font) <= room:
            return words
        while words and self.draw.textlength(words + "...", font=font) > room:
            words = words[:-1]
        return words + "..."

    def footer(self, left: str, right: str) -> None:
        font = self.font(13)
        y = self._foot
        self.draw.text((self.edge, y), left, font=font, fill=palette.SOFT_INK)
        at = self.width - self.edge - self.draw.textlength(right, font=font)
        self.draw.text((at, y), right, font=font, fill=palette.SOFT_INK)

    def _wrap_key(self) -> list[list[tuple[float, KeyRow | None]]]:
        """The key's entries in rows that fit the page, each with its place from the left."""
        rows: list[list[tuple[float, KeyRow | None]]] = [[(self.edge, None)]]
        x = self.edge + self.draw.textlength(self._key_title, font=self.font(13.5)) + 24 * self.unit
        for entry in self._key:
            wide = self._entry_width(entry)
            if x + wide > self.width - self.edge and len(rows[-1]) > 1:
                rows.append([])
                x = self.edge
            rows[-1].append((x, entry))
            x += wide + 22 * self.unit
        return rows

    def _entry_width(self, entry: KeyRow) -> float:
        words = self.draw.textlength(entry.words, font=self.font(13.5, bold=True))
        more = self.draw.textlength(_spaced(entry), font=self.font(13.5)) if entry.more else 0.0
        return 24 * self.unit + words + more

    def key(self) -> None:
        """The key, in rows under the picture."""
        bold, plain = self.font(13.5, bold=True), self.font(13.5)
        y = self.bottom + 8 * self.unit
        for row in self._key_rows:
            for x, entry in row:
                if entry is None:
                    self.draw.text((x, y), self._key_title, font=plain, fill=palette.SOFT_INK)
                    continue
                self._swatch(entry, x, y + self.unit, 16 * self.unit)
                x += 24 * self.unit
                self.draw.text((x, y), entry.words, font=bold, fill=palette.INK)
                x += self.draw.textlength(entry.words, font=bold)
                self.draw.text((x, y), _spaced(entry), font=plain, fill=palette.SOFT_INK)
            y += self._step

    def _swatch(self, entry: KeyRow, x: float, y: float, side: float) -> None:
        if not entry.strokes or entry.color != palette.PAPER:
            self.draw.rectangle((x, y, x + side, y + side), fill=entry.color, outline=palette.INK)
        for line in entry.strokes:
            ends = [(x + side * float(right), y + side * (1 - float(up))) for right, up in line]
            self.draw.line(ends, fill=palette.INK, width=1)

    def scale_bar(self, pixels: float, words: str) -> None:
        """A bar of known length at the lower left of the picture, for one without perspective."""
        x, y, high = self.edge, self.bottom - 22 * self.unit, 6 * self.unit
        for part in range(4):
            ends = (x + part * pixels / 4, y, x + (part + 1) * pixels / 4, y + high)
            self.draw.rectangle(ends, fill=palette.INK if part % 2 == 0 else palette.PAPER, outline=palette.INK)
        font = self.font(13)
        place = (x + pixels + 8 * self.unit, y - 6 * self.unit)
        self.draw.text(
            place, words, font=font, fill=palette.INK, stroke_width=round(2 * self.unit), stroke_fill=palette.PAPER
        )

    def height_line(self, head: tuple[float, float], foot: float, color: str) -> None:
        """A thin upright line from a point down to the level `foot`, pixels from the top, with a tick at either end."""
        x, tick, line = head[0], 5 * self.unit, max(1, round(self.unit))
        self.draw.line([head, (x, foot)], fill=color, width=line)
        for y in (head[1], foot):
            self.draw.line([(x - tick, y + tick), (x + tick, y - tick)], fill=color, width=line)

    def labels(
        self, labels: Sequence[Label], clear_of: Sequence[tuple[float, float]] = (), beside: Sequence[Box] = ()
    ) -> None:
        """Words beside their points, each where it is nearest and free, with a line to its point.

        `clear_of` are points without words that are not to be hidden either, `beside` things of which as little as can
        be is hidden.
        """
        font = self.font(13.5)
        margin = 6 * self.unit
        inside = [label for label in labels if 0 <= label.x < self.width and self.top <= label.y < self.bottom]
        # what is behind the camera or off the picture has no point
        points = [*((label.x, label.y) for label in inside), *clear_of]
        for label in inside:
            width = self.draw.textlength(label.words, font=font) + 2 * margin
            height = 1.25 * self._letters(13.5) + margin
            box = self._free_place(label, width, height, points, beside)
            self._taken.append(box)
            self._tie(label, box)
            self.draw.rounded_rectangle(
                box, 4 * self.unit, fill="#ffffff", outline=label.color, width=max(1, round(self.unit))
            )
            self.draw.text((box[0] + margin, box[1] + margin / 2), label.words, font=font, fill=palette.INK)

    def _tie(self, label: Label, box: Box) -> None:
        near = (min(max(label.x, box[0]), box[2]), min(max(label.y, box[1]), box[3]))
        self.draw.line([(label.x, label.y), near], fill=label.color, width=max(1, round(1.5 * self.unit)))
        dot = 3 * self.unit
        self.draw.ellipse((label.x - dot, label.y - dot, label.x + dot, label.y + dot), fill=label.color)

    def _free_place(
        self, label: Label, width: float, height: float, points: Sequence[tuple[float, float]], beside: Sequence[Box]
    ) -> Box:
        """The place nearest to a point where a box covers no other box, few points, and little of what it is beside."""
        best: tuple[float, Box] | None = None
        for ring in range(1, 9):
            away = (14 + 15 * ring) * self.unit
            for turn in np.linspace(0, 2 * np.pi, 16, endpoint=False) + np.pi / 2:
                x = label.x + np.cos(turn) * (away + width / 2) - width / 2
                y = label.y - np.sin(turn) * (away + height / 2) - height / 2
                x = float(np.clip(x, 4, self.width - width - 4))
                y = float(np.clip(y, self.top, self.bottom - height))
                box = (x, y, x + width, y + height)
                hidden = sum(_overlap(box, other) for other in self._taken)
                covered = sum(box[0] - 4 < px < box[2] + 4 and box[1] - 4 < py < box[3] + 4 for px, py in points)
                over = sum(_overlap(box, thing) for thing in beside) / (width * height)
                cost = hidden * 10 + covered * 400 + over * 120 + ring * 30
                if best is None or cost < best[0]:
                    best = (cost, box)
        assert best is not None
        return best[1]


def _overlap(a: Box, b: Box) -> float:
    """Shared area of two boxes, square pixels."""
    width = min(a[2], b[2]) - max(a[0], b[0])
    height = min(a[3], b[3]) - max(a[1], b[1])
    return max(width, 0.0) * max(height, 0.0)


def _spaced(entry: KeyRow) -> str:
    """What comes after the bold words, if there are any, set off from them."""
    return f"  {entry.more}" if entry.words else entry.more
