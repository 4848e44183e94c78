"""Pairs: distance, off-axis angle, azimuth and elevation of each speaker from each seat, and what blocks the view."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat
from earshed.model.geometry import FRONT, UP, angle_between
from earshed.model.pairs import best_pairs, direction_from_seat, seat_pairs
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sight import obstacle_between

TYPES = """
speaker_types:
  round: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in}
  box: {mount: stand, aiming: fixed, coverage: 100deg}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
"""


def read(text):
    return scene_from_tree(parse_tree(f"format: 1\ntitle: Pairs\nbare_lengths: m\n{TYPES}{text}", "pairs.yaml"))


def room(screen=""):
    """4 x 6 m with one seat 0.8 m left of the middle and 3.5 m from the front, ears at 1.1 m; and no speakers."""
    return read(f"""
room: {{width: 4, length: 6, ceiling: {{shape: flat, height: 2.6}}}}
seats: [{{name: seat, at: {{from_left: 1.2, from_front: 3.5}}, ear_height: 1.1}}]
{screen}""")


SCREEN = "screen: {wall: front, width: 2, center_from_left: 2.3, bottom: 0.6}"


def from_seat(scene, azimuth_deg, elevation_deg, distance=1.0):
    """The point in that direction: x to the right, y ahead, azimuth to the left (Rec. ITU-R BS.2051-3, section 3)."""
    azimuth, elevation = math.radians(azimuth_deg), math.radians(elevation_deg)
    level = np.array([-math.sin(azimuth), math.cos(azimuth), 0.0])
    return scene.seats[0].ear + distance * (math.cos(elevation) * level + math.sin(elevation) * UP)


# --- azimuth and elevation


def test_plus_thirty_is_on_the_listeners_left():
    """Rec. ITU-R BS.2051-3 section 3: azimuth +30 is the unit vector (-0.5, 0.866025, 0), x right and y front."""
    scene = room()
    np.testing.assert_allclose(from_seat(scene, 30, 0) - scene.seats[0].ear, [-0.5, 0.866025, 0], atol=1e-6)
    azimuth, elevation = direction_from_seat(scene, scene.seats[0], scene.seats[0].ear + np.array([-0.5, 0.8660254, 0]))
    assert math.degrees(azimuth) == pytest.approx(30, abs=1e-5)
    assert elevation == pytest.approx(0, abs=1e-12)


@given(st.floats(-179.99, 180), st.floats(-89.9, 89.9), st.floats(0.1, 5))
def test_azimuth_and_elevation_come_back(azimuth, elevation, distance):
    scene = room()
    point = from_seat(scene, azimuth, elevation, distance)
    found = np.degrees(direction_from_seat(scene, scene.seats[0], point))
    apart = (found[0] - azimuth + 180) % 360 - 180
    assert abs(apart) < 1e-6
    assert found[1] == pytest.approx(elevation, abs=1e-9)


@pytest.mark.parametrize(("horizontal", "elevation"), [(2.252, 30), (1.300, 45), (0.910, 55)])
def test_a_ceiling_over_the_ears_by_1_3_m_is_that_far_away(horizontal, elevation):
    """H / tan el, for the upper layer's 30 to 55 degrees (Rec. ITU-R BS.2051-3, Tables 5 to 9 and 12)."""
    scene = room()
    point = scene.seats[0].ear + np.array([0.0, horizontal, 1.3])
    assert math.degrees(direction_from_seat(scene, scene.seats[0], point)[1]) == pytest.approx(elevation, abs=0.02)


@pytest.mark.parametrize(
    ("one", "other", "apart"), [((45, 30), (30, 0), 33.226), ((45, 30), (-45, 30), 75.522), ((45, 30), (0, 90), 60.0)]
)
def test_angles_between_nominal_channels(one, other, apart):
    """System J of Rec. ITU-R BS.2051-3: cos = sin e1 sin e2 + cos e1 cos e2 cos(a1 - a2)."""
    scene = room()
    ways = [from_seat(scene, *channel) - scene.seats[0].ear for channel in (one, other)]
    assert math.degrees(angle_between(*ways)) == pytest.approx(apart, abs=1e-3)


