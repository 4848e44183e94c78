"""Which seats are seen from very many places at once, and past what: `model/sight.py` for all of them together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from earshed.model.block import Block
from earshed.model.ceiling import ceiling_height
from earshed.model.fixture import Fixture
from earshed.model.furniture import furniture
from earshed.model.geometry import TOUCHING, Array
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.sight import GRAZING, meets_hanging
from earshed.model.zone import Zone

Mask = NDArray[np.bool_]


def hidden_seats(points: Array, ears: Array, room: Room) -> Mask:
    """Pairs (N, S) of points (N, 3) of a room's faces and ears (S, 3) that do not see each other past boxes and shell.

    To run along a face, or up to one, is not to be blocked.
    """
    hidden = np.zeros((len(points), len(ears)), dtype=bool)
    for block in (*room.boxes, *room.risers):
        hidden |= _behind_block(points, ears, block)
    for edge, zone in _shell_edges(room):
        hidden |= _past_edge(points, ears, edge, zone)
    return hidden


def behind_furniture(points: Array, seats: Sequence[Seat], scene: Scene) -> Mask:
    """Pairs (N, S) of points (N, 3) and seats that a seat's back or the screen stands between."""
    hidden = np.zeros((len(points), len(seats)), dtype=bool)
    for column, seat in enumerate(seats):
        for block in furniture(scene, seat):
            hidden[:, column] |= _behind_block(points, seat.ear[None], block)[:, 0]
    return hidden


def chopped_seats(points: Array, ears: Array, fixtures: Iterable[Fixture]) -> Mask:
    """Pairs (N, S) of points (N, 3) and ears (S, 3) whose straight way passes blades or a shade."""
    chopped = np.zeros((len(points), len(ears)), dtype=bool)
    for fixture in fixtures:
        if fixture.hanging is not None:
            chopped |= meets_hanging(points[:, None], ears, fixture.hanging)
    return chopped


def _behind_block(points: Array, ears: Array, block: Block) -> Mask:
    """Pairs (N, S) that a block stands between: by where a line enters and leaves it."""
    normals, offsets = block.planes
    away = offsets - points @ normals.T
    shape = (len(points), len(ears))
    enter, leave, misses = np.zeros(shape), np.ones(shape), np.zeros(shape, dtype=bool)
    to_ears = ears @ normals.T
    for plane in range(len(normals)):
        start = away[:, plane][:, None]
        ahead = to_ears[:, plane] - (offsets[plane] - start)
        level = np.abs(ahead) < 1e-12
        misses |= level & (start < TOUCHING)
        at = start / np.where(level, 1.0, ahead)
        enter = np.where(~level & (ahead < 0), np.maximum(enter, at), enter)
        leave = np.where(~level & (ahead > 0), np.minimum(leave, at), leave)
    length = np.linalg.norm(ears - points[:, None], axis=-1)
    behind: Mask = ~misses & ((leave - enter) * length > TOUCHING)
    return behind


def _shell_edges(room: Room) -> Iterator[tuple[Array, Zone | None]]:
    """Plan edges (2, 2) that a line inside the room may cross: walls of a plan that is not convex, and edges of zones,
    where it may be too high for a zone's ceiling. Within one zone, the lowest of planes, a line never is."""
    plan = room.plan.polygon
    if plan.convex_hull.area - plan.area > TOUCHING:
        corners = room.plan.outer_corners
        yield from ((edge, None) for edge in np.stack([corners, np.roll(corners, -1, axis=0)], axis=1))
    if len(room.zones) > 1:
        yield from ((edge, zone) for zone in room.zones for edge in zone.edges)


def _past_edge(points: Array, ears: Array, edge: Array, zone: Zone | None) -> Mask:
    """Pairs (N, S) whose line crosses a wall over an edge (2, 2), or an edge of a zone above its ceiling."""
    start, run = edge[0], edge[1] - edge[0]
    length = float(np.hypot(*run))
    if length < TOUCHING:
        return np.zeros((len(points), len(ears)), dtype=bool)
    run = run / length
    aside = np.array([-run[1], run[0]])
    here, there = (points[:, :2] - start) @ aside, (ears[:, :2] - start) @ aside
    crosses: Mask = (here[:, None] * there < 0) & (np.abs(here)[:, None] > TOUCHING) & (np.abs(there) > TOUCHING)
    at, seat = np.nonzero(crosses)
    share = (here[at] / (here[at] - there[seat]))[:, None]
    spots = points[at] + share * (ears[seat] - points[at])
    along = (spots[:, :2] - start) @ run
    blocked = (along > TOUCHING) & (along < length - TOUCHING)
    if zone is not None:
        blocked &= spots[:, 2] > ceiling_height(zone.planes, spots[:, :2]) + GRAZING
    crossed: Mask = np.zeros(crosses.shape, dtype=bool)
    crossed[at, seat] = blocked
    return crossed
