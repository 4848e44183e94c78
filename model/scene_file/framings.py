"""Builds framing behind the faces, and the grids that tiles lie in, from the checked keys of a file."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from earshed.model.clearances import Clearances
from earshed.model.framing import MOST_MEMBERS, FoundMember, Framing, members_on, tape_length
from earshed.model.geometry import TOUCHING
from earshed.model.member_marks import MemberMark
from earshed.model.room import Room
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_framing import FramingFile
from earshed.model.scene_file.schema_room import CeilingFile, TilesFile
from earshed.model.surface import Surface
from earshed.model.units import INCH

TEE_WIDTH, TEE_HEIGHT = 15 / 16 * INCH, 1.5 * INCH
"""Face and height of an ordinary exposed tee. Common practice, no source."""


def build_framing(file: SceneFile, room: Room) -> Iterator[Framing]:
    """Framing and tile grids. Raises Misfit, with the path of the key."""
    usual = Clearances(file.clearances).tolerance
    runs = [(entry, _framing(entry, ("framing", index), room, usual)) for index, entry in enumerate(file.framing)]
    _layers(runs)
    yield from (run for _, run in runs)
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
    tees = partial(Framing, called, faces, TEE_WIDTH, TEE_HEIGHT, within=0.0, is_grid=True)
    yield tees(spacing=across, first_center=finish.from_left, direction="front-to-back")
    yield tees(spacing=back, first_center=finish.from_front, direction="side-to-side")


def _framing(entry: FramingFile, path: Path, room: Room, usual: float) -> Framing:
    """A run; `usual` is by how many metres a member may be off of which nothing else is said."""
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
    thickness, depth = _laid(entry.member, entry)
    if entry.spacing is not None:
        if entry.spacing <= thickness:
            raise Misfit("the spacing must be more than the thickness of a member", (*path, "spacing"))
        longest = max(tape_length(entry.direction, surface) for surface in surfaces)
        if longest / entry.spacing > MOST_MEMBERS:
            raise Misfit(f"the spacing makes more members than the {MOST_MEMBERS} there may be", (*path, "spacing"))
    first = entry.first_center
    if entry.first_edge is not None:
        first = entry.first_edge + thickness / 2
    framing = Framing(
        entry.name,
        surfaces,
        thickness,
        depth,
        entry.spacing,
        first,
        entry.direction,
        tuple(_found(entry, surfaces, path, usual)),
        usual if entry.tolerance is None else entry.tolerance,
        entry.under,
    )
    if not any(members_on(framing, surface) for surface in surfaces):
        first_key = "first_center" if entry.first_edge is None else "first_edge"
        at = (*path, "members" if entry.spacing is None else first_key)
        raise Misfit("all its members lie outside the room: none is behind the face", at)
    return framing


def _laid(member: tuple[float, float], entry: FramingFile) -> tuple[float, float]:
    """Width across the face and depth square to it, of a size given as thickness and depth."""
    return member if entry.laid == "on edge" else (member[1], member[0])


def _found(entry: FramingFile, surfaces: tuple[Surface, ...], path: Path, usual: float) -> Iterator[FoundMember]:
    """The members that were found. Raises Misfit for one that lies outside the room, or in another."""
    placed: list[FoundMember] = []
    for index, found in enumerate(entry.members):
        here: Path = (*path, "members", index)
        names = [surface.name for surface in surfaces]
        if found.surface is not None and found.surface not in names:
            raise Misfit(
                f"{entry.name} are not behind {found.surface}; they are behind {', '.join(names)}", (*here, "surface")
            )
        thickness = _laid(found.member or entry.member, entry)[0]
        near, far = found.near_edge, found.far_edge
        if found.center is not None:
            center = found.center
        elif near is not None and far is not None:
            center, thickness = (near + far) / 2, far - near
        elif near is not None:
            center = near + thickness / 2
        else:
            assert far is not None
            center = far - thickness / 2
        within = [surface for surface in surfaces if found.surface in (None, surface.name)]
        longest = max(tape_length(entry.direction, surface) for surface in within)
        if not 0 <= center < longest:
            raise Misfit("it lies outside the room: past the end of the face that it was taped on", here)
        sure = usual if found.sure is None else found.sure
        member = FoundMember(MemberMark(center, thickness, sure, found=True), found.surface)
        for number, other in enumerate(placed, start=1):
            apart = abs(other.mark.at - center) - (other.mark.thickness + thickness) / 2
            if (None in (other.surface, found.surface) or other.surface == found.surface) and apart < -TOUCHING:
                raise Misfit(f"it would lie in member {number}, which was found too; check the tape", here)
        placed.append(member)
        yield member


def _layers(runs: list[tuple[FramingFile, Framing]]) -> None:
    """Raises Misfit where a run is said to be nailed under one that is not there, or not behind the same face."""
    by_name = {run.name: run for _, run in runs}
    for index, (entry, run) in enumerate(runs):
        if entry.under is None:
            continue
        path: Path = ("framing", index, "under")
        over = by_name.get(entry.under)
        if over is None or over is run:
            known = {name: run for name, run in by_name.items() if name != entry.name}
            raise Misfit(f"there is no other framing called {entry.under}{suggest(entry.under, known)}", path)
        faces = {surface.name for surface in over.surfaces}
        if not faces & {surface.name for surface in run.surfaces}:
            raise Misfit(f"{entry.under} are not behind the same face", path)
        if over.under is not None:
            raise Misfit(f"{entry.under} are nailed under others themselves; there are two layers at the most", path)
