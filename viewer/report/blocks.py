"""What a report is made of, whatever it is then written as: words, lists, tables, cards and pictures, by sections."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, Literal, TypeVar

from PIL import Image

from earshed.model.speaker_type import Verdict
from earshed.viewer.compare.views import Difference, Key, ViewPair
from earshed.viewer.pages.room_view import RoomView
from earshed.viewer.wording import shortened, undirected

LONGEST = 700
"""Characters of a text; what is longer is cut, so that nobody's name pushes all else off the page."""
T = TypeVar("T")


@dataclass(frozen=True)
class Words:
    """A paragraph: one that says it all, one like others, or a remark."""

    text: str
    tone: Literal["first", "plain", "note", "bad"] = "plain"


@dataclass(frozen=True)
class Lines:
    """A list under a title of its own, perhaps empty; `rest` is what needs no doing."""

    title: str
    lines: tuple[str, ...]
    rest: str = ""


@dataclass(frozen=True)
class Table:
    """A table under a title; `shares` of the width for its columns, the first of which heads each row."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    note: str = ""


@dataclass(frozen=True)
class Gets:
    """What a seat gets, in words under a head, with the sign of its verdict; None where there is none."""

    head: str
    verdict: Verdict | None
    words: str


@dataclass(frozen=True)
class Card:
    """A seat, what it gets, one thing after another, and what that comes to."""

    name: str
    main: bool
    gets: tuple[Gets, ...]
    told: str


@dataclass(frozen=True)
class Cards:
    cards: tuple[Card, ...]


@dataclass(frozen=True)
class Terms:
    """Words and what they mean; where they are verdicts, with their signs."""

    items: tuple[tuple[str, str], ...]
    marked: bool = False


@dataclass(frozen=True, eq=False)
class Shot:
    """A picture; `shows` is for those who cannot see it, `photo` for one with soft shades."""

    picture: Image.Image
    caption: str
    shows: str
    key: Key
    photo: bool = False


@dataclass(frozen=True, eq=False)
class Beside:
    """The same view before and after."""

    view: ViewPair
    before: str
    after: str
    photo: bool = False


@dataclass(frozen=True, eq=False)
class Change:
    """A picture of what is other."""

    change: Difference


@dataclass(frozen=True, eq=False)
class Turning:
    """A room to turn, on what is no paper."""

    view: RoomView


@dataclass(frozen=True)
class Blanks:
    """Lines to write on, each with a word before it."""

    labels: tuple[str, ...]


Block = Words | Lines | Table | Cards | Terms | Shot | Beside | Change | Turning | Blanks


@dataclass(frozen=True, eq=False)
class Part:
    """What stands under a smaller heading, perhaps an empty one."""

    title: str
    blocks: tuple[Block, ...]

    @property
    def is_beside(self) -> bool:
        """Whether it begins with a picture that the rest belongs to, and can stand beside."""
        return len(self.blocks) > 1 and isinstance(self.blocks[0], Shot | Beside)


@dataclass(frozen=True, eq=False)
class Section:
    """What stands under one heading; `name` is fit for an address within a page."""

    name: str
    title: str
    blocks: tuple[Block | Part, ...]


@dataclass(frozen=True, eq=False)
class Head:
    """From whom and for whom a report is, what of, and when."""

    title: str
    scheme: str
    date: str
    client: str | None
    installer: str | None
    contact: str | None
    color: str | None
    logo: Image.Image | None
    client_logo: Image.Image | None


@dataclass(frozen=True, eq=False)
class Report:
    """All that is told, in order."""

    head: Head
    sections: tuple[Section, ...]


def tidied(thing: T) -> T:
    """A block, or anything of blocks, with every text in it fit to stand beside others: of one line, not endless, and
    without signs that turn the direction of what follows."""
    return _tidied(thing)  # type: ignore[no-any-return]


def _tidied(thing: Any) -> Any:
    if isinstance(thing, str):
        return plain(thing)
    if isinstance(thing, tuple):
        return tuple(map(_tidied, thing))
    if isinstance(thing, RoomView) or not is_dataclass(thing) or isinstance(thing, type):
        return thing
    return replace(thing, **{one.name: _tidied(getattr(thing, one.name)) for one in fields(thing)})


def plain(text: str) -> str:
    """A text as it is told. Names in other scripts keep their letters, which know their own direction."""
    return shortened(undirected(text).strip(), LONGEST)
