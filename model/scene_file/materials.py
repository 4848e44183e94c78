"""Resolves the names of materials, and what a scene says that its faces are of."""

from __future__ import annotations

from earshed.model.room import Room
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.sound.materials import MATERIALS, Material, material

GROUPS = ("ceiling", "walls", "floor")
"""Names that stand for all faces of a kind; the floor is one face."""


def named_material(file: SceneFile, name: str | None, path: Path) -> Material | None:
    """The scene's or a catalog's material of a name, else the one that every scene knows; None for no name.

    Raises Misfit for an unknown name.
    """
    if name is None:
        return None
    if name in file.materials:
        said = file.materials[name]
        return material(name, said.coefficients, said.source or "the scene")
    if name not in MATERIALS:
        hint = suggest(name, {**file.materials, **MATERIALS})
        raise Misfit(f"there is no material called {name}{hint}", path)
    return MATERIALS[name]


def build_surfaces(file: SceneFile, room: Room) -> dict[str, Material]:
    """What is said of faces, by their names and those of groups. Raises Misfit for unknown names of either."""
    faces = dict.fromkeys([*GROUPS, *(surface.name for surface in room.surfaces)])
    found = {}
    for name, said in file.surfaces.items():
        path: Path = ("surfaces", name)
        if name not in faces:
            words = f"there is no face called {name}{suggest(name, faces)}"
            raise Misfit(f"{words}; what a box or an opening is of stands with it, as material", path, at_key=True)
        known = named_material(file, said, path)
        assert known is not None
        found[name] = known
    return found
