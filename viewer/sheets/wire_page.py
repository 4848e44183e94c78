"""Pages of the wiring schedule: runs on a plan, what to bore and to patch, cable and spools, every run leg by leg."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from earshed.model.finding import Finding
from earshed.model.geometry import Array
from earshed.model.wiring.schedule import Run, Schedule
from earshed.viewer import palette
from earshed.viewer.cautions import BEFORE_BORING
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.sheets.thumbnail import draw_room_plan
from earshed.viewer.wire_rows import Rows, cable_rows, route_rows, run_rows, spool_rows, work_rows
from earshed.viewer.wire_words import end_words

HEAD, PART, PLAIN = Style(16.0, bold=True), Style(11.0, bold=True), Style(9.0)
DIM = Style(8.5, color=palette.SOFT_INK)
SHARES = {
    "run": 1.9, "cable": 1.1, "way": 0.95, "slack": 0.95, "cut": 0.9, "loss": 1.5, "label": 0.8, "face": 2.2,
    "through": 2.1, "how": 1.4, "count": 0.6, "widest hole": 1.9, "allowed": 0.8, "on": 2.6, "length": 1.1,
    "do": 3.0, "to": 3.2, "": 0.35, "spool": 1.5, "left": 1.0, "cut from it, the longest first": 4.5, "runs": 0.6,
    "installed": 1.0, "to have": 1.9,
}  # fmt: skip
"""Of the width of a table, by the head of a column."""
PLAN = 0.4
"""Of the width of a page that the plan takes up, and of its height."""
HEAD_OF_TABLE, ROW, MOST_KEPT = 18.0, 7.0, 110.0
"""Millimetres of a table's title and heads, of a row as it mostly comes out, and up to which it is kept whole."""
CLOSE = 9.0
"""Millimetres within which labels of two ends would lie on each other."""
WHITE = {"fc": palette.PAPER, "ec": "none", "pad": 0.6}
RACK = 2.4
"""Millimetres of a side of the rack's sign."""


def wire_sheets(schedule: Schedule, findings: Sequence[Finding], paper: PaperSize) -> list[Sheet]:
    """The schedule, then the way of each run, on as many pages as they need."""
    flow = Flow(lambda: new_sheet(paper, "Wiring schedule"))
    left, right, top = flow.left, flow.right, flow.y
    high = PLAN * (top - flow.sheet.area[1])
    wide = PLAN * (right - left)
    axes, ratio = draw_room_plan(flow.sheet, (left, top - high, left + wide, top), schedule.scene)
    _draw_runs(axes, schedule, ratio)
    flow.left = left + wide + 6.0
    flow.words("Wiring schedule", HEAD)
    flow.words(f"Rack: {end_words(schedule.scene, schedule.rack)}", PLAIN)
    flow.gap(2.0)
    for caution in BEFORE_BORING:
        flow.words(caution, DIM)
        flow.gap(0.7)
    flow.left, flow.y = left, min(flow.y, top - high) - 2.0
    for rows in (run_rows(schedule), work_rows(schedule), cable_rows(schedule), spool_rows(schedule)):
        if rows.rows:
            _table(flow, rows, PART)
    _told(flow, findings)
    ways = Flow(lambda: new_sheet(paper, "Wiring: every run leg by leg"))
    ways.words("Every run, leg by leg from its far end", HEAD)
    for rows in route_rows(schedule):
        _table(ways, rows, Style(10.0, bold=True))
    return [*flow.sheets, *ways.sheets]


def _table(flow: Flow, rows: Rows, style: Style) -> None:
    flow.need(min(HEAD_OF_TABLE + ROW * len(rows.rows), MOST_KEPT))
    flow.gap(2.5)
    flow.words(rows.title, style)
    if rows.remark:
        flow.words(rows.remark, DIM)
    flow.gap(0.6)
    flow.table(rows.heads, rows.rows, [SHARES[head] for head in rows.heads], PLAIN)


def _told(flow: Flow, findings: Sequence[Finding]) -> None:
    if findings:
        flow.need(20.0)
        flow.gap(3.0)
        flow.words("What to know", PART)
    for finding in findings:
        color = palette.LIMIT if finding.severity == "error" else palette.INK
        flow.words(f"{finding.severity}: {finding.subject}: {finding.message}", Style(PLAIN.size, color=color))
        flow.gap(0.5)


def _draw_runs(axes: Axes, schedule: Schedule, ratio: float) -> None:
    """Every run from above, its label at its far end, and the rack."""
    for run in schedule.runs:
        line = _line(run)
        if len(line):
            axes.plot(line[:, 0], line[:, 1], color=palette.LIMIT, lw=1.0, solid_joinstyle="round", zorder=5)
        x, y = run.pull.end.position[:2]
        axes.plot([x], [y], marker="o", ms=3.0, color=palette.INK, zorder=6)
    for place, labels in _ends(schedule, CLOSE * ratio / 1000):
        axes.annotate("\n".join(labels), tuple(place), (0, 4), textcoords="offset points", fontsize=7.0, ha="center",
                      va="bottom", color=palette.INK, bbox=WHITE, zorder=7)  # fmt: skip
    side = RACK * ratio / 1000
    x, y = schedule.rack.position[:2]
    axes.add_patch(Rectangle((x - side / 2, y - side / 2), side, side, fc=palette.INK, ec=palette.INK, zorder=7))
    axes.annotate("rack", (x, y), (0, -4), textcoords="offset points", fontsize=8.0, ha="center", va="top",
                  fontweight="bold", color=palette.INK, bbox=WHITE, zorder=7)  # fmt: skip


def _ends(schedule: Schedule, close: float) -> list[tuple[Array, list[str]]]:
    """The labels of runs by the place (2,) in plan at which they end, those within some metres of it together."""
    ends: list[tuple[Array, list[str]]] = []
    for run in schedule.runs:
        here = run.pull.end.position[:2]
        there = next((labels for place, labels in ends if np.abs(here - place).max() < close), None)
        if there is None:
            ends.append((here, [run.pull.label]))
        else:
            there.append(run.pull.label)
    return ends


def _line(run: Run) -> Array:
    """The plan points (N, 2) of a run's way; none where it has none."""
    if run.route is None or not run.route.legs:
        return np.zeros((0, 2))
    return np.array([run.route.legs[0].start[:2], *(leg.end[:2] for leg in run.route.legs)])
