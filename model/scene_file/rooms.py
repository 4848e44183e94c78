"""Builds the room from the checked keys of a file: its plan, then its shell, then what fills part of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from earshed.model.plan import Plan, outline, rectangle
from earshed.model.room import Room
from earshed.model.scene_file.blocks import build_boxes, build_risers
from earshed.model.scene_file.ceilings import RoomCeiling, bays_of, build_ceiling, build_zones
from earshed.model.scene_file.fields import LARGEST_LENGTH
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_room import RoomFile
from earshed.model.scene_file.walks import surveyed_plan
from earshed.model.survey import Survey
from earshed.model.units import FOOT, format_length
from earshed.model.zone import Zone

SMALLEST_ROOM = 1 * FOOT


def build_plan(room: RoomFile, survey: Survey | None) -> Plan:
    """The plan of a room, that of its survey where it was walked. Raises Misfit for one that no room can have."""
    given = next((key for key in ("walk", "outline") if getattr(room, key) is not None), None)
    try:
        if survey is not None:
            plan = surveyed_plan(survey)
        elif room.outline is not None:
            plan = outline(room.outline)
        else:
            plan = rectangle(room.width or 0, room.length or 0)
    except ValueError as error:
        raise Misfit(str(error), ("room", given or "width")) from None
    for key, size in (("width", plan.width), ("length", plan.length)):
        where: Path = ("room", given or key)
        if size < SMALLEST_ROOM:
            raise Misfit(f"the room must be at least {format_length(SMALLEST_ROOM)} each way", where)
        if size > LARGEST_LENGTH:
            raise Misfit(f"the room is {size:.1f} m across, past the {LARGEST_LENGTH:g} m that one may measure", where)
    return plan


def build_room(file: SceneFile, plan: Plan, tape: Tape, survey: Survey | None) -> Room:
    """The room of a scene. Raises Misfit, with the path of the key, for what does not fit together."""
    where: Path = ("room", "ceiling")
    try:
        own = build_ceiling(file.room.ceiling, plan)
        raised = [(where, [own.raised])] if own.raised else []
        laid = [*raised, *build_zones(file.room, plan, own, tape, survey.askew if survey else 0.0)]
        try:
            bare = _bare_room(plan, own, laid)
        except ValueError:
            for count, (path, _) in enumerate(laid, start=1):  # to stop at the zone that does not fit
                where = path
                _bare_room(plan, own, laid[:count])
            raise
        if bare.shell.vertices[:, 2].max() > LARGEST_LENGTH:
            raise ValueError(f"the ceiling rises past the {LARGEST_LENGTH:g} m that a room may measure")
    except Misfit:
        raise
    except ValueError as error:
        raise Misfit(str(error), where) from None
    boxes, risers = tuple(build_boxes(file, bare, tape)), tuple(build_risers(file, bare, tape))
    return replace(bare, boxes=boxes, risers=risers) if boxes or risers else bare


def _bare_room(plan: Plan, own: RoomCeiling, laid: Sequence[tuple[Path, list[Zone]]]) -> Room:
    zones = tuple(zone for _, zones in laid for zone in zones)
    return Room(plan, own.planes, own_ceilings=zones, finish=own.finish)


def with_bays(room: RoomFile, plan: Plan, tape: Tape, survey: Survey | None) -> Plan:
    """The plan with what its zones add to it. Raises Misfit."""
    plan = replace(plan, join=max(plan.join, survey.askew)) if survey else plan
    for path, bay in bays_of(room, tape):
        try:
            plan = replace(plan, bays=(*plan.bays, bay))
        except ValueError as error:
            raise Misfit(str(error), path) from None
        size = float(np.ptp(plan.bounds, axis=0).max())
        if size > LARGEST_LENGTH:
            raise Misfit(f"with it the room is {size:.1f} m across, past the {LARGEST_LENGTH:g} m it may measure", path)
    return plan
