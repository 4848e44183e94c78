"""Sheets as files: all of them as one PDF, or each as an SVG. The same sheets give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from matplotlib.backends.backend_pdf import PdfPages

from earshed.viewer.page import any_signs
from earshed.viewer.sheets.sheet import Sheet

HATCH_LINES = 0.5
"""Points."""
_LOOK: dict[str, Any] = {
    "pdf.fonttype": 42,  # whole letters, so that text can be searched and copied
    "svg.fonttype": "none",
    "svg.hashsalt": "earshed",
    "hatch.linewidth": HATCH_LINES,
}


def pdf_of(sheets: Sequence[Sheet], title: str) -> bytes:
    """One document of some sheets."""
    buffer = io.BytesIO()
    about = {"Title": title, "Creator": "Earshed", "CreationDate": None}
    with _drawing(), PdfPages(buffer, metadata=about) as pages:
        for sheet in sheets:
            pages.savefig(sheet.figure)
    return buffer.getvalue()


def svg_of(sheet: Sheet, title: str) -> bytes:
    """One sheet as a picture of lines and letters."""
    buffer = io.BytesIO()
    with _drawing():
        sheet.figure.savefig(buffer, format="svg", metadata={"Title": title, "Creator": "Earshed", "Date": None})
    return buffer.getvalue()


@contextmanager
def _drawing() -> Iterator[None]:
    with mpl.rc_context(_LOOK), any_signs():
        yield
