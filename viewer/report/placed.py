"""Keys of colors, set on a sheet."""

from __future__ import annotations

from earshed.viewer import palette
from earshed.viewer.compare.views import Key
from earshed.viewer.sheets.flow import Flow
from earshed.viewer.sheets.writing import line_height, text_width, wrapped

SIZE = 9.0
"""Points."""
SWATCH = 3.4
"""Millimetres of a side."""
BEFORE_WORDS = SWATCH + 1.2


def placed_key(flow: Flow, key: Key) -> None:
    """The colors of a picture, one after another in as many lines as they need."""
    if not key.swatches:
        return
    line = line_height(SIZE)
    flow.gap(0.8)
    flow.need(line)
    flow.sheet.write(flow.left, flow.y - 3.0, key.title, SIZE, color=palette.SOFT_INK)
    x, deep = flow.left + text_width(key.title, SIZE) + 3.0, line
    for swatch in key.swatches:
        lines = wrapped(swatch.words, flow.width - BEFORE_WORDS, SIZE)
        wide = BEFORE_WORDS + max(text_width(one, SIZE) for one in lines)
        if x + wide > flow.right and x > flow.left:
            flow.gap(deep + 0.8)
            flow.need(len(lines) * line)
            x, deep = flow.left, line
        hatch = "//////" if swatch.struck else ""
        box = (x, flow.y - 3.4, x + SWATCH, flow.y - 3.4 + SWATCH)
        flow.sheet.fill(box, swatch.color, edge=palette.SOFT_INK, hatch=hatch)
        for number, words in enumerate(lines):
            flow.sheet.write(x + BEFORE_WORDS, flow.y - 3.0 - number * line, words, SIZE)
        x, deep = x + wide + 4.0, max(deep, len(lines) * line)
    flow.gap(deep + 0.8)
