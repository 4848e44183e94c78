"""Holes that a former owner left: what a new hole keeps from, takes in, or finds cut already."""

from __future__ import annotations

from dataclasses import replace

from earshed.model.cut_fit import covers, wider
from earshed.model.hidden import ExistingHole
from earshed.model.hole import Hole
from earshed.model.obstacle import Level, Obstacle
from earshed.model.scene import Scene


def old_hole(scene: Scene, hole: ExistingHole) -> Obstacle:
    """A hole of a former owner's, which a new one is to swallow whole or to leave alone."""
    levels = (
        Level("meets-old-hole", "error", "cut", hole.shape, 0.0, f"its cut-out runs into the old hole {hole.name}"),
        Level(
            "near-old-hole", "warning", "cut", hole.shape, scene.clearances.of("old hole"), f"the old hole {hole.name}"
        ),
    )
    note = "or use a type whose cut-out takes all of it in"
    return Obstacle(hole.name, "old holes", levels, taken_in=hole.shape, note=note)


def takes_in(hole: Hole, old: ExistingHole) -> bool:
    """Whether a hole takes in one that is there already, so that nothing of it is left."""
    return old.surface.name == hole.surface.name and covers(hole.cut, old.shape)


def is_cut(hole: Hole, old: ExistingHole) -> bool:
    """Whether a hole is there already, so that nothing has to be sawn for it."""
    return takes_in(hole, old) and wider(hole.cut, old.shape) == 0.0


def nothing_to_saw(obstacle: Obstacle) -> Obstacle:
    """An obstacle for a hole that is there already: what a saw is to keep from counts no more."""
    sawn = ("framing", "hidden", "old holes")
    kept = (level for level in obstacle.levels if level.part != "cut" or level.distance == 0.0)
    return replace(obstacle, levels=tuple(kept)) if obstacle.group in sawn else obstacle
