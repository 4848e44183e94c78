"""Lines of sight, against dense sampling and against the plan alone."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat, gable
from earshed.model.fixture import Hanging
from earshed.model.geometry import frozen
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.sight import meets_hanging, obstacle_between, ray_distances, shell_between, way_to_block
from tests.rooms import metres, outlines, rooms, spot_inside

CRATE = Block.box("crate", frozen([1.0, -3.0, 0.5]), frozen([2.0, -2.0, 1.5]))


def crosses_shell(start, end, room):
    """Whether the way between two points goes through a wall, the ceiling or the floor."""
    return shell_between(start, end, room) is not None


def crosses(start, end, block):
    """Whether the way between two points runs through a block."""
    return way_to_block(start, end, block) is not None


SPOTS = st.tuples(metres(0, 3), metres(-4, -1), metres(0, 2)).map(np.array)


def at(*xyz):
    return np.array(xyz, dtype=float)


def grown(block, by):
    return Block.box(block.name, frozen(block.lower - by), frozen(block.upper + by))


# --- blocks


@given(start=SPOTS, end=SPOTS)
@settings(max_examples=300)
def test_crossing_a_block_against_points_along_the_way(start, end):
    """A point inside settles it. Where no point comes within a step of the block, the way is clear for certain."""
    assume(np.linalg.norm(end - start) > 1e-3)
    count = 400
    points = start + np.linspace(0, 1, count)[:, None] * (end - start)
    step = np.linalg.norm(end - start) / count + 1e-5
    crossing = crosses(start, end, CRATE)
    assert crosses(end, start, CRATE) == crossing
    if CRATE.holds(points).any():
        assert crossing
    elif not grown(CRATE, step).holds(points).any():
        assert not crossing


@given(start=SPOTS, seed=st.integers(0, 2**32))
def test_a_way_to_or_through_a_point_inside_crosses(start, seed):
    inside = np.random.default_rng(seed).uniform(CRATE.lower + 1e-3, CRATE.upper - 1e-3)
    assume(np.linalg.norm(start - inside) > 1e-3)
    assert crosses(start, inside + (inside - start), CRATE)
    assert crosses(start, inside, CRATE)


@given(start=SPOTS, end=SPOTS, axis=st.integers(0, 2), above=st.booleans())
def test_a_way_on_one_side_of_a_block_is_clear(start, end, axis, above):
    for point in (start, end):
        point[axis] = max(point[axis], CRATE.upper[axis]) if above else min(point[axis], CRATE.lower[axis])
    assert not crosses(start, end, CRATE)


@pytest.mark.parametrize(
    ("start", "end", "crossing"),
    [
        (at(0, -2.5, 1), at(3, -2.5, 1), True),
        (at(1, -2.5, 1), at(3, -2.5, 1), True),  # from one face to beyond the other
        (at(0, -4, 0), at(3, -1, 2), True),  # corner to corner
        (at(0, -2.5, 1), at(1, -2.5, 1), False),  # up to a face
        (at(2, -2.5, 1), at(3, -2.5, 1), False),  # away from a face
        (at(0, -2.5, 1.5), at(3, -2.5, 1.5), False),  # along the top
        (at(0, -2, 1.5), at(3, -2, 1.5), False),  # along an edge
        (at(1, -3, 0), at(1, -3, 3), False),  # up an edge
        (at(0, -2.5, 0.5), at(2, -2.5, 2.5), False),  # over an edge, touching it
        (at(1.2, -2.5, 1), at(1.8, -2.5, 1), True),  # inside all along
        (at(0, -2.5, 1), at(0.9, -2.5, 1), False),  # stops short
        (at(1, -2.5, 1), at(1, -2.5, 1), False),  # no way at all
    ],
)
def test_touching_is_not_crossing(start, end, crossing):
    assert crosses(start, end, CRATE) is crossing


# --- rays


@given(
    start=st.tuples(metres(0.1, 3.9), metres(-5.9, -0.1), metres(0.1, 2.3)),
    turn=st.floats(0, 6.28),
    rise=st.floats(-1, 1),
)
def test_a_ray_in_a_box_shaped_room_leaves_where_the_slabs_say(start, turn, rise):
    room = Room(rectangle(4, 6), flat(2.4))
    start, way = np.array(start), np.array([math.cos(turn), math.sin(turn), rise])
    lower, upper = np.array([0, -6, 0]), np.array([4, 0, 2.4])
    exits = [((upper if w > 0 else lower)[i] - start[i]) / w for i, w in enumerate(way) if abs(w) > 1e-9]
    distances = ray_distances([start], [way], room.shell)
    assert distances.shape == (1, len(room.shell.triangles))
    assert distances.min() == pytest.approx(min(exits), rel=1e-6)
    assert ray_distances([start], [2 * way], room.shell).min() == pytest.approx(min(exits) / 2, rel=1e-6)


@given(room=rooms(), seed=st.integers(0, 2**32))
def test_a_ray_leaves_the_room_at_its_first_hit(room, seed):
    rng = np.random.default_rng(seed)
    spots = shapely.get_coordinates(room.plan.polygon.representative_point())[0]
    start = np.append(spots, room.ceiling_over(spots) * rng.uniform(0.2, 0.8))
    ways = rng.normal(size=(20, 3))
    hits = ray_distances(np.tile(start, (20, 1)), ways, room.shell)
    first = hits.min(axis=1)
    assert np.isfinite(first).all(), "the shell is closed"
    assert room.holds(start + 0.999 * first[:, None] * ways).all()
    ends = start + first[:, None] * ways
    off = [np.abs((ends - face.origin) @ face.normal) for face in room.surfaces]
    assert np.min(off, axis=0).max() < 1e-6, "each hit lies on a face"


def test_a_ray_that_misses_or_looks_away_hits_nothing():
    room = Room(rectangle(4, 6), flat(2.4))
    assert np.isinf(ray_distances([[-1, -3, 1]], [[-1, 0, 0]], room.shell)).all()
    assert np.isinf(ray_distances([[-1, -3, 1]], [[0, 1, 0]], room.shell)).all()


# --- the shell


@given(room=rooms(plan=outlines()), seed=st.integers(0, 2**32))
@settings(max_examples=200)
def test_walls_block_where_the_plan_is_not_straight_across(room, seed):
    """Under a ceiling that bulges up, the view between two points of the room is free where the floor joins them."""
    rng, floor = np.random.default_rng(seed), room.plan.polygon
    spots = np.array([spot_inside(room.plan, rng, clearance=1e-3) for _ in range(2)])
    start, end = np.column_stack([spots, room.ceiling_over(spots) * rng.uniform(0.05, 0.95, 2)])
    way = shapely.LineString(spots)
    assume(way.length > 0.01)
    assume(shapely.distance(way, shapely.points(room.plan.corners)).min() > 1e-3)  # grazing a corner is left open
    blocked = crosses_shell(start, end, room)
    assert blocked == (not floor.covers(way))
    assert crosses_shell(end, start, room) == blocked
    assert obstacle_between(start, end, room) == ("a wall" if blocked else None)


def nook():
    """An L: the part at the rear left cannot see round the corner at (2, -3)."""
    return Room(outline([[0, 0], [4, 0], [4, 3], [2, 3], [2, 6], [0, 6]]), flat(2.4))


def test_round_the_corner_of_an_l():
    room = nook()
    assert crosses_shell(at(3.8, -2.5, 1), at(1.5, -5.5, 1), room)
    assert not crosses_shell(at(0.5, -0.5, 1), at(1.5, -5.5, 2), room)
    assert obstacle_between(at(3.8, -2.5, 1), at(1.5, -5.5, 1), room) == "a wall"


@pytest.mark.parametrize(
    "end", [at(1, -1, 2.4), at(0, -2, 1), at(0.5, 0, 1.2), at(0, 0, 0), at(0, 0, 2.4), at(2, -3, 1), at(4, -2.999, 0)]
)
def test_ending_on_a_face_is_not_going_through_it(end):
    ear = at(1, -2, 1.1)
    assert not crosses_shell(ear, end, nook())
    assert not crosses_shell(end, ear, nook())


@given(across=st.floats(0.01, 0.99), back=st.floats(0.01, 0.99), low=metres(0.5, 2))
def test_a_speaker_in_a_vault_is_seen_from_every_seat(across, back, low):
    room = Room(
        rectangle(4, 6), gable(width=4, length=6, ridge="front-to-back", low=low, peak=3, ridge_at=1.5, far_low=1)
    )
    place, _ = room.overhead(np.array([4 * across, -6 * back]))
    for ear in (at(0.5, -5, 0.4), at(3.5, -1, 0.4), at(2, -3, 0.4)):
        assert obstacle_between(ear, place, room) is None


def test_through_the_ceiling_and_out():
    room = nook()
    assert crosses_shell(at(1, -1, 1), at(1, -1, 3), room)
    assert crosses_shell(at(1, -1, 1), at(1, -1, -1), room)
    assert crosses_shell(at(-1, -1, 1), at(5, -1, 1), room)
    assert not crosses_shell(at(1, -1, 1), at(1, -1, 1), room)


# --- what is in the way


def test_the_first_thing_on_the_way_is_named():
    far, near = (
        Block.box("far", frozen([3.0, -3, 0]), frozen([3.2, -2, 2])),
        Block.box("near", frozen([1.0, -3, 0]), frozen([1.2, -2, 2])),
    )
    for boxes in ((near, far), (far, near)):
        room = Room(rectangle(4, 6), flat(2.4), boxes=boxes)
        assert obstacle_between(at(0.5, -2.5, 1), at(3.8, -2.5, 1), room) == "near"
        assert obstacle_between(at(3.8, -2.5, 1), at(0.5, -2.5, 1), room) == "far"
        assert obstacle_between(at(1.5, -2.5, 1), at(2.8, -2.5, 1), room) is None
        assert obstacle_between(at(0.5, -2.5, 2.2), at(3.8, -2.5, 2.2), room) is None


def test_a_speaker_on_a_soffit_is_not_hidden_by_it():
    soffit = Block.box("soffit", frozen([0.0, -2, 2.0]), frozen([4.0, 0, 2.4]))
    room = Room(rectangle(4, 6), flat(2.4), boxes=(soffit,))
    place, _ = room.overhead(np.array([2.0, -1.0]))
    assert obstacle_between(at(2, -4, 1), place, room) is None
    assert obstacle_between(at(2, -4, 1), at(2, -1, 2.4), room) == "soffit"


BLADES = Hanging(np.array([1.5, -2.5]), 0.6, 1.2, 1.4)


@given(starts=st.lists(SPOTS, min_size=1, max_size=4), ends=st.lists(SPOTS, min_size=1, max_size=4))
def test_a_way_meets_what_hangs_where_a_point_of_it_lies_in_that(starts, ends):
    """Many points of each way, and the cylinder a hair larger and smaller, so that what is sampled is sure."""
    starts, ends = np.array(starts), np.array(ends)
    met = meets_hanging(starts[:, None], ends, BLADES)
    shares = np.linspace(0, 1, 2001)[:, None]
    for (row, column), meets in np.ndenumerate(met):
        way = starts[row] + shares * (ends[column] - starts[row])
        out = np.maximum(np.hypot(*(way[:, :2] - BLADES.center).T) - BLADES.radius, np.abs(way[:, 2] - 1.3) - 0.1)
        assert not meets or out.min() < 0.003
        assert meets or out.min() > -0.003


@given(start=SPOTS, end=SPOTS)
def test_a_way_back_meets_what_the_way_there_does(start, end):
    assume(abs(end[2] - start[2]) > 1e-3)
    assert meets_hanging(start, end, BLADES) == meets_hanging(end, start, BLADES)
