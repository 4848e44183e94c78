"""Builds ceilings, and the zones that have one of their own, from the checked keys of a file."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from earshed.model import ceiling as shapes
from earshed.model.ceiling import Ceiling
from earshed.model.plan import Bay, Plan, outlined_bay, rectangular_bay, refuse_impossible
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema_places import PlanPlace
from earshed.model.scene_file.schema_room import (
    CeilingFile,
    FlatFile,
    GableFile,
    HipFile,
    PlanesFile,
    RaisedFile,
    RoomFile,
    ShedFile,
    SoffitFile,
    TrayFile,
    ZoneFile,
)
from earshed.model.soffit import ring_along, under_soffit
from earshed.model.surface import Finish
from earshed.model.tray import tray
from earshed.model.zone import LEAST_AREA, Zone

SMALLEST_ZONE = 0.01
"""Square metres: less is a slip of the tape."""


@dataclass(frozen=True, eq=False)
class RoomCeiling:
    """The room's own ceiling: its planes, what it is made of, and the raised middle of a tray."""

    planes: Ceiling
    finish: Finish
    raised: Zone | None


def build_ceiling(entry: CeilingFile, plan: Plan) -> RoomCeiling:
    """The room's own ceiling. Raises ValueError for figures that make none."""
    planes, raised = _shape(entry, plan.width, plan.length, plan.kind == "rectangle")
    finish = finish_of(entry)
    return RoomCeiling(planes, finish, replace(raised, finish=finish) if raised else None)


def finish_of(entry: CeilingFile) -> Finish:
    return "tiles" if not isinstance(entry.finish, str) else entry.finish


def bays_of(room: RoomFile, tape: Tape) -> Iterator[tuple[Path, Bay]]:
    """The parts of the plan that zones add to it, each with its path. Raises Misfit."""
    for index, entry in enumerate(room.zones):
        if entry.projects:
            path: Path = ("room", "zones", index)
            corners = shapely.get_coordinates(_area(entry, path, tape))[:-1]
            yield path, (rectangular_bay if entry.outline is None else outlined_bay)(entry.name, corners)


def build_zones(
    room: RoomFile, plan: Plan, own: RoomCeiling, tape: Tape, askew: float
) -> Iterator[tuple[Path, list[Zone]]]:
    """The zones of a room, entry by entry with its path; soffits last, round what the others leave.

    Walls may be out of square by `askew` metres.

    Raises Misfit.
    """
    taken = [own.raised] if own.raised else []
    path: Path = ("room", "zones")
    try:
        for index, entry in enumerate(room.zones):
            path = ("room", "zones", index)
            zones = _zone(entry, path, tape, own, askew)
            taken += zones
            yield path, zones
        for index, soffit in enumerate(room.soffits):
            path = ("room", "soffits", index)
            ring = ring_along(plan, _chosen_walls(soffit, plan, tape, path), soffit.width)
            area = ring.difference(shapely.union_all([zone.outline for zone in taken]))
            if area.area < SMALLEST_ZONE:
                raise ValueError("other ceilings take up all of it; in a bay or a zone, give the soffit as a zone too")
            zone = Zone(soffit.name, area, under_soffit(own.planes, soffit.bottom, area))
            taken.append(zone)
            yield path, [zone]
    except Misfit:
        raise
    except ValueError as error:
        raise Misfit(str(error), path) from None


def _chosen_walls(entry: SoffitFile, plan: Plan, tape: Tape, path: Path) -> list[str]:
    if entry.walls is None:
        return list(plan.wall_names)
    return [tape.wall(name, (*path, "walls", index)).name for index, name in enumerate(entry.walls)]


