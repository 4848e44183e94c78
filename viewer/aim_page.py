"""A plan of today's axes and the best ones, and beside it what each seat gains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import compress

from earshed.model.aim_advice import AimAdvice
from earshed.model.scene import Scene
from earshed.model.speaker_type import Verdict
from earshed.model.units import format_angle
from earshed.viewer import palette
from earshed.viewer.aim_words import short_turning_words
from earshed.viewer.legend import BRIEF_GAP, BRIEF_ROW, FOOT, LEFT_EDGE, Column, KeyLine, draw_heading
from earshed.viewer.map_axes import PlanSheet, furnish, plan_axes
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
from earshed.viewer.plan_drawing import draw_axis, mark_of, seat_labels, worst_marks
from earshed.viewer.served_words import decibels
from earshed.viewer.speaker_names import speaker_names
from earshed.viewer.wording import called, counted

TODAY = (palette.SOFT_INK, 1.2, (0, (3, 2)))
"""Color, weight and dashes of today's axis."""
EVEN = (palette.SOFT_INK, 1.0, "-")
"""The same of the most even axis."""
AIM_LINES: list[KeyLine] = [
    (palette.INK, "-", 2.0, "best axis, in plan"),
    (TODAY[0], TODAY[2], TODAY[1], "today's axis, where it differs"),
    (EVEN[0], EVEN[2], EVEN[1], "most even axis, where it spreads half a dB less"),
]
UNDER_COLUMN = 0.23
"""Height under the speakers' rows that the key takes, in figure units."""

Row = tuple[Mark | None, str, str]


def aim_page(scene: Scene, advice: Sequence[AimAdvice], whom: str, size: tuple[int, int], date: str) -> bytes:
    """A PNG of a scene's plan with the best axes in ink and today's dashed, and the seats marked by the best ones.

    `whom` says in words which seats the axes are for.
    """
    turned = {one.speaker.name: one.turned for one in advice if one.worth_turning}
    speakers = tuple(turned.get(speaker.name, speaker) for speaker in scene.speakers)
    sheet = PlanSheet(replace(scene, speakers=speakers), size, date)
    figure = blank_page(sheet.size)
    under = f"the axis of each speaker that leaves the worst of {whom} least off axis, within what its type can do"
    draw_heading(figure, "Best aim", under)
    axes = plan_axes(figure, sheet, (LEFT_EDGE, PLAN_BOTTOM, 0.60, PLAN_TOP - PLAN_BOTTOM))
    shown = [turned.get(one.speaker.name, one.speaker) for one in advice]
    best = (pair for one in advice for pair in (one.best if one.worth_turning else one.today))
    furnish(axes, sheet, worst_marks(best), strong=shown)
    for one in advice:
        if one.worth_turning:
            draw_axis(axes, one.speaker, *TODAY)
        if one.even is not None:
            draw_axis(axes, one.even.turned, *EVEN)
    seat_labels(axes, scene.seats, {})
    words = {speaker.name: short_turning_words(speaker) for speaker in shown}
    speaker_names(axes, sheet.scene, shown, words, around=[one.speaker for one in advice])
    column = Column(figure, max(right_of(axes), 0.5), PLAN_TOP - 0.02)
    _fill(column, advice)
    shown_lines = [True, bool(turned), any(one.even is not None for one in advice)]
    column.lines([*compress(AIM_LINES, shown_lines), *key_lines(sheet, MAP_LINES[2:])])
    column.words(f"Marks at the seats: the worst that a seat gets with the best axes. {signs(sheet)}")
    return finish_page(figure, sheet)


def _fill(column: Column, advice: Sequence[AimAdvice]) -> None:
    """Every seat of every speaker where there is room for it, else the worst seat of each, as many as fit."""
    room = column.y - FOOT - UNDER_COLUMN
    rows = [_rows(one) for one in advice]
    if sum(_height(some) for some in rows) > room:
        rows = [_worst_row(one) for one in advice]
    fit = max(1, int(room / _height([(None, "", "")]))) if sum(map(_height, rows)) > room else len(rows)
    for one, some in list(zip(advice, rows, strict=True))[:fit]:
        column.brief(called(one.speaker), some, _spread_words(one))
    if fit < len(rows):
        column.words(f"and {counted(len(rows) - fit, 'more speaker')}, in the table that earshed aim prints")


def _height(rows: Sequence[Row]) -> float:
    return (len(rows) + 2) * BRIEF_ROW + BRIEF_GAP


def _rows(one: AimAdvice) -> list[Row]:
    return [
        (mark_of(then), then.seat.name, _words(now.off_axis, then.off_axis, then.verdict, one))
        for now, then in zip(one.today, one.best, strict=True)
    ]


def _worst_row(one: AimAdvice) -> list[Row]:
    now, then = one.worst_today, one.worst_best
    return [(mark_of(then), f"worst: {then.seat.name}", _words(now.off_axis, then.off_axis, then.verdict, one))]


def _spread_words(one: AimAdvice) -> str:
    """How far the seats are apart in level, today and by the best axis; and by the most even one."""
    today, best = decibels(one.served_today.spread), decibels(one.served_best.spread)
    words = f"spread {today} → {best}" if one.worth_turning else f"spread {today}"
    return f"{words}; {decibels(one.even.served.spread)} by the most even axis" if one.even is not None else words


def _words(today: float, best: float, verdict: Verdict, one: AimAdvice) -> str:
    angles = f"{format_angle(today)} → {format_angle(best)}" if one.worth_turning else format_angle(today)
    return f"{angles} {verdict}"
