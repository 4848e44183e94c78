"""A scene file or an overlay that is open for changes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from earshed.model.editing.changes import NO_CHANGES, Changes, changes_of
from earshed.model.scene import Scene
from earshed.model.scene_file.catalogs import lay_catalogs
from earshed.model.scene_file.kept import Kept
from earshed.model.scene_file.overlays import Overlay, is_overlay, read_overlay
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import files_of, scene_from_tree, scene_of
from earshed.model.scene_file.schemes import (
    BY_KEY,
    BY_NAME_IN_LISTS,
    BY_NAME_WITHIN,
    apply_changes,
    apply_scheme,
    base_of,
    scheme_names,
    unknown_scheme,
    without_schemes,
)
from earshed.model.scene_file.tree import Items, Node, Table, Text, read_tree, shown_path

Scheme = str | None
"""The name of a scheme; None for base, the scene without one."""
_SOURCE = "changes"


@dataclass(frozen=True, eq=False)
class Draft:
    """A scene open for changes: its text is read once, and each scene is built of what was read."""

    path: Path
    """The file that was opened: a scene, or an overlay."""
    based_on: str
    """The name of the scene file, which an overlay on it says."""
    scheme: Scheme
    """The scheme that was asked for, else the one that an overlay is made for."""
    schemes: tuple[Scheme, ...]
    """Base (None) first, then the others in file order."""
    files: tuple[Path, ...]
    """All that was read."""
    asked: str | None
    """The scheme as it was asked for, which may be base."""
    _tree: Table
    """The scene's, over its catalogs."""
    _overlay: Overlay | None
    _laid: dict[Scheme, Table] = field(default_factory=dict)
    """The scene's tree under the schemes that were built so far."""
    _kept: dict[Scheme, Kept] = field(default_factory=dict)
    """What of each scheme need not be worked out again while it stays as it is."""

    @classmethod
    def open(cls, path: Path | str, scheme: str | None = None) -> Draft:
        """A file, with the scheme to begin with. Raises SceneError for a file that `read_scene` would not take."""
        path = Path(path)
        tree = read_tree(path)
        scene_from_tree(tree, scheme, folder=path.parent)
        overlay = read_overlay(tree, path.parent) if is_overlay(tree) else None
        scene = overlay.scene if overlay else tree
        chosen = scheme if scheme is not None else _value(overlay.scheme if overlay else None)
        return cls(
            path=path,
            based_on=_value(tree.get("based_on")) or shown_path(Path(path.name)),
            scheme=None if chosen == "base" else chosen,
            schemes=(None, *scheme_names(scene)),
            files=files_of(path),
            asked=scheme,
            _tree=lay_catalogs(scene, path.parent),
            _overlay=overlay,
        )

    def reopened(self) -> Draft:
        """The same file as it now is. Raises SceneError; this one can still be used then."""
        return Draft.open(self.path, self.asked)

    @property
    def scene_path(self) -> Path:
        """The scene file: what was opened, or what that is laid over."""
        return self.path.parent / self.based_on if self.is_overlay else self.path

    @property
    def is_overlay(self) -> bool:
        return self._overlay is not None

    @property
    def says_scheme(self) -> bool:
        """Whether it is an overlay that says which scheme it is made for."""
        return self._overlay is not None and self._overlay.scheme is not None

    @property
    def title(self) -> str | None:
        """What an overlay calls the scene; None where it does not, and of a scene."""
        return _value(self._overlay.tree.get("title")) if self._overlay else None

    def first(self, scheme: Scheme) -> Changes:
        """The changes that an overlay makes over a scheme; none where it is made for another one."""
        if self._overlay is None:
            return NO_CHANGES
        own = _value(self._overlay.scheme)
        if own is not None and scheme != self.scheme and (scheme or "base") != own:
            return NO_CHANGES
        return changes_of(self._overlay.tree)

    def scene(self, scheme: Scheme, changes: Changes = NO_CHANGES) -> Scene:
        """The scene under a scheme with changes made, as it is read from an overlay that makes them.

        While the room, its fixtures and risers are as they were, its `room` is the same object as the time before.
        Raises SceneError; its place is in a file that there is, at the top of the scene where what is wrong is in the
        changes alone.
        """
        here = Mark(str(Path(self._tree.mark.file).parent / _SOURCE), 1, 1)  # what changes name stands in this folder
        laid = self._under(scheme)
        try:
            if not changes.is_empty:
                laid = apply_changes(laid, changes.tree_at(here), _SOURCE)
            if self._overlay is not None and "title" in self._overlay.tree.entries:
                laid = replace(laid, entries={**laid.entries, "title": self._overlay.tree.entries["title"]})
            names = tuple(name for name in self.schemes if name is not None)
            scene = scene_of(laid, scheme, names, self._kept.setdefault(scheme, Kept()))
        except SceneError as error:
            raise self._placed(error, here) from None
        return scene if scheme is None else replace(scene, builds_on=base_of(self._tree, scheme))

    def without(self, scheme: Scheme, changes: Changes, name: str) -> Changes:
        """Changes by which a thing is not there: taken out of the scene, or no more brought by the changes."""
        return changes.without(name) if self.has(scheme, name) else changes.reverted(name)

    def has(self, scheme: Scheme, name: str) -> bool:
        """Whether a scheme of the scene has a thing of that name, without any changes."""
        return any(name in _names_in(section, entry.node) for section, entry in self._under(scheme).entries.items())

    def _under(self, scheme: Scheme) -> Table:
        """The scene's tree under a scheme. Raises SceneError where there is none of that name."""
        if scheme not in self._laid:
            if scheme not in self.schemes:
                names = tuple(name for name in self.schemes if name is not None)
                raise unknown_scheme(str(scheme), names, Mark(self._tree.mark.file, 1, 1))
            tree = without_schemes(self._tree) if scheme is None else apply_scheme(self._tree, scheme)
            self._laid[scheme] = tree
        return self._laid[scheme]

    def _placed(self, error: SceneError, here: Mark) -> SceneError:
        """The error, at the top of the scene where its place is that of the changes, which stand in no file yet."""
        mark = Mark(self._tree.mark.file, 1, 1) if error.mark.file == here.file else error.mark
        return SceneError(error.words, mark, tuple(self._placed(other, here) for other in error.others))


def _names_in(section: str, node: Node) -> set[str]:
    """The names of the things of a section that can be taken out."""
    if section in BY_NAME_IN_LISTS and isinstance(node, Items):
        return {name for item in node.nodes if (name := _value(item.get("name") if isinstance(item, Table) else None))}
    if section in BY_KEY and isinstance(node, Table):
        return set(node.entries)
    held = (node.get(key) for key in BY_NAME_WITHIN.get(section, ())) if isinstance(node, Table) else ()
    return {name for table in held if isinstance(table, Table) for name in table.entries}


def _value(node: object) -> str | None:
    return node.value if isinstance(node, Text) else None
