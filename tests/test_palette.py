"""Colors: the ramp falls evenly, bands stay apart in gray and for the color-blind, verdicts lean on more than color.

Color spaces are written out here from their publications; the palette's own conversion is only what is tested.
"""

from __future__ import annotations

import io
import re
from itertools import combinations, pairwise
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from earshed.model.coverage import VERDICTS
from earshed.viewer import palette
from earshed.viewer.plan_drawing import draw_mark
from earshed.viewer.tables import VERDICT_MARKS

# Linear sRGB to cone responses to Oklab: B. Ottosson, "A perceptual color space for image processing", 2020.
TO_CONES = np.array([[0.4122214708, 0.5363325363, 0.0514459929], [0.2119034982, 0.6806995451, 0.1073969566],
                     [0.0883024619, 0.2817188376, 0.6299787005]])  # fmt: skip
TO_OKLAB = np.array([[0.2104542553, 0.7936177850, -0.0040720468], [1.9779984951, -2.4285922050, 0.4505937099],
                     [0.0259040371, 0.7827717662, -0.8086757660]])  # fmt: skip
# Linear sRGB to CIE XYZ, white D65: IEC 61966-2-1. CIELAB: ISO/CIE 11664-4.
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
WHITE = TO_XYZ.sum(axis=1)
# Color blindness of full severity, on linear sRGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
# physiologically-based model for simulation of color vision deficiency", IEEE Trans. Visualization and Computer
# Graphics 15 (6), 2009, the tables for severity 1.0.
SIGHT = {
    "all colors": np.eye(3),
    "protanopia": np.array([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                            [-0.003882, -0.048116, 1.051998]]),
    "deuteranopia": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                              [-0.011820, 0.042940, 0.968881]]),
    "tritanopia": np.array([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                            [0.004733, 0.691367, 0.303900]]),
    "gray": np.tile([0.2126, 0.7152, 0.0722], (3, 1)),
}  # fmt: skip
JUST_SEEN = 2.3
"""CIELAB difference that is just seen: M. Mahy, L. Van Eycken and A. Oosterlinck, 1994 (value from memory)."""


