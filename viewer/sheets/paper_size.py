"""Sizes of paper that sheets are printed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class PaperSize:
    """A sheet of paper, millimetres, as it lies: `width` across, `height` up."""

    name: str
    width: float
    height: float

    @property
    def turned(self) -> PaperSize:
        """The same on its other side."""
        return PaperSize(self.name, self.height, self.width)


PAPERS: Mapping[str, PaperSize] = {
    paper.name: paper
    for paper in (
        PaperSize("A4", 210.0, 297.0),
        PaperSize("A3", 297.0, 420.0),
        PaperSize("Letter", 215.9, 279.4),
        PaperSize("Tabloid", 279.4, 431.8),
    )
}
"""Upright, the smaller first in each family: ISO 216 (A4, A3), ANSI/ASME Y14.1 (A is Letter, B is Tabloid)."""
