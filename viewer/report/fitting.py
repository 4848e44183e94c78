"""How large pictures are on each page of a document, so that pages are full."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from earshed.viewer.sheets.flow import Flow
from earshed.viewer.sheets.sheet import Proof, Sheet

SCALES = (1.0, 0.92, 0.84, 0.76, 0.68, 0.6, 1.12, 1.25, 1.4)
"""Of pictures, against their usual size."""
KEPT = 0.12
"""Share of a page that may stay white rather than that its pictures are e times as large, or as small."""


class Enough(Exception):
    """As many pages are laid out as were asked for."""


@dataclass(eq=False, kw_only=True)
class Spread(Flow):
    """A flow that has a scale for the pictures of each of its pages; the usual size where there is none."""

    scales: Sequence[float] = ()

    @property
    def scale(self) -> float:
        number = len(self.sheets) - 1
        return self.scales[number] if number < len(self.scales) else 1.0


Lay = Callable[[Spread], None]


def fitted(lay: Lay, sheet: Sheet) -> list[float]:
    """The scale of each page of what `lay` lays out on sheets like this one: page by page that which leaves the least
    of it white, at pictures not much other than usual. It is laid out on proofs for that."""
    proof = Proof(sheet.paper, sheet.title, sheet.scale, sheet.figure, sheet.axes, sheet.foot)
    found: list[float] = []
    while True:
        left = {scale: _left(lay, proof, [*found, scale]) for scale in SCALES}
        if left[SCALES[0]] is None:
            return [*found, SCALES[0]]
        found.append(min(SCALES, key=lambda scale: _cost(left[scale], scale, proof)))


def _cost(white: float | None, scale: float, sheet: Sheet) -> float:
    """Of a scale that leaves some millimetres of a page white; nothing is left of one that the document ends on."""
    _, low, _, high = sheet.area
    return (white or 0.0) / (high - low) + KEPT * abs(math.log(scale))


def _left(lay: Lay, proof: Proof, scales: Sequence[float]) -> float | None:
    """Millimetres left on the last page that has a scale; None where the document ends on it."""
    pages: list[Sheet] = []

    def blank() -> Sheet:
        if len(pages) == len(scales):
            raise Enough
        pages.append(replace(proof))
        return pages[-1]

    flow = Spread(blank, scales=scales)
    try:
        lay(flow)
    except Enough:
        return flow.y - proof.area[1]
    return None
