"""A report as one page: a single HTML file that works from a mail attachment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import singledispatch
from typing import Any

from PIL import Image

from earshed.viewer.compare.views import Key
from earshed.viewer.pages.assets import SCRIPTS, STYLES, assets, templates
from earshed.viewer.pages.pictures import change_parts, color_classes, color_rules, pair_parts, picture_parts
from earshed.viewer.pages.room_view import room_figure
from earshed.viewer.report.blocks import (
    Beside,
    Blanks,
    Block,
    Cards,
    Change,
    Lines,
    Part,
    Report,
    Section,
    Shot,
    Table,
    Terms,
    Turning,
    Words,
)

NO_COLOR = "#1f6572"


def report_page(report: Report, appendix: Sequence[tuple[str, Image.Image]] = ()) -> bytes:
    """The page, in UTF-8; `appendix` are sheets as pictures, each with what it is."""
    blocks = list(_all_blocks(report))
    classes = color_classes(key for block in blocks for key in _keys(block))
    head = report.head
    rules = (*color_rules(classes), f".report {{ --brand: {head.color or NO_COLOR}; }}")
    page = templates().get_template("report.html")
    text = page.render(
        assets=assets((*SCRIPTS, "compare.js"), (*STYLES, "compare.css", "report.css"), rules),
        kind="compare report",
        title=head.title,
        head=head,
        logos=[
            {"of": words or "", **picture_parts(picture, photo=False)}
            for picture, words in ((head.logo, head.installer), (head.client_logo, head.client))
            if picture is not None
        ],
        sections=[_section(section) for section in report.sections],
        appendix=[
            {"title": title, "number": number, "picture": picture_parts(picture, photo=False)}
            for number, (title, picture) in enumerate(appendix, start=1)
        ],
        color_class=classes,
    )
    return text.encode("utf-8")


def _section(section: Section) -> dict[str, Any]:
    blocks = [_part(one) if isinstance(one, Part) else parts_of(one) for one in section.blocks]
    return {"name": section.name, "title": section.title, "blocks": blocks}


def _part(part: Part) -> dict[str, Any]:
    """A part as a template takes it; words stand `beside` a picture that begins it."""
    blocks = list(map(parts_of, part.blocks))
    return {"kind": "part", "title": part.title, "blocks": blocks, "beside": part.is_beside}


@singledispatch
def parts_of(block: Block) -> dict[str, Any]:
    """A block as a template takes it."""
    raise TypeError(f"no way to put {block} on a page")


@parts_of.register
def _(block: Words) -> dict[str, Any]:
    return {"kind": "words", "text": block.text, "tone": block.tone}


@parts_of.register
def _(block: Lines) -> dict[str, Any]:
    return {"kind": "lines", "title": block.title, "lines": block.lines, "rest": block.rest}


@parts_of.register
def _(block: Table) -> dict[str, Any]:
    return {
        "kind": "table",
        "title": block.title,
        "heads": block.heads,
        "rows": block.rows,
        "note": block.note,
        "wide": len(block.heads) > 3,
    }


@parts_of.register
def _(block: Cards) -> dict[str, Any]:
    return {"kind": "cards", "cards": block.cards}


@parts_of.register
def _(block: Terms) -> dict[str, Any]:
    return {"kind": "terms", "items": block.items, "marked": block.marked}


@parts_of.register
def _(block: Shot) -> dict[str, Any]:
    shape = "tall" if block.picture.height > block.picture.width else "wide"
    picture = picture_parts(block.picture, photo=block.photo)
    return {"kind": "shot", "caption": block.caption, "shows": block.shows, "key": block.key, "shape": shape,
            "picture": picture}  # fmt: skip


@parts_of.register
def _(block: Beside) -> dict[str, Any]:
    view = pair_parts(block.view, photo=block.photo)
    return {"kind": "beside", "view": view, "before": block.before, "after": block.after}


@parts_of.register
def _(block: Change) -> dict[str, Any]:
    return {"kind": "change", "change": change_parts(block.change)}


@parts_of.register
def _(block: Turning) -> dict[str, Any]:
    return {"kind": "turning", "figure": room_figure(block.view)}


@parts_of.register
def _(block: Blanks) -> dict[str, Any]:
    return {"kind": "blanks", "labels": block.labels}


def _all_blocks(report: Report) -> Iterator[Block]:
    for section in report.sections:
        for one in section.blocks:
            yield from one.blocks if isinstance(one, Part) else (one,)


def _keys(block: Block) -> Iterator[Key]:
    match block:
        case Shot():
            yield block.key
        case Beside():
            yield block.view.key
        case Change():
            yield block.change.key
