"""The option `--write`: an overlay with what a command proposes, beside its scene."""

from __future__ import annotations

from pathlib import Path

from earshed.model.scene import Scene
from earshed.model.scene_file.overlays import is_overlay
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.tree import read_tree
from earshed.viewer.output import OutputError, refuse_existing


def need_place(write: Path, scene: Path, *, force: bool) -> None:
    """Refuses a place where the overlay could not stand or would destroy something else. Raises OutputError."""
    if is_overlay(read_tree(scene)):
        raise OutputError(
            f"{scene} is an overlay itself, and an overlay is laid over a scene; give --write the scene's"
        )
    if write.suffix.lower() not in (".yaml", ".yml"):
        raise OutputError(f"--write {write}: overlays are written as .yaml")
    if write.parent.resolve() != scene.parent.resolve():
        raise OutputError(f"--write {write}: an overlay stands beside its scene, in {scene.parent.resolve()}")
    refuse_existing([write], force=force, option="--write")
    if write.exists():
        try:
            replaceable = is_overlay(read_tree(write))
        except SceneError:
            replaceable = False
        if not replaceable:
            raise OutputError(f"{write} is no overlay, so it is not replaced; choose another --write")


def scheme_of_overlay(scene: Scene) -> str | None:
    """The scheme that an overlay on a scene is made for; None where the scene has no schemes."""
    return scene.scheme or ("base" if scene.schemes else None)
