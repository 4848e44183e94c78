"""Reads a scene file: text to tree, tree to checked keys, keys to a Scene."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pydantic import ValidationError

from earshed.model.scene import Scene
from earshed.model.scene_file.build import build_scene
from earshed.model.scene_file.catalogs import BY_CATALOG, catalog_paths, is_catalog, lay_catalogs
from earshed.model.scene_file.directivities import response_paths, type_folders
from earshed.model.scene_file.kept import Kept
from earshed.model.scene_file.lookup import entries_of, look_up
from earshed.model.scene_file.messages import named, schema_error
from earshed.model.scene_file.overlays import Overlay, base_path, is_overlay, lay_over, read_overlay
from earshed.model.scene_file.problem import Mark, Misfit, SceneError
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schemes import apply_scheme, base_of, scheme_names, unknown_scheme, without_schemes
from earshed.model.scene_file.tree import Table, Text, mark_at, plain, read_tree
from earshed.model.units import BARE_UNITS


def read_scene(path: Path | str, scheme: str | None = None) -> Scene:
    """The scene in a file, under one of its schemes (None or "base": as it stands), or a scene with an overlay on it.

    Raises SceneError, with file, line and column, for anything that cannot be read; every scheme of the file is
    tried, so that a slip in another one does not wait for later.
    """
    path = Path(path)
    return scene_from_tree(read_tree(path), scheme, folder=path.parent)


def read_design(path: Path, scheme: str) -> Scene:
    """What a scene is held against: itself under a scheme, or base; of an overlay, the scene that it is laid over.

    Raises SceneError.
    """
    return read_scene(base_path(read_tree(path), path.parent) or path, scheme)


def is_laid_over(path: Path) -> bool:
    """Whether a file is an overlay, which changes a scene in another file. Raises SceneError."""
    return is_overlay(read_tree(path))


def place_of(path: Path, keys: tuple[str | int, ...]) -> Mark:
    """Where a scene or an overlay says something, or the deepest part of the way there that it has.

    Raises SceneError.
    """
    tree = read_tree(path)
    if is_overlay(tree):
        overlay = read_overlay(tree, path.parent)
        tree = lay_over(without_schemes(overlay.scene), overlay)
    return mark_at(tree, keys)


def files_of(path: Path) -> tuple[Path, ...]:
    """Every file that a scene or an overlay is read from, as far as it can be known: itself, its base, its catalogs,
    and the files of directivity that they name.

    Raises nothing: a file that cannot be read is named, and what it would bring in is not.
    """
    files = [path]
    try:
        tree = read_tree(path)
        files += response_paths(tree)
        base = base_path(tree, path.parent)
        if base is not None:
            files.append(base)
            tree = read_tree(base)
            files += response_paths(tree)
        catalogs = list(catalog_paths(tree, path.parent))
        files += catalogs
        for catalog in catalogs:
            files += response_paths(read_tree(catalog))
    except SceneError:
        pass  # whoever reads the scene will say so
    return tuple(dict.fromkeys(files))


def scene_from_tree(tree: Table, scheme: str | None = None, *, folder: Path | None = None) -> Scene:
    """The scene that a tree describes, under one of its schemes. Raises SceneError.

    Other files are looked for in `folder`; without it, in that of the file that the tree names.
    """
    beside = Path(tree.mark.file).parent if folder is None else folder
    if is_overlay(tree):
        return _under_overlay(read_overlay(tree, beside), beside, scheme)
    if is_catalog(tree):
        words = f"this is a catalog, which a scene brings in with `catalogs: [{Path(tree.mark.file).name}]`"
        raise SceneError(words, tree.entries["catalog"].mark)
    names = scheme_names(tree)
    chosen = None if scheme == "base" else scheme
    if chosen is not None and chosen not in names:
        raise unknown_scheme(chosen, names, Mark(tree.mark.file, 1, 1))
    return _every_scene(lay_catalogs(tree, beside), names)[chosen]


def _every_scene(tree: Table, names: tuple[str, ...]) -> dict[str | None, Scene]:
    """The scene as it stands (None) and under each of its schemes. Raises SceneError."""
    scenes: dict[str | None, Scene] = {None: scene_of(without_schemes(tree), None, names)}
    return scenes | {name: _scene_under(tree, name, names) for name in names}


def _scene_under(tree: Table, name: str, names: tuple[str, ...]) -> Scene:
    """The scene under a scheme. The line at fault may be one of the scene's own, so the message names the scheme."""
    changed = apply_scheme(tree, name)
    try:
        return replace(scene_of(changed, name, names), builds_on=base_of(tree, name))
    except SceneError as error:
        raise SceneError(f'under scheme "{name}", {error.words}', error.mark, error.others) from None


