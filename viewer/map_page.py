"""Coverage maps as pages: a plan with the map on it, and beside it what the map says, seat by seat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from earshed.model.coverage_map import CoverageMap
from earshed.model.pairs import Pair
from earshed.model.seating import AROUND_SEATS, Seat, upright_seats
from earshed.model.speaker import Speaker
from earshed.model.units import format_angle, format_length
from earshed.viewer import palette
from earshed.viewer.fixture_drawing import fixture_words
from earshed.viewer.hidden_drawing import hidden_signs
from earshed.viewer.legend import LEFT_EDGE, Column, KeyLine, SeatRow, draw_footer, draw_heading, row_name
from earshed.viewer.map_axes import (
    COVERED_DASHES,
    SEATING_DOTS,
    MapSheet,
    PlanSheet,
    draw_contours,
    draw_each_limit,
    draw_limits,
    furnish,
    paint,
    plan_axes,
)
from earshed.viewer.page import blank_page, page_png
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import CREASE_DASHES, mark_of, seat_labels, worst_marks
from earshed.viewer.shadow_drawing import draw_shadow, draw_swatch, named
from earshed.viewer.speaker_names import speaker_names
from earshed.viewer.wording import aim_words, called, counted, coverage_words

PLAN_TOP, PLAN_BOTTOM = 0.865, 0.06
ANGLE_LABELS = [f"{edge:g}°" for edge in palette.OFF_AXIS_EDGES]
ANGLE_LINES = palette.OFF_AXIS_EDGES[1:]
SAME_LINE = 1.0
"""Degrees within which a line of the map would hide under a limit."""
MAP_LINES: list[KeyLine] = [
    (palette.LIMIT, "-", 2.4, "coverage limit, -6 dB"),
    (palette.LIMIT, COVERED_DASHES, 1.5, "covered, -3 dB"),
    (palette.INK, SEATING_DOTS, 1.0, "seating area"),
    (palette.SOFT_INK, CREASE_DASHES, 1.0, "crease or ridge of the ceiling"),
]


def speaker_page(sheet: MapSheet, cover: CoverageMap, speaker: Speaker, pairs: Sequence[Pair]) -> bytes:
    """A PNG of the off-axis map of one of the speakers of a coverage; `pairs` are that speaker's."""
    number = cover.speakers.index(speaker)
    angles, hidden = cover.angles[number], cover.plane.inside & ~cover.visible[number]
    figure = blank_page(sheet.size)
    how = f"{speaker.type.name}, {aim_words(speaker, sheet.scene)}"
    draw_heading(figure, called(speaker), f"off-axis angle at ear height, degrees · {how}")
    axes = plan_axes(figure, sheet, (LEFT_EDGE, PLAN_BOTTOM, 0.60, PLAN_TOP - PLAN_BOTTOM))
    paint(axes, sheet, angles, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS)
    limits = np.degrees([speaker.coverage.limit, speaker.coverage.covered_limit])  # which have lines of their own
    levels = [level for level in ANGLE_LINES if np.abs(level - limits).min() > SAME_LINE]
    draw_contours(axes, sheet, angles, levels, palette.INK, 0.7)
    draw_shadow(axes, sheet.plane, hidden)
    draw_limits(axes, sheet, speaker)
    furnish(axes, sheet, {pair.seat.name: mark_of(pair) for pair in pairs}, strong=(speaker,))
    seat_labels(axes, sheet.scene.seats, {pair.seat.name: format_angle(pair.off_axis) for pair in pairs})
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    column.seats([_seat_row(pair, sheet) for pair in pairs], ("seat", "off axis", "distance"))
    if pairs:
        told = f"share of the seating area (the seats and {_around(sheet)} round them)"
        column.shares(cover.speaker_shares[speaker.name], told)
    column.colors(palette.OFF_AXIS_COLORS, ANGLE_LABELS, "off-axis angle; the last band is over 90°", centered=False)
    column.lines(key_lines(sheet, MAP_LINES))
    if hidden.any():
        column.swatch(draw_swatch, f"in the shadow of {named(cover.hiders(number))}; counts as outside in the shares")
    column.signs(hidden_signs(sheet.scene))
    column.words(coverage_words(speaker.coverage))
    column.words(_small_print(sheet))
    return finish_page(figure, sheet)


