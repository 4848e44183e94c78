"""Reports for the tests, each put together once, with small pictures."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from PIL import Image

from earshed.viewer.compare import plan_views
from earshed.viewer.compare.views import Key
from earshed.viewer.gl import prepare_offscreen
from earshed.viewer.output import OutputError
from earshed.viewer.pages.report_page import report_page
from earshed.viewer.report import facts as found
from earshed.viewer.report import shots
from earshed.viewer.report.asked import chosen
from earshed.viewer.report.blocks import Block, Cards, Lines, Part, Report, Shot, Table, Terms, Words
from earshed.viewer.report.facts import Facts, facts_of
from earshed.viewer.report.paper import report_pdf
from earshed.viewer.report.report import head_of, report_of
from earshed.viewer.report.shots import Shots
from earshed.viewer.sheets.paper_size import PAPERS

DATE = "2030-01-02"
SMALL = (132, 110)
SLOW = ("office",)
"""Scenes in which a second place takes seconds to be found: theirs are left out here."""
FLAT = ("attic", "barn", "basement", "den", "office", "timber")
"""Scenes of which nothing is drawn in three dimensions here, which takes seconds, as where there is no OpenGL."""


def nothing() -> None:
    """In place of a bar that shows how far one is."""


@cache
def facts(path: Path) -> Facts:
    search = found.second_choices
    try:
        if path.stem in SLOW:
            found.second_choices = lambda *_: iter(())
        return facts_of(path, *chosen(path, None, None), DATE, nothing)
    finally:
        found.second_choices = search


@cache
def report(path: Path) -> Report:
    prepare_offscreen()
    found_ = facts(path)
    dots, trying_gl = plan_views.DOTS, shots.trying_gl
    try:
        plan_views.DOTS = 24
        if path.stem in FLAT:
            shots.trying_gl = none_here
        return report_of(found_, shots.take_shots(found_, nothing, SMALL), head_of(found_))
    finally:
        plan_views.DOTS, shots.trying_gl = dots, trying_gl


@contextmanager
def none_here() -> Iterator[Callable[[], None]]:
    """In place of what looks for OpenGL."""

    def refuse() -> None:
        raise OutputError("no OpenGL library")

    yield refuse


def told(path: Path) -> str:
    """What a report says that has no picture."""
    return " ".join(words_of(report_of(facts(path), blank_shots(), head_of(facts(path)))))


def blank_shots() -> Shots:
    """In place of pictures."""
    blank = Shot(Image.new("RGB", (2, 2)), "A plan.", "A plan", Key("", ()))
    return Shots(None, "No pictures.", blank, blank, blank, None, None, {})


@cache
def page(path: Path) -> str:
    return report_page(report(path)).decode("utf-8")


@cache
def pdf(path: Path) -> bytes:
    return report_pdf(report(path), facts(path).scene, (), PAPERS["Letter"])


def blocks(told: Report) -> Iterator[Block]:
    for section in told.sections:
        for one in section.blocks:
            yield from one.blocks if isinstance(one, Part) else (one,)


def words_of(told: Report) -> Iterator[str]:
    """Everything that a report says in words, but for captions."""
    yield told.head.title
    for section in told.sections:
        yield section.title
        for block in section.blocks:
            if isinstance(block, Part):
                yield block.title
    for block in blocks(told):
        match block:
            case Words(text=text):
                yield text
            case Lines(title=title, lines=lines, rest=rest):
                yield from (title, *lines, rest)
            case Table(title=title, heads=heads, rows=rows, note=note):
                yield from (title, note, *heads, *(cell for row in rows for cell in row))
            case Terms(items=items):
                yield from (word for item in items for word in item)
            case Cards(cards=cards):
                for card in cards:
                    yield from (card.name, card.told, *(gets.words for gets in card.gets))


def text_of(page_: str) -> str:
    """What one reads of a page."""
    bare = re.sub(r"<(style|script)\b.*?</\1>|<[^>]*>", " ", page_, flags=re.DOTALL)
    return " ".join(html.unescape(bare).split())


def squeezed(text: str) -> str:
    """Text without any room in it, however its lines were broken."""
    return "".join(text.split())
