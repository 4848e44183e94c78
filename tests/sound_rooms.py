"""Rooms for the tests of sound, points in them, and first reflections worked out one by one in plain loops."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import shapely
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat, gable
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.sight import block_between, shell_between
from earshed.model.sound.reflections import Paths
from earshed.model.zone import Zone

SHOEBOX = Room(rectangle(4.5, 6.0), flat(2.6))
GABLE = Room(
    rectangle(4.5, 6.0),
    gable(width=4.5, length=6.0, ridge="front-to-back", low=2.4, peak=3.6, ridge_at=None, far_low=None),
)
CHAMFERED = Room(outline([[1.2, 0], [3.5, 0], [4.5, 0.9], [4.5, 6], [0, 6], [0, 1.5]]), flat(2.6))
"""A rectangle with both front corners cut off: 8 faces."""
ELL = Room(outline([[0, 0], [6, 0], [6, 3], [3.2, 3], [3.2, 7], [0, 7]]), flat(2.5))
"""A room with a corner that juts in."""
TRAY = Room(
    rectangle(4.0, 5.0),
    flat(2.4),
    boxes=(Block.box("duct", [0.0, -5.0, 2.1], [4.0, -4.4, 2.4]),),
    own_ceilings=(Zone("tray", shapely.box(0.8, -4.0, 3.2, -1.0), flat(2.8)),),
)
"""A raised middle, whose upright sides reflect and hide, and a boxed duct."""
CONVEX = {"shoebox": SHOEBOX, "gable": GABLE, "chamfered": CHAMFERED}


def points_in(room: Room, count: int, seed: int) -> np.ndarray:
    """Points (N, 3) of the air, a hand off every face and more."""
    rng = np.random.default_rng(seed)
    (left, rear), (right, front) = room.plan.bounds
    found: list[np.ndarray] = []
    while len(found) < count:
        spot = rng.uniform([left, rear, 0.0], [right, front, 4.0])
        around = spot + 0.1 * np.array(list(itertools.product((-1, 1), repeat=3)))
        if room.holds(around).all():
            found.append(spot)
    return np.array(found)


@st.composite
def two_points(draw: st.DrawFn, room: Room) -> tuple[np.ndarray, np.ndarray]:
    one, other = points_in(room, 2, draw(st.integers(0, 10**6)))
    return one, other


def one_by_one(source: np.ndarray, ear: np.ndarray, room: Room) -> Iterator[tuple[str, float, np.ndarray]]:
    """Name, length and point of each first reflection off the shell, by mirroring the source in each plane in turn."""
    for face in room.surfaces:
        before, behind = (source - face.origin) @ face.normal, (ear - face.origin) @ face.normal
        if min(before, behind) <= 1e-3:
            continue
        image = source - 2 * before * face.normal
        point = image + (ear - image) * before / (before + behind)
        if not face.outline.covers(shapely.Point(face.to_face(point))):
            continue
        if all(is_free(end, point + 1e-4 * face.normal, room) for end in (source, ear)):
            yield face.name, float(np.linalg.norm(ear - image)), point


def is_free(start: np.ndarray, end: np.ndarray, room: Room) -> bool:
    blocks: tuple[Block, ...] = (*room.boxes, *room.risers)
    return block_between(start, end, blocks) is None and shell_between(start, end, room) is None


def lengths_of(paths: Paths, source: int, ear: int) -> np.ndarray:
    """Lengths (K,) of the paths of one source and ear, in order."""
    return np.sort(paths.lengths[(paths.source == source) & (paths.ear == ear)])