def test_azimuth_is_zero_at_the_middle_of_the_picture_from_any_seat():
    scene = room(SCREEN)
    seat = scene.seats[0]
    assert scene.screen.center == pytest.approx([2.3, 0.0, 0.6 + 2 * 9 / 16 / 2])
    assert direction_from_seat(scene, seat, scene.screen.center)[0] == pytest.approx(0, abs=1e-12)
    ahead, _ = direction_from_seat(scene, seat, seat.ear + FRONT)
    assert ahead == pytest.approx(math.atan2(2.3 - 1.2, 3.5))  # the picture is to the right, so ahead is to the left
    assert direction_from_seat(room(), seat, seat.ear + FRONT)[0] == 0


@given(st.floats(-6, 0), st.floats(-1, 1))
def test_straight_behind_is_plus_180_never_minus(back, up):
    scene = room()
    for x in (0.0, -0.0):
        way = np.array([x, back - 0.01, up])
        assert direction_from_seat(scene, scene.seats[0], scene.seats[0].ear + way)[0] == math.pi


def test_straight_above_has_azimuth_zero():
    for scene in (room(), room(SCREEN)):
        azimuth, elevation = direction_from_seat(scene, scene.seats[0], scene.seats[0].ear + UP)
        assert (azimuth, elevation) == (0.0, pytest.approx(math.pi / 2))
    assert direction_from_seat(scene, scene.seats[0], scene.seats[0].ear - UP)[1] == pytest.approx(-math.pi / 2)


# --- pairs of a scene


def test_pairs_hold_what_a_tape_and_a_level_would_find():
    """Seat at (1, -3.5, 1.1); a speaker 1.2 m right, 0.9 m ahead and 1.5 m up: 2.121320 m, 45 degrees off, each way."""
    scene = read("""
room: {width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}
seats:
  - {name: a, at: {from_left: 1, from_front: 3.5}, ear_height: 1.1}
  - {name: b, at: {from_left: 3, from_front: 5}, ear_height: 1}
speakers:
  - {name: one, type: round, at: {from_left: 2.2, from_front: 2.6}}
  - {name: low, type: sub, at: {from_left: 1, from_front: 1}, height: 0.3, faces: rear}
  - {name: two, type: box, at: {from_left: 3, from_front: 2}, height: 1, faces: rear}
""")
    pairs = seat_pairs(scene)
    assert [(pair.seat.name, pair.speaker.name) for pair in pairs] == [
        ("a", "one"), ("a", "two"), ("b", "one"), ("b", "two")
    ]  # fmt: skip
    first, last = pairs[0], pairs[3]
    assert first.distance == pytest.approx(2.121320, abs=1e-6)
    assert math.degrees(first.off_axis) == pytest.approx(45, abs=1e-9)
    assert math.degrees(first.elevation) == pytest.approx(45, abs=1e-9)
    assert math.degrees(first.azimuth) == pytest.approx(-math.degrees(math.atan2(1.2, 0.9)), abs=1e-9)
    assert first.verdict == "fringe"  # on the limit of 90 degrees, which counts
    assert (last.distance, last.off_axis, last.azimuth, last.elevation, last.verdict) == (
        pytest.approx(3.0), pytest.approx(0, abs=1e-12), 0.0, 0.0, "covered"
    )  # fmt: skip
    assert all(pair.visible for pair in pairs)


def test_of_one_channel_the_best_verdict_then_the_smallest_angle_counts():
    scene = read(
        """
room: {width: 6, length: 6, ceiling: {shape: flat, height: 2.6}}
seats: [{name: a, at: {from_left: 3, from_front: 4}, ear_height: 1.1}]
speakers:
  - {name: far, type: round, channel: U+090, at: {from_left: 1, from_front: 4}}
  - {name: alone, type: round, at: {from_left: 0.5, from_front: 4}}
  - {name: near, type: round, channel: upper side left, at: {from_left: 2.5, from_front: 4}}
  - {name: also alone, type: round, at: {from_left: 5.5, from_front: 4}}
"""
    )
    assert [pair.speaker.name for pair in best_pairs(seat_pairs(scene))] == ["near", "alone", "also alone"]


# --- lines of sight


def block(name, lower, upper):
    return Block.box(name, np.array(lower, dtype=float), np.array(upper, dtype=float))


def l_shaped(*boxes):
    """5 m across the front 2 m, the left 2 m run back to 6 m: a re-entrant corner at (2, -2)."""
    plan = outline([[0, 0], [5, 0], [5, 2], [2, 2], [2, 6], [0, 6]])
    return Room(plan, flat(2.6), boxes)


