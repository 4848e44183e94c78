"""Builds the Scene from the checked keys of a file: resolves names and places, stops at what does not fit."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path as FilePath

import numpy as np

from earshed.model.clearances import Clearances
from earshed.model.geometry import Array
from earshed.model.listening_plane import PlaneSpec
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.framings import build_framing
from earshed.model.scene_file.hiddens import build_cavities, build_existing_holes, build_keep_outs
from earshed.model.scene_file.kept import Kept
from earshed.model.scene_file.letterheads import build_letterhead
from earshed.model.scene_file.materials import build_surfaces, named_material
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.mountings import build_face_opening, build_fixtures
from earshed.model.scene_file.places import Tape, taped_from
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.rooms import build_plan, build_room, with_bays
from earshed.model.scene_file.schema import ReclinedFile, SceneFile, ScreenFile, SeatFile
from earshed.model.scene_file.schema_fixtures import OpeningFile
from earshed.model.scene_file.schema_places import WallPlace, given_center
from earshed.model.scene_file.speakers import build_speaker, build_type
from earshed.model.scene_file.walks import build_survey
from earshed.model.scene_file.wirings import build_wiring
from earshed.model.screen import Screen, WallPatch, ahead_of_seats, picture_patch, picture_size
from earshed.model.seating import USUAL_BACK, USUAL_DROP, Seat, main_seats, recline, reclined_name
from earshed.model.sound.materials import Material
from earshed.model.units import INCH, PrintUnits, format_length

USUAL_EAR_HEIGHT = 40 * INCH
"""Height of the listening plane where neither it nor a seat says one. Common practice, no source."""
USUAL_STEP = 1 * INCH


def build_scene(
    file: SceneFile,
    *,
    scheme: str | None,
    schemes: tuple[str, ...],
    borrowed: Collection[tuple[str, str]],
    folders: Mapping[str, FilePath],
    folder: FilePath,
    kept: Kept,
) -> Scene:
    """The scene that a file's keys describe. Raises Misfit, with the path of the key, for what cannot be resolved.

    `borrowed` are the sections and names of what catalogs brought. `folders` are, by their names, where the files of
    speaker types stand, `folder` is where those of the scene do. `kept` is what an earlier reading found.
    """
    _refuse_double_names(file, borrowed)
    survey = build_survey(file.room, file.print_units)
    plan = build_plan(file.room, survey)
    datums: dict[str, Array] = {}
    for name, place in file.datums.items():
        datums[name] = Tape(plan, datums).point(place, ("datums", name))
    plan = with_bays(file.room, plan, Tape(plan, datums), survey)
    tape = Tape(plan, datums)
    room = kept.room(file, lambda: build_room(file, plan, tape, survey))
    screen = _screen(file, file.screen, tape) if file.screen else None
    seats = tuple(_seats(file, room, tape, ahead_of_seats(screen)))
    _refuse_names_of_faces(file, room)
    types = {name: build_type(name, kind, folders.get(name, FilePath())) for name, kind in file.speaker_types.items()}
    speakers = tuple(
        build_speaker(
            entry,
            ("speakers", index),
            tape=tape,
            room=room,
            seats=seats,
            types=types,
            catalogs=file.catalogs,
            folder=folder,
            kept=kept,
        )
        for index, entry in enumerate(file.speakers)
    )
    framing = tuple(build_framing(file, room))
    clearances = Clearances(file.clearances)
    opening_of = [
        named_material(file, entry.material, ("openings", i, "material")) for i, entry in enumerate(file.openings)
    ]
    scene = Scene(
        title=file.title,
        scheme=scheme,
        schemes=schemes,
        print_units=file.print_units,
        room=room,
        datums=datums,
        fixtures=tuple(build_fixtures(file, room, tape)),
        openings=tuple(
            _opening(entry, ("openings", i), tape, opening_of[i])
            for i, entry in enumerate(file.openings)
            if entry.wall != "ceiling"
        ),
        ceiling_openings=tuple(
            build_face_opening(entry, ("openings", i), room, tape, opening_of[i])
            for i, entry in enumerate(file.openings)
            if entry.wall == "ceiling"
        ),
        framing=framing,
        system=file.system,
        screen=screen,
        seats=seats,
        speaker_types=types,
        speakers=speakers,
        plane=_plane(file, seats),
        notes=tuple(_notes(file)),
        survey=survey,
        clearances=clearances,
        cavities=build_cavities(file, room),
        keep_outs=tuple(build_keep_outs(file, room, tape, framing, clearances)),
        existing_holes=tuple(build_existing_holes(file, room, tape)),
        surfaces=build_surfaces(file, room),
        letterhead=build_letterhead(file.letterhead, folder),
        catalog_types=frozenset(name for section, name in borrowed if section == "speaker_types"),
        taped_from={entry.name: taped_from(entry.at or entry) for entry in file.speakers}
        | {entry.name: taped_from(entry.at) for entry in file.seats},
        bare_lengths=file.bare_lengths,
    )
    return replace(scene, wiring=build_wiring(file.wiring, scene, tape)) if file.wiring else scene


def _refuse_double_names(file: SceneFile, borrowed: Collection[tuple[str, str]]) -> None:
    """Of what the scene itself names; what a catalog calls something must never be in its way."""
    known: set[str] = set()
    lists = ("framing", "keep_outs", "existing_holes", "fixtures", "openings", "seats", "risers", "speakers")
    named: list[tuple[str, Path]] = [
        (entry.name, (section, i)) for section in lists for i, entry in enumerate(getattr(file, section))
    ]
    named += [(zone.name, ("room", "zones", i)) for i, zone in enumerate(file.room.zones)]
    named += [(soffit.name, ("room", "soffits", i)) for i, soffit in enumerate(file.room.soffits)]
    tables = ("datums", "speaker_types", "fixture_types", "members", "materials")
    keyed = [(section, name) for section in tables for name in getattr(file, section)]
    named += [(name, (section, name)) for section, name in keyed if (section, name) not in borrowed]
    if file.wiring is not None:
        wired = [(key, name) for key in ("cables", "spares", "links") for name in getattr(file.wiring, key)]
        named += [(name, ("wiring", key, name)) for key, name in wired]
    named += [
        (reclined_name(s.name), ("seats", i, "reclined")) for i, s in enumerate(file.seats) if s.reclined is not None
    ]
    for name, path in named:
        if name in known:
            raise Misfit(f"something else in the scene is already called {name}; names are used once", path)
        known.add(name)


def _refuse_names_of_faces(file: SceneFile, room: Room) -> None:
    """Zones, soffits and boxes may be faces to cut in or to frame, so none can be called as another face is."""
    reserved = {"ceiling", "floor", *(wall.name for wall in room.plan.walls), *(plane.name for plane in room.ceiling)}
    named: list[tuple[str, Path]] = [(zone.name, ("room", "zones", i)) for i, zone in enumerate(file.room.zones)]
    named += [(soffit.name, ("room", "soffits", i)) for i, soffit in enumerate(file.room.soffits)]
    for name, path in named:
        if name in reserved:
            raise Misfit(f"a face of the room is called {name}; give it another name", path)
    faces = {surface.name for surface in room.surfaces} | reserved
    for index, entry in enumerate(file.fixtures):
        if entry.name in faces:
            raise Misfit(f"a face of the room is called {entry.name}; give it another name", ("fixtures", index))


def _seats(file: SceneFile, room: Room, tape: Tape, ahead: Array) -> Iterator[Seat]:
    """The seats, each that reclines followed by itself reclined."""
    for index, entry in enumerate(file.seats):
        xy = tape.point(entry.at, ("seats", index, "at"))
        floor = float(room.floor_under(xy))
        back_top = None if entry.back_height is None else floor + entry.back_height
        seat = Seat(entry.name, np.append(xy, floor + entry.ear_height), entry.main, back_top=back_top)
        yield seat
        if entry.reclined is not None:
            drop = _drop(entry, entry.reclined, file.print_units, ("seats", index, "reclined"))
            back = USUAL_BACK if entry.reclined.back is None else entry.reclined.back
            yield recline(seat, drop=drop, back=back, ahead=ahead)


def _drop(seat: SeatFile, reclined: ReclinedFile, units: PrintUnits, path: Path) -> float:
    """Metres by which the ears come down. Raises Misfit where they would go up, or through the floor."""
    upright = format_length(seat.ear_height, units)
    if reclined.ear_height is None:
        if seat.ear_height <= USUAL_DROP:
            usual = format_length(USUAL_DROP, units)
            raise Misfit(
                f"ears at {upright} cannot come down by the usual {usual}; say {{ear_height: LENGTH}}, measured", path
            )
        return USUAL_DROP
    if reclined.ear_height > seat.ear_height:
        told = format_length(reclined.ear_height, units)
        raise Misfit(f"reclined ears at {told} would be higher than upright at {upright}", (*path, "ear_height"))
    return seat.ear_height - reclined.ear_height


def _opening(entry: OpeningFile, path: Path, tape: Tape, of: Material | None) -> WallPatch:
    assert entry.sill is not None
    assert entry.height is not None
    wall = tape.wall(entry.wall, (*path, "wall"))
    start, end = tape.span(entry, wall, entry.width, path)
    return WallPatch(entry.name, wall, start, end, entry.sill, entry.sill + entry.height, of)


def _screen(file: SceneFile, entry: ScreenFile, tape: Tape) -> Screen:
    wall = tape.wall(entry.wall, ("screen", "wall"))
    said = given_center(entry)
    place = WallPlace.model_construct(None, **said)
    center = tape.along(place, wall, ("screen",), prefix="center_") if said else wall.length / 2
    if entry.diagonal is not None:
        size = picture_size(entry.diagonal, entry.aspect)
    else:
        assert entry.width is not None
        size = entry.width, entry.width / entry.aspect
    of = named_material(file, entry.material, ("screen", "material"))
    return replace(picture_patch(wall, center, size, entry.bottom), transparent=entry.transparent, material=of)


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
