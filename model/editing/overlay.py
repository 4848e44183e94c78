"""Changes as the text of an overlay."""

from __future__ import annotations

from collections.abc import Mapping

from earshed.model.editing.changes import Changes, changes_of
from earshed.model.editing.draft import Draft, Scheme
from earshed.model.scene_file.flow_text import change_lines
from earshed.model.scene_file.overlay_text import head_lines
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.tree import parse_tree


def overlay_of(
    draft: Draft,
    scheme: Scheme,
    changes: Changes,
    *,
    title: str | None = None,
    notes: Mapping[str, str] = {},
    head: str = "",
) -> str:
    """An overlay beside the scene of a draft that makes the changes over one of its schemes.

    `title` is what the scene is then called, where it is not to be called as before; `notes` are put over things, by
    their names, as comments, and `head` at the top. Raises SceneError for changes that do not fit the scheme, as
    `Draft.scene` does, and for any that would not read back.
    """
    draft.scene(scheme, changes)
    called = draft.title if title is None else " ".join(title.split())
    lines = (
        *head_lines(draft.based_on, _made_for(draft, scheme, changes), title=called or None, head=head),
        *change_lines(changes.to_plain(), notes=notes),
    )
    text = "\n".join(lines) + "\n"
    if changes_of(parse_tree(text, "")) != changes:
        raise SceneError("the changes hold something that no file can say", Mark(str(draft.scene_path), 1, 1))
    return text


def _made_for(draft: Draft, scheme: Scheme, changes: Changes) -> str | None:
    """What an overlay says that it is made for: nothing where it fits every scheme and is made over none."""
    if scheme is not None:
        return scheme
    others = [other for other in draft.schemes if other is not None]
    if not others:
        return None
    if draft.is_overlay and not draft.says_scheme:
        try:
            for other in others:
                draft.scene(other, changes)
        except SceneError:
            return "base"
        return None
    return "base"
