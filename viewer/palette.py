"""Colors: one palette for every picture. Calm, light, readable in gray and by the color-blind.

The map's ramp runs along a smooth curve in Oklab (B. Ottosson, "A perceptual color space for image processing", 2020)
in steps of equal length, its lightness falling all the way, so equal steps look equal and print apart in gray.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from earshed.model.geometry import Array

PAPER = "#ffffff"
INK = "#23303a"
SOFT_INK = "#5c6a73"
EDGE = "#4f5c65"
FAINT = "#c6ced3"
PANEL = "#f4f6f7"

WALL = "#f4f0e9"
CEILING = "#fcfaf6"
FLOOR = "#dcc7a8"
CARPET = "#d9d2c6"
WOOD = "#b79a74"
DECK = "#dcc9a6"
GLASS = "#e9eff0"
SKY = "#c3d7e0"
PLASTIC = "#eceae4"
DOOR = "#c8b69c"
FABRIC = "#8fa0a8"
FABRIC_MAIN = "#5f7f90"
HEAD_RECLINED = "#9aa7af"
SCREEN = "#39424a"
PICTURE_TOP, PICTURE, PICTURE_FOOT = "#9fb4be", "#7e95a0", "#5d7682"
"""A picture on the screen, of nothing, from its top to its foot."""
GRILLE = "#e6e8e6"
RIM = "#8d989d"
LAMP = "#fbe6a6"
LAMPLIGHT = "#ffe9ae"
CUT = "#4b5862"
CUT_THING = "#8b969c"
"""What a section is cut through: the shell of the room, and things in it."""
SOFFIT = "#e9e3d8"
RISER = "#c9b595"

LIMIT = "#8c2f1b"
"""The line of the coverage limit, on every map and cone."""

SPEAKER_HUES = ("#2a7f8e", "#b5651d", "#6b5b95", "#4f7d3a", "#a34a6b", "#4d6a94", "#8a7a2e", "#7a4f3a")
"""Told apart by lightness and hue; names stand beside them, so that color is never all there is."""

Mark = Literal["covered", "fringe", "outside", "blocked"]
MARK_INK: dict[Mark, str] = {"covered": "#1d5e4a", "fringe": "#8a6a00", "outside": LIMIT, "blocked": LIMIT}
VERDICT_FILL = {"covered": "#5fae93", "fringe": "#e3c35c", "outside": "#c9694f"}
VERDICT_HATCH = {"covered": "", "fringe": "////", "outside": "xxxx"}

OFF_AXIS_STEP = 10.0
OFF_AXIS_EDGES = tuple(float(edge) for edge in np.arange(0.0, 100.0, OFF_AXIS_STEP))
"""Degrees. Fixed, whatever is shown, so that any two maps compare."""

_RAMP_ENDS = ((0.975, -0.005, 0.045), (0.70, -0.09, 0.015), (0.37, -0.01, -0.105))
_OKLAB_TO_LMS = np.array(
    [[1.0, 0.3963377774, 0.2158037573], [1.0, -0.1055613458, -0.0638541728], [1.0, -0.0894841775, -1.2914855480]]
)
_LMS_TO_RGB = np.array(
    [
        [4.0767416621, -3.3077115913, 0.2309699292],
        [-1.2684380046, 2.6097574011, -0.3413193965],
        [-0.0041960863, -0.7034186147, 1.7076147010],
    ]
)


def ramp(count: int) -> list[str]:
    """`count` colors from near (light) to far (dark), equally far apart in Oklab."""
    start, bend, end = np.array(_RAMP_ENDS)
    t = np.linspace(0.0, 1.0, 2001)[:, None]
    curve = (1 - t) ** 2 * start + 2 * t * (1 - t) * bend + t**2 * end
    walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1))])
    at = np.linspace(0.0, walked[-1], count)
    lab = np.stack([np.interp(at, walked, curve[:, i]) for i in range(3)], axis=-1)
    return [_hex(color) for color in oklab_to_srgb(lab)]


def oklab_to_srgb(lab: Array) -> Array:
    """sRGB values 0 to 1 (..., 3) of Oklab colors (..., 3), clipped to what a screen shows."""
    linear = np.clip((lab @ _OKLAB_TO_LMS.T) ** 3 @ _LMS_TO_RGB.T, 0.0, 1.0)
    srgb: Array = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return srgb


def _hex(color: Array) -> str:
    return "#" + "".join(f"{round(float(value) * 255):02x}" for value in color)


OFF_AXIS_COLORS = ramp(len(OFF_AXIS_EDGES))
"""One for each band of OFF_AXIS_EDGES; the last is for all that lies beyond the last edge."""

VERDICT_ZONES = {"covered": OFF_AXIS_COLORS[1], "fringe": OFF_AXIS_COLORS[4], "outside": OFF_AXIS_COLORS[8]}
"""Of maps that tell verdicts alone: colors of the same ramp, light to dark."""

DARK_LAB, LIT_LAB = (0.36, -0.008, -0.030), (0.975, 0.004, 0.055)
"""Oklab: no light, a dusk blue, and all of it, the white of a lamp. Between them light grows evenly."""

_CHANGE_LAB = (
    (0.64, -0.075, -0.070), (0.77, -0.058, -0.050), (0.90, -0.026, -0.022), (0.965, 0.0, 0.004),
    (0.83, 0.035, 0.060), (0.70, 0.075, 0.095), (0.52, 0.100, 0.095),
)  # fmt: skip
CHANGE_COLORS = [_hex(color) for color in oklab_to_srgb(np.array(_CHANGE_LAB))]
"""From much better, blue, over as before, nearly white, to much worse, orange: hues that hardly anyone confuses. No two
are alike in gray, and where they stand for worse, strokes lie over them."""
CHANGE_EDGES = (-30.0, -15.0, -5.0, 5.0, 15.0, 30.0)
"""Degrees further off axis, between the steps of CHANGE_COLORS."""
