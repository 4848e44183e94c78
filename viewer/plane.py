"""The listening plane of a scene, or a message that says why not."""

from __future__ import annotations

from pathlib import Path

from earshed.model.listening_plane import ListeningPlane, PlaneTooFine, lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.units import format_length


def plane_of(scene: Scene, path: Path) -> ListeningPlane:
    """The grid that the scene asks for. Raises SceneError where it is too fine, with a step that would do."""
    try:
        return lay_plane(scene.room, scene.plane)
    except PlaneTooFine as error:
        enough = format_length(error.enough, "mm" if error.enough < 0.02 else scene.print_units)
        words = f"listening_plane, step: {error}; a step of {enough} would do"
        raise SceneError(words, Mark(str(path), 1, 1)) from None
