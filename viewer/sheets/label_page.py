"""Labels to cut out and tape round both ends of every cable."""

from __future__ import annotations

from matplotlib.patches import Rectangle

from earshed.model.wiring.schedule import Schedule
from earshed.viewer import palette
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.sheets.writing import cut_to, text_width
from earshed.viewer.wire_rows import label_rows
from earshed.viewer.wording import shortened

WIDE, HIGH = 46.0, 19.0
"""Millimetres of a label: it goes once round a cable and sticks to itself. Common practice, no source."""
GAP = 2.0
LARGE, PLAIN = 16.0, 8.0
"""Points."""
DASHES = (0, (4, 3))


def label_sheets(schedule: Schedule, paper: PaperSize) -> list[Sheet]:
    """Two labels for each run, one beside the other, in the order of the schedule."""
    labels = [row for row in label_rows(schedule).rows for _ in range(2)]
    sheets: list[Sheet] = []
    while labels:
        sheets.append(new_sheet(paper, "Cable labels: cut out, two for each cable"))
        left, low, right, high = sheets[-1].area
        across, down = int((right - left + GAP) // (WIDE + GAP)), int((high - low + GAP) // (HIGH + GAP))
        across -= across % 2  # both of a cable stay in one row
        for number, row in enumerate(labels[: across * down]):
            x = left + (number % across) * (WIDE + GAP)
            y = high - (number // across + 1) * (HIGH + GAP) + GAP
            _draw(sheets[-1], x, y, row, schedule.scene.title)
        labels = labels[across * down :]
    return sheets


def _draw(sheet: Sheet, x: float, y: float, row: tuple[str, ...], title: str) -> None:
    label, what, cable, between = row
    sheet.axes.add_patch(Rectangle((x, y), WIDE, HIGH, fc="none", ec=palette.SOFT_INK, lw=0.6, ls=DASHES, zorder=20))
    room = WIDE - 5.0
    beside = room - text_width(label, LARGE, bold=True) - GAP
    sheet.write(x + 2.5, y + HIGH - 7.2, cut_to(label, room, LARGE, bold=True), LARGE, bold=True)
    sheet.write(x + WIDE - 2.5, y + HIGH - 7.2, cut_to(cable, beside, PLAIN), PLAIN, align="right")
    for number, words in enumerate((what, between, shortened(title))):
        sheet.write(x + 2.5, y + HIGH - 11.0 - number * 3.3, cut_to(words, room, PLAIN), PLAIN)
