"""Which paper and scale a drawing goes on, with its dimensions and its legend, and where on it they are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import Array
from earshed.model.units import PrintUnits
from earshed.viewer.output import OutputError
from earshed.viewer.sheets.dimension_rows import Rows, draw_rows, margins
from earshed.viewer.sheets.drawing import Drawing, new_drawing
from earshed.viewer.sheets.paper_size import PAPERS, PaperSize
from earshed.viewer.sheets.sheet import Box, Sheet, area_of, new_sheet
from earshed.viewer.sheets.signs import Legend
from earshed.viewer.sheets.trade_scale import TradeScale, usual_scales

BAND = 6.0
"""Millimetres round a room in which its walls' names stand."""
COLUMN = 56.0
"""Millimetres of a legend beside a drawing."""
APART = 3.0


@dataclass(frozen=True, eq=False)
class Subject:
    """A drawing to be put on paper: what lies within `bounds` (2, 2) in metres, its dimensions and its legend; `draw`
    gives the names that it had no room for."""

    name: str
    title: str
    bounds: Array
    across: Rows
    up: Rows
    legend: Legend
    draw: Callable[[Drawing], list[str]]


@dataclass(frozen=True)
class Place:
    """Where on a paper a drawing with its band lies, its names, which have the space beside it too, and its legend."""

    paper: PaperSize
    scale: TradeScale
    drawing: Box
    names: Box
    legend: Box


def family(units: PrintUnits) -> tuple[PaperSize, ...]:
    """The papers that sheets in such units are printed on, the usual one first."""
    names = ("Letter", "Tabloid") if units == "ft-in" else ("A4", "A3")
    return tuple(PAPERS[name] for name in names)


def place(subject: Subject, units: PrintUnits, scale: TradeScale | None, paper: PaperSize | None) -> Place:
    """The smallest paper that is asked for, and on it the largest scale that is. Raises OutputError for neither."""
    papers = (paper,) if paper else family(units)
    scales = (scale,) if scale else usual_scales(units)
    found = next((one for size in papers for one in _places(subject, size, scales)), None)
    if found is None:
        raise OutputError(f"{subject.title}: {_advice(subject, units, papers, scales)}")
    return found


def new_plan(subject: Subject, where: Place) -> Sheet:
    """The sheet, but for its foot."""
    sheet = new_sheet(where.paper, subject.title, where.scale.words)
    drawing = new_drawing(sheet, where.drawing, where.names, subject.bounds, where.scale.ratio)
    missing = subject.draw(drawing)
    draw_rows(drawing, subject.across, captions="start")
    draw_rows(drawing, subject.up, captions="start" if subject.across.side == "top" else "end")
    subject.legend.draw(sheet, where.legend, missing)
    return sheet


def _places(subject: Subject, paper: PaperSize, scales: Sequence[TradeScale]) -> Iterator[Place]:
    for scale in scales:
        for turned in (paper, paper.turned):
            found = _fit(subject, turned, scale)
            if found is not None:
                yield found


def _fit(subject: Subject, paper: PaperSize, scale: TradeScale) -> Place | None:
    """With the legend below, else beside it; None where neither fits."""
    left, low, right, high = area_of(paper)
    wide = right - left
    beside, under = subject.legend.height(COLUMN), subject.legend.height(wide)
    rooms = [((left, low + under + APART, right, high), (left, low, right, low + under))]
    if beside <= high - low:
        rooms.append(((left, low, right - COLUMN - APART, high), (right - COLUMN, low, right, high)))
    for room, legend in rooms:
        box = _in_room(subject, room, scale.ratio)
        if box is not None:
            return Place(paper, scale, box, (*box[:2], room[2], box[3]), legend)
    return None


def _in_room(subject: Subject, room: Box, ratio: float) -> Box | None:
    """The drawing with its band, in the middle of what its dimensions leave of a room; None where it is too large."""
    size = np.ptp(subject.bounds, axis=0) * 1000 / ratio + 2 * BAND
    if size[0] < subject.across.need or size[1] < subject.up.need:
        size = np.maximum(size, [subject.across.need, subject.up.need])
    left, low, right, high = margins(subject.across, subject.up)
    free = np.array([room[2] - room[0] - left - right, room[3] - room[1] - low - high]) - size
    if free.min() < 0:
        return None
    x, y = np.array([room[0] + left, room[1] + low]) + free / 2
    return (float(x), float(y), float(x + size[0]), float(y + size[1]))


def _advice(subject: Subject, units: PrintUnits, papers: Sequence[PaperSize], scales: Sequence[TradeScale]) -> str:
    """What does not fit, and what would."""
    asked = " or ".join(paper.name for paper in papers)
    at = f"at {scales[0].name}" if len(scales) == 1 else f"at any scale down to {scales[-1].name}"
    every = sorted(PAPERS.values(), key=lambda paper: paper.width * paper.height)
    larger = [paper.name for paper in every if any(_places(subject, paper, scales))]
    fits = [f"at that scale {' or '.join(larger)} takes it" if larger else "no paper takes it so large"]
    smaller = [next(_places(subject, paper, usual_scales(units)), None) for paper in papers]
    fits += [f"{one.paper.name} takes it at {one.scale.name}" for one in smaller if one]
    return f"it does not fit on {asked} {at} with its dimensions; {'; '.join(fits)}"