def linear(color):
    values = np.array([int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def oklab(rgb):
    return np.cbrt(rgb @ TO_CONES.T) @ TO_OKLAB.T


def cielab(rgb):
    ratio = np.clip(rgb, 0, 1) @ TO_XYZ.T / WHITE
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def contrast(one, other):
    """Contrast ratio of two colors (WCAG 2.1, "contrast ratio" and "relative luminance")."""
    light, dark = sorted((float(linear(color) @ TO_XYZ[1]) for color in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


COUNTS = range(2, 13)


def test_our_own_color_spaces_agree_with_what_is_published():
    assert oklab(np.ones(3)) == pytest.approx([1, 0, 0], abs=1e-6)  # the white of the publication
    assert cielab(np.ones(3)) == pytest.approx([100, 0, 0], abs=1e-9)
    assert cielab(linear("#808080")) == pytest.approx([53.585, 0, 0], abs=0.01)  # middle gray; value from memory
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@given(st.lists(st.floats(0.05, 1), min_size=3, max_size=3))
def test_oklab_comes_back_as_the_color_it_was(rgb):
    shown = np.array(rgb)
    values = np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4)
    assert palette.oklab_to_srgb(oklab(values)) == pytest.approx(shown, abs=1e-4)


# --- the ramp


@pytest.mark.parametrize("count", COUNTS)
def test_ramp_falls_all_the_way(count):
    colors = np.array([linear(color) for color in palette.ramp(count)])
    assert len(set(palette.ramp(count))) == count
    assert np.all(np.diff(cielab(colors)[:, 0]) < 0)
    assert np.all(np.diff(oklab(colors)[:, 0]) < 0)


@pytest.mark.parametrize("count", COUNTS)
def test_ramp_steps_are_equal(count):
    colors = np.array([linear(color) for color in palette.ramp(count)])
    steps = np.linalg.norm(np.diff(oklab(colors), axis=0), axis=1)
    assert steps == pytest.approx(steps.mean(), rel=0.05)


@pytest.mark.parametrize("sight", SIGHT)
def test_neighboring_bands_stay_apart(sight):
    seen = cielab(np.array([linear(color) for color in palette.OFF_AXIS_COLORS]) @ SIGHT[sight].T)
    assert np.linalg.norm(np.diff(seen, axis=0), axis=1).min() > 2 * JUST_SEEN


@pytest.mark.parametrize("sight", SIGHT)
def test_order_of_bands_shows_in_lightness_to_everyone(sight):
    seen = cielab(np.array([linear(color) for color in palette.OFF_AXIS_COLORS]) @ SIGHT[sight].T)
    assert np.all(np.diff(seen[:, 0]) < -2 * JUST_SEEN)


def test_bands_are_fixed_steps_from_zero():
    assert palette.OFF_AXIS_EDGES[0] == 0
    assert {high - low for low, high in pairwise(palette.OFF_AXIS_EDGES)} == {palette.OFF_AXIS_STEP}
    assert palette.OFF_AXIS_EDGES[-1] == 90
    assert len(palette.OFF_AXIS_COLORS) == len(palette.OFF_AXIS_EDGES)


# --- everything else


def test_colors_are_six_digits():
    """VTK refuses three."""
    named = [value for value in vars(palette).values() if isinstance(value, str) and value.startswith("#")]
    many = [*palette.SPEAKER_HUES, *palette.MARK_INK.values(), *palette.VERDICT_FILL.values(), *palette.ramp(9)]
    assert len(named) > 10
    assert [color for color in [*named, *many] if not re.fullmatch("#[0-9a-f]{6}", color)] == []


def test_text_reads_on_paper():
    """At least 4.5 to 1 (WCAG 2.1, success criterion 1.4.3)."""
    for ink in (palette.INK, palette.SOFT_INK, palette.LIMIT, *palette.MARK_INK.values()):
        assert contrast(ink, palette.PAPER) >= 4.5


def test_the_limit_stands_out_from_the_bands_it_runs_through():
    """Lines need 3 to 1 (WCAG 2.1, 1.4.11): for coverage angles up to 100 degrees."""
    for edge, color in zip(palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS, strict=True):
        assert edge >= 50 or contrast(palette.LIMIT, color) >= 3


# --- verdicts


@pytest.mark.parametrize("sight", SIGHT)
def test_verdict_fills_stay_apart(sight):
    seen = [cielab(linear(palette.VERDICT_FILL[verdict]) @ SIGHT[sight].T) for verdict in VERDICTS]
    assert min(np.linalg.norm(a - b) for a, b in combinations(seen, 2)) > 2 * JUST_SEEN


def test_verdicts_differ_by_hatch_and_by_mark():
    assert palette.VERDICT_FILL.keys() == palette.VERDICT_HATCH.keys() == set(VERDICTS)
    assert palette.MARK_INK.keys() == {*VERDICTS, "blocked"} == set(get_args(palette.Mark))
    assert len({palette.VERDICT_HATCH[verdict] for verdict in VERDICTS}) == len(VERDICTS)
    assert len({mark for mark, _ in VERDICT_MARKS.values()}) == len(VERDICTS)


def test_marks_differ_by_shape_when_all_ink_is_one(monkeypatch):
    marks = get_args(palette.Mark)
    monkeypatch.setattr(palette, "MARK_INK", dict.fromkeys(marks, palette.INK))
    monkeypatch.setattr(palette, "SOFT_INK", palette.INK)
    shapes = []
    for mark in (*marks, None):
        figure = Figure(figsize=(0.4, 0.4), dpi=100)
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_axis_off()
        axes.set(xlim=(-1.2, 1.2), ylim=(-1.2, 1.2))
        draw_mark(axes, 0.0, 0.0, 0.9, mark)
        buffer = io.BytesIO()
        figure.savefig(buffer, format="png", dpi=100)
        shapes.append(np.asarray(Image.open(buffer).convert("L"), dtype=int))
    for one, other in combinations(shapes, 2):
        assert np.mean(np.abs(one - other) > 60) > 0.03