def _under_overlay(overlay: Overlay, folder: Path, scheme: str | None) -> Scene:
    """The scene with an overlay's changes, over the scheme that is asked for, else the overlay's own, else none.

    The scene itself must be right under every scheme, as it must without an overlay. An overlay that says its scheme
    was made on that one: it may move what only that scheme has, so it need not fit the others, and is tried on its own
    scheme and on the one asked for. One that says none is meant for the scene whatever its scheme, and is tried on all.
    """
    tree = lay_catalogs(overlay.scene, folder)
    names = scheme_names(tree)
    _every_scene(tree, names)
    own = overlay.scheme
    if own and own.value not in ("base", *names):
        raise unknown_scheme(own.value, names, own.mark)
    asked = scheme if scheme is not None else own.value if own else "base"
    if asked not in ("base", *names):
        raise unknown_scheme(asked, names, Mark(overlay.tree.mark.file, 1, 1))
    fits: dict[str, Scene] = {}
    failures: list[SceneError] = []
    for name in dict.fromkeys([own.value, asked] if own else ["base", *names]):
        try:
            fits[name] = _scene_with(overlay, tree, name, names)
        except SceneError as error:
            failures.append(error)
    if failures:
        raise failures[0] if own else _telling_what_fits(failures[0], list(fits))
    return fits[asked]


def _scene_with(overlay: Overlay, tree: Table, name: str, names: tuple[str, ...]) -> Scene:
    """The scene under a scheme (or base) and an overlay. What then goes wrong was right without the overlay."""
    scheme = None if name == "base" else name
    under = without_schemes(tree) if scheme is None else apply_scheme(tree, scheme)
    try:
        laid = scene_of(lay_over(under, overlay), scheme, names)
        return replace(laid, builds_on=base_of(tree, scheme)) if scheme else laid
    except SceneError as error:
        file = overlay.tree.mark.file
        whose = "" if error.mark.file == file else f"with the changes of {Path(file).name}, "
        over = f'over scheme "{name}", ' if scheme else ""
        raise SceneError(f"{whose}{over}{error.words}", error.mark, error.others) from None


def _telling_what_fits(error: SceneError, fits: list[str]) -> SceneError:
    """The error, with what to write where an overlay is at fault over one scheme and fits another."""
    if not fits:
        return error
    words = f"{error.words}; it fits {', '.join(fits)}: made for one scheme alone, it says so, as `scheme: {fits[0]}`"
    return SceneError(words, error.mark, error.others)


def scene_of(tree: Table, scheme: str | None, names: tuple[str, ...], kept: Kept | None = None) -> Scene:
    """The scene of a tree with everything laid on it that is to be, under one of its schemes. Raises SceneError.

    `kept` gives what an earlier reading found, where it is the same, and keeps what this one does.
    """
    bare = tree.get("bare_lengths")
    context = {
        "bare": bare.value if isinstance(bare, Text) and bare.value in BARE_UNITS else None,
        "members": tuple(entries_of(tree, "members")),
    }
    borrowed = {(key, name) for key in BY_CATALOG for name, entry in entries_of(tree, key).items() if entry.borrowed}
    tree = look_up(tree)
    try:
        file = SceneFile.model_validate(plain(tree), context=context)
    except ValidationError as error:
        raise schema_error(error, tree) from None
    try:
        return build_scene(
            file,
            scheme=scheme,
            schemes=names,
            borrowed=borrowed,
            folders=type_folders(tree),
            folder=Path(tree.mark.file).parent,
            kept=kept or Kept(),
        )
    except Misfit as misfit:
        subject = named(tree, misfit.path)
        words = f"{subject}: {misfit.message}" if subject else misfit.message
        raise SceneError(words, mark_at(tree, misfit.path, key=misfit.at_key)) from None
