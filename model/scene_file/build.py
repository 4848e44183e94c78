"""Builds the Scene from the checked keys of a file: resolves names and places, stops at what does not fit."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from earshed.model import ceiling as shapes
from earshed.model.ceiling import Ceiling
from earshed.model.fixture import CanLight
from earshed.model.framing import Framing
from earshed.model.geometry import Array
from earshed.model.listening_plane import PlaneSpec
from earshed.model.plan import RECTANGLE_WALLS, Plan, outline, rectangle
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.fields import LARGEST_LENGTH
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape, block_touches, suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import (
    BoxFile,
    CanLightFile,
    FlatFile,
    FramingFile,
    GableFile,
    OpeningFile,
    RoomFile,
    SceneFile,
    ScreenFile,
    ShedFile,
    WallPlace,
)
from earshed.model.scene_file.speakers import build_speaker, build_type
from earshed.model.screen import WallPatch, picture_size
from earshed.model.seating import Seat, main_seats
from earshed.model.surface import Surface
from earshed.model.units import FOOT, INCH, format_length

USUAL_EAR_HEIGHT = 40 * INCH
"""Height of the listening plane where neither it nor a seat says one. Common practice, no source."""
USUAL_STEP = 1 * INCH
SMALLEST_ROOM = 1 * FOOT


def build_scene(file: SceneFile, *, scheme: str | None, schemes: tuple[str, ...]) -> Scene:
    """The scene that a file's keys describe. Raises Misfit, with the path of the key, for what cannot be resolved."""
    _refuse_double_names(file)
    plan = _plan(file.room)
    datums: dict[str, Array] = {}
    for name, place in file.datums.items():
        datums[name] = Tape(plan, datums).point(place, ("datums", name))
    tape = Tape(plan, datums)
    room = _room(file, plan, tape)
    seats = tuple(_seats(file, room, tape))
    screen = _screen(file.screen, tape) if file.screen else None
    types = {name: build_type(name, kind) for name, kind in file.speaker_types.items()}
    speakers = tuple(
        build_speaker(entry, ("speakers", index), tape=tape, room=room, seats=seats, types=types)
        for index, entry in enumerate(file.speakers)
    )
    return Scene(
        title=file.title,
        scheme=scheme,
        schemes=schemes,
        print_units=file.print_units,
        room=room,
        datums=datums,
        lights=tuple(_lights(file, room, tape)),
        openings=tuple(_opening(entry, ("openings", i), tape) for i, entry in enumerate(file.openings)),
        framing=tuple(_framing(entry, ("framing", i), room, tape) for i, entry in enumerate(file.framing)),
        screen=screen,
        seats=seats,
        speaker_types=types,
        speakers=speakers,
        plane=_plane(file, seats),
        notes=tuple(_notes(file)),
    )


def _refuse_double_names(file: SceneFile) -> None:
    known: set[str] = set()
    faces = {"floor", "ceiling", "slope", "front slope", "rear slope", "left slope", "right slope", *RECTANGLE_WALLS}
    for index, entry in enumerate(file.fixtures):
        if isinstance(entry, BoxFile) and (
            entry.name in faces or re.fullmatch(r"(wall|ceiling plane) \d+", entry.name)
        ):
            raise Misfit(
                f"a face of the room may be called {entry.name}; give the box another name", ("fixtures", index)
            )
    lists = ("framing", "fixtures", "openings", "seats", "risers", "speakers")
    named = [(entry.name, (section, i)) for section in lists for i, entry in enumerate(getattr(file, section))]
    named += [(name, (section, name)) for section in ("datums", "speaker_types") for name in getattr(file, section)]
    for name, path in named:
        if name in known:
            raise Misfit(f"something else in the scene is already called {name}; names are used once", path)
        known.add(name)


def _plan(room: RoomFile) -> Plan:
    path: Path = ("room", "outline" if room.outline is not None else "width")
    try:
        plan = outline(room.outline) if room.outline is not None else rectangle(room.width or 0, room.length or 0)
    except ValueError as error:
        raise Misfit(str(error), path) from None
    for key, size in (("width", plan.width), ("length", plan.length)):
        if size < SMALLEST_ROOM:
            where: Path = ("room", "outline" if room.outline is not None else key)
            raise Misfit(f"the room must be at least {format_length(SMALLEST_ROOM)} each way", where)
        if size > LARGEST_LENGTH:
            raise Misfit(f"the room is {size:.1f} m across, past the {LARGEST_LENGTH:g} m that one may measure", where)
    return plan


