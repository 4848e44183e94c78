"""Builds what fills part of the room from the checked keys of a file: boxes, beams, columns and risers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane
from earshed.model.clearances import Clearances
from earshed.model.geometry import Array, frozen, unit
from earshed.model.room import Room
from earshed.model.scene_file.materials import named_material
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape, block_touches
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_fixtures import BeamFile, BoxFile, BuiltInFile, ColumnFile
from earshed.model.scene_file.schema_places import PlanPlace, given_center
from earshed.model.timber import ABOVE, following_beam, level_beam, wall_to_wall

ROUND_SIDES = 32
"""Sides of a round column as it is built: round it, so that no line of sight is let through."""


def build_boxes(file: SceneFile, room: Room, tape: Tape) -> Iterator[Block]:
    """What stands and hangs in a room that has none of it yet. Raises Misfit, with the path of the key."""
    names = {entry.name for entry in file.fixtures}
    usual = Clearances(file.clearances)
    for index, entry in enumerate(file.fixtures):
        path: Path = ("fixtures", index)
        blocks: tuple[Block, ...]
        match entry:
            case BoxFile():
                blocks = (
                    tape.block(entry.name, entry, (entry.width, entry.length, entry.height), path, bottom=entry.bottom),
                )
            case BuiltInFile():
                blocks = (_built_in(entry, room, tape, path),)
            case ColumnFile():
                blocks = (_column(entry, room, tape, path),)
            case BeamFile():
                blocks = tuple(_beams(entry, room, tape, path))
            case _:
                continue
        if not blocks or not any(block_touches(block, room.plan) for block in blocks):
            raise Misfit(f"the {entry.kind} stands wholly outside the room", path)
        of = named_material(file, entry.material, (*path, "material"))
        for block in blocks:
            if block.name != entry.name and block.name in names:
                raise Misfit(f"one of its parts would be called {block.name}, as something else is", path)
            clear = entry.keep_clear if entry.keep_clear is not None else usual.of(entry.kind)
            yield replace(block, keep_clear=clear, material=of)


def build_risers(file: SceneFile, room: Room, tape: Tape) -> Iterator[Block]:
    for index, entry in enumerate(file.risers):
        size = (entry.width, entry.length, entry.height)
        riser = tape.block(entry.name, entry, size, ("risers", index), kind="riser")
        if not block_touches(riser, room.plan):
            raise Misfit("the riser stands wholly outside the room", ("risers", index))
        yield replace(riser, material=named_material(file, entry.material, ("risers", index, "material")))


def _to_ceiling(room: Room) -> float:
    """A height above all of the ceiling, at which what goes up to it may end."""
    return float(room.shell.vertices[:, 2].max()) + ABOVE


def _built_in(entry: BuiltInFile, room: Room, tape: Tape, path: Path) -> Block:
    height = entry.height if entry.height is not None else _to_ceiling(room)
    size = (entry.width, entry.length, height)
    return tape.block(entry.name, entry, size, path, kind=entry.kind)


def _column(entry: ColumnFile, room: Room, tape: Tape, path: Path) -> Block:
    center = tape.point(entry.at, (*path, "at"))
    if entry.diameter is not None:
        turns = 2 * np.pi * (np.arange(ROUND_SIDES) + 0.5) / ROUND_SIDES
        radius = entry.diameter / 2 / np.cos(np.pi / ROUND_SIDES)
        corners = center + radius * np.column_stack([np.cos(turns), np.sin(turns)])
    else:
        half = np.array([entry.width or 0.0, entry.length or 0.0]) / 2
        corners = center + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    top = entry.height if entry.height is not None else _to_ceiling(room)
    under = CeilingPlane(entry.name, 0.0, 0.0, 0.0)
    return Block(entry.name, frozen(corners), under, top, "column")


def _beams(entry: BeamFile, room: Room, tape: Tape, path: Path) -> Iterator[Block]:
    """A beam, or `count` of them at `spacing`."""
    for number in range(entry.count):
        called = entry.name if entry.count == 1 else f"{entry.name} {number + 1}"
        lines = _center_lines(entry, room, tape, path, number * (entry.spacing or 0.0))
        for part, line in enumerate(lines, start=1):
            name = called if part == 1 else f"{called}, part {part}"
            if entry.bottom is not None:
                yield level_beam(
                    name, line, width=entry.width, bottom=entry.bottom, depth=entry.depth, zones=room.zones
                )
            elif entry.depth is not None:
                yield from following_beam(name, line, width=entry.width, depth=entry.depth, zones=room.zones)


def _center_lines(entry: BeamFile, room: Room, tape: Tape, path: Path, moved: float) -> list[Array]:
    """Its ends (2, 2) in each part of the plan, `moved` metres on from where the first of its kind is."""
    if entry.between is not None:
        ends = np.array(entry.between) * [1.0, -1.0]
        if np.allclose(*ends):
            raise Misfit("its two ends are the same place", (*path, "between"))
        return [frozen(ends)]
    run = np.array([0.0, -1.0] if entry.runs == "front-to-back" else [1.0, 0.0])
    end = {"from_front": 0.0} if entry.runs == "front-to-back" else {"from_left": 0.0}
    spot = tape.point(PlanPlace.model_construct(None, **given_center(entry), **end), path)
    on = np.array([moved, 0.0] if entry.runs == "front-to-back" else [0.0, -moved])
    if any(key in given_center(entry) for key in ("from_right", "from_rear")):
        on = -on  # the next one is farther from where the tape hooks
    low, high = room.plan.bounds
    middle = np.where(run == 0.0, spot + on, (low + high) / 2)
    lines = wall_to_wall(room.plan.polygon, middle, unit(run), entry.width)
    if not lines:
        which = f", number {moved / entry.spacing + 1:.0f} of {entry.count}," if entry.spacing and moved else ""
        raise Misfit(f"the beam{which} stands wholly outside the room", path)
    return lines
