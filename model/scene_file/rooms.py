"""Builds the room from the checked keys of a file: plan, ceilings, zones, boxes and risers."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from earshed.model import ceiling as shapes
from earshed.model.block import Block
from earshed.model.ceiling import Ceiling
from earshed.model.plan import Plan, outline, rectangle
from earshed.model.room import Room
from earshed.model.scene_file.fields import LARGEST_LENGTH
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape, block_touches
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import (
    BoxFile,
    CeilingFile,
    FlatFile,
    GableFile,
    HipFile,
    PlanesFile,
    PlanPlace,
    RoomFile,
    SceneFile,
    ShedFile,
    TrayFile,
    ZoneFile,
)
from earshed.model.tray import tray
from earshed.model.units import FOOT, format_length
from earshed.model.zone import Zone

SMALLEST_ROOM = 1 * FOOT


def build_plan(room: RoomFile) -> Plan:
    """The plan of a room. Raises Misfit for one that no room can have."""
    path: Path = ("room", "outline" if room.outline is not None else "width")
    try:
        plan = outline(room.outline) if room.outline is not None else rectangle(room.width or 0, room.length or 0)
    except ValueError as error:
        raise Misfit(str(error), path) from None
    for key, size in (("width", plan.width), ("length", plan.length)):
        where: Path = ("room", "outline" if room.outline is not None else key)
        if size < SMALLEST_ROOM:
            raise Misfit(f"the room must be at least {format_length(SMALLEST_ROOM)} each way", where)
        if size > LARGEST_LENGTH:
            raise Misfit(f"the room is {size:.1f} m across, past the {LARGEST_LENGTH:g} m that one may measure", where)
    return plan


def build_room(file: SceneFile, plan: Plan, tape: Tape) -> Room:
    """The room of a scene. Raises Misfit, with the path of the key, for what does not fit together."""
    boxes, risers = tuple(_boxes(file, plan, tape)), tuple(_risers(file, plan, tape))
    where: Path = ("room", "ceiling")
    try:
        ceiling, raised = _ceiling(file.room.ceiling, plan.width, plan.length, plan.kind == "rectangle")
        zones = [raised] if raised else []
        for index, entry in enumerate(file.room.zones):
            where = ("room", "zones", index)
            zones += _zone(entry, where, tape)
            Room(plan, ceiling, own_ceilings=tuple(zones))  # stops at the zone that does not fit
        where = ("room", "ceiling")
        room = Room(plan, ceiling, boxes, risers, tuple(zones))
    except ValueError as error:
        raise Misfit(str(error), where) from None
    if room.shell.vertices[:, 2].max() > LARGEST_LENGTH:
        raise Misfit(f"the ceiling rises past the {LARGEST_LENGTH:g} m that a room may measure", where)
    return room


def _ceiling(entry: CeilingFile, width: float, length: float, is_rectangle: bool) -> tuple[Ceiling, Zone | None]:
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


def _zone(entry: ZoneFile, path: Path, tape: Tape) -> list[Zone]:
    """A zone of the plan, and with a tray the raised part of it."""
    area: BaseGeometry
    if entry.outline is not None:
        if any(getattr(entry, key) is not None for key in PlanPlace.model_fields):
            raise Misfit("an outline has its own place; leave out from_left and the like", path)
        area = shapely.Polygon(np.array(entry.outline) * [1.0, -1.0])
        if not area.is_valid or area.area == 0:
            raise Misfit("its outline crosses itself or encloses nothing", (*path, "outline"))
        is_rectangle = False
    else:
        left, front = tape.point(entry, path)
        area = shapely.box(left, front - (entry.length or 0.0), left + (entry.width or 0.0), front)
        is_rectangle = True
    x0, y0, x1, y1 = area.bounds
    planes, raised = _ceiling(entry.ceiling, x1 - x0, y1 - y0, is_rectangle)
    if not isinstance(entry.ceiling, PlanesFile):  # whose points are measured in the room
        planes = shapes.moved(planes, right=x0, back=-y1)
    if raised is None:
        return [Zone(entry.name, area, planes)]
    middle = affinity.translate(raised.outline, x0, y1)
    top = Zone(f"{entry.name} {raised.name}", middle, shapes.moved(raised.planes, right=x0, back=-y1))
    return [Zone(entry.name, area.difference(middle), planes), top]


def _boxes(file: SceneFile, plan: Plan, tape: Tape) -> Iterator[Block]:
    for index, entry in enumerate(file.fixtures):
        if isinstance(entry, BoxFile):
            path: Path = ("fixtures", index)
            box = tape.block(entry.name, entry, (entry.width, entry.length, entry.height), path, bottom=entry.bottom)
            if not block_touches(box, plan):
                raise Misfit("the box stands wholly outside the room", path)
            yield box


def _risers(file: SceneFile, plan: Plan, tape: Tape) -> Iterator[Block]:
    for index, entry in enumerate(file.risers):
        riser = tape.block(entry.name, entry, (entry.width, entry.length, entry.height), ("risers", index), kind="riser")
        if not block_touches(riser, plan):
            raise Misfit("the riser stands wholly outside the room", ("risers", index))
        yield riser
