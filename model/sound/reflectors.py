"""What sound meets in a scene: faces of the shell with what is in them, faces of boxes and risers, and their materials.

Left out are blades, lamps, seats and people, and faces of boxes too narrow to be mirrors, such as those round a column.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array
from earshed.model.heading import NAMED
from earshed.model.near_block import block_faces
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.sound.materials import ASSUMED, MATERIALS, Material
from earshed.model.surface import Surface

NARROWEST = 0.1
"""Metres under which a face of a box is taken to scatter: a third of a wave at 1 kHz (common practice, no source)."""
SILL = 0.1
"""Metres above the floor up to which an opening begins that is taken for a door."""


@dataclass(frozen=True, eq=False)
class Facing:
    """What a part of a face is called, as "rear wall" or "gable window", and what it is of; `assumed` where the scene
    does not say."""

    name: str
    material: Material
    assumed: bool


@dataclass(frozen=True, eq=False)
class Reflector:
    """A face, what it is of, and what else is in it: outlines in its coordinates, each with what that is of."""

    face: Surface
    facing: Facing
    patches: tuple[tuple[BaseGeometry, Facing], ...] = ()

    def facings_at(self, points: Array) -> list[Facing]:
        """What is at points (N, 3) of the face; of patches that overlap, the first."""
        found = np.full(len(points), len(self.patches))
        across = self.face.to_face(points)
        for number, (outline, _) in reversed([*enumerate(self.patches)]):
            inside: NDArray[np.bool_] = shapely.intersects_xy(outline, across[:, 0], across[:, 1])
            found[inside] = number
        facings = [*(facing for _, facing in self.patches), self.facing]
        return [facings[number] for number in found]


def reflectors_of(scene: Scene) -> tuple[Reflector, ...]:
    """Everything that reflects: the shell, then boxes, then risers."""
    blocks = (*scene.room.boxes, *scene.room.risers)
    return (
        *shell_reflectors(scene),
        *(one for block in blocks for one in _of_block(block, block_facing(scene, block))),
    )


def shell_reflectors(scene: Scene) -> tuple[Reflector, ...]:
    """The faces of the shell, with what is in them."""
    return tuple(_in_shell(scene, face) for face in scene.room.surfaces)


def block_facing(scene: Scene, block: Block) -> Facing:
    """What a box or a riser is of; a riser, where nothing is said of it, as the floor is."""
    if block.kind == "riser":
        return _facing(block.name, block.material or scene.surfaces.get("floor"), "riser")
    hangs = block.kind == "box" and all(block is not body for body in scene.room.bodies)
    return _facing(block.name, block.material, "soffit" if hangs else block.kind)


def _facing(name: str, said: Material | None, otherwise: str) -> Facing:
    return Facing(name, said or MATERIALS[ASSUMED[otherwise]], said is None)


def _in_shell(scene: Scene, face: Surface) -> Reflector:
    group = {"floor": "floor", "wall": "walls"}.get(face.kind, "ceiling")
    said = scene.surfaces.get(face.name) or scene.surfaces.get(group)
    kind = face.finish if face.kind == "ceiling" and face.finish != "board" else face.kind
    patches = [*_wall_patches(scene, face)]
    for opening in scene.ceiling_openings:
        if opening.surface.name == face.name:
            patches.append((opening.shape.outline, _facing(opening.name, opening.material, "ceiling opening")))
    return Reflector(face, _facing(face.name, said, kind), tuple(patches))


def _wall_patches(scene: Scene, face: Surface) -> Iterator[tuple[BaseGeometry, Facing]]:
    """The picture, which may hang before a window, then doors and windows."""
    if scene.screen is not None and scene.screen.wall.name == face.name:
        yield _outline(scene.screen, face), _facing("screen", scene.screen.material, "screen")
    for opening in scene.openings:
        if opening.wall.name == face.name:
            kind = "door" if opening.bottom <= SILL else "window"
            yield _outline(opening, face), _facing(opening.name, opening.material, kind)


def _outline(patch: WallPatch, face: Surface) -> BaseGeometry:
    return shapely.Polygon(face.to_face(patch.corners))


def _of_block(block: Block, facing: Facing) -> Iterator[Reflector]:
    """The faces of a block that are wide enough."""
    for number, face in enumerate(block_faces(block), start=1):
        if not face.outline.buffer(-NARROWEST / 2).is_empty:
            name = f"{_side(face.normal, number)} of {block.name}"
            yield Reflector(replace(face, name=name), replace(facing, name=name))


def _side(normal: Array, number: int) -> str:
    """Which side of a block a face is, by the way it looks."""
    if abs(normal[2]) > TOUCHING:
        return "top" if normal[2] > 0 else "underside"
    return next((f"{way} side" for way, axis in NAMED.items() if normal @ axis > 1 - TOUCHING), f"side {number}")