def _ceiling(room: RoomFile, plan: Plan) -> Ceiling:
    match room.ceiling:
        case FlatFile(height=height):
            return shapes.flat(height)
        case ShedFile() as shed:
            return shapes.shed(width=plan.width, length=plan.length, low=shed.low, high=shed.high, rises=shed.rises)
        case GableFile() as gable:
            if plan.kind != "rectangle":
                raise ValueError("a gable needs a rectangular room (width and length); for an outline give its planes")
            return shapes.gable(
                width=plan.width, length=plan.length, ridge=gable.ridge, low=gable.low, peak=gable.peak,
                ridge_at=gable.ridge_at, far_low=gable.far_low,
            )  # fmt: skip
    return shapes.planes(np.array(room.ceiling.planes) * [1.0, -1.0, 1.0])


def _room(file: SceneFile, plan: Plan, tape: Tape) -> Room:
    boxes = []
    for index, entry in enumerate(file.fixtures):
        if isinstance(entry, BoxFile):
            path: Path = ("fixtures", index)
            box = tape.block(entry.name, entry, entry.width, entry.length, entry.bottom, entry.height, path)
            if not block_touches(box, plan):
                raise Misfit("the box stands wholly outside the room", path)
            boxes.append(box)
    risers = []
    for index, riser in enumerate(file.risers):
        block = tape.block(riser.name, riser, riser.width, riser.length, 0.0, riser.height, ("risers", index))
        if not block_touches(block, plan):
            raise Misfit("the riser stands wholly outside the room", ("risers", index))
        risers.append(block)
    try:
        ceiling = _ceiling(file.room, plan)
        if shapes.ceiling_height(ceiling, plan.corners).max() > LARGEST_LENGTH:
            raise ValueError(f"the ceiling rises past the {LARGEST_LENGTH:g} m that a room may measure")
        return Room(plan, ceiling, tuple(boxes), tuple(risers))
    except ValueError as error:
        raise Misfit(str(error), ("room", "ceiling")) from None


def _seats(file: SceneFile, room: Room, tape: Tape) -> Iterator[Seat]:
    for index, entry in enumerate(file.seats):
        xy = tape.point(entry.at, ("seats", index, "at"))
        ear = np.append(xy, room.floor_under(xy) + entry.ear_height)
        yield Seat(entry.name, ear, entry.main)


def _lights(file: SceneFile, room: Room, tape: Tape) -> Iterator[CanLight]:
    for index, entry in enumerate(file.fixtures):
        if isinstance(entry, CanLightFile):
            position, surface = room.overhead(tape.point(entry.at, ("fixtures", index, "at")))
            yield CanLight(entry.name, position, surface, entry.cutout, entry.body or entry.cutout)


def _opening(entry: OpeningFile, path: Path, tape: Tape) -> WallPatch:
    wall = tape.wall(entry.wall, (*path, "wall"))
    start, end = tape.span(entry, wall, entry.width, path)
    return WallPatch(entry.name, wall, start, end, entry.sill, entry.sill + entry.height)


def _screen(entry: ScreenFile, tape: Tape) -> WallPatch:
    wall = tape.wall(entry.wall, ("screen", "wall"))
    said = {
        key.removeprefix("center_"): value for key, value in entry if key.startswith("center_") and value is not None
    }
    center = (
        tape.along(WallPlace.model_construct(**said), wall, ("screen",), prefix="center_") if said else wall.length / 2
    )
    if entry.diagonal is not None:
        width, height = picture_size(entry.diagonal, entry.aspect)
    else:
        assert entry.width is not None
        width, height = entry.width, entry.width / entry.aspect
    return WallPatch("screen", wall, center - width / 2, center + width / 2, entry.bottom, entry.bottom + height)


def _framing(entry: FramingFile, path: Path, room: Room, tape: Tape) -> Framing:
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


def _plane(file: SceneFile, seats: tuple[Seat, ...]) -> PlaneSpec:
    said = file.listening_plane
    main = {seat.name for seat in main_seats(seats)}
    heights = [entry.ear_height for entry in file.seats if entry.name in main]
    usual = float(np.mean(heights)) if heights else USUAL_EAR_HEIGHT
    return PlaneSpec(
        height=said.height if said and said.height else usual,
        step=said.step if said and said.step else USUAL_STEP,
    )


def _notes(file: SceneFile) -> Iterator[str]:
    if file.room.outline is not None:
        left, front = np.min(file.room.outline, axis=0)
        if max(abs(left), abs(front)) > 1e-9:
            starts = [
                f"{format_length(abs(by), file.print_units)} {after if by > 0 else before} its own zero"
                for by, before, after in ((left, "left of", "right of"), (front, "in front of", "behind"))
                if abs(by) > 1e-9
            ]
            yield (
                f"the outline starts {' and '.join(starts)}; everything else is taped from the front left corner of "
                "the box round it"
            )
