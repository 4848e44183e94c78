"""Where a speaker's axis ends in the room: what it is pointed at with a laser or a string."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from earshed.model.geometry import STAND_OFF, Array
from earshed.model.ray import first_hits
from earshed.model.room import Room
from earshed.model.sight import way_to_block


@dataclass(frozen=True, eq=False)
class Landing:
    """The point (3,), metres, at which an axis first meets something, and what that is."""

    point: Array
    on: Literal["floor", "face", "thing"]
    name: str
    """As it stands in a sentence: "the floor", "the rear wall"; of a box, a beam or a riser its own name."""


def landing(room: Room, position: Array, normal: Array, axis: Array) -> Landing | None:
    """Where the axis (3,) of a speaker at `position` (3,) first meets the shell, a box or a riser.

    None where it meets nothing, as for one that hangs outside the room.
    """
    start = position + STAND_OFF * normal
    hits = first_hits(start, axis, room.surfaces)
    if hits.faces < 0:
        return None
    face = room.surfaces[int(hits.faces)]
    blocks = [(way_to_block(start, hits.points, block), block) for block in (*room.boxes, *room.risers)]
    met = [(share, block) for share, block in blocks if share is not None]
    if met:
        share, block = min(met, key=lambda found: found[0])
        return Landing(np.asarray(start + share * (hits.points - start)), "thing", block.name)
    return Landing(hits.points, "floor" if face.kind == "floor" else "face", face.called)
