"""Builds the wiring from the checked keys of a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.mountings import face_of_wall
from earshed.model.scene_file.places import Tape, suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_places import WallPlace
from earshed.model.scene_file.schema_wiring import CableFile, FacePlaceFile, RackFile, RunFile, WiringFile
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits, format_length
from earshed.model.wiring.conductor import Conductor, of_gauge
from earshed.model.wiring.panel import owner_of
from earshed.model.wiring.pulls import end_of
from earshed.model.wiring.spec import (
    USUAL_CELSIUS,
    USUAL_LOOP_AT_RACK,
    USUAL_LOOP_AT_SPEAKER,
    USUAL_LOSS_LIMIT,
    USUAL_WASTE,
    Cable,
    CableEnd,
    Wanted,
    Wiring,
)

GROUPS = ("ceiling", "walls", "floor")
"""Names that stand for all faces of a kind."""


def build_wiring(file: WiringFile, scene: Scene, tape: Tape) -> Wiring:
    """The wiring of a scene that has all else. Raises Misfit, with the path of the key."""
    _refuse_unknown_faces(file, scene.room)
    wanted = tuple(_wanted(file, scene, tape))
    runs = {name: None for name in (*(one.name for one in scene.speakers), *(one.name for one in wanted))}
    wiring = Wiring(
        rack=_rack(file.rack, scene, tape) if file.rack else None,
        beyond=file.rack.beyond if file.rack else 0.0,
        loop_at_speaker=_or(file.loops.speaker, USUAL_LOOP_AT_SPEAKER),
        loop_at_rack=_or(file.loops.rack, USUAL_LOOP_AT_RACK),
        waste=_or(file.waste, USUAL_WASTE),
        loss_limit=_or(file.loss_limit, USUAL_LOSS_LIMIT),
        celsius=_or(file.temperature, USUAL_CELSIUS),
        cables=tuple(_cable(name, entry) for name, entry in file.cables.items()),
        access=dict(file.access),
        wanted=wanted,
        ways={name: tuple(_way(name, points, runs, scene, tape)) for name, points in file.routes.items()},
        use=dict(file.use),
    )
    for name, cable in file.use.items():
        _refuse_unknown_run(name, runs, ("wiring", "use", name))
        if wiring.cable_called(cable) is None:
            known = {one.name: one for one in wiring.all_offered}
            raise Misfit(f"there is no cable called {cable}{suggest(cable, known)}", ("wiring", "use", name))
    return wiring


def _or(said: float | None, usual: float) -> float:
    return usual if said is None else said


def _refuse_unknown_faces(file: WiringFile, room: Room) -> None:
    faces = {name: face for face in (*room.surfaces, *room.soffits) for name in (face.name, owner_of(face))}
    for name in file.access:
        if name not in (*GROUPS, *faces):
            hint = suggest(name, {**dict.fromkeys(GROUPS), **faces})
            raise Misfit(f"there is no face called {name}{hint}", ("wiring", "access", name), at_key=True)


def _refuse_unknown_run(name: str, runs: Mapping[str, object], path: Path) -> None:
    if name not in runs:
        raise Misfit(f"no speaker, spare or link is called {name}{suggest(name, runs)}", path, at_key=True)


def _cable(name: str, entry: CableFile) -> Cable:
    conductor = None
    if entry.gauge is not None:
        copper = entry.copper or "stranded"
        gauge, area = entry.gauge
        conductor = of_gauge(gauge, copper) if gauge is not None else Conductor(area, None, copper)
    conductors = int(entry.conductors or 2)
    return Cable(name, entry.kind, entry.spool, conductor, conductors, entry.spools, entry.diameter)


def _rack(entry: RackFile, scene: Scene, tape: Tape) -> CableEnd:
    path: Path = ("wiring", "rack")
    if entry.at is None:
        position, face = _on_wall(entry, entry.height, scene, tape, path)
        return CableEnd("rack", position, face)
    spot = frozen([*tape.point(entry.at, (*path, "at")), entry.height])
    if not scene.room.holds(spot):
        raise Misfit(f"is outside the room: it must be {_room_words(scene, spot[:2])}", (*path, "at"))
    return CableEnd("rack", spot)


def _on_wall(entry: WallPlace, height: float, scene: Scene, tape: Tape, path: Path) -> tuple[Array, Surface]:
    assert entry.wall is not None
    wall, face = face_of_wall(entry.wall, scene.room, tape, path)
    along = tape.along(entry, wall, path)
    position = frozen(wall.point(along, height))
    units = scene.print_units
    spot = shapely.Point(face.to_face(position))
    if face.outline.distance(spot) > TOUCHING:
        top = _top(face, position)
        high = "open there" if top is None else f"at most {format_length(top, units)} high there"
        length = format_length(wall.length, units)
        raise Misfit(f"is off {face.called}, which is {length} long and {high}", path)
    for opening in scene.openings:
        inside = opening.start < along < opening.end and opening.bottom < height < opening.top
        if opening.wall.name == wall.name and inside:
            raise Misfit(f"is in the opening {opening.name}; put it beside or over it", path)
    return position, face


def _top(face: Surface, position: Array) -> float | None:
    """Height of a wall over a place along it, or past an end of it at that end, metres; None where a bay opens."""
    spots = shapely.get_coordinates(face.outline)
    level = float(np.clip(face.to_face(position)[0], spots[:, 0].min(), spots[:, 0].max()))
    line = shapely.LineString([(level, spots[:, 1].min() - 1), (level, spots[:, 1].max() + 1)])
    up = shapely.get_coordinates(face.outline.buffer(TOUCHING).intersection(line))
    return float(face.to_room(up)[:, 2].max()) if len(up) else None


def _room_words(scene: Scene, xy: Array) -> str:
    units: PrintUnits = scene.print_units
    plan = scene.room.plan
    width, length = format_length(plan.width, units), format_length(plan.length, units)
    words = f"within its walls ({width} by {length}), clear of boxes"
    if plan.contains(xy):
        words += f", and no higher than {format_length(float(scene.room.ceiling_over(xy)), units)} there"
    return words


def _on_face(entry: FacePlaceFile, name: str, scene: Scene, tape: Tape, path: Path) -> CableEnd:
    """A place on a face. Raises Misfit for one that is on none."""
    if entry.at is None:
        assert entry.height is not None
        position, face = _on_wall(entry, entry.height, scene, tape, path)
        return CableEnd(name, position, face)
    xy = tape.point(entry.at, (*path, "at"))
    if not scene.room.plan.contains(xy):
        raise Misfit(f"is on no face: it must be {_room_words(scene, xy)}", (*path, "at"))
    if entry.surface == "floor":
        floor = scene.room.surface("floor")
        return CableEnd(name, frozen([*xy, 0.0]), floor)
    position, face = scene.room.overhead(xy)
    return CableEnd(name, frozen(position), face)


def _wanted(file: WiringFile, scene: Scene, tape: Tape) -> Iterator[Wanted]:
    for section, entries in (("links", file.links), ("spares", file.spares)):
        for name, entry in entries.items():
            path: Path = ("wiring", section, name)
            start = None
            if entry.starts_at is not None:
                start = _on_face(entry.starts_at, f"start of {name}", scene, tape, (*path, "starts_at"))
            yield Wanted(
                name, entry.kind, _end(entry, name, scene, tape, path), start, entry.impedance, section == "spares"
            )


def _end(entry: RunFile, name: str, scene: Scene, tape: Tape, path: Path) -> CableEnd:
    if entry.ends_at is None:
        return _on_face(entry, name, scene, tape, path)
    things = {one.name: CableEnd(one.name, one.position, one.surface) for one in scene.fixtures}
    things |= {one.name: CableEnd(one.name, one.position, one.surface) for one in scene.existing_holes}
    things |= {one.name: end_of(one) for one in scene.speakers}
    if scene.screen is not None:
        face = scene.room.face(scene.screen.wall.name)
        things["screen"] = CableEnd("screen", frozen(scene.screen.center), face)
    if entry.ends_at not in things:
        words = f"there is no light, fixture, old hole, speaker or screen called {entry.ends_at}"
        raise Misfit(words + suggest(entry.ends_at, things), (*path, "ends_at"))
    return things[entry.ends_at]


def _way(
    name: str, points: Sequence[FacePlaceFile], runs: Mapping[str, object], scene: Scene, tape: Tape
) -> Iterator[CableEnd]:
    path: Path = ("wiring", "routes", name)
    _refuse_unknown_run(name, runs, path)
    for number, point in enumerate(points):
        yield _on_face(point, f"point {number + 1} of {name}", scene, tape, (*path, number))
