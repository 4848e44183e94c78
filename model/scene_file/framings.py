"""Builds framing behind the faces, and the grids that tiles lie in, from the checked keys of a file."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.framing import Framing
from earshed.model.geometry import TOUCHING
from earshed.model.room import Room
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import FramingFile, SceneFile
from earshed.model.scene_file.schema_room import CeilingFile, TilesFile
from earshed.model.surface import Surface
from earshed.model.units import INCH

TEE_WIDTH, TEE_HEIGHT = 15 / 16 * INCH, 1.5 * INCH
"""Face and height of an ordinary exposed tee. Common practice, no source."""


def build_framing(file: SceneFile, room: Room) -> Iterator[Framing]:
    """Framing and tile grids. Raises Misfit, with the path of the key."""
    for index, entry in enumerate(file.framing):
        yield _framing(entry, ("framing", index), room)
    ceilings: list[tuple[str, CeilingFile, Path]] = [("", file.room.ceiling, ("room", "ceiling"))]
    ceilings += [(zone.name, zone.ceiling, ("room", "zones", i, "ceiling")) for i, zone in enumerate(file.room.zones)]
    for name, ceiling, path in ceilings:
        if isinstance(ceiling.finish, TilesFile):
            if ceiling.shape == "tray":
                raise Misfit("a tray cannot be of tiles; give its middle as a zone with a ceiling of its own", path)
            yield from _grid(name, ceiling.finish, room, (*path, "finish"))


def _grid(zone: str, finish: TilesFile, room: Room, path: Path) -> Iterator[Framing]:
    """The tees that a tile grid hangs in, both ways."""
    faces = tuple(
        room.surface(place.face_name(plane.name))
        for place in room.zones
        if place.name == zone
        for plane in place.planes
        if room.face(place.face_name(plane.name)) is not None
    )
    if any(face.slope > TOUCHING for face in faces):
        raise Misfit("tiles lie in level ceilings only", path)
    across, back = finish.tiles
    if min(across, back) <= TEE_WIDTH:
        raise Misfit("the tiles must be larger than the tees they lie in are wide", (*path, "tiles"))
    called = f"tees of {zone or 'the ceiling'}"
    yield Framing(called, faces, TEE_WIDTH, TEE_HEIGHT, across, finish.from_left, "front-to-back")
    yield Framing(called, faces, TEE_WIDTH, TEE_HEIGHT, back, finish.from_front, "side-to-side")


def _framing(entry: FramingFile, path: Path, room: Room) -> Framing:
    ceilings = tuple(surface for surface in room.surfaces if surface.kind == "ceiling")
    faces = {surface.name: surface for surface in (*room.surfaces, *room.soffits)}
    surfaces: tuple[Surface, ...]
    if entry.surface == "ceiling":
        surfaces = ceilings
    elif entry.surface in faces:
        surfaces = (faces[entry.surface],)
    else:
        raise Misfit(
            f"there is no face called {entry.surface}{suggest(entry.surface, {'ceiling': 0, **faces})}",
            (*path, "surface"),
        )
    for surface in surfaces:
        square = {"front-to-back": 1, "side-to-side": 0}.get(entry.direction)
        if square is not None and abs(surface.normal[square]) > 1 - 1e-9:
            raise Misfit(f"{entry.direction} members stand square to {surface.called}", (*path, "direction"))
    thickness, depth = entry.member
    if entry.spacing <= thickness:
        raise Misfit("the spacing must be more than the thickness of a member", (*path, "spacing"))
    return Framing(entry.name, surfaces, thickness, depth, entry.spacing, entry.first_center, entry.direction)
