"""Builds speaker types and placed speakers from the checked keys of a file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path as FilePath
from typing import Any, get_args

import numpy as np

from earshed.model.aim import Aim, AtSeats, CannotAim, Straight, Tilt
from earshed.model.channel import Channel, parse_channel
from earshed.model.clamp import Clamps
from earshed.model.framing import Direction, runs_along
from earshed.model.geometry import Array, frozen, unit
from earshed.model.heading import NAMED, parse_heading
from earshed.model.room import Room
from earshed.model.scene_file.directivities import build_directivity
from earshed.model.scene_file.kept import Kept
from earshed.model.scene_file.measurings import build_measured
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape, catalog_hint, suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_speakers import AimFile, SpeakerFile, SpeakerTypeFile, WindowFile
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.sound.piston import Piston
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import (
    TYPICAL_CABINET,
    Angled,
    Coverage,
    Fixed,
    Mount,
    Pivoting,
    Rectangular,
    Size,
    SpeakerType,
)
from earshed.model.surface import Surface
from earshed.model.units import MeasureError, format_angle
from earshed.model.window import ANY_AZIMUTH, ANY_ELEVATION, OF_THE_SCENE, Window

ON_A_WALL = ("from_left", "from_right", "from_center", "from_front", "from_rear", "datum", "right", "back", "along")
_KEYS_OF_MOUNT = {
    "in-ceiling": ("at",),
    "in-wall": ("at", "wall", "height", *ON_A_WALL),
    "stand": ("at", "height", "faces"),
    "on-surface": ("at", "height", "faces"),
}
_PLACED_BY = {
    "in-ceiling": "an in-ceiling type is placed by at: {from_left: ..., from_front: ...}",
    "in-wall": "an in-wall type is placed by wall, one distance along it (such as from_left), and height",
    "stand": "a stand type is placed by at, height and faces",
    "on-surface": "an on-surface type is placed by at, height and faces",
}
_PLACING = ("at", "wall", "height", "faces", *ON_A_WALL)


def build_type(name: str, entry: SpeakerTypeFile, folder: FilePath) -> SpeakerType:
    """The speaker type that a table of keys describes; its directivity's file is looked for in `folder`.

    Raises Misfit for such a file that is not there or cannot be used.
    """
    coverage = Coverage(entry.coverage.angle, entry.coverage.band) if entry.coverage else None
    size = Size(entry.size.width, entry.size.height, entry.size.depth) if entry.size else TYPICAL_CABINET
    directivity = build_directivity(entry.directivity, folder, ("speaker_types", name, "directivity"))
    return SpeakerType(
        name,
        entry.mount,
        entry.aiming,
        coverage,
        entry.cutout,
        entry.bezel,
        entry.mounting_depth,
        size,
        entry.subwoofer,
        entry.depth_from or "face",
        Clamps(**dict(entry.clamps)) if entry.clamps else None,
        entry.impedance,
        directivity,
        entry.steers,
        directivity.crossover_hz if isinstance(directivity, Piston) else entry.crossover,
        entry.sensitivity.level if entry.sensitivity else None,
        entry.sensitivity.watts if entry.sensitivity else None,
        entry.max_level,
        entry.power,
    )


def build_speaker(
    entry: SpeakerFile,
    path: Path,
    *,
    tape: Tape,
    room: Room,
    seats: Sequence[Seat],
    types: Mapping[str, SpeakerType],
    catalogs: Sequence[str],
    folder: FilePath,
    kept: Kept,
) -> Speaker:
    """A placed speaker with its axis; photos of it are looked for in `folder`.

    Raises Misfit for a place, a type, a channel or an aim that does not fit."""
    if entry.type not in types:
        words = f"there is no speaker type called {entry.type}{suggest(entry.type, types)}{catalog_hint(catalogs)}"
        raise Misfit(words, (*path, "type"))
    kind = types[entry.type]
    position, normal, surface = _mounted(entry, kind, path, tape, room, seats)
    aim = _aim(entry.aim, kind, position, seats, (*path, "aim"))
    aimed_at = [seat.ear - position for seat in seats if isinstance(aim, AtSeats) and seat.name in aim.names]
    for direction in aimed_at:
        if np.linalg.norm(direction) < 1e-6:
            raise Misfit("it cannot be aimed at a seat that it sits on", (*path, "aim"))
    try:
        axis = kept.axis(kind.aiming, normal, aim, np.array(aimed_at))
    except CannotAim as error:
        raise Misfit(str(error), path) from None
    except ValueError as error:
        raise Misfit(str(error), (*path, "aim", "toward")) from None
    return Speaker(
        entry.name,
        kind,
        _channel(entry, path),
        frozen(position),
        frozen(normal),
        frozen(axis),
        aim,
        surface,
        _long_axis(entry, kind, normal, path),
        _window(entry.window),
        build_measured(entry.measured, (*path, "measured"), seats, folder),
    )


def _window(entry: WindowFile | None) -> Window | None:
    if entry is None:
        return None
    return Window(entry.azimuth or ANY_AZIMUTH, entry.elevation or ANY_ELEVATION, OF_THE_SCENE)


def _long_axis(entry: SpeakerFile, kind: SpeakerType, normal: Array, path: Path) -> Array | None:
    """Which way the long side of a rectangular hole lies; upright in a wall where nothing is said. Raises Misfit."""
    if not isinstance(kind.cutout or kind.rim, Rectangular) or kind.mount not in ("in-ceiling", "in-wall"):
        if entry.long_axis is not None:
            raise Misfit(f"{kind.name} has no rectangular hole to turn", (*path, "long_axis"))
        return None
    if entry.long_axis is None and kind.mount == "in-ceiling":
        raise Misfit(f"needs `long_axis`, the way its hole lies: one of {', '.join(get_args(Direction))}", path)
    try:
        return frozen(runs_along(entry.long_axis or "up-slope", normal))
    except ValueError:
        raise Misfit(f"{entry.long_axis} stands square to its face", (*path, "long_axis")) from None


def _channel(entry: SpeakerFile, path: Path) -> Channel | None:
    if entry.channel is None:
        return None
    try:
        return parse_channel(entry.channel)
    except ValueError as error:
        raise Misfit(str(error), (*path, "channel")) from None


def _mounted(
    entry: SpeakerFile, kind: SpeakerType, path: Path, tape: Tape, room: Room, seats: Sequence[Seat]
) -> tuple[Array, Array, Surface | None]:
    """Position (3,), baffle normal (3,) and the face it sits in."""
    allowed = _KEYS_OF_MOUNT[kind.mount]
    for key in _PLACING:
        if getattr(entry, key) is not None and key not in allowed:
            raise Misfit(f"`{key}` is of no use here: {_PLACED_BY[kind.mount]}", (*path, key))
    if entry.at is not None:
        elsewhere = ("wall",) if kind.mount == "in-wall" else ("wall", "along")
        for key in elsewhere:
            if getattr(entry.at, key) is not None:
                raise Misfit(f"`{key}` does not belong in at", (*path, "at", key), at_key=True)
        doubled = [key for key in ON_A_WALL if getattr(entry, key) is not None]
        if doubled:
            raise Misfit(f"give its place in at, or as {', '.join(doubled)}, not both", path)
    match kind.mount:
        case "in-ceiling":
            position, surface = room.overhead(tape.point(_needed(entry, "at", kind.mount, path), (*path, "at")))
            return position, surface.normal, surface
        case "in-wall":
            wall = tape.wall(_needed(entry, "wall", kind.mount, path), (*path, "wall"))
            place, where = (entry.at, (*path, "at")) if entry.at is not None else (entry, path)
            along = tape.along(place, wall, where)
            spot = wall.point(along, _needed(entry, "height", kind.mount, path))
            return spot, np.append(wall.inward, 0.0), room.face(wall.name)
    spot = np.append(
        tape.point(_needed(entry, "at", kind.mount, path), (*path, "at")), _needed(entry, "height", kind.mount, path)
    )
    return spot, _facing(_needed(entry, "faces", kind.mount, path), spot, seats, (*path, "faces")), None


def _needed(entry: SpeakerFile, key: str, mount: Mount, path: Path) -> Any:
    """The value of a key that places a speaker. Raises Misfit where it is not given."""
    value = getattr(entry, key)
    if value is None:
        raise Misfit(f"needs `{key}`: {_PLACED_BY[mount]}", path)
    return value


def _facing(text: str, spot: Array, seats: Sequence[Seat], path: Path) -> Array:
    """Direction (3,) in which a cabinet's baffle faces; towards a seat it stays upright."""
    direction = _heading(text, spot, seats, path)
    if text.lower() in NAMED:
        return direction
    level = direction * [1.0, 1.0, 0.0]
    if np.linalg.norm(level) < 1e-6:
        raise Misfit(f"{text} is straight above or below it; say faces: down or faces: up", path)
    return unit(level)


