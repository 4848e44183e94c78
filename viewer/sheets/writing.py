"""Words on paper: how wide they come out, and broken into lines that fit."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from functools import lru_cache

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath

from earshed.viewer.page import any_signs

POINT = 25.4 / 72
"""Millimetres in a point."""
LINE = 1.25
"""From one line to the next, in heights of letters."""
KEPT = "\0"
_LENGTH = re.compile(r"(?<=[0-9]') (?=[0-9])|(?<=[0-9]) (?=(?:mm|cm|m)\b)")
"""The space in a length, at which no line is broken."""


@lru_cache(maxsize=4096)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """Millimetres that a line of text takes up at a size in points."""
    font = FontProperties(size=size, weight="bold" if bold else "normal")
    with any_signs():
        width, _, _ = TextToPath().get_text_width_height_descent(text, font, ismath=False)
    return float(width) * POINT


def line_height(size: float) -> float:
    """Millimetres from one line to the next at a size in points."""
    return size * POINT * LINE


def wrapped(text: str, width: float, size: float, bold: bool = False) -> list[str]:
    """Text in lines no wider than some millimetres; a word that is wider by itself is broken."""
    space = text_width(" ", size, bold)
    lines: list[str] = []
    end = width
    for word in _words(text, width, size, bold):
        wide = text_width(word, size, bold)  # of words, which come again, and not of lines, which hardly do
        if lines and end + space + wide <= width:
            lines[-1] += f" {word}"
            end += space + wide
        else:
            lines.append(word)
            end = wide
    return lines or [""]


def cut_to(text: str, width: float, size: float, bold: bool = False) -> str:
    """A line of text, its end left out for dots where it would be wider than some millimetres."""
    if text_width(text, size, bold) <= width:
        return text
    fitting = bisect_right(range(len(text)), width, key=lambda most: text_width(f"{text[:most]}...", size, bold))
    return f"{text[: max(0, fitting - 1)].rstrip()}..."


def _words(text: str, width: float, size: float, bold: bool) -> Iterator[str]:
    for word in (kept.replace(KEPT, " ") for kept in _LENGTH.sub(KEPT, text).split()):
        while text_width(word, size, bold) > width and len(word) > 1:
            fitting = bisect_right(range(1, len(word)), width, key=lambda n: text_width(word[:n], size, bold))
            most = max(1, fitting)
            yield word[:most]
            word = word[most:]
        yield word
