"""A page for each speaker type: how it radiates in every octave, how wide and how much it gathers, and its facts."""

from __future__ import annotations

import math

from earshed.model.scene import Scene
from earshed.model.sound.beam_width import ACROSS, UPRIGHT
from earshed.model.sound.of_type import radiates_within
from earshed.viewer import palette
from earshed.viewer.sheets.beam_chart import chart_height, draw_chart
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.polar import DASHES, ROUND_IT, Polar, draw_polar, polar_height
from earshed.viewer.sheets.sheet import Sheet, new_sheet
from earshed.viewer.type_words import HALF_SPACE, TypeSound, facts, types_used
from earshed.viewer.wording import shortened

HEAD, PLAIN = Style(16.0, bold=True), Style(9.0)
DIM = Style(8.0, color=palette.SOFT_INK)
LABELS = 24.0
"""Millimetres that the words at the left of facts take up."""
HALF, WHOLE = 37.0, 32.0
"""Millimetres from the middle of a plot to its rim: of half a disk, and of a whole one."""
ASIDE = 5.0
"""Millimetres by which plots stand left of the middle, for the names at their right."""
LONGEST_NAME = 60
LEGEND = (
    "The rim is the level on the axis; rings are 6 dB apart, and the dashed red one is the coverage limit, -6 dB. Dark "
    "curves and full dots are known, gray curves and hollow dots guessed; arrow heads are beams wider than 180°. Beam "
    "width: full angle between the -6 dB directions. Index: the axis against the same power sent evenly to all sides"
)


def type_sheets(scene: Scene, paper: PaperSize) -> list[Sheet]:
    """A page, or as many as it needs, for each speaker type that is placed."""
    return [sheet for sound in types_used(scene) for sheet in _sheets(sound, scene, paper)]


def _sheets(sound: TypeSound, scene: Scene, paper: PaperSize) -> list[Sheet]:
    name = shortened(sound.kind.name, LONGEST_NAME)
    flow = Flow(lambda: new_sheet(paper, f"Speaker type: {name}"))
    flow.words(name, HEAD)
    flow.gap(1.0)
    for label, words in facts(sound, scene):
        flow.row(label, words, PLAIN, LABELS)
        flow.gap(0.4)
    planes = {"across, ": ACROSS, "upright, ": UPRIGHT} if sound.planes else {"": ACROSS}
    for title, plane in planes.items():
        _draw_plots(flow, sound, title, plane)
    pages = len(flow.sheets)
    flow.need(chart_height(sound))
    if len(flow.sheets) > pages:
        flow.words(name, HEAD)
    draw_chart(flow.sheet, flow.left, flow.right, flow.y, sound)
    flow.gap(chart_height(sound) + 1.0)
    half = f"; {HALF_SPACE}" if radiates_within(sound.kind) < math.pi else ""
    flow.words(f"{LEGEND}{half}.", DIM)
    return flow.sheets


def _draw_plots(flow: Flow, sound: TypeSound, title: str, plane: float) -> None:
    """The lower and the upper octaves beside each other, as many in one plot as have dashes of their own."""
    within = radiates_within(sound.kind)
    radius = HALF if within <= math.pi / 2 else WHOLE
    height = polar_height(radius, within)
    flow.need(height)
    numbered = list(enumerate(sound.directivity.bands.names))
    parts = [numbered[start : start + len(DASHES)] for start in range(0, len(numbered), len(DASHES))]
    for number, bands in enumerate(parts):
        x = flow.left + flow.width * (number + 0.5) / len(parts) - ASIDE
        y = flow.y - ROUND_IT - (radius if within > math.pi / 2 else 0.0)
        words = f"{title}{bands[0][1]} to {bands[-1][1]}"
        draw_polar(flow.sheet, Polar(words, sound.directivity, plane, bands, within, x, y, radius))
    flow.gap(height)
