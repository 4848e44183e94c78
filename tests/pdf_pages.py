"""What a PDF says and shows, read by a library that did not write it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2

POINT = 25.4 / 72
"""Millimetres in a point."""


@dataclass(frozen=True)
class Page:
    """One page: its size, millimetres, all that it says, and its darkness (H, W), 0 to 255, `per_mm` pixels to one."""

    width: float
    height: float
    text: str
    dark: np.ndarray
    per_mm: float


def pages_of(path: Path, dpi: float = 100.0) -> list[Page]:
    with _opened(path) as document:
        return [_page(document, number, dpi) for number in range(len(document))]


@contextmanager
def _opened(path: Path) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(path)
    try:
        yield document
    finally:
        document.close()


def _page(document: pypdfium2.PdfDocument, number: int, dpi: float) -> Page:
    page = document[number]
    width, height = page.get_size()
    words = page.get_textpage()
    text = " ".join(words.get_text_bounded().split())
    picture = page.render(scale=dpi / 72, grayscale=True).to_numpy()
    dark = 255 - np.array(picture).reshape(picture.shape[:2]).astype(np.int16)
    words.close()
    page.close()
    return Page(width * POINT, height * POINT, text, dark, dpi / 25.4)
