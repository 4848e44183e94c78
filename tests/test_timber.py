"""Beams: their volumes by closed forms and by clipping, where they are, and what they block."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat, gable, shed
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.sight import obstacle_between
from earshed.model.timber import following_beam, level_beam, wall_to_wall
from tests.rooms import metres, rooms, slopes_of, volume_under

WIDTH, DEPTH = 0.14, 0.24


def filled(room: Room, *beams: Block) -> float:
    """Cubic metres that some beams take out of a room's air."""
    full = Room(room.plan, room.ceiling, beams, own_ceilings=room.own_ceilings)
    assert full.air.watertight
    return room.volume - full.volume


@given(low=metres(2, 3), rise=metres(0.1, 3), at=metres(1, 5))
def test_a_beam_up_a_slope_has_its_depth_square_to_it(low, rise, at):
    """Width times depth times the length along the slope: both ends are cut plumb, so the section slides."""
    room = Room(rectangle(4.0, 6.0), shed(width=4.0, length=6.0, low=low, high=low + rise, rises="right"))
    beams = following_beam("rafter", np.array([[0, -at], [4, -at]]), width=WIDTH, depth=DEPTH, zones=room.zones)
    assert len(beams) == 1
    assert filled(room, *beams) == pytest.approx(WIDTH * DEPTH * math.hypot(4, rise), rel=1e-6)


@given(rise=metres(0.1, 3))
def test_a_ridge_beam_is_a_rectangle_less_what_the_slopes_take_off_it(rise):
    """The section under a ridge: w d - p w^2 / 4, with p the pitch (two right triangles off the upper corners)."""
    over = gable(width=4.0, length=6.0, ridge="front-to-back", low=2.5, peak=2.5 + rise, ridge_at=None, far_low=None)
    room = Room(rectangle(4.0, 6.0), over)
    beams = following_beam("ridge", np.array([[2, 0], [2, -6]]), width=WIDTH, depth=DEPTH, zones=room.zones)
    assert [beam.name for beam in beams] == ["ridge"]
    assert filled(room, *beams) == pytest.approx((WIDTH * DEPTH - rise / 2 * WIDTH**2 / 4) * 6, rel=1e-6)
    assert beams[0].under.height(np.array([2.0, -3.0])) == pytest.approx(2.5 + rise - DEPTH)


def test_a_pair_of_rafters_meets_at_the_ridge():
    over = gable(width=4.0, length=6.0, ridge="front-to-back", low=2.0, peak=3.5, ridge_at=1.5, far_low=2.5)
    room = Room(rectangle(4.0, 6.0), over)
    beams = following_beam("rafter", np.array([[0, -3], [4, -3]]), width=WIDTH, depth=DEPTH, zones=room.zones)
    assert [beam.name for beam in beams] == ["rafter, left slope", "rafter, right slope"]
    sections = 1.5 * DEPTH * math.hypot(1, 1.0), 2.5 * DEPTH * math.hypot(1, 0.4)
    overlap = filled(room, *beams)
    assert overlap == pytest.approx(WIDTH * sum(sections), rel=0.02)  # less the miter at the ridge


@given(room=rooms(plan=st.builds(rectangle, metres(2, 6), metres(2, 6))), data=st.data())
def test_a_following_beam_by_clipping_the_plan(room, data):
    """What it fills is the room less the room under the lower of its ceiling and the beam's undersides."""
    ends = np.array([[data.draw(metres(0, room.plan.width)), -data.draw(metres(0, room.plan.length))] for _ in "ab"])
    assume(np.linalg.norm(ends[1] - ends[0]) > 0.3)
    beams = following_beam("beam", ends, width=WIDTH, depth=DEPTH, zones=room.zones)
    assume(all(beam.lower[2] > 0.01 for beam in beams))
    strip = shapely.Polygon(beams[0].corners).intersection(room.plan.polygon)
    unders = [(b.under.rise_right, b.under.rise_front, b.under.at_origin) for b in beams]
    free = volume_under(strip, [*slopes_of(room), *unders])
    assert filled(room, *beams) == pytest.approx(volume_under(strip, slopes_of(room)) - free, abs=1e-6)


@given(bottom=metres(1, 2), depth=st.none() | metres(0.1, 0.5))
def test_a_level_beam(bottom, depth):
    room = Room(rectangle(4.0, 6.0), flat(2.7))
    line = np.array([[0, -2.0], [4, -2.0]])
    beam = level_beam("tie", line, width=WIDTH, bottom=bottom, depth=depth, zones=room.zones)
    assert filled(room, beam) == pytest.approx(4 * WIDTH * (depth or 2.7 - bottom), rel=1e-6)


@given(angle=st.integers(0, 179), x=metres(0.5, 3.5), y=metres(0.5, 5.5))
def test_wall_to_wall_reaches_both_walls_with_both_edges(angle, x, y):
    plan = rectangle(4.0, 6.0)
    run = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    (line,) = wall_to_wall(plan.polygon, np.array([x, -y]), run, WIDTH)
    strip = shapely.LineString(line).buffer(WIDTH / 2, cap_style="flat")
    aside = np.array([-run[1], run[0]]) * (WIDTH / 2 - 1e-4)
    for spot in (np.array([x, -y]) - aside, np.array([x, -y]) + aside):
        far = shapely.LineString([spot - 20 * run, spot + 20 * run]).intersection(plan.polygon)
        assert strip.buffer(1e-6).covers(far)
    assert plan.polygon.buffer(WIDTH * 60).covers(strip)


def test_no_beam_is_off_the_plan():
    assert wall_to_wall(rectangle(4.0, 6.0).polygon, np.array([9.0, -3.0]), np.array([0.0, 1.0]), WIDTH) == []


def test_a_beam_crosses_both_arms_of_a_plan():
    u = outline([[0, 0], [2, 0], [2, 3], [4, 3], [4, 0], [6, 0], [6, 6], [0, 6]])
    lines = wall_to_wall(u.polygon, np.array([3.0, -1.0]), np.array([1.0, 0.0]), WIDTH)
    assert sorted(line[:, 0].tolist() for line in lines) == [[0, 2], [4, 6]]


def test_a_beam_blocks_the_way_and_only_there():
    over = shed(width=4.0, length=6.0, low=2.4, high=3.6, rises="right")
    bare = Room(rectangle(4.0, 6.0), over)
    beams = following_beam("beam", np.array([[0, -3], [4, -3]]), width=WIDTH, depth=DEPTH, zones=bare.zones)
    room = Room(rectangle(4.0, 6.0), over, beams)
    for x, up in ((1.0, 2.7), (3.0, 3.3)):  # the ceiling's height there; plumb, the beam is deeper than square
        plumb = DEPTH * math.hypot(1, 0.3)
        for below, blocker in ((plumb - 0.01, "beam"), (plumb + 0.01, None)):
            ends = np.array([[x, -2.0, up - below], [x, -4.0, up - below]])
            assert obstacle_between(*ends, room) == blocker
    spot, face = room.overhead(np.array([1.0, -3.0]))
    assert spot[2] == pytest.approx(2.7 - DEPTH * math.hypot(1, 0.3))
    assert face.name == "beam"
