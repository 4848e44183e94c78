"""Pages: figures of an asked size in pixels, and the PNG that they come out as."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from earshed.viewer import palette

PAGE_INCHES = (14.0, 10.0)


def blank_page(size: tuple[int, int]) -> Figure:
    """A page of a size in pixels, its text sized for the shorter way."""
    scale = min(size[0] / PAGE_INCHES[0], size[1] / PAGE_INCHES[1])
    figure = Figure(figsize=(size[0] / scale, size[1] / scale), dpi=scale, facecolor=palette.PAPER)
    FigureCanvasAgg(figure)
    return figure


def page_png(figure: Figure) -> bytes:
    """The page as it is stored."""
    buffer = io.BytesIO()
    with any_signs():
        figure.savefig(buffer, format="png", dpi=figure.dpi, metadata={"Software": "Earshed"})
    return buffer.getvalue()


@contextmanager
def any_signs() -> Iterator[None]:
    """Draws without a word on signs that no font has, which names may hold."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")
        yield
