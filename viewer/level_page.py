"""Maps of level and of spread as pages: a plan in stepped colors, and beside it the figures seat by seat."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from earshed.model.coverage import Mask
from earshed.model.sound.balance import Balance
from earshed.model.sound.plane_levels import PlaneLevels
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import hidden_signs
from earshed.viewer.legend import LEFT_EDGE, Column, SeatRow, draw_heading, row_name
from earshed.viewer.level_words import MEANING
from earshed.viewer.map_axes import MapSheet, draw_contours, furnish, paint, plan_axes
from earshed.viewer.map_page import (
    MAP_LINES,
    PLAN_BOTTOM,
    PLAN_TOP,
    finish_page,
    key_lines,
    right_of,
    signs,
)
from earshed.viewer.page import blank_page
from earshed.viewer.plan_drawing import seat_labels
from earshed.viewer.shadow_drawing import draw_shadow, draw_swatch
from earshed.viewer.speaker_names import speaker_names
from earshed.viewer.wording import called

LEVEL_EDGES = (-15.0, -12.0, -9.0, -6.0, -3.0, 0.0, 3.0, 6.0, 9.0)
"""dB against the reference position. Fixed, whatever is shown, so that any two maps compare."""
SPREAD_EDGES = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)
"""dB from the loudest channel to the softest."""
LEVEL_COLORS = tuple(palette.ramp(len(LEVEL_EDGES))[::-1])
SPREAD_COLORS = tuple(palette.ramp(len(SPREAD_EDGES)))
BOX = (LEFT_EDGE, PLAN_BOTTOM, 0.60, PLAN_TOP - PLAN_BOTTOM)


def level_page(
    sheet: MapSheet, found: PlaneLevels, speaker: Speaker, balance: Balance, band: int, hidden: Mask
) -> bytes:
    """A PNG of how loud a speaker is over the plane against the reference position, in one band; `hidden` (ny, nx) is
    what lies in its shadow."""
    values = found.against_reference(band)[found.speakers.index(speaker)]
    name = found.bands.names[band]
    figure = blank_page(sheet.size)
    under = f"level at ear height in the octave of {name}, dB against the reference position"
    draw_heading(figure, called(speaker), under)
    axes = plan_axes(figure, sheet, BOX)
    paint(axes, sheet, values, LEVEL_EDGES, LEVEL_COLORS)
    draw_contours(axes, sheet, values, LEVEL_EDGES[1:], palette.INK, 0.7, " dB")
    draw_shadow(axes, sheet.plane, hidden)
    furnish(axes, sheet, {}, strong=(speaker,))
    at_seats = {one.seat.name: one.levels[band] - balance.reference.levels[band] for one in balance.seats}
    seat_labels(axes, sheet.scene.seats, {name: _signed(value) for name, value in at_seats.items()})
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    rows: list[SeatRow] = [
        (None, row_name(at.seat), f"{at.levels[band]:.1f} dB", _signed(at_seats[at.seat.name])) for at in balance.seats
    ]
    column.seats(rows, ("seat", "level", "against"))
    labels = [f"{edge:g}" for edge in LEVEL_EDGES]
    column.colors(LEVEL_COLORS, labels, "dB against the reference position, from each figure up", centered=False)
    column.lines(key_lines(sheet, MAP_LINES[2:]))
    if hidden.any():
        column.swatch(draw_swatch, "in its shadow: the direct sound does not get there as the map says")
    _end(column, sheet)
    return finish_page(figure, sheet)


def spread_page(sheet: MapSheet, found: PlaneLevels, balances: Sequence[Balance], band: int) -> bytes:
    """A PNG of how unequal the channels are over the plane, once all are as loud at the reference position."""
    values = found.spread(band)
    name = found.bands.names[band]
    figure = blank_page(sheet.size)
    under = (
        f"from the loudest channel to the softest in the octave of {name}, dB, all set alike at the reference position"
    )
    draw_heading(figure, "How even the set is", under)
    axes = plan_axes(figure, sheet, BOX)
    paint(axes, sheet, values, SPREAD_EDGES, SPREAD_COLORS)
    draw_contours(axes, sheet, values, SPREAD_EDGES[1:], palette.INK, 0.7, " dB")
    furnish(axes, sheet, {}, strong=found.speakers)
    apart = _apart(balances, band)
    seat_labels(axes, sheet.scene.seats, {name: f"{value:.1f} dB" for name, value in apart.items()})
    speaker_names(axes, sheet.scene, found.speakers)
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    seats = [seat for seat in sheet.scene.seats if seat.name in apart]
    rows: list[SeatRow] = [(None, row_name(seat), f"{apart[seat.name]:.1f} dB apart", "") for seat in seats]
    column.seats(rows, ("seat", "loudest to softest speaker", ""))
    labels = [f"{edge:g}" for edge in SPREAD_EDGES]
    column.colors(SPREAD_COLORS, labels, "dB from the loudest channel to the softest", centered=False)
    column.lines(key_lines(sheet, MAP_LINES[2:]))
    _end(column, sheet)
    return finish_page(figure, sheet)


def _apart(balances: Sequence[Balance], band: int) -> dict[str, float]:
    """By seat how far the loudest speaker is over the softest, dB, all set alike at the reference position."""
    by_seat: dict[str, list[float]] = {}
    for one in balances:
        for at in one.seats:
            by_seat.setdefault(at.seat.name, []).append(float(at.levels[band] - one.reference.levels[band]))
    return {name: float(np.ptp(levels)) for name, levels in by_seat.items()}


def _end(column: Column, sheet: MapSheet) -> None:
    column.signs(hidden_signs(sheet.scene))
    column.words(signs(sheet))
    column.words(MEANING)


def _signed(decibels: float) -> str:
    return f"{decibels + 0.0:+.1f} dB"
