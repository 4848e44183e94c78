"""Pictures on a page: as data, with the classes that stand for the colors of their keys."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable, Mapping
from typing import Any

from markupsafe import Markup
from PIL import Image

from earshed.viewer.compare.views import Difference, Key, ViewPair

PHOTO_QUALITY = 84


def color_classes(keys: Iterable[Key]) -> dict[str, str]:
    """A class for each color of some keys."""
    colors = dict.fromkeys(swatch.color for key in keys for swatch in key.swatches)
    return {color: f"c{number}" for number, color in enumerate(colors)}


def color_rules(classes: Mapping[str, str]) -> tuple[str, ...]:
    """The style that gives those classes their colors."""
    return tuple(f".compare .{name} {{ background-color: {color}; }}" for color, name in classes.items())


def pair_parts(view: ViewPair, *, photo: bool = False) -> dict[str, Any]:
    """A view of two scenes as a template takes it."""
    return {
        "name": view.name,
        "title": view.title,
        "caption": view.caption,
        "shows": view.shows,
        "key": view.key,
        "shape": "tall" if view.before.height > view.before.width else "wide",
        "same": photo and view.before.tobytes() == view.after.tobytes(),
        "before": picture_parts(view.before, photo=photo),
        "after": picture_parts(view.after, photo=photo),
    }


def change_parts(one: Difference) -> dict[str, Any]:
    """A picture of what is other as a template takes it."""
    return {
        "title": f"{one.title}.",
        "caption": one.caption,
        "shows": one.shows,
        "key": one.key,
        "picture": picture_parts(one.picture, photo=False),
    }


def picture_parts(image: Image.Image, *, photo: bool) -> dict[str, Any]:
    """A picture with its size, as a data URI; flat colors are kept as they are."""
    buffer = io.BytesIO()
    if photo:
        image.save(buffer, "WEBP", quality=PHOTO_QUALITY, method=4)
    else:
        image.save(buffer, "WEBP", lossless=True, quality=60, method=3)
    uri = f"data:image/webp;base64,{base64.b64encode(buffer.getvalue()).decode('ascii')}"
    return {"uri": Markup(uri), "width": image.width, "height": image.height}
