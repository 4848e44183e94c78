"""Changes to a scene as one value: the body of an overlay, without its file."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from earshed.model.scene_file.overlays import OverlayHead
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.schemes import BARE_VALUES, SECTIONS, SINGLE, stacked
from earshed.model.scene_file.tree import DEEPEST, Entry, Items, Node, Plain, Table, Text, plain

REMOVE = "remove"
NOWHERE = Mark("", 0, 0)
"""The place of what stands in no file yet."""
_SOURCE = "changes"


@dataclass(frozen=True)
class Changes:
    """Changes as an overlay makes them. Two are equal where they say the same in the same order.

    `said` is their JSON: sections with names with keys, sections without names, and `remove`.
    """

    said: str = "{}"

    @cached_property
    def _body(self) -> dict[str, Plain]:
        body: dict[str, Plain] = json.loads(self.said)
        return body

    @cached_property
    def tree(self) -> Table:
        """The same as the tree of a file that stands nowhere."""
        return self.tree_at(NOWHERE)

    def tree_at(self, mark: Mark) -> Table:
        """The same as a tree all of whose values stand at one place."""
        tree = _node(self._body, mark)
        assert isinstance(tree, Table)
        return tree

    def to_plain(self) -> dict[str, Plain]:
        """Texts, lists and tables, as JSON takes them; a copy of its own."""
        body: dict[str, Plain] = json.loads(self.said)
        return body

    @property
    def is_empty(self) -> bool:
        return not self._body

    @property
    def things(self) -> tuple[tuple[str, str | None], ...]:
        """What is changed, as its section and its name; None for a section without names. In the order of the body."""
        return tuple(self._things())

    def _things(self) -> Iterator[tuple[str, str | None]]:
        for section, said in self._body.items():
            if section in SINGLE:
                yield section, None
            elif section != REMOVE and isinstance(said, dict):
                yield from ((section, name) for name in said)

    @property
    def removed(self) -> tuple[str, ...]:
        """The names of what is taken out."""
        names = self._body.get(REMOVE, [])
        return tuple(name for name in names if isinstance(name, str))

    @property
    def count(self) -> int:
        """How many things are changed or taken out."""
        return len({*self.things, *((REMOVE, name) for name in self.removed)})

    def keys_of(self, section: str, name: str | None = None) -> Mapping[str, Plain]:
        """What is said of one thing, or of a section without names; nothing where nothing is."""
        said = self._body.get(section)
        if name is not None and isinstance(said, dict):
            said = said.get(name)
        return said if isinstance(said, dict) else {}

    def with_keys(self, section: str, name: str | None, keys: Mapping[str, Any]) -> Changes:
        """With keys of a thing changed, each whole; a distance from one side replaces one from the other, as it does in
        the scene. Without a name, of a section that has no names, or that holds values by name.

        What was taken out is there again; no keys say nothing more. Raises ValueError for what cannot stand in a scene
        file.
        """
        if section not in SECTIONS:
            raise ValueError(f"`{section}` is no section that changes; those are {', '.join(SECTIONS)}")
        bare = section in SINGLE or section in BARE_VALUES
        if bare != (name is None):
            raise ValueError(f"{section}: {'holds no things by name' if bare else 'say the name of one'}")
        if not keys:
            return self if name is None else self._with(name)
        body = _checked({section: dict(keys) if name is None else {name: dict(keys)}})
        laid = stacked(self.tree, Changes(_json(body)).tree, _SOURCE)
        whole = plain(laid)
        assert isinstance(whole, dict)
        changes = Changes(_json(whole))
        return changes if name is None else changes._with(name)

    def _with(self, name: str) -> Changes:
        """With a thing not taken out."""
        body = self.to_plain()
        _take_from_removed(body, " ".join(name.split()))
        return Changes(_json(body))

    def reverted(self, name: str) -> Changes:
        """With nothing said of a thing: it is as the scene has it, or not there if the scene has none."""
        body = self.to_plain()
        for section, said in list(body.items()):
            if section not in SINGLE and section != REMOVE and isinstance(said, dict) and name in said:
                del said[name]
                if not said:
                    del body[section]
        _take_from_removed(body, name)
        return Changes(_json(body))

    def reverted_section(self, section: str) -> Changes:
        """With nothing said of a section."""
        return Changes(_json({key: said for key, said in self.to_plain().items() if key != section}))

    def without(self, name: str) -> Changes:
        """With a thing of the scene taken out, and nothing else said of it.

        A thing that these changes bring is `reverted` instead: it is none of the scene's to take out.
        """
        body = self.reverted(name).to_plain()
        removed = body.get(REMOVE, [])
        assert isinstance(removed, list)
        return Changes(_json({**body, **_checked({REMOVE: [*removed, name]})}))

    @classmethod
    def from_plain(cls, body: Any) -> Changes:
        """The changes that `to_plain` gave. Raises ValueError, in words, for anything that is not of that form."""
        return cls(_json(_checked(body)))


NO_CHANGES = Changes()


def changes_of(tree: Table) -> Changes:
    """The changes that the tree of an overlay makes. Raises SceneError where they are not of that form."""
    body = plain(tree)
    assert isinstance(body, dict)
    changes = {key: said for key, said in body.items() if key not in OverlayHead.model_fields}
    try:
        return Changes.from_plain(changes)
    except ValueError as error:
        raise SceneError(str(error), tree.mark) from None


def _take_from_removed(body: dict[str, Plain], name: str) -> None:
    removed = body.get(REMOVE)
    if isinstance(removed, list):
        body[REMOVE] = [other for other in removed if other != name]
        if not body[REMOVE]:
            del body[REMOVE]


def _json(body: Mapping[str, Plain]) -> str:
    return json.dumps(body, ensure_ascii=False)


def _checked(body: Any) -> dict[str, Plain]:
    """Changes with every text as a file gives it back. Raises ValueError for what is not of the form of changes."""
    if not isinstance(body, dict):
        raise ValueError("changes map sections to what changes in them")
    checked: dict[str, Plain] = {}
    for section, said in body.items():
        if section == REMOVE:
            names = [said] if isinstance(said, str) else said
            if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
                raise ValueError("remove: is a list of names")
            checked[REMOVE] = list(dict.fromkeys(_text(name, REMOVE) for name in names))
        elif section not in SECTIONS:
            raise ValueError(
                f"`{str(section)[:60]}` is no section that changes; those are {', '.join(SECTIONS)}, remove"
            )
        elif not isinstance(said, dict):
            raise ValueError(f"{section}: needs a table of what changes")
        else:
            checked[section] = _value(said, section, 1)
            if section not in SINGLE and section not in BARE_VALUES:
                for name, keys in said.items():
                    if not isinstance(keys, dict):
                        raise ValueError(f"{section}, {str(name)[:60]}: needs the keys that change")
    return checked


def _value(value: Any, where: str, depth: int) -> Plain:
    if depth > DEEPEST - 2:
        raise ValueError(f"{where}: more levels inside one another than a scene file may have")
    if isinstance(value, str):
        return _text(value, where)
    if isinstance(value, list):
        return [_value(item, where, depth + 1) for item in value]
    if isinstance(value, dict) and all(isinstance(key, str) for key in value):
        table = {_text(key, where): _value(item, f"{where}, {key[:60]}", depth + 1) for key, item in value.items()}
        if len(table) == len(value):
            return table
        raise ValueError(f"{where}: a name stands there twice")
    raise ValueError(f"{where}: holds something that is no text, list or table")


def _text(text: str, where: str) -> str:
    """A text as a file gives it back. Raises ValueError for one that cannot stand in a file."""
    plainly = " ".join(text.split())
    for sign in plainly:
        if unicodedata.category(sign) in ("Cc", "Cs"):
            raise ValueError(f"{where}: the character with code {ord(sign)} cannot stand in a scene file")
    return plainly


def _node(value: Plain, mark: Mark) -> Node:
    if isinstance(value, str):
        return Text(value, mark)
    if isinstance(value, list):
        return Items(tuple(_node(item, mark) for item in value), mark)
    return Table({key: Entry(mark, _node(item, mark)) for key, item in value.items()}, mark)
