"""Changes as one more scheme of a scene file."""

from __future__ import annotations

import unicodedata
from difflib import get_close_matches

from earshed.model.editing.changes import Changes
from earshed.model.editing.draft import Scheme
from earshed.model.scene_file.fields import LONGEST_NAME
from earshed.model.scene_file.overlays import is_overlay
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.scheme_text import scheme_inserted
from earshed.model.scene_file.schemes import scheme_names
from earshed.model.scene_file.tree import LARGEST_FILE, Plain, Table, parse_tree, plain

_BOM = "\ufeff"


def with_scheme(text: str, name: str, of: Scheme, changes: Changes) -> str:
    """The text of a scene file with one more scheme, which builds on the scheme `of` (None for base).

    All that the text holds stays as it is, to the letter; take it from the file's bytes, so that its line ends are its
    own. Raises ValueError, in words, for a name that is taken or not allowed, and for a text that is no scene.
    """
    before = _read(text)
    names = scheme_names(before)
    called = " ".join(name.split())
    _need_name(called, names)
    if of is not None and of not in names:
        near = get_close_matches(of, names, n=1)
        raise ValueError(
            f'the file has no scheme "{of[:60]}" to build on{f"; did you mean {near[0]}?" if near else ""}'
        )
    body: dict[str, Plain] = ({} if of is None else {"builds_on": of}) | changes.to_plain()
    after = scheme_inserted(text, called, body)
    if len(after.encode("utf-8")) > LARGEST_FILE:
        raise ValueError(f"the file would be larger than {LARGEST_FILE // 1_000_000} MB")
    expected = plain(before)
    assert isinstance(expected, dict)
    schemes = expected.setdefault("schemes", {})
    assert isinstance(schemes, dict)
    schemes[called] = body
    if plain(_read(after)) != expected:
        raise ValueError(
            "this file is written in a way to which no scheme can be added; save the changes as an overlay"
        )
    return after


def _read(text: str) -> Table:
    try:
        tree = parse_tree(text.removeprefix(_BOM), "the file")
    except SceneError as error:
        raise ValueError(str(error)) from None
    if is_overlay(tree):
        raise ValueError("schemes stand in a scene, and this is an overlay: add one to the scene that it is based on")
    if "room" not in tree.entries:
        raise ValueError("schemes stand in a scene, and this is none: it has no room")
    try:
        scheme_names(tree)
    except SceneError as error:
        raise ValueError(str(error)) from None
    return tree


def _need_name(name: str, names: tuple[str, ...]) -> None:
    """Raises ValueError for a name that a new scheme cannot have."""
    if name in ("", "base"):
        raise ValueError("a scheme needs a name, and not base, which is the scene without a scheme")
    if len(name) > LONGEST_NAME:
        raise ValueError(f"{name[:40]}... is longer than the {LONGEST_NAME} letters that a name may have")
    for sign in name:
        if unicodedata.category(sign) in ("Cc", "Cs"):
            raise ValueError(f"the character with code {ord(sign)} cannot stand in a scene file")
    if name in names:
        raise ValueError(f'the scene has a scheme "{name}" already; it has {", ".join(names)}')
