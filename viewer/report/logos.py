"""Logos as a report shows them: read, brought down to size, and free of all else that a file may hold."""

from __future__ import annotations

import io
import warnings
from pathlib import Path

from PIL import Image

from earshed.model.letterhead import Logo
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import place_of

LARGEST = (900, 300)
"""Pixels that a logo is brought down to."""
MOST_PIXELS = 40_000_000


def logo_picture(logo: Logo | None, key: str, path: Path) -> Image.Image | None:
    """The picture of a logo, which the letterhead of the scene in a file names under a key. Raises SceneError."""
    if logo is None:
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(logo.content), formats=("PNG", "JPEG")) as found:
                if found.width * found.height > MOST_PIXELS:
                    raise ValueError(f"it has {found.width} by {found.height} pixels, and {MOST_PIXELS:,} are the most")
                picture = found.convert("RGBA")
    except (OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError) as error:
        why = str(error) if isinstance(error, ValueError) else "the file is damaged, or not what its name says"
        words = f"letterhead, {key}: {logo.file[:60]} cannot be shown as a picture: {why}"
        raise SceneError(words, place_of(path, ("letterhead", key))) from None
    picture.thumbnail(LARGEST, Image.Resampling.LANCZOS)
    page = Image.new("RGB", picture.size, "white")
    page.paste(picture, mask=picture.getchannel("A"))
    return page
