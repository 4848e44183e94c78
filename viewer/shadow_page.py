"""Maps of shadows as pages: what each speaker does not see and what is in its way, and how many channels are seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes

from earshed.model.coverage_map import CoverageMap
from earshed.model.pairs import Pair
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.hidden_drawing import hidden_signs
from earshed.viewer.legend import LEFT_EDGE, Column, SeatRow, draw_heading, row_name
from earshed.viewer.map_axes import MapSheet, furnish, paint, plan_axes
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
from earshed.viewer.palette import Mark
from earshed.viewer.plan_drawing import HALO, seat_labels
from earshed.viewer.speaker_names import speaker_names
from earshed.viewer.wording import called, counted, shortened

BOX = (LEFT_EDGE, PLAN_BOTTOM, 0.60, PLAN_TOP - PLAN_BOTTOM)
IN_SIGHT, IN_SHADOW = palette.ramp(8)[0], palette.ramp(8)[5]
MOST_NAMED = 6
STANDS = "Line of sight alone: low notes go round what is small against their wavelength."


def shadow_page(sheet: MapSheet, cover: CoverageMap, speaker: Speaker, pairs: Sequence[Pair]) -> bytes:
    """A PNG of what one of the speakers of a coverage does not see; `pairs` are that speaker's."""
    number, plane = cover.speakers.index(speaker), cover.plane
    hidden = plane.inside & ~cover.visible[number]
    figure = blank_page(sheet.size)
    draw_heading(figure, called(speaker), "what it sees at ear height, and what stands in its way")
    axes = plan_axes(figure, sheet, BOX)
    paint(axes, sheet, np.where(plane.inside, hidden, np.nan), (-0.5, 0.5, 1.5), (IN_SIGHT, IN_SHADOW))
    marks: dict[str, Mark] = {pair.seat.name: "blocked" for pair in pairs if not pair.visible}
    furnish(axes, sheet, marks, strong=(speaker,))
    seat_labels(axes, sheet.scene.seats, {})
    _name_shadows(axes, cover, number)
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    rows: list[SeatRow] = [
        (None if pair.visible else "blocked", row_name(pair.seat), "seen" if pair.visible else "blocked",
         "" if pair.obstacle is None else f"by {pair.obstacle}")
        for pair in pairs
    ]  # fmt: skip
    column.seats(rows, ("seat", "line of sight", ""))
    column.areas([(IN_SIGHT, palette.INK, "", "in sight"), (IN_SHADOW, palette.INK, "", "in its shadow")])
    near = cover.hidden_shares[speaker.name]
    told = {
        name: f"hides {_percent(share)} of the room"
        + (f", {_percent(near[name])} of the seating area" if name in near else "")
        for name, share in cover.hiders(number).items()
    }
    _end(column, sheet, told)
    return finish_page(figure, sheet)


def shadows_page(sheet: MapSheet, cover: CoverageMap, pairs: Sequence[Pair]) -> bytes:
    """A PNG of how many channels each point sees; in `pairs` one speaker of every channel stands for it."""
    channels = cover.of_set.channels
    figure = blank_page(sheet.size)
    under = "channels that each point sees at ear height; of several speakers on one channel any one will do"
    draw_heading(figure, f"In sight: {counted(channels, 'channel')}, {counted(len(cover.speakers), 'speaker')}", under)
    axes = plan_axes(figure, sheet, BOX)
    colors = palette.ramp(channels + 1)[::-1]
    seen = np.where(cover.plane.inside, cover.seen, np.nan)
    paint(axes, sheet, seen, np.arange(-0.5, channels + 1).tolist(), colors)
    by_seat = {seat: [pair for pair in pairs if pair.seat is seat] for seat in sheet.scene.seats}
    blocked = {seat: [pair for pair in mine if not pair.visible] for seat, mine in by_seat.items()}
    marks: dict[str, Mark] = {seat.name: "blocked" for seat, mine in blocked.items() if mine}
    furnish(axes, sheet, marks, strong=cover.speakers)
    seat_labels(axes, sheet.scene.seats, {})
    speaker_names(axes, sheet.scene, cover.speakers)
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    rows: list[SeatRow] = [
        (marks.get(seat.name), row_name(seat), f"{len(mine) - len(blocked[seat])} of {len(mine)} seen",
         f"not {blocked[seat][0].speaker.name}" if blocked[seat] else "")
        for seat, mine in by_seat.items() if mine
    ]  # fmt: skip
    column.seats(rows, ("seat", "line of sight", ""))
    column.colors(colors, [str(n) for n in range(channels + 1)], f"channels in sight, of {channels}", centered=True)
    unseen = cover.of_set.unseen[cover.plane.inside].mean()
    if unseen:
        column.words(f"{_percent(unseen)} of the room does not see every channel. Of that")
    _end(column, sheet, {name: f"hides a speaker from {_percent(share)}" for name, share in cover.set_hiders.items()})
    return finish_page(figure, sheet)


def _percent(share: float) -> str:
    return f"{share:.0%}" if share >= 0.01 else "less than 1%"


def _name_shadows(axes: Axes, cover: CoverageMap, number: int) -> None:
    """The names of what casts the largest shadows, in them."""
    hider = np.where(cover.plane.inside, cover.shadows.hider[number], -1)
    for name in list(cover.hiders(number))[:MOST_NAMED]:
        same = [index for index, each in enumerate(cover.shadows.names) if each == name]
        cells = np.argwhere(np.isin(hider, same))
        row, column = cells[np.argmin(np.sum((cells - cells.mean(axis=0)) ** 2, axis=1))]
        label = axes.text(cover.plane.x[column], cover.plane.y[row], shortened(name, 18), parse_math=False, zorder=19)
        label.set(fontsize=8.5, style="italic", ha="center", va="center", color=palette.INK, path_effects=HALO)


def _end(column: Column, sheet: MapSheet, hiders: Mapping[str, str]) -> None:
    """What hides how much, the most first, and what the signs mean."""
    if not hiders:
        column.words("Nothing stands in the way anywhere at ear height.")
    for name, words in list(hiders.items())[:MOST_NAMED]:
        column.entry(name, words)
    if len(hiders) > MOST_NAMED:
        column.words(f"and {len(hiders) - MOST_NAMED} more")
    column.y -= 0.02
    column.lines(key_lines(sheet, MAP_LINES[2:]))
    column.signs(hidden_signs(sheet.scene))
    column.words(signs(sheet))
    column.words(STANDS)
