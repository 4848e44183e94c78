"""What a picture of before and after is made of, whatever it is then shown on."""

from __future__ import annotations

from dataclasses import dataclass

from PIL import Image


@dataclass(frozen=True)
class Swatch:
    """A color of a key and what it means; `struck` where strokes lie over it."""

    color: str
    words: str
    struck: bool = False


@dataclass(frozen=True, eq=False)
class Key:
    """The colors of a picture, and over them what they tell."""

    title: str
    swatches: tuple[Swatch, ...]


@dataclass(frozen=True, eq=False)
class ViewPair:
    """The same view of two scenes: both pictures of one size, seen from one place, in the colors of one key.

    `name` is fit for a file, `caption` says what there is to see, and `shows` what the picture is of, for those who
    cannot see it.
    """

    name: str
    title: str
    caption: str
    shows: str
    pictures: tuple[Image.Image, Image.Image]
    key: Key

    @property
    def before(self) -> Image.Image:
        return self.pictures[0]

    @property
    def after(self) -> Image.Image:
        return self.pictures[1]


@dataclass(frozen=True, eq=False)
class Difference:
    """A picture of what is other between two scenes."""

    name: str
    title: str
    caption: str
    shows: str
    picture: Image.Image
    key: Key
