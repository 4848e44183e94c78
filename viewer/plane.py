"""The listening plane of a scene, or a message that says why not."""

from __future__ import annotations

import math
from pathlib import Path

from earshed.model.listening_plane import ListeningPlane, PlaneTooFine, lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import place_of
from earshed.model.units import INCH, format_length


def plane_of(scene: Scene, path: Path) -> ListeningPlane:
    """The grid that the scene asks for. Raises SceneError where it is too fine, with a step that would do."""
    try:
        return lay_plane(scene.room, scene.plane)
    except PlaneTooFine as error:
        unit = INCH / 16 if scene.print_units == "ft-in" else 0.001
        enough = format_length(math.ceil(error.enough / unit) * unit, scene.print_units)
        words = f"listening_plane, step: {error}; a step of {enough} would do"
        raise SceneError(words, place_of(path, ("listening_plane", "step"))) from None