def _heading(text: str, spot: Array, seats: Sequence[Seat], path: Path) -> Array:
    """Direction (3,) of a heading, or towards the ear of the seat of that name."""
    if text.lower() not in NAMED:
        for seat in seats:
            if seat.name == text:
                away = seat.ear - spot
                if np.linalg.norm(away) < 1e-6:
                    raise Misfit(f"{text} is where the speaker sits", path)
                return unit(away)
    try:
        return parse_heading(text)
    except MeasureError as error:
        names = (
            f". Seats can be named too: {', '.join(seat.name for seat in upright_seats(seats)[:8])}" if seats else ""
        )
        raise Misfit(f"{error}{names}", path) from None


def _aim(entry: AimFile | None, kind: SpeakerType, position: Array, seats: Sequence[Seat], path: Path) -> Aim:
    if entry is None:
        return Straight()
    if entry.seat is not None:
        if entry.seat not in [seat.name for seat in seats]:
            raise Misfit(
                f"there is no seat called {entry.seat}{suggest(entry.seat, {seat.name: seat for seat in seats})}",
                (*path, "seat"),
            )
        return AtSeats(tuple(seat.name for seat in seats if entry.seat in (seat.name, seat.reclined_from)))
    if entry.seats is not None:
        if not seats:
            raise Misfit("the scene has no seats to aim at", path)
        chosen = seats if entry.seats == "all" else main_seats(seats)
        return AtSeats(tuple(seat.name for seat in chosen))
    assert entry.toward is not None
    toward = _heading(entry.toward, position, seats, (*path, "toward"))
    return Tilt(_tilt(entry.tilt, kind, path), toward)


def _tilt(said: float | None, kind: SpeakerType, path: Path) -> float:
    """The tilt an aim may have for a type. Raises Misfit with what the type can do."""
    where = (*path, "tilt")
    match kind.aiming:
        case Fixed():
            if said:
                raise Misfit(f"{kind.name} is fixed: it cannot be tilted", where)
            return 0.0
        case Angled(angle):
            if said is not None and abs(said - angle) > 1e-9:
                raise Misfit(
                    f"{kind.name} leans {format_angle(angle)} by its build; leave tilt out, or write that", where
                )
            return angle
        case Pivoting(limit):
            if said is None:
                raise Misfit(f"needs tilt: ANGLE, at most {format_angle(limit)} for {kind.name}", path)
            if not 0 <= said <= limit + 1e-9:
                degrees = f"{math.degrees(said):.10g}°"
                raise Misfit(f"{degrees} is past what {kind.name} can do: 0 to {format_angle(limit)}", where)
            return said
