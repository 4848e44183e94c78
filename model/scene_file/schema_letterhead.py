"""Keys of the letterhead."""

from __future__ import annotations

import re
from typing import Annotated, ClassVar

from earshed.model.scene_file.fields import Name, Part, Words, from_text

HOW_COLOR = "write six hexadecimal digits, red, green and blue, such as 2a7f8e (a # before them begins a comment)"


def read_color(text: str) -> str:
    """A color as #rrggbb. Raises ValueError."""
    if not re.fullmatch(r"#?[0-9a-fA-F]{6}", text):
        raise ValueError(f"{text or 'nothing'} is no color; {HOW_COLOR}")
    return f"#{text.removeprefix('#').lower()}"


Color = Annotated[str, from_text(read_color, "a color")]


class LetterheadFile(Part):
    """Names, logos and a color for what a client is given."""

    usual_keys: ClassVar[tuple[str, ...]] = ("client", "installer")

    client: Words | None = None
    installer: Words | None = None
    contact: Words | None = None
    color: Color | None = None
    logo: Name | None = None
    client_logo: Name | None = None