CHIMNEY = block("chimney", [1, -4, 0], [2, -3, 2])


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [
        pytest.param([0.5, -3.5, 1], [3, -3.5, 1], False, id="through it"),
        pytest.param([0.5, -3.5, 1], [1.0, -3.5, 1], True, id="up to its face"),
        pytest.param([0.5, -3.5, 1], [1.001, -3.5, 1], False, id="a millimetre into it"),
        pytest.param([1, -5, 1], [1, -1, 1], True, id="along its face"),
        pytest.param([1, -5, 2], [1, -1, 2], True, id="along its edge"),
        pytest.param([0.5, -3.5, 2], [3, -3.5, 2], True, id="over its top, touching"),
        pytest.param([0.5, -3.5, 1.999], [3, -3.5, 1.999], False, id="a millimetre lower"),
        pytest.param([0, -2.9, 1], [2, -4.9, 1], False, id="across its corner"),
        pytest.param([0, -3.1, 1], [2, -5.1, 1], True, id="clear of its corner"),
        pytest.param([0.5, -2.5, 1], [1.5, -3.5, 2.5], False, id="down through its side"),
        pytest.param([0, -2, 1], [2, -4, 1], False, id="through two of its edges"),
        pytest.param([0, -4, 1], [3, -1, 1], True, id="touching one of its edges"),
    ],
)
def test_a_box_blocks_what_runs_through_it_and_nothing_that_only_touches(start, end, free):
    inside = Room(rectangle(4.0, 6.0), flat(2.6), (CHIMNEY,))
    expected = None if free else "chimney"
    assert obstacle_between(np.array(start, dtype=float), np.array(end, dtype=float), inside) == expected
    assert obstacle_between(np.array(end, dtype=float), np.array(start, dtype=float), inside) == expected


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [
        pytest.param([1, -5, 1], [4, -1, 1], "a wall", id="through the re-entrant wall"),
        pytest.param([1, -2.5, 1], [4, -0.9, 2], True, id="past its corner"),
        pytest.param([1, -3, 1], [3, -1, 1], True, id="touching its corner"),
        pytest.param([1, -3, 1], [3, -1, 2.6], True, id="touching its corner on the way up"),
        pytest.param([1, -3.01, 1], [3, -1.01, 1], "a wall", id="a centimetre inside it"),
        pytest.param([2, -5, 1], [2, -1, 1], True, id="along the wall and on"),
        pytest.param([0, -5, 0], [0, -1, 2.6], True, id="in the left wall, from floor to ceiling"),
        pytest.param([1, -5, 1], [1, -5, 2.6], True, id="straight up to the ceiling"),
        pytest.param([1, -5, 1], [1, -5, 2.7], "the ceiling", id="through the ceiling"),
    ],
)
def test_a_re_entrant_wall_blocks_and_its_faces_are_free(start, end, free):
    start, end = np.array(start, dtype=float), np.array(end, dtype=float)
    for one, other in ((start, end), (end, start)):
        assert obstacle_between(one, other, l_shaped()) == (None if free is True else free)


@given(st.tuples(*[st.floats(0.001, 0.999)] * 3), st.tuples(*[st.floats(0.001, 0.999)] * 3))
def test_a_box_blocks_just_the_segments_with_points_inside_it(one, other):
    size = np.array([4.0, -6.0, 2.6])
    start, end = np.array(one) * size, np.array(other) * size
    inside = Room(rectangle(4.0, 6.0), flat(2.6), (CHIMNEY,))
    on_the_way = start + np.linspace(0, 1, 4001)[:, None] * (end - start)
    deepest = np.min(np.minimum(on_the_way - CHIMNEY.lower, CHIMNEY.upper - on_the_way), axis=1).max()
    assume(abs(deepest) > 0.002 and np.linalg.norm(end - start) > 0.01)
    assert (obstacle_between(start, end, inside) is None) == (deepest < 0)


@given(st.tuples(*[st.floats(0.01, 1.99)] * 2), st.tuples(*[st.floats(0.01, 0.99)] * 2), st.floats(0, 2.6))
def test_across_the_l_the_view_is_free_where_it_passes_in_front_of_the_corner(one, other, height):
    """From the leg at x < 2 to the front part at x > 2: free where the crossing of x = 2 lies ahead of y = -2."""
    seat, end = np.array([one[0], -2 - 2 * one[1], 1.1]), np.array([2 + 3 * other[0], -2 * other[1], height])
    crossing = seat[1] + (end[1] - seat[1]) * (2 - seat[0]) / (end[0] - seat[0])
    assume(abs(crossing + 2) > 1e-6)
    assert (obstacle_between(seat, end, l_shaped()) is None) == (crossing > -2)
