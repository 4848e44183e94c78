"""Reads a scene file: text to tree, tree to checked keys, keys to a Scene."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from earshed.model.scene import Scene
from earshed.model.scene_file.build import build_scene
from earshed.model.scene_file.messages import named, schema_error
from earshed.model.scene_file.problem import Mark, Misfit, SceneError
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schemes import apply_scheme, scheme_names, unknown_scheme, without_schemes
from earshed.model.scene_file.tree import Table, Text, mark_at, plain, read_tree


def read_scene(path: Path | str, scheme: str | None = None) -> Scene:
    """The scene in a file, under one of its schemes (None or "base": as it stands).

    Raises SceneError, with file, line and column, for anything that cannot be read; every scheme of the file is
    tried, so that a slip in another one does not wait for later.
    """
    return scene_from_tree(read_tree(Path(path)), scheme)


def place_of(path: Path, keys: tuple[str | int, ...]) -> Mark:
    """Where a scene file says something, or the deepest part of the way there that it has. Raises SceneError."""
    return mark_at(read_tree(path), keys)


def scene_from_tree(tree: Table, scheme: str | None = None) -> Scene:
    """The scene that a tree describes, under one of its schemes. Raises SceneError."""
    names = scheme_names(tree)
    chosen = None if scheme == "base" else scheme
    if chosen is not None and chosen not in names:
        raise unknown_scheme(chosen, names, tree.mark.file)
    scenes: dict[str | None, Scene] = {None: _scene(without_schemes(tree), None, names)}
    scenes |= {name: _scene_under(tree, name, names) for name in names}
    return scenes[chosen]


def _scene_under(tree: Table, name: str, names: tuple[str, ...]) -> Scene:
    """The scene under a scheme. The line at fault may be one of the scene's own, so the message names the scheme."""
    changed = apply_scheme(tree, name)
    try:
        return _scene(changed, name, names)
    except SceneError as error:
        raise SceneError(f'under scheme "{name}", {error.message}', error.mark, error.others) from None


def _scene(tree: Table, scheme: str | None, names: tuple[str, ...]) -> Scene:
    bare = tree.get("bare_lengths")
    context = {"bare": bare.value if isinstance(bare, Text) and bare.value in ("in", "ft", "mm", "cm", "m") else None}
    try:
        file = SceneFile.model_validate(plain(tree), context=context)
    except ValidationError as error:
        raise schema_error(error, tree) from None
    try:
        return build_scene(file, scheme=scheme, schemes=names)
    except Misfit as misfit:
        subject = named(tree, misfit.path)
        words = f"{subject}: {misfit.message}" if subject else misfit.message
        raise SceneError(words, mark_at(tree, misfit.path, key=misfit.at_key)) from None
