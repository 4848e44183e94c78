"""Pages of first reflections: for each speaker its paths on a plan, numbered as in the table; then reverberation."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from earshed.model.finding import Finding
from earshed.model.geometry import TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.sound.early import Early, Reflections
from earshed.model.sound.reverberation import Reverberation
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.reflection_rows import LEVEL_REMARK, TREAT_REMARK, face_rows, of_speaker, reflection_rows, time_rows
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.labels import WALL_WEIGHT, Labels
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Box, Sheet, new_sheet
from earshed.viewer.sheets.thumbnail import draw_room_plan
from earshed.viewer.wire_rows import Rows
from earshed.viewer.wording import called

HEAD, PART, PLAIN = Style(16.0, bold=True), Style(11.0, bold=True), Style(9.0)
ROW = Style(8.5)
DIM = Style(8.5, color=palette.SOFT_INK)
SHARES = {
    "no.": 0.5, "at seat": 1.6, "off": 2.5, "point": 4.0, "after": 0.95, "longer": 0.95, "level": 1.0,
    "off axis": 0.75, "face": 2.2, "of": 2.4, "area": 1.2,
}  # fmt: skip
"""Of the width of a table, by the head of a column; 1 for others."""
PLAN = (0.56, 0.47)
"""Of the width and the height of a page that the plan takes up."""
SIGN = 4.2
"""Points across the mark of a point."""
LOOKS = {"level": (0, (1.5, 1.5)), "sloped": (0, (5, 2)), "upright": "-"}
SIGNS = {"level": "D", "sloped": "^", "upright": "o"}
LOOK_WORDS = {"upright": "off walls and upright sides", "sloped": "off slopes", "level": "off level faces"}


def reflection_sheets(
    heard: Reflections, early: Sequence[Early], lasts: Reverberation, findings: Sequence[Finding], paper: PaperSize
) -> list[Sheet]:
    """A page or more for each speaker that has early reflections, and one of the room."""
    sheets: list[Sheet] = []
    for speaker, rows in reflection_rows(heard.scene, early):
        sheets += _speaker(heard, early, speaker, rows, paper)
    return [*sheets, *_room(heard.scene, lasts, findings, paper)]


def _speaker(heard: Reflections, early: Sequence[Early], speaker: Speaker, rows: Rows, paper: PaperSize) -> list[Sheet]:
    flow = Flow(lambda: new_sheet(paper, f"First reflections: {called(speaker)}"))
    left, right, top = flow.left, flow.right, flow.y
    wide, high = PLAN[0] * (right - left), PLAN[1] * (top - flow.sheet.area[1])
    box = (left, top - high, left + wide, top)
    mine = of_speaker(early, speaker)
    _draw(flow.sheet, box, heard, speaker, mine)
    flow.left = left + wide + 6.0
    flow.words(called(speaker), HEAD)
    flow.words("First reflections at the seats", PART)
    flow.gap(2.0)
    _legend(flow, {_look(one) for one in mine})
    for remark in (LEVEL_REMARK, TREAT_REMARK):
        flow.gap(1.5)
        flow.words(remark, DIM)
    flow.left, flow.y = left, min(flow.y, top - high) - 3.0
    _table(flow, rows)
    return flow.sheets


def _room(scene: Scene, lasts: Reverberation, findings: Sequence[Finding], paper: PaperSize) -> list[Sheet]:
    flow = Flow(lambda: new_sheet(paper, "Reverberation and faces"))
    flow.words("Reverberation and faces", HEAD)
    for rows in (time_rows(lasts), face_rows(scene, lasts)):
        flow.need(24.0)
        flow.gap(2.5)
        flow.words(rows.title, PART)
        if rows.remark:
            flow.words(rows.remark, DIM)
        flow.gap(0.6)
        _table(flow, rows)
    if findings:
        flow.need(20.0)
        flow.gap(3.0)
        flow.words("What to know", PART)
    for finding in findings:
        flow.words(f"{finding.severity}: {finding.subject}: {finding.message}", PLAIN)
        flow.gap(0.5)
    return flow.sheets


def _table(flow: Flow, rows: Rows) -> None:
    flow.table(rows.heads, rows.rows, [SHARES.get(head, 1.0) for head in rows.heads], ROW)


def _legend(flow: Flow, shown: set[str]) -> None:
    """Which line and mark stands for which kind of face."""
    for look, words in LOOK_WORDS.items():
        if look in shown:
            baseline = flow.row("", words, PLAIN, 14.0)
            x, y = flow.left, baseline + 1.0
            flow.sheet.line([(x, y), (x + 11.0, y)], color=palette.LIMIT, width=0.35, dashes=LOOKS[look])
            flow.sheet.axes.plot([x + 5.5], [y], marker=SIGNS[look], ms=SIGN, color=palette.LIMIT, zorder=21)
    y = flow.row("", "the direct way", PLAIN, 14.0) + 1.0
    flow.sheet.line([(flow.left, y), (flow.left + 11.0, y)], color=palette.SOFT_INK, width=0.2)


def _look(one: Early) -> str:
    up = abs(float(one.face.normal[2]))
    return "upright" if up < TOUCHING else "level" if up > 1 - TOUCHING else "sloped"


def _draw(sheet: Sheet, box: Box, heard: Reflections, speaker: Speaker, early: Sequence[Early]) -> None:
    """The paths of one speaker from above, each point with its number."""
    scene = heard.scene
    sheet.frame(box, color=palette.FAINT)
    axes, ratio = draw_room_plan(sheet, box, scene)
    for block in (*scene.room.boxes, *scene.room.risers):
        axes.add_patch(Polygon(block.corners, closed=True, fill=False, ec=palette.FAINT, lw=0.7, zorder=1))
    start = speaker.position[:2]
    for seat in dict.fromkeys(one.seat for one in early):
        axes.plot(*np.array([start, seat.ear[:2]]).T, color=palette.SOFT_INK, lw=0.6, zorder=2)
    for one in early:
        way = np.array([start, one.point[:2], one.seat.ear[:2]])
        axes.plot(*way.T, color=palette.LIMIT, lw=0.8, ls=LOOKS[_look(one)], zorder=3)
        axes.plot(*one.point[:2], marker=SIGNS[_look(one)], ms=SIGN, color=palette.LIMIT, zorder=6)
    axes.plot(*start, marker="s", ms=6.0, color=palette.INK, zorder=7)
    _name(sheet, box, axes, 1000 / ratio, scene, speaker, early)


def _name(
    sheet: Sheet, box: Box, axes: Axes, scale: float, scene: Scene, speaker: Speaker, early: Sequence[Early]
) -> None:
    """Numbers at the points, names at the seats and the speaker, where least is covered; `scale` is millimetres of
    paper for a metre."""
    low = np.array([axes.get_xlim()[0], axes.get_ylim()[0]])

    def on_paper(place: Array) -> Array:
        spot: Array = np.array(box[:2]) + (place[:2] - low) * scale
        return spot

    labels = Labels(sheet, box)
    outline = np.array([on_paper(corner) for corner in scene.room.plan.outer_corners])
    labels.spare(WALL_WEIGHT, shapely.LinearRing(outline))
    start = on_paper(speaker.position)
    seats = {one.seat.name: on_paper(one.seat.ear) for one in early}
    points = [on_paper(one.point) for one in early]
    for spot in (start, *seats.values(), *points):
        labels.keep(shapely.Point(spot).buffer(0.9))
    for one, point in zip(early, points, strict=True):
        labels.spare(1.0, shapely.LineString([start, point, seats[one.seat.name]]))
    for name, spot in seats.items():
        sheet.axes.plot(*spot, marker="o", ms=6.0, mfc=palette.PAPER, mec=palette.INK, mew=1.2, zorder=25)
        labels.name(shapely.Point(spot).buffer(1.1), [name], 7.5)
    labels.name(shapely.Point(start).buffer(1.1), [speaker.name], 7.5)
    for number, point in enumerate(points, start=1):
        labels.name(shapely.Point(point).buffer(0.8), [str(number)], 7.5)
