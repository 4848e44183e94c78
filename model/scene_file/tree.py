"""The text of a scene file as a tree in which every value knows its place.

Every scalar stays text, so `on`, `16:9` and `010` mean what they say. What a scene has no use for is refused:
aliases, tags, several documents, repeated keys, keys that are not text.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import yaml

from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.syntax import explain

_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
LARGEST_FILE = 2_000_000
DEEPEST = 40


@dataclass(frozen=True)
class Text:
    value: str
    mark: Mark


@dataclass(frozen=True)
class Entry:
    """One key of a table: where the key stands, and what it holds.

    `borrowed` where a catalog brought it, so that its name is none of those that the scene itself gives.
    """

    mark: Mark
    node: Node
    borrowed: bool = False


@dataclass(frozen=True)
class Items:
    nodes: tuple[Node, ...]
    mark: Mark


@dataclass(frozen=True)
class Table:
    entries: dict[str, Entry]
    mark: Mark

    def get(self, key: str) -> Node | None:
        entry = self.entries.get(key)
        return entry.node if entry else None


Node = Text | Items | Table
Plain = str | list["Plain"] | dict[str, "Plain"]


def read_tree(path: Path) -> Table:
    """The tree of a file. Raises SceneError, with its place, for text that is no scene."""
    shown = shown_path(path)
    start = Mark(shown, 1, 1)
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:  # a ValueError is a path that no file can have
        raise SceneError(f"cannot read the file: {getattr(error, 'strerror', None) or error}", start) from None
    if len(raw) > LARGEST_FILE:
        raise SceneError(f"the file is larger than {LARGEST_FILE // 1_000_000} MB, so it is hardly a scene", start)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise SceneError("the file is not UTF-8 text; save it as UTF-8", Mark(shown, line, 1)) from None
    return parse_tree(text, shown)


def shown_path(path: Path) -> str:
    """A path as it is printed: one from an old disk may not be UTF-8."""
    return os.fsencode(path).decode("utf-8", "replace")


def read_brought(path: Path, via: Mark) -> Table:
    """The tree of a file that the line at `via` brings in; every place in it says so. Raises SceneError, as does it."""
    try:
        tree = read_tree(path)
    except SceneError as error:
        raise SceneError(error.words, replace(error.mark, via=via)) from None
    brought = _brought(tree, via)
    assert isinstance(brought, Table)
    return brought


@lru_cache(maxsize=64)
def parse_tree(text: str, file: str) -> Table:
    """The tree of a scene's text; `file` names it in messages. Raises SceneError.

    A text is parsed once: most of the time that a scene takes to read goes into its catalogs, which stay as they are.
    """
    try:
        events = list(_events(text, file))
    except yaml.MarkedYAMLError as error:
        raise SceneError(*explain(error, text, file)) from None
    except yaml.reader.ReaderError as error:
        raise SceneError(
            f"the character with code {error.character!r} cannot stand in a scene file",
            _at_offset(text, error.position, file),
        ) from None
    node = _Builder(events, file).document()
    if not isinstance(node, Table):
        raise SceneError("a scene is a list of keys, beginning with `format: 1`", node.mark)
    return node


def _brought(node: Node, via: Mark) -> Node:
    mark = replace(node.mark, via=via)
    match node:
        case Text(value=value):
            return Text(value, mark)
        case Items(nodes=nodes):
            return Items(tuple(_brought(item, via) for item in nodes), mark)
        case Table(entries=entries):
            return Table(
                {key: Entry(replace(e.mark, via=via), _brought(e.node, via)) for key, e in entries.items()}, mark
            )


def plain(node: Node) -> Plain:
    """The tree's values without their places."""
    match node:
        case Text(value=value):
            return value
        case Items(nodes=nodes):
            return [plain(item) for item in nodes]
        case Table(entries=entries):
            return {key: plain(entry.node) for key, entry in entries.items()}


def mark_at(node: Node, path: tuple[str | int, ...], *, key: bool = False) -> Mark:
    """Where the value at a path stands (its key with `key`), or the deepest part of the path that the file has."""
    mark = node.mark
    for step in path:
        if isinstance(node, Table) and isinstance(step, str) and step in node.entries:
            entry = node.entries[step]
            node, mark = entry.node, entry.mark if key else entry.node.mark
        elif isinstance(node, Items) and isinstance(step, int) and step < len(node.nodes):
            node = node.nodes[step]
            mark = node.mark
        # a part that is not in the file, such as the name of a union's member, is passed over
    return mark


def _events(text: str, file: str) -> Iterator[yaml.Event]:
    depth = 0
    loader = yaml.SafeLoader(text)
    try:
        while loader.check_event():
            event = loader.get_event()  # type: ignore[no-untyped-call]
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth > DEEPEST:
                raise SceneError(f"more than {DEEPEST} levels inside one another", _mark(event, file))
            yield event
    except ValueError:  # PyYAML hands numbers past what Python takes, in escapes and directives, straight to it
        at = loader.get_mark()
        raise SceneError("a number here is too large to be read", Mark(file, at.line + 1, at.column + 1)) from None
    finally:
        loader.dispose()


def _mark(event: yaml.Event, file: str) -> Mark:
    start = event.start_mark
    return Mark(file, start.line + 1, start.column + 1) if start else Mark(file, 1, 1)


def _at_offset(text: str, offset: int, file: str) -> Mark:
    lines = _LINE_END.split(text[:offset])
    return Mark(file, len(lines), len(lines[-1]) + 1)


class _Builder:
    """Turns a well-formed stream of events into a tree."""

    def __init__(self, events: list[yaml.Event], file: str) -> None:
        self._events = iter(events)
        self._file = file

    def document(self) -> Node:
        next(self._events)  # stream start
        event = next(self._events)
        if not isinstance(event, yaml.DocumentStartEvent):
            raise SceneError("the file is empty", Mark(self._file, 1, 1))
        node = self._node(next(self._events))
        next(self._events)  # document end
        after = next(self._events)
        if not isinstance(after, yaml.StreamEndEvent):
            raise SceneError("a second document begins here; a scene file holds one", _mark(after, self._file))
        return node

    def _node(self, event: yaml.Event) -> Node:
        mark = _mark(event, self._file)
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise SceneError("anchors and aliases (& and *) are not used in scene files; write the value out", mark)
        if getattr(event, "tag", None):
            raise SceneError(f"tags such as {event.tag} are not used in scene files", mark)  # type: ignore[attr-defined]
        if isinstance(event, yaml.ScalarEvent):
            value = " ".join(event.value.split())
            for sign in value:
                if unicodedata.category(sign) in ("Cc", "Cs"):  # let in by an escape such as "\\0"
                    raise SceneError(f"the character with code {ord(sign)} cannot stand in a scene file", mark)
            return Text(value, mark)
        if isinstance(event, yaml.SequenceStartEvent):
            return Items(tuple(self._items()), mark)
        return Table(self._entries(), mark)

    def _items(self) -> Iterator[Node]:
        while not isinstance(event := next(self._events), yaml.SequenceEndEvent):
            yield self._node(event)

    def _entries(self) -> dict[str, Entry]:
        entries: dict[str, Entry] = {}
        while not isinstance(event := next(self._events), yaml.MappingEndEvent):
            key = self._node(event)
            if not isinstance(key, Text):
                raise SceneError("a key must be a word or a name", key.mark)
            if key.value in entries:
                first = entries[key.value].mark.line
                raise SceneError(f"`{key.value}` stands here a second time; it is already on line {first}", key.mark)
            entries[key.value] = Entry(key.mark, self._node(next(self._events)))
        return entries
