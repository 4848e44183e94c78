"""The technical appendix of a report: sheets of the pack, on paper or as pictures of it."""

from __future__ import annotations

from collections.abc import Sequence

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from earshed.model.checks.wiring import schedule_findings
from earshed.model.finding import SEVERITIES
from earshed.model.scene import Scene
from earshed.viewer.page import any_signs
from earshed.viewer.report.facts import Facts
from earshed.viewer.sheets.pack import every_markout_sheet
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.type_page import type_sheets
from earshed.viewer.sheets.wire_page import wire_sheets

DOTS, COLORS = 108, 48
"""To the inch of a sheet as a picture, and how many colors it keeps."""


def appendix_sheets(facts: Facts, paper: PaperSize) -> list[Sheet]:
    """The mark-out, the wiring and the speaker types, each where the scene has any."""
    sheets: list[Sheet] = []
    if facts.made is not None:
        sheets += every_markout_sheet(facts.made, facts.seconds, paper)
    if facts.schedule is not None and facts.schedule.runs:
        found = sorted(schedule_findings(facts.schedule), key=lambda one: SEVERITIES.index(one.severity))
        sheets += wire_sheets(facts.schedule, found, paper)
    return [*sheets, *type_sheets(facts.scene, paper)]


def appendix_pictures(sheets: Sequence[Sheet], scene: Scene, date: str) -> list[tuple[str, Image.Image]]:
    """Those sheets as pictures, each with its title."""
    stamp(sheets, scene, date)
    return [(sheet.title, _picture(sheet)) for sheet in sheets]


def _picture(sheet: Sheet) -> Image.Image:
    sheet.figure.set_dpi(DOTS)
    canvas = FigureCanvasAgg(sheet.figure)
    with mpl.rc_context({"text.hinting": "none"}), any_signs():  # hinted, words would be wider than they were laid out
        canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3].copy()
    return Image.fromarray(pixels).quantize(COLORS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).convert("RGB")
