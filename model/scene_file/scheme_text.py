"""One more scheme in the text of a scene file, all else of which stays as it is, to the letter."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import yaml

from earshed.model.scene_file.flow_text import change_lines, flow_text, key_text
from earshed.model.scene_file.tree import Plain

_BOM = "\ufeff"
_COMMENT = re.compile(r"([ ]*)#[^\r\n]*(?:\r\n|\r|\n|$)")
_LINE_END = re.compile(r"\r\n|\r|\n")
_FLOW_GAP = re.compile(r"(?:[ \t\r\n]|(?:(?<=[\s,{\[])|^)#[^\r\n]*)*")


@dataclass(frozen=True)
class _Spot:
    """Where in a text more of a mapping can be put: of one in braces, whether a comma must go before; of one in lines,
    in which column its keys stand."""

    index: int
    in_braces: bool
    comma: bool = False
    column: int = 0


def scheme_inserted(text: str, name: str, body: Mapping[str, Plain]) -> str:
    """The text of a scene, that reads as one, with one more scheme after the others.

    Its lines end as the others do. The text may begin with a byte order mark.
    """
    bom = _BOM if text.startswith(_BOM) else ""
    bare = text.removeprefix(_BOM)
    root, schemes = _spots(bare)
    spot = schemes or root
    if spot.in_braces:
        added = f"{key_text(name)}: {flow_text(dict(body))}"
        more = f"{', ' if spot.comma else ''}{added if schemes else f'schemes: {{{added}}}'}"
        return bom + bare[: spot.index] + more + bare[spot.index :]
    indent = " " * spot.column
    lines = [] if schemes else ["", f"{indent}schemes:"]
    inner = indent if schemes else f"{indent}  "
    if body:
        lines += [f"{inner}{key_text(name)}:", *change_lines(body, indent=f"{inner}  ")]
    else:
        lines.append(f"{inner}{key_text(name)}: {{}}")
    return bom + _with_lines(bare, spot.index, lines)


def _with_lines(text: str, index: int, lines: list[str]) -> str:
    """A text with lines put in where one begins, or at its end."""
    found = _LINE_END.search(text)
    end = found[0] if found else "\n"
    before, after = text[:index], text[index:]
    broken = not before.endswith(("\n", "\r"))
    last = "" if broken and not after else end
    return f"{before}{end if broken else ''}{end.join(lines)}{last}{after}"


def _spots(text: str) -> tuple[_Spot, _Spot | None]:
    """Where more keys go at the top of a scene, and where in its schemes, if it has any."""
    events = list(yaml.parse(text, Loader=yaml.SafeLoader))
    root = next(index for index, event in enumerate(events) if isinstance(event, yaml.MappingStartEvent))
    schemes: _Spot | None = None
    index = root + 1
    while not isinstance(events[index], yaml.MappingEndEvent):
        key, value = events[index], index + 1
        after = _after(events, value)
        if isinstance(key, yaml.ScalarEvent) and key.value == "schemes":
            schemes = _spot(text, events, value, after - 1)
        index = after
    return _spot(text, events, root, index), schemes


def _after(events: list[yaml.Event], index: int) -> int:
    """The event after a whole node."""
    depth = 0
    while True:
        event = events[index]
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        index += 1
        if depth == 0:
            return index


def _spot(text: str, events: list[yaml.Event], start: int, end: int) -> _Spot:
    """Where more of a mapping, whose events are from `start` to `end`, can be put."""
    if getattr(events[start], "flow_style", False):
        close, held = _begins(events[end]).index, end > start + 1
        filled = text[_ends(events[end - 1]) : close] if held else ""
        gap = _FLOW_GAP.match(filled)
        comma = held and not (gap is not None and filled[gap.end() : gap.end() + 1] == ",")
        return _Spot(close, True, comma)
    column = _begins(events[start]).column
    return _Spot(_line_after(text, _content_end(events, end), column), False, column=column)


def _content_end(events: list[yaml.Event], end: int) -> int:
    """Where the last word before an event ends. Blocks end nowhere by themselves, what is in them does."""
    index = end - 1
    while isinstance(events[index], yaml.CollectionEndEvent) and _begins(events[index]).index == _ends(events[index]):
        index -= 1
    return _ends(events[index])


def _begins(event: yaml.Event) -> yaml.Mark:
    assert isinstance(event.start_mark, yaml.Mark)
    return event.start_mark


def _ends(event: yaml.Event) -> int:
    assert isinstance(event.end_mark, yaml.Mark)
    return event.end_mark.index


def _line_after(text: str, index: int, column: int) -> int:
    """The beginning of the first line after a place, and after comments there that stand as far in as the keys do."""
    if index == 0 or text[index - 1] not in "\r\n":
        found = _LINE_END.search(text, index)
        index = found.end() if found else len(text)
    while (comment := _COMMENT.match(text, index)) and len(comment[1]) >= max(column, 1):
        index = comment.end()
        if comment.end() == len(text):
            break
    return index
