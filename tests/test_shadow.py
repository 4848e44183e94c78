"""Shadows on the plane: against one line of sight at a time, against rays in the mesh of the air, and laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane, flat
from earshed.model.geometry import frozen
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.shadow import faces_of, shadow_maps
from earshed.model.shell_blocks import convex_parts, shell_blocks
from earshed.model.sight import obstacle_between, ray_distances
from tests.rooms import metres, mirrored, outlines, rooms, seeded_rooms, spot_inside
from tests.test_room_mix import some_room

EARS = PlaneSpec(1.0, 0.33)
A_MILLIMETER = 1e-3


def all_blocks(room):
    return (*room.boxes, *room.risers, *shell_blocks(room))


def hider(plane, position, blocks):
    return shadow_maps(plane, np.asarray(position)[None], faces_of(blocks))[0]


def hidden(plane, position, blocks):
    return hider(plane, position, blocks) >= 0


def shifted(plane, right, front):
    return replace(plane, x=plane.x + right, y=plane.y + front)


def sure(plane, position, blocks):
    """Points (ny, nx) on which all points a millimeter beside them agree: those not within a hair of an edge."""
    nudges = [(A_MILLIMETER * x, A_MILLIMETER * y) for x in (-1, 0, 1) for y in (-1, 0, 1)]
    seen = np.sum([hidden(shifted(plane, *nudge), position, blocks) for nudge in nudges], axis=0)
    return (seen == 0) | (seen == len(nudges))


def some_position(room, rng):
    """A place in the air: on a face overhead, on a wall, or free."""
    spot = spot_inside(room.plan, rng, 1e-3)
    place, _ = room.overhead(spot)
    kind = rng.integers(3)
    if kind == 1:
        wall = room.plan.walls[rng.integers(len(room.plan.walls))]
        spot = wall.start + rng.uniform(0.05, 0.95) * (wall.end - wall.start)
        place = np.append(spot, 0.0)
    height = float(room.ceiling_over(spot))
    return place if kind == 0 else np.append(place[:2], rng.uniform(0.1, 0.95) * height)


def assert_as_one_by_one(room, position, plane):
    blocks = all_blocks(room)
    found, certain = hider(plane, position, blocks), sure(plane, position, blocks)
    for row, column in np.argwhere(plane.inside & certain):
        point = plane.points[row, column]
        met, index = obstacle_between(point, position, room), found[row, column]
        assert (met is None) == (index < 0), (point, position, met)
        if met is not None and index < len(room.boxes) + len(room.risers):
            assert obstacle_between(point, position, Room(room.plan, room.ceiling, (blocks[index],))) is not None
    return found[plane.inside & certain] >= 0


# --- against other ways to the same answer


@given(room=rooms(boxes=3, risers=2), seed=st.integers(0, 2**32))
@settings(max_examples=60)
def test_a_point_is_in_shadow_where_its_line_of_sight_meets_something(room, seed):
    position = some_position(room, np.random.default_rng(seed))
    assume(room.holds(position))
    assert_as_one_by_one(room, position, lay_plane(room, EARS))


def test_bays_dormers_trays_and_soffits_cast_the_shadows_that_lines_of_sight_say():
    shaded = 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        room = some_room(rng)
        position = some_position(room, rng)
        if room.holds(position):
            shaded += assert_as_one_by_one(room, position, lay_plane(room, PlaneSpec(rng.uniform(0.3, 1.5), 0.4))).sum()
    assert shaded > 500


@pytest.mark.parametrize("kind", ["mixed", "outlines"])
def test_rays_in_the_mesh_of_the_air_say_the_same(kind):
    """The mesh is made by another path, of solids cut and joined; the way is free where no triangle is hit before."""
    rng = np.random.default_rng(7)
    some = [some_room(rng) for _ in range(25)] if kind == "mixed" else list(seeded_rooms(25, 8))
    compared = shaded = 0
    for shell in some:
        low, high = shell.plan.bounds
        starts = rng.uniform(np.append(low, 0.0), np.append(high, 1.5), (3, 3))
        boxes = tuple(Block.box(f"box {i}", at, at + rng.uniform(0.2, 1.0, 3)) for i, at in enumerate(starts))
        room = Room(shell.plan, shell.ceiling, boxes, own_ceilings=shell.own_ceilings)
        plane, position = lay_plane(room, PlaneSpec(rng.uniform(0.3, 1.2), 0.5)), some_position(room, rng)
        if not room.holds(position):
            continue
        blocks = all_blocks(room)
        asked = plane.inside & sure(plane, position, blocks) & (plane.height < room.ceiling_over(plane.xy) - 1e-3)
        points = plane.points[asked]
        ways = position - points
        reach = 1 - A_MILLIMETER / np.linalg.norm(ways, axis=1)
        hit = (ray_distances(points, ways, room.air) < reach[:, None]).any(axis=1)
        np.testing.assert_array_equal(hidden(plane, position, blocks)[asked], hit)
        compared, shaded = compared + len(hit), shaded + hit.sum()
    assert compared > 1000
    assert shaded > compared / 20


# --- laws


@given(room=rooms(boxes=3), seed=st.integers(0, 2**32))
@settings(max_examples=60)
def test_a_mirrored_room_has_the_mirrored_shadow(room, seed):
    position = some_position(room, np.random.default_rng(seed))
    other = mirrored(room)
    there = position * [-1, 1, 1] + [room.plan.width, 0, 0]
    one, two = (lay_plane(each, EARS) for each in (room, other))
    certain = sure(one, position, all_blocks(room)) & one.inside
    mine, its = hidden(one, position, all_blocks(room)), hidden(two, there, all_blocks(other))[:, ::-1]
    np.testing.assert_array_equal(mine[certain], its[certain])


def square_plane(side, step, height=1.0):
    at = (np.arange(round(side / step)) + 0.5) * step
    level = np.full((len(at), len(at)), height)
    return ListeningPlane(at, at - side, level, np.ones(level.shape, dtype=bool), step)


def boxes_in(side):
    corners = st.tuples(metres(0, side), metres(-side, 0), metres(0, 2.5), *[metres(0.05, 1.5)] * 3)
    return corners.map(lambda c: Block.box("box", c[:3], np.add(c[:3], c[3:])))


SPEAKERS = st.tuples(metres(0, 5), metres(-5, 0), metres(0.2, 2.6)).map(np.array)


@given(position=SPEAKERS, blocks=st.lists(boxes_in(5), max_size=5), more=boxes_in(5))
def test_another_block_never_lights_a_point(position, blocks, more):
    plane = square_plane(5, 0.25)
    before, after = hidden(plane, position, blocks), hidden(plane, position, [*blocks, more])
    assert not np.any(before & ~after)
    np.testing.assert_array_equal(after, before | hidden(plane, position, [more]))


@given(position=SPEAKERS, blocks=st.lists(boxes_in(5), min_size=1, max_size=5))
def test_the_first_of_several_is_named_and_their_order_changes_no_shadow(position, blocks):
    plane = square_plane(5, 0.25)
    alone = np.stack([hidden(plane, position, [block]) for block in blocks])
    expected = np.where(alone.any(axis=0), alone.argmax(axis=0), -1)
    np.testing.assert_array_equal(hider(plane, position, blocks), expected)
    np.testing.assert_array_equal(hidden(plane, position, blocks[::-1]), alone.any(axis=0))


@given(position=SPEAKERS, block=boxes_in(5), axis=st.integers(0, 2), above=st.booleans())
def test_a_block_not_between_casts_none(position, block, axis, above):
    """On one side of the speaker and of all points at once, touching or not."""
    plane = square_plane(5, 0.25)
    points = plane.points.reshape(-1, 3)
    edge = max(points[:, axis].max(), position[axis]) if above else min(points[:, axis].min(), position[axis])
    by = edge - (block.lower[axis] if above else block.upper[axis])
    shift = np.eye(3)[axis] * by
    assert not hidden(plane, position, [Block.box("aside", block.lower + shift, block.upper + shift)]).any()


@given(position=SPEAKERS, blocks=st.lists(boxes_in(5), min_size=1, max_size=3))
def test_points_inside_a_block_and_a_speaker_inside_one_see_nothing(position, blocks):
    plane = square_plane(5, 0.25)
    dark = hidden(plane, position, blocks)
    for block in blocks:
        assert dark[block.holds(plane.points)].all()
        assert not block.holds(position) or dark.all()


@given(position=SPEAKERS, block=boxes_in(5), share=st.floats(0.05, 1.0))
def test_what_lies_farther_on_the_same_line_is_hidden_too(position, block, share):
    """A plane at a higher level holds the nearer point of a line from over it: dark there is dark below."""
    position = position + np.array([0.0, 0.0, 1.3])
    low = 1.0 - share
    near, far = square_plane(5, 0.25, 1.0), square_plane(5, 0.25, low)
    stretch = (position[2] - low) / (position[2] - 1.0)
    points = [position[i] + (at - position[i]) * stretch for i, at in enumerate((near.x, near.y))]
    far = replace(far, x=points[0], y=points[1])
    assert not np.any(hidden(near, position, [block]) & sure(near, position, [block]) & ~hidden(far, position, [block]))


# --- closed forms


@pytest.mark.parametrize("step", [0.05, 0.02, 0.01])
def test_the_shadow_of_a_sheet_is_the_sheet_enlarged(step):
    """From 2.4 m over a sheet at 1.7 m on a plane at 1.0 m: twice the size, four times the area. The number of cells
    is off by at most those on the edge, so a finer step converges."""
    position, sheet = np.array([2.0331, -2.6143, 2.4]), Block.box("sheet", [1.7, -3.1, 1.7], [2.5, -2.2, 1.700001])
    plane = square_plane(5, step)
    dark = hidden(plane, position, [sheet])
    low, high = (position + 2 * (corner - position) for corner in (sheet.lower, sheet.upper))
    assert abs(dark.sum() * step**2 - 4 * 0.8 * 0.9) <= 2 * (1.6 + 1.8) * step
    beside = np.all((plane.xy > low[:2] + 1e-5) & (plane.xy < high[:2] - 1e-5), axis=-1)
    np.testing.assert_array_equal(dark, beside)


def test_a_round_column_hides_the_wedge_between_its_tangents():
    """Seen from a distance d a circle of radius r takes up asin(r / d) to each side."""
    turns = 2 * np.pi * np.arange(400) / 400
    circle = frozen(np.column_stack([np.cos(turns), np.sin(turns)]) * 0.2 + [2.5, -2.5])
    column = Block("column", circle, CeilingPlane("column", 0.0, 0.0, 0.0), 2.6)
    plane, position = square_plane(5, 0.02), np.array([0.4, -4.1, 1.7])
    away = plane.points[..., :2] - position[:2]
    ahead = np.array([2.5, -2.5]) - position[:2]
    far = np.hypot(*ahead)
    aside = np.abs(away @ np.array([-ahead[1], ahead[0]])) / far
    angle = np.arctan2(aside, away @ ahead / far)
    way, within = np.hypot(*np.moveaxis(away, -1, 0)), np.hypot(*np.moveaxis(away - ahead, -1, 0)) < 0.2
    behind = (angle < np.arcsin(0.2 / far)) & (within | (way > np.sqrt(far**2 - 0.2**2)))
    assert np.mean(hidden(plane, position, [column]) != behind) < 5e-4


def test_a_riser_lifts_the_points_on_it_out_of_a_shadow():
    """A counter of 1.2 m and ears at 1.0 m: from 1.6 m high the shadow is twice as long below as half a riser up."""
    room = Room(rectangle(4, 8), flat(2.5), risers=(Block.box("riser", [2, -8, 0], [4, 0, 0.1], kind="riser"),))
    counter = Block.box("counter", [0, -1.01, 0], [4, -1.0, 1.2])
    plane = lay_plane(room, PlaneSpec(1.0, 0.05))
    dark = hidden(plane, np.array([2.0, -0.001, 1.6]), [counter])
    level = np.abs(plane.x - 2.0) < 0.1
    lengths = [-plane.y[dark[:, level & side].all(axis=1)].min() for side in (plane.x < 2, plane.x > 2)]
    assert lengths == pytest.approx([1.01 * 0.6 / 0.4, 1.01 * 0.5 / 0.4], abs=0.05)


# --- what of the shell stands in the way


@given(plan=outlines())
def test_what_is_beyond_the_walls_fills_the_hull(plan):
    parts = [shapely.Polygon(block.corners) for block in shell_blocks(Room(plan, flat(2.4)))]
    filled = shapely.union_all([plan.polygon, *parts])
    hull = plan.polygon.convex_hull
    assert filled.symmetric_difference(hull).area < 1e-4
    assert sum(part.intersection(plan.polygon).area for part in parts) < 1e-4
    assert all(part.convex_hull.area - part.area < 1e-9 and part.exterior.is_ccw for part in parts)


def test_a_convex_room_under_one_ceiling_is_never_in_its_own_way():
    for room in seeded_rooms(40, 3):
        if room.plan.polygon.convex_hull.area - room.plan.polygon.area < 1e-12:
            assert shell_blocks(room) == ()
    assert shell_blocks(Room(rectangle(4, 6), flat(2.4))) == ()


def test_the_parts_of_a_frame_are_convex_and_leave_no_gap_where_they_meet():
    frame = shapely.box(0, -6, 4, 0).difference(shapely.box(1, -5, 3, -1))
    parts = [shapely.Polygon(corners) for corners in convex_parts(frame)]
    assert len(parts) <= 6
    assert shapely.union_all(parts).symmetric_difference(frame).area < 1e-4
    for part in parts:
        assert part.convex_hull.area == pytest.approx(part.area)
        assert any(part.intersection(other).area > 0 for other in parts if other is not part)


def test_no_light_comes_through_the_seams_of_what_is_beyond_a_wall():
    """The corner that juts in is cut in pieces whose seams all point at some place; from there nothing leaks."""
    corners = [[0, 0], [6, 0], [6, 2], [4, 2], [4, 3], [3, 3], [3, 4], [2, 4], [2, 6], [0, 6]]
    room = Room(outline(corners), flat(2.4))
    for x, y in [(5.5, -1.0), (5.0, -1.0), (3.0, -3.0 + 1e-9), (6.0, -0.5), (1.0, -6.0)]:
        assert_as_one_by_one(room, np.array([x, y, 1.3]), lay_plane(room, PlaneSpec(1.0, 0.1)))
