"""What surfaces look like from near: patterns of light and dark that are laid over a color of the palette.

Gray ones are shares of the color under them, at most one, so that every color comes from the palette alone. All are
drawn from fixed seeds, so that the same picture is the same bytes.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from earshed.model.geometry import Array
from earshed.viewer import palette

Pixels = NDArray[np.uint8]
"""(H, W, 3) from the upper left, as VTK's textures are."""
TILE = 1024
"""Pixels of a side of a pattern that repeats."""


@cache
def boards(count: int, joints: int, contrast: float) -> Pixels:
    """A tile of `count` boards that run along its width, each of its own shade, with butt joints in each."""
    rng = np.random.default_rng(7)
    wide = TILE // count
    shade = np.empty((TILE, TILE))
    for board in range(count):
        rows = slice(board * wide, (board + 1) * wide)
        starts = np.sort(rng.integers(0, TILE, joints)) if joints else np.array([0])
        tones = 1 - contrast * rng.random(len(starts))
        shade[rows] = tones[np.searchsorted(starts, np.arange(TILE), side="right") - 1]
        for start in starts if joints else ():
            shade[rows, start : start + 3] *= 0.80
    shade *= _streaks(rng, 0.35 * contrast)
    seams = np.arange(count) * wide
    shade[seams] *= 0.74
    shade[seams + 1] *= 0.86
    return _gray(shade)


@cache
def grain() -> Pixels:
    """A tile of planed timber whose grain runs along its width."""
    rng = np.random.default_rng(11)
    return _gray(_streaks(rng, 0.16))


@cache
def pile() -> Pixels:
    """A tile of carpet or cloth: fine and even."""
    rng = np.random.default_rng(13)
    noise = rng.random((TILE // 2, TILE // 2))
    return _gray(1 - 0.10 * noise.repeat(2, axis=0).repeat(2, axis=1))


@cache
def perforation(across: int) -> Pixels:
    """A tile of sheet with `across` by `across` round holes in a square grid."""
    side = TILE // 2
    at = (np.arange(side) + 0.5) * across / side % 1 - 0.5
    away = np.hypot(*np.meshgrid(at, at))
    shade: Array = np.clip(0.66 + (away - 0.29) * 6, 0.66, 1.0)
    return _gray(shade)


@cache
def picture() -> Pixels:
    """A picture of nothing but calm: a gradient from the light above to the dark below."""
    top, foot = (_rgb(color) for color in (palette.PICTURE_TOP, palette.PICTURE_FOOT))
    rows = np.linspace(0, 1, 256)[:, None, None]
    return np.broadcast_to(top + (foot - top) * rows, (256, 8, 3)).round().astype(np.uint8)


def window(width: float, height: float) -> Pixels:
    """A window of that size, metres: a casing, sashes and the sky."""
    image, unit = _blank(width, height, palette.PLASTIC)
    sky, haze = _rgb(palette.SKY), _rgb(palette.GLASS)
    tall, wide = image.size[1], image.size[0]
    glass = sky + (haze - sky) * np.linspace(0, 1, tall)[:, None, None]
    panes = Image.fromarray(np.broadcast_to(glass, (tall, wide, 3)).round().astype(np.uint8))
    mask = Image.new("L", image.size, 0)
    pen = ImageDraw.Draw(mask)
    frame, bar = 0.055 * unit, 0.02 * unit
    columns, rows = max(1, round(width / 0.75)), 2 if height > 0.7 else 1
    for column in range(columns):
        for row in range(rows):
            left = frame + column * (wide - 2 * frame) / columns + (bar if column else 0)
            right = frame + (column + 1) * (wide - 2 * frame) / columns - (bar if column + 1 < columns else 0)
            top = frame + row * (tall - 2 * frame) / rows + (bar if row else 0)
            foot = frame + (row + 1) * (tall - 2 * frame) / rows - (bar if row + 1 < rows else 0)
            pen.rectangle((left, top, right, foot), fill=255)
    image.paste(panes, mask=mask)
    return np.asarray(image)


def door(width: float, height: float) -> Pixels:
    """A door of that size, metres: a casing, two panels and a knob."""
    image, unit = _blank(width, height, palette.DOOR)
    wide, tall = image.size
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 0, wide, tall), outline=palette.PLASTIC, width=max(1, round(0.05 * unit)))
    shade = tuple(int(0.88 * each) for each in _rgb(palette.DOOR))
    side = 0.17 * unit
    for top, foot in ((0.2 * unit, 0.46 * tall), (0.52 * tall, tall - 0.22 * unit)):
        pen.rectangle((side, top, wide - side, foot), outline=shade, width=max(1, round(0.025 * unit)))
    knob = (wide - 0.10 * unit, 0.53 * tall)
    reach = 0.03 * unit
    box = (knob[0] - reach, knob[1] - reach, knob[0] + reach, knob[1] + reach)
    pen.ellipse(box, fill=palette.SOFT_INK)
    return np.asarray(image)


@cache
def glow() -> Pixels:
    """Light on the plaster round a lamp (H, W, 4): bright at the middle, nothing at the rim."""
    at = np.linspace(-1, 1, 256)
    away = np.minimum(np.hypot(*np.meshgrid(at, at)), 1.0)
    strength = 150 * (1 - away) ** 2
    color = np.broadcast_to(_rgb(palette.LAMPLIGHT), (256, 256, 3))
    return np.dstack([color, strength]).round().astype(np.uint8)


def _blank(width: float, height: float, color: str) -> tuple[Image.Image, float]:
    """An image of that size in metres, and its pixels a metre."""
    unit = min(400.0, 2048 / max(width, height))
    return Image.new("RGB", (max(8, round(width * unit)), max(8, round(height * unit))), color), unit


def _streaks(rng: np.random.Generator, strength: float) -> Array:
    """Shares (TILE, TILE) that change from row to row and little along a row."""
    fine = rng.random((TILE, 1)) * np.ones((1, TILE))
    drift = np.repeat(rng.random((TILE // 2, 16)), TILE // 16, axis=1).repeat(2, axis=0)
    streaks: Array = 1 - strength * (0.6 * fine + 0.4 * drift)
    return streaks


def _gray(shade: Array) -> Pixels:
    values = np.clip(shade * 255, 0, 255).round().astype(np.uint8)
    return np.repeat(values[:, :, None], 3, axis=2)


def _rgb(color: str) -> Array:
    return np.array([int(color[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float64)
