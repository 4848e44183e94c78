"""The listening plane of a scene, or a message that says why not."""

from __future__ import annotations

import math
from pathlib import Path

from earshed.model.listening_plane import ListeningPlane, PlaneTooFine, lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import place_of
from earshed.model.units import INCH, PrintUnits, format_length


def plane_of(scene: Scene, path: Path) -> ListeningPlane:
    """The grid that the scene asks for. Raises SceneError where it is too fine, with a step that would do."""
    try:
        return lay_plane(scene.room, scene.plane)
    except PlaneTooFine as error:
        words = f"listening_plane, step: {too_fine_words(error, scene.print_units)}"
        raise SceneError(words, place_of(path, ("listening_plane", "step"))) from None


def too_fine_words(error: PlaneTooFine, units: PrintUnits) -> str:
    """Why a grid is too fine, and which step would do."""
    unit = INCH / 16 if units == "ft-in" else 0.001
    return f"{error}; a step of {format_length(math.ceil(error.enough / unit) * unit, units)} would do"
