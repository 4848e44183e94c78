"""Pages of the photos of speakers as they were left."""

from __future__ import annotations

import struct
import warnings
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from PIL import Image, ImageOps

from earshed.model.geometry import Array
from earshed.model.measured import Photo
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.sheets.flow import Flow, Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Box, Sheet, new_sheet
from earshed.viewer.sheets.writing import cut_to, line_height
from earshed.viewer.wording import called

HEAD = Style(16.0, bold=True)
NAME, FILE = 10.5, 9.0
"""Points of what stands under a photo."""
ACROSS, DOWN = 3, 2
GAP = 6.0
"""Millimetres between photos."""
FOOT = 1.5
"""Millimetres under the lowest words."""
LONGEST_SIDE = 720
"""Pixels: some 220 to the inch at the size that they are printed, and a document that can be sent."""
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "BMP")
"""What cameras and telephones write, and no format that another program would be run for."""
NOT_SHOWN = "This file cannot be shown: save it as a JPEG or PNG."


def photo_sheets(scene: Scene, paper: PaperSize) -> list[Sheet]:
    """The photos that are there, six to a page, in the order of the speakers; none where there are none."""
    photos = [(one, one.measured.photo) for one in scene.speakers if one.measured is not None]
    shown = [(one, photo) for one, photo in photos if photo is not None and photo.file is not None]
    most = ACROSS * DOWN
    return [_page(shown[start : start + most], paper) for start in range(0, len(shown), most)]


def _page(shown: Sequence[tuple[Speaker, Photo]], paper: PaperSize) -> Sheet:
    flow = Flow(lambda: new_sheet(paper.turned, "Photos"))
    flow.words("Photos", HEAD)
    sheet, (left, low, right, _), top = flow.sheet, flow.sheet.area, flow.y - 2.0
    wide, high = (right - left + GAP) / ACROSS, (top - low + GAP) / DOWN
    for number, (speaker, photo) in enumerate(shown):
        x, y = left + number % ACROSS * wide, top - number // ACROSS * high
        _photo(sheet, (x, y - high + GAP, x + wide - GAP, y), speaker, photo)
    return sheet


def _photo(sheet: Sheet, box: Box, speaker: Speaker, photo: Photo) -> None:
    """One photo in the upper left of a box, and under it of what it is."""
    left, low, right, high = box
    under = low + line_height(NAME) + line_height(FILE) + FOOT
    picture = None if photo.file is None else _pixels(photo.file)
    if picture is None:
        sheet.frame((left, under, right, high), color=palette.FAINT)
        sheet.paragraph(left + 3.0, high - 3.0, right - left - 6.0, NOT_SHOWN, FILE, color=palette.SOFT_INK)
    else:
        tall, wide = picture.shape[:2]
        scale = min((right - left) / wide, (high - under) / tall)
        under = high - tall * scale
        _draw(sheet, (left, under, left + wide * scale, high), picture)
    name, file = (cut_to(text, right - left, size) for text, size in ((called(speaker), NAME), (photo.name, FILE)))
    sheet.write(left, under - line_height(NAME), name, NAME)
    sheet.write(left, under - line_height(NAME) - line_height(FILE), file, FILE, color=palette.SOFT_INK)


def _draw(sheet: Sheet, box: Box, picture: Array) -> None:
    left, low, right, high = box
    width, height = sheet.paper.width, sheet.paper.height
    axes = sheet.figure.add_axes((left / width, low / height, (right - left) / width, (high - low) / height))
    axes.set_axis_off()
    axes.imshow(picture, interpolation="none", aspect="auto")


def _pixels(file: Path) -> Array | None:
    """The pixels (H, W, 3) of a photo, upright and no larger than it is printed; None for what is no picture."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of pictures that are large, which are made small here
            with Image.open(file, formats=FORMATS) as opened:
                opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
                upright = ImageOps.exif_transpose(opened).convert("RGB")
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        return np.asarray(upright)
    except (OSError, ValueError, SyntaxError, struct.error, Image.DecompressionBombError):  # what it says of damage
        return None
