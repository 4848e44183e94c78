"""Numbers beside the speakers of a picture, so that a key is read without its colors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import matplotlib
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from earshed.model.geometry import Array
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.camera import View

ACROSS = 54.0
"""Radii of a disc in the width of a picture."""
AWAY, ALONG = 1.7, 0.3
"""Radii from a speaker to the disc beside it; metres along its axis by which it is seen which way that is."""
FINE = 4
"""How many times as large a disc is drawn before it is brought down."""
_FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans-Bold.ttf"

Numbered = tuple[int, str, Speaker]
"""The number of a speaker, and its color."""


def with_numbers(picture: Image.Image, view: View, speakers: Sequence[Numbered]) -> Image.Image:
    """The picture with a disc for each speaker, behind it as it points, its number in a ring of its color."""
    drawn, radius = picture.copy(), picture.width / ACROSS
    for number, color, speaker in speakers:
        middle = _beside(view, speaker, picture.size, radius)
        if middle is not None:
            disc = _disc(str(number), color, radius)
            drawn.paste(disc, tuple(np.round(middle - disc.width / 2).astype(int)), disc)
    return drawn


def _beside(view: View, speaker: Speaker, size: tuple[int, int], radius: float) -> Array | None:
    """Where (2,) the disc of a speaker has its middle, pixels, within the picture; None for one behind the camera."""
    at, ahead = view.pixels(np.stack([speaker.position, speaker.position + ALONG * speaker.axis]), size)
    if not np.isfinite(at).all():
        return None
    way = at - ahead if np.isfinite(ahead).all() else np.zeros(2)
    length = math.hypot(*way)
    middle = at + AWAY * radius * (way / length if length > 1.0 else np.array([0.0, -1.0]))
    kept: Array = np.clip(middle, 1.2 * radius, np.array(size) - 1.2 * radius)
    return kept


def _disc(words: str, color: str, radius: float) -> Image.Image:
    side = math.ceil(2.3 * radius)
    large = Image.new("RGBA", (side * FINE, side * FINE), (255, 255, 255, 0))
    draw, middle, reach = ImageDraw.Draw(large), side * FINE / 2, radius * FINE
    box = (middle - reach, middle - reach, middle + reach, middle + reach)
    draw.ellipse(box, fill=palette.PAPER, outline=color, width=max(1, round(0.22 * reach)))
    font = ImageFont.truetype(str(_FONT), max(6, round(1.15 * reach / (1 if len(words) == 1 else 1.25))))
    draw.text((middle, middle), words, font=font, fill=palette.INK, anchor="mm")
    return large.resize((side, side), Image.Resampling.LANCZOS)