def set_page(sheet: MapSheet, coverage: CoverageMap, pairs: Sequence[Pair]) -> bytes:
    """A PNG of a set's two maps: how many channels serve each point, and the worst off-axis angle among them.

    In `pairs` the best speaker of every channel stands for it.
    """
    speakers, cover = coverage.speakers, coverage.of_set
    figure = blank_page(sheet.size)
    under = "a channel serves a point within its coverage limit; of several speakers on one the loudest there counts"
    draw_heading(figure, f"The set: {counted(cover.channels, 'channel')}, {counted(len(speakers), 'speaker')}", under)
    marks = worst_marks(pairs)
    colors = palette.ramp(cover.channels + 1)[::-1]
    first, second = _two_boxes(sheet)
    left = plan_axes(figure, sheet, first, title="channels that serve; lines: their limits")
    paint(
        left,
        sheet,
        np.where(cover.served < 0, np.nan, cover.served),
        np.arange(-0.5, cover.channels + 1).tolist(),
        colors,
    )
    draw_each_limit(left, sheet, speakers)
    right = plan_axes(figure, sheet, second, title="worst off-axis angle among the channels")
    paint(right, sheet, cover.worst, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS)
    draw_contours(right, sheet, cover.worst, ANGLE_LINES, palette.INK, 0.7)
    for axes in (left, right):
        draw_shadow(axes, sheet.plane, cover.unseen)
        furnish(axes, sheet, marks, strong=speakers)
        seat_labels(axes, sheet.scene.seats, {})
    speaker_names(left, sheet.scene, speakers)
    column = Column(figure, max(right_of(right), 0.62), PLAN_TOP - 0.02)
    rows = [_set_row(seat, [pair for pair in pairs if pair.seat is seat], marks) for seat in sheet.scene.seats]
    column.seats(rows, ("seat", "channels that serve", "worst"))
    if rows:
        column.shares(coverage.set_shares, "share of the seating area, by its worst channel")
    numbers = [str(number) for number in range(cover.channels + 1)]
    column.colors(colors, numbers, f"channels that serve, of {cover.channels}", centered=True)
    column.colors(palette.OFF_AXIS_COLORS, ANGLE_LABELS, "worst off-axis angle; the last is over 90°", centered=False)
    column.lines(key_lines(sheet, MAP_LINES[2:]))
    if cover.unseen.any():
        hiders = named(coverage.set_hiders)
        column.swatch(draw_swatch, f"in the shadow of {hiders} for a channel or more, which does not serve there")
    column.signs(hidden_signs(sheet.scene))
    column.words(_small_print(sheet))
    return finish_page(figure, sheet)


def room_page(sheet: MapSheet) -> bytes:
    """A PNG of the room in plan, for a scene without speakers to map."""
    figure = blank_page(sheet.size)
    draw_heading(figure, sheet.scene.title, "the room in plan; it has no speakers to map yet")
    axes = plan_axes(figure, sheet, (LEFT_EDGE, PLAN_BOTTOM, 0.60, PLAN_TOP - PLAN_BOTTOM))
    furnish(axes, sheet, {}, strong=())
    seat_labels(axes, sheet.scene.seats, {})
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    column.lines(key_lines(sheet, MAP_LINES[2:]))
    column.signs(hidden_signs(sheet.scene))
    column.words(signs(sheet))
    return finish_page(figure, sheet)


def finish_page(figure: Figure, sheet: PlanSheet) -> bytes:
    """A finished page, with its foot, as a PNG."""
    draw_footer(figure, sheet.scene, sheet.date)
    return page_png(figure)


def _two_boxes(sheet: MapSheet) -> list[tuple[float, float, float, float]]:
    """Places for two plans: side by side, or one over the other where the room is wider than long."""
    plan = sheet.scene.room.plan
    if plan.width <= 1.1 * plan.length:
        return [(LEFT_EDGE + i * 0.325, PLAN_BOTTOM, 0.315, PLAN_TOP - 0.03 - PLAN_BOTTOM) for i in range(2)]
    height = (PLAN_TOP - PLAN_BOTTOM - 0.06) / 2
    return [(LEFT_EDGE, PLAN_BOTTOM + (1 - i) * (height + 0.03), 0.57, height) for i in range(2)]


def right_of(axes: Axes) -> float:
    """Where what stands to the right of a plan begins, in figure units."""
    return float(axes.get_position().x1) + 0.025


def _seat_row(pair: Pair, sheet: MapSheet) -> SeatRow:
    distance = format_length(pair.distance, sheet.scene.print_units)
    words = f"{format_angle(pair.off_axis)} {pair.verdict}"
    if pair.visible:
        return mark_of(pair), row_name(pair.seat), words, distance
    return mark_of(pair), row_name(pair.seat), f"{words}, blocked", f"by {pair.obstacle}"


def _set_row(seat: Seat, pairs: Sequence[Pair], marks: Mapping[str, Mark]) -> SeatRow:
    """How many channels reach a seat, and what keeps it from being covered by all."""
    seen = [mark_of(pair) for pair in pairs]
    served = sum(mark in ("covered", "fringe") for mark in seen)
    fringe = seen.count("fringe")
    how = f", {fringe} fringe" if fringe else ""
    worst = max(pairs, key=lambda pair: pair.off_axis)
    return marks[seat.name], row_name(seat), f"{served} of {len(pairs)}{how}", format_angle(worst.off_axis)


def _small_print(sheet: MapSheet) -> str:
    """What arrows and the smaller signs of a map mean, and what it leaves out."""
    alone = "Bands of angle leave out what stands in the way; shadows and marks at the seats show it."
    return " ".join(filter(None, ("Arrows: where speakers point, in plan.", signs(sheet), alone)))


def signs(sheet: PlanSheet) -> str:
    """What the smaller signs of the plan mean, as far as it has them."""
    scene = sheet.scene
    signs = {
        "thick bar: the picture": scene.screen,
        "gap in a wall: a door or window": scene.openings,
        **fixture_words(scene),
        "broken outline: what hangs from the ceiling": scene.room.soffits,
        "small mark behind a seat: the same seat reclined": len(scene.seats) > len(upright_seats(scene.seats)),
        "thin outline: a riser, on which ears and map are higher": scene.room.risers,
    }
    shown = "; ".join(words for words, there in signs.items() if there)
    return f"{shown[:1].upper()}{shown[1:]}." if shown else ""


def _around(sheet: MapSheet) -> str:
    return "2 ft" if sheet.scene.print_units == "ft-in" else format_length(AROUND_SEATS, sheet.scene.print_units)


def key_lines(sheet: PlanSheet, lines: list[KeyLine]) -> list[KeyLine]:
    """The key's lines, as far as the plan has them."""
    kept = [line for line in lines if sheet.scene.seats or "seating" not in line[3]]
    return kept if sheet.scene.room.creases else kept[:-1]