def _shape(entry: CeilingFile, width: float, length: float, is_rectangle: bool) -> tuple[Ceiling, Zone | None]:
    """The planes of a ceiling over a plan at the origin, and the raised middle of a tray."""
    if isinstance(entry, (GableFile, HipFile, TrayFile)) and not is_rectangle:
        raise ValueError(f"a {entry.shape} needs a rectangle (width and length); for an outline give planes or zones")
    match entry:
        case FlatFile():
            return shapes.flat(entry.height), None
        case ShedFile():
            span = width if entry.rises in ("left", "right") else length
            high = _rise(entry.low, entry.high, entry.pitch, span)
            return shapes.shed(width=width, length=length, low=entry.low, high=high, rises=entry.rises), None
        case GableFile():
            return _gable(entry, width, length), None
        case HipFile():
            peak = _rise(entry.low, entry.peak, entry.pitch, min(width, length) / 2)
            return shapes.hip(width=width, length=length, low=entry.low, peak=peak), None
        case TrayFile():
            return tray(
                width=width, length=length, height=entry.height, rise=entry.rise, inset=entry.inset, run=entry.run
            )
        case PlanesFile():
            return shapes.planes(np.array(entry.planes) * [1.0, -1.0, 1.0]), None
        case RaisedFile():
            raise ValueError("raised is for a zone: it lifts the room's own ceiling there")


def _gable(entry: GableFile, width: float, length: float) -> Ceiling:
    span = width if entry.ridge == "front-to-back" else length
    run = span / 2 if entry.ridge_at is None else entry.ridge_at
    peak = _rise(entry.low, entry.peak, entry.pitch, run)
    gable = shapes.gable(
        width=width, length=length, ridge=entry.ridge, low=entry.low, peak=peak, ridge_at=run, far_low=entry.far_low
    )
    if entry.flat_top is None:
        return gable
    if not max(entry.low, entry.far_low or 0.0) < entry.flat_top < peak:
        raise ValueError("the flat top must lie above the walls and below the peak")
    return shapes.flat_top(gable, entry.flat_top)


def _rise(low: float, high: float | None, pitch: float | None, run: float) -> float:
    """The height at the top of a slope: as measured, or by its pitch over its run."""
    return high if high is not None else low + math.tan(pitch or 0.0) * run


def _area(entry: ZoneFile, path: Path, tape: Tape) -> shapely.Polygon:
    """The plan area of a zone. Raises Misfit."""
    if entry.outline is None:
        left, front = tape.point(entry, path)
        right, rear = left + (entry.width or 0.0), front - (entry.length or 0.0)
        area = shapely.Polygon([(left, rear), (right, rear), (right, front), (left, front)])
        if area.area < SMALLEST_ZONE:
            raise Misfit("it is too small to have a ceiling of its own", path)
        return area
    if any(getattr(entry, key) is not None for key in PlanPlace.model_fields):
        raise Misfit("an outline has its own place; leave out from_left and the like", path)
    corners = np.array(entry.outline) * [1.0, -1.0]
    try:
        refuse_impossible(corners)
    except ValueError as error:
        raise Misfit(str(error), (*path, "outline")) from None
    return shapely.Polygon(corners)


def _zone(entry: ZoneFile, path: Path, tape: Tape, own: RoomCeiling, askew: float) -> list[Zone]:
    """A zone of the plan, and with a tray the raised part of it."""
    drawn = _area(entry, path, tape)
    area = _within_walls(drawn, tape.plan, askew)
    if isinstance(entry.ceiling, RaisedFile):
        lifted = shapes.lifted(own.planes, entry.ceiling.by)
        return [Zone(entry.name, area, lifted, finish_of(entry.ceiling))]
    x0, y0, x1, y1 = drawn.bounds
    planes, raised = _shape(entry.ceiling, x1 - x0, y1 - y0, entry.outline is None)
    if not isinstance(entry.ceiling, PlanesFile):  # whose points are measured in the room
        planes = shapes.moved(planes, right=x0, back=-y1)
    finish = finish_of(entry.ceiling)
    if raised is None:
        return [Zone(entry.name, area, planes, finish)]
    middle = affinity.translate(raised.outline, x0, y1)
    top = Zone(f"{entry.name} {raised.name}", middle, shapes.moved(raised.planes, right=x0, back=-y1), finish)
    return [Zone(entry.name, area.difference(middle), planes, finish), top]


def _within_walls(area: BaseGeometry, plan: Plan, askew: float) -> BaseGeometry:
    """A zone's area, which is drawn square, less what of it lies past walls that were found out of square."""
    if askew == 0 or area.difference(plan.polygon.buffer(askew)).area > LEAST_AREA:
        return area
    inside = area.intersection(plan.polygon)
    return inside if inside.area > LEAST_AREA else area
