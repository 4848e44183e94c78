"""A report on paper: the same blocks, one under another, with the sheets of its appendix behind them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import singledispatch

from PIL import Image

from earshed.model.scene import Scene
from earshed.viewer import palette
from earshed.viewer.report.blocks import (
    Beside,
    Blanks,
    Block,
    Cards,
    Change,
    Head,
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
from earshed.viewer.report.fitting import Spread, fitted
from earshed.viewer.report.placed import placed_key
from earshed.viewer.sheets.files import pdf_of
from earshed.viewer.sheets.flow import Style
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import MARGIN, Sheet, new_sheet
from earshed.viewer.sheets.title_block import stamp
from earshed.viewer.sheets.writing import cut_to, text_width

TITLE, HEAD, PART = Style(22.0, bold=True), Style(16.0, bold=True), Style(12.0, bold=True)
PLAIN, ROW, DIM = Style(10.5), Style(9.5), Style(9.0, color=palette.SOFT_INK)
TONES = {
    "first": Style(13.0, bold=True), "plain": PLAIN, "note": DIM, "bad": Style(11.0, bold=True, color=palette.LIMIT),
}  # fmt: skip
MARKS = {"covered": "●", "fringe": "◐", "outside": "✕", "blocked": "✕"}
BULLET, TERM = 4.5, 30.0
"""Millimetres that a bullet and a word that is explained take up."""
BRAND = 2.0
"""Millimetres of the stripe under the head."""
LOGO = (55.0, 18.0)
WHOLE, SMALLER = (118.0, 84.0), (92.0, 66.0)
"""Millimetres that a picture takes up at the most, across and upwards: by itself, and with more of a part beside it."""
BESIDE, ROOM = 52.0, 78.0
"""Millimetres beside pictures from which their captions stand there, and from which the rest of a part does."""
LABEL, APART = 5.5, 4.0
"""Millimetres over a picture for its words, and between two."""
AT_LEAST, WORDS = 24.0, 9.0
"""Millimetres that are to follow on the sheet of a heading, of what may go on to another; those of a paragraph."""
SECTION_HEAD, PART_HEAD = 19.0, 12.0
"""Millimetres of the headings of a section and of a part."""
SMALL = 8.0
"""Points."""
UNDER = 8.5
"""Millimetres at the foot of a page that its title and number take up."""


PREDICTED = "Predicted from the room's measurements, not measured. Pictures are not to scale."

Labeled = tuple[Image.Image, str]
"""A picture with a word or two to stand over it."""


def report_pdf(report: Report, scene: Scene, appendix: Sequence[Sheet], paper: PaperSize) -> bytes:
    """The document; all pages are numbered together."""

    def blank() -> Sheet:
        return new_sheet(paper, report.head.title, foot=UNDER)

    def lay(flow: Spread) -> None:
        _head(flow, report.head)
        for section in report.sections:
            _section(flow, section)

    flow = Spread(blank, scales=fitted(lay, blank()))
    lay(flow)
    pages = [*flow.sheets, *appendix]
    for number, sheet in enumerate(flow.sheets, start=1):
        _foot(sheet, report.head, f"page {number} of {len(pages)}")
    stamp(appendix, scene, report.head.date, after=len(flow.sheets))
    return pdf_of(pages, report.head.title)


def _head(flow: Spread, head: Head) -> None:
    high = 0.0
    for picture, at_right in ((head.logo, False), (head.client_logo, True)):
        if picture is not None:
            scale = min(LOGO[0] / picture.width, LOGO[1] / picture.height)
            wide, tall = picture.width * scale, picture.height * scale
            left = flow.right - wide if at_right else flow.left
            flow.sheet.picture(picture, (left, flow.y - tall, left + wide, flow.y))
            high = max(high, tall)
    flow.gap(high + (4.0 if high else 0.0))
    flow.words(head.title, TITLE)
    flow.words(f"{head.scheme} · {head.date}", PLAIN)
    flow.gap(1.5)
    for what, who in (("For", head.client), ("From", head.installer), ("Contact", head.contact)):
        if who:
            flow.row(what, who, PLAIN, 18.0)
    flow.gap(2.0)
    flow.sheet.fill((flow.left, flow.y - BRAND, flow.right, flow.y), head.color or palette.INK)
    flow.gap(BRAND + 2.0)


def _foot(sheet: Sheet, head: Head, page: str) -> None:
    left, right, top = MARGIN, sheet.paper.width - MARGIN, MARGIN + UNDER
    sheet.line([(left, top), (right, top)], color=palette.FAINT)
    wide = right - left - text_width(page, SMALL, bold=True) - 4.0
    told = " · ".join(filter(None, (head.date, head.installer, head.title, head.scheme)))
    sheet.write(left, top - 4.0, cut_to(told, wide, SMALL), SMALL, color=palette.SOFT_INK)
    sheet.write(left, top - 8.0, PREDICTED, SMALL, color=palette.SOFT_INK)
    sheet.write(right, top - 4.0, page, SMALL, bold=True, align="right")


def _section(flow: Spread, section: Section) -> None:
    flow.need(SECTION_HEAD + _least(flow, section.blocks))
    flow.gap(7.0)
    flow.words(section.title, HEAD)
    flow.gap(1.5)
    for one in section.blocks:
        if isinstance(one, Part):
            _part(flow, one)
        else:
            put(one, flow)


def _part(flow: Spread, part: Part) -> None:
    first, *more = part.blocks
    if part.title:
        flow.need(_least(flow, [part]))
        flow.gap(3.0)
        flow.words(part.title, PART)
        flow.gap(1.0)
    if not _stands_beside(flow, part) or not isinstance(first, Shot | Beside):
        for block in part.blocks:
            put(block, flow)
        return
    high = _sizes(flow, _shown(first), SMALLER)[1] + LABEL
    flow.need(high)
    left, page = flow.left, flow.sheet
    end, lowest = _set(flow, first, SMALLER)
    flow.left, flow.y = end, flow.y - LABEL
    _said(flow, first)
    for block in more:
        if isinstance(block, Shot | Beside | Change):
            _go_on_below(flow, page, left, lowest)
        put(block, flow)
    _go_on_below(flow, page, left, lowest)
    flow.gap(2.0)


def _stands_beside(flow: Spread, part: Part) -> bool:
    """Whether there is room beside the pictures of a part for what belongs to them."""
    first = part.blocks[0]
    return part.is_beside and isinstance(first, Shot | Beside) and _end(flow, first, SMALLER) + ROOM <= flow.right


def _go_on_below(flow: Spread, page: Sheet, left: float, lowest: float) -> None:
    """Goes on over the whole width, on the same page under the pictures that words stood beside."""
    flow.left = left
    if flow.sheet is page:
        flow.y = min(flow.y, lowest)


def _least(flow: Spread, blocks: Sequence[Block | Part]) -> float:
    """Millimetres that are to be on the sheet of a heading: up to the first picture, where words alone come before."""
    high = 0.0
    for block in blocks:
        first = block
        if isinstance(block, Part):
            high += PART_HEAD if block.title else 0.0
            first = block.blocks[0]
            if _stands_beside(flow, block) and isinstance(first, Shot | Beside):
                return high + _sizes(flow, _shown(first), SMALLER)[1] + LABEL
        if isinstance(first, Shot | Beside | Change):
            return high + _of_pictures(flow, first)
        if not isinstance(first, Words):
            break
        high += WORDS
    return high + AT_LEAST


def _of_pictures(flow: Spread, block: Shot | Beside | Change) -> float:
    """Millimetres that pictures by themselves take up, with the least of what is said of them."""
    return _sizes(flow, _shown(block), WHOLE)[1] + LABEL + AT_LEAST / 2


@singledispatch
def put(block: Block, flow: Spread) -> None:
    """Sets a block on paper."""
    raise TypeError(f"no way to put {block} on paper")


@put.register
def _(block: Words, flow: Spread) -> None:
    flow.words(block.text, TONES[block.tone])
    flow.gap(1.5)


@put.register
def _(block: Lines, flow: Spread) -> None:
    if block.title:
        flow.words(block.title, Style(PLAIN.size, bold=True))
    for line in filter(None, (*block.lines, block.rest)):
        flow.row("•", line, PLAIN, BULLET)
        flow.gap(0.6)
    flow.gap(1.5)


@put.register
def _(block: Table, flow: Spread) -> None:
    if block.title:
        flow.words(block.title, PART)
        flow.gap(0.5)
    flow.table(block.heads, block.rows, block.shares, ROW)
    flow.gap(1.0)
    if block.note:
        flow.words(block.note, DIM)
        flow.gap(1.0)


@put.register
def _(block: Cards, flow: Spread) -> None:
    """A row for each seat."""
    heads = [gets.head for gets in block.cards[0].gets] if block.cards else []
    rows = []
    for card in block.cards:
        name = f"{card.name} *" if card.main else card.name
        cells = [f"{MARKS[gets.verdict]} {gets.words}" if gets.verdict else gets.words for gets in card.gets]
        rows.append((name, *cells, card.told))
    flow.table(("seat (* main)", *heads, ""), rows, (1.1, *(2.0 for _ in heads), 1.1), ROW)
    flow.gap(2.0)


@put.register
def _(block: Terms, flow: Spread) -> None:
    for term, means in block.items:
        flow.row(f"{MARKS[term]} {term}" if block.marked and term in MARKS else term, means, PLAIN, TERM)
        flow.gap(0.5)
    flow.gap(1.5)


@put.register
def _(block: Shot | Beside | Change, flow: Spread) -> None:
    """Pictures, and what is said of them beside them or below."""
    flow.need(_of_pictures(flow, block))
    left = flow.left
    end, lowest = _set(flow, block, WHOLE)
    if flow.right - end >= BESIDE:
        flow.left, flow.y = end, flow.y - LABEL
        _said(flow, block)
        flow.left, flow.y = left, min(flow.y, lowest)
    else:
        flow.y = lowest - 1.0
        _said(flow, block)
    flow.gap(3.0)


def _shown(block: Shot | Beside | Change) -> list[Labeled]:
    """The pictures of a block, each with a word or two to stand over it."""
    match block:
        case Shot():
            return [(block.picture, "")]
        case Beside():
            return [(block.view.before, f"before: {block.before}"), (block.view.after, f"after: {block.after}")]
        case Change():
            return [(block.change.picture, "")]


@put.register
def _(block: Turning, flow: Spread) -> None:
    """Paper does not turn."""


@put.register
def _(block: Blanks, flow: Spread) -> None:
    flow.need(24.0)
    flow.gap(16.0)
    share = flow.width / len(block.labels)
    for number, label in enumerate(block.labels):
        left = flow.left + number * share
        flow.sheet.line([(left, flow.y), (left + share - 6.0, flow.y)])
        flow.sheet.write(left, flow.y - 4.0, label, SMALL, color=palette.SOFT_INK)
    flow.gap(8.0)


def _sizes(flow: Spread, shown: Sequence[Labeled], most: tuple[float, float]) -> tuple[float, float]:
    """How wide and high each of some pictures of one size is, millimetres."""
    picture = shown[0][0]
    most = (most[0] * flow.scale, most[1] * flow.scale)
    wide = min(most[0], (flow.width - APART * (len(shown) - 1)) / len(shown), most[1] * picture.width / picture.height)
    return wide, wide * picture.height / picture.width


def _end(flow: Spread, block: Shot | Beside | Change, most: tuple[float, float]) -> float:
    """Where what stands beside the pictures of a block begins."""
    shown = _shown(block)
    return flow.left + len(shown) * (_sizes(flow, shown, most)[0] + APART) + 1.0


def _set(flow: Spread, block: Shot | Beside | Change, most: tuple[float, float]) -> tuple[float, float]:
    """Sets the pictures of a block beside each other, each under its words; where what stands beside them begins, and
    how far down they go."""
    shown = _shown(block)
    wide, high = _sizes(flow, shown, most)
    label = LABEL if any(words for _, words in shown) else 0.0
    for number, (one, words) in enumerate(shown):
        x = flow.left + number * (wide + APART)
        if words:
            cut = cut_to(words, wide, ROW.size, bold=True)
            flow.sheet.write(x, flow.y - 4.0, cut, ROW.size, bold=True)
        box = (x, flow.y - label - high, x + wide, flow.y - label)
        flow.sheet.picture(one, box)
        flow.sheet.frame(box, color=palette.FAINT)
    return _end(flow, block, most), flow.y - label - high


def _said(flow: Spread, block: Shot | Beside | Change) -> None:
    """What is said of pictures, and their colors."""
    match block:
        case Shot():
            caption, key = block.caption, block.key
        case Beside():
            caption, key = block.view.caption, block.view.key
        case Change():
            caption, key = f"{block.change.title}. {block.change.caption}", block.change.key
    if caption:
        flow.words(caption, DIM)
    placed_key(flow, key)
    flow.gap(1.5)
