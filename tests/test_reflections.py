"""First reflections: the laws of images, and agreement with plain loops in rooms of every shape."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane, flat
from earshed.model.geometry import angle_between
from earshed.model.plan import Plan, outline
from earshed.model.room import Room
from earshed.model.sound import reflections
from earshed.model.sound.free_ways import free_ways
from earshed.model.sound.reflections import SPEED_OF_SOUND, Paths, first_reflections
from tests.rooms import blocks, rooms
from tests.sound_rooms import CONVEX, ELL, SHOEBOX, TRAY, is_free, one_by_one, points_in

ROOMS = {**CONVEX, "ell": ELL}
MIRROR = np.array([-1.0, 1.0, 1.0])


def paths_in(room: Room, seed: int, sources: int = 5, ears: int = 4) -> tuple[Paths, np.ndarray, np.ndarray]:
    points = points_in(room, sources + ears, seed)
    return (
        first_reflections(points[:sources], points[sources:], room.surfaces, room),
        points[:sources],
        points[sources:],
    )


@pytest.mark.parametrize("name", ROOMS)
def test_a_mirror_sends_out_at_the_angle_at_which_it_is_met(name: str) -> None:
    room = ROOMS[name]
    paths, sources, ears = paths_in(room, 3)
    normals = np.array([face.normal for face in room.surfaces])[paths.face]
    out = angle_between(sources[paths.source] - paths.points, normals)
    back = angle_between(ears[paths.ear] - paths.points, normals)
    np.testing.assert_allclose(out, back, atol=1e-9)
    in_plane = np.cross(sources[paths.source] - paths.points, ears[paths.ear] - paths.points)
    np.testing.assert_allclose(np.sum(in_plane * normals, axis=1), 0.0, atol=1e-9)


@pytest.mark.parametrize("name", ROOMS)
def test_a_path_is_as_long_as_its_two_legs_and_longer_than_the_straight_way(name: str) -> None:
    room = ROOMS[name]
    paths, sources, ears = paths_in(room, 4)
    legs = [np.linalg.norm(end - paths.points, axis=1) for end in (sources[paths.source], ears[paths.ear])]
    np.testing.assert_allclose(paths.lengths, legs[0] + legs[1], rtol=1e-12)
    assert np.all(paths.extras > 0)
    np.testing.assert_allclose(paths.delays * SPEED_OF_SOUND, paths.lengths - paths.directs, rtol=1e-12)
    assert np.all(paths.spreading_db < 0)
    np.testing.assert_allclose(sources[paths.source] + legs[0][:, None] * paths.departures, paths.points, atol=1e-9)
    np.testing.assert_allclose(ears[paths.ear] + legs[1][:, None] * paths.arrivals, paths.points, atol=1e-9)
    for face, point in zip(paths.face, paths.points, strict=True):
        surface = room.surfaces[face]
        assert abs((point - surface.origin) @ surface.normal) < 1e-9
        assert surface.outline.distance(shapely.Point(surface.to_face(point))) < 1e-9


def test_twice_as_long_is_six_decibels_down() -> None:
    """By hand: 1 m apart, 0.75 m over the floor, the path is 2 sqrt(0.5^2 + 0.75^2) = 1.802776 m, 5.1188 dB down."""
    floor = [face for face in SHOEBOX.surfaces if face.kind == "floor"]
    paths = first_reflections([2.0, -3.0, 0.75], [3.0, -3.0, 0.75], floor, SHOEBOX)
    assert paths.lengths == pytest.approx([1.8027756])
    assert paths.spreading_db == pytest.approx([-20 * np.log10(1.8027756)])
    assert paths.delays == pytest.approx([0.8027756 / 343.2146])
    np.testing.assert_allclose(paths.points, [[2.5, -3.0, 0.0]], atol=1e-12)


@pytest.mark.parametrize("name", CONVEX)
def test_no_face_reflects_twice_and_in_a_box_of_six_faces_each_does(name: str) -> None:
    room = CONVEX[name]
    paths, sources, ears = paths_in(room, 5)
    keys = list(zip(paths.source, paths.ear, paths.face, strict=True))
    assert len(keys) == len(set(keys))
    assert keys == sorted(keys)
    if name == "shoebox":
        assert len(paths) == 6 * len(sources) * len(ears)


@pytest.mark.parametrize("name", ROOMS)
def test_speaker_and_ear_may_change_places(name: str) -> None:
    room = ROOMS[name]
    paths, sources, ears = paths_in(room, 6)
    back = first_reflections(ears, sources, room.surfaces, room)
    keys = zip(paths.source, paths.ear, paths.face, strict=True)
    there = dict(zip(keys, zip(paths.points, paths.arrivals, strict=True), strict=True))
    assert len(back) == len(paths) > 0
    for s, e, f, point, departure in zip(back.source, back.ear, back.face, back.points, back.departures, strict=True):
        np.testing.assert_allclose(there[e, s, f][0], point, atol=1e-9)
        np.testing.assert_allclose(there[e, s, f][1], departure, atol=1e-9)


def mirrored(room: Room) -> Room:
    corners = room.plan.corners * [-1.0, 1.0]
    plan = Plan(corners, room.plan.wall_names, "outline")
    planes = tuple(CeilingPlane(p.name, -p.rise_right, p.rise_front, p.at_origin) for p in room.ceiling)
    return Room(plan, planes)


@pytest.mark.parametrize("name", ROOMS)
def test_in_a_mirrored_room_the_paths_are_mirrored(name: str) -> None:
    room, other = ROOMS[name], mirrored(ROOMS[name])
    paths, sources, ears = paths_in(room, 7)
    names = {face.name: number for number, face in enumerate(room.surfaces)}
    twin = first_reflections(sources * MIRROR, ears * MIRROR, other.surfaces, other)
    faces = [names[other.surfaces[face].name] for face in twin.face]
    order = np.lexsort((faces, twin.ear, twin.source))
    assert np.array_equal(np.array(faces)[order], paths.face)
    np.testing.assert_allclose(twin.points[order] * MIRROR, paths.points, atol=1e-9)
    np.testing.assert_allclose(twin.lengths[order], paths.lengths, rtol=1e-12)


def check_against_loops(room: Room, sources: np.ndarray, ears: np.ndarray) -> Paths:
    """Names, lengths and points of every pair of a source and an ear are those that plain loops find."""
    paths = first_reflections(sources, ears, room.surfaces, room)
    for s, source in enumerate(sources):
        for e, ear in enumerate(ears):
            mine = np.flatnonzero((paths.source == s) & (paths.ear == e))
            wanted = {name: (length, point) for name, length, point in one_by_one(source, ear, room)}
            names = [room.surfaces[face].name for face in paths.face[mine]]
            assert sorted(names) == sorted(wanted)
            for name, path in zip(names, mine, strict=True):
                assert paths.lengths[path] == pytest.approx(wanted[name][0])
                np.testing.assert_allclose(paths.points[path], wanted[name][1], atol=1e-8)
    return paths


@settings(max_examples=60)
@given(st.data())
def test_it_finds_what_plain_loops_find_in_rooms_of_every_shape(data: st.DataObject) -> None:
    room = data.draw(rooms(boxes=2, risers=1))
    rng = np.random.default_rng(data.draw(st.integers(0, 10**6)))
    (left, rear), (right, front) = room.plan.bounds
    spots = rng.uniform([left, rear, 0.01], [right, front, 3.0], (60, 3))
    spots = spots[room.holds(spots)][:6]
    if len(spots) >= 2:
        check_against_loops(room, spots[::2], spots[1::2])


def test_under_a_tray_its_sides_reflect_and_hide_the_ceiling() -> None:
    """Flush speakers in the raised middle and ears below; the border's ceiling is hidden from most of them."""
    rng = np.random.default_rng(9)
    sources = np.column_stack([rng.uniform(0.9, 3.1, 12), rng.uniform(-3.9, -1.1, 12), np.full(12, 2.8)])
    ears = rng.uniform([0.3, -4.7, 0.8], [3.7, -0.3, 1.5], (12, 3))
    paths = check_against_loops(TRAY, sources, ears)
    kinds = {TRAY.surfaces[face].kind for face in paths.face}
    assert kinds == {"floor", "wall", "side"}


@settings(max_examples=60)
@given(st.data())
def test_a_way_is_free_where_the_line_of_sight_is(data: st.DataObject) -> None:
    room = data.draw(rooms(boxes=3, risers=1) | st.just(TRAY))
    rng = np.random.default_rng(data.draw(st.integers(0, 10**6)))
    (left, rear), (right, front) = room.plan.bounds
    starts, ends = rng.uniform([left, rear, 0.0], [right, front, 3.0], (2, 20, 3))
    ends[:5, :2] = starts[:5, :2]  # straight up
    inside = room.holds(starts) & room.holds(ends)
    starts, ends = starts[inside], ends[inside]
    wanted = [is_free(start, end, room) for start, end in zip(starts, ends, strict=True)]
    assert free_ways(starts, ends, room).tolist() == wanted


@settings(max_examples=40)
@given(st.data())
def test_a_box_never_adds_a_path_off_the_shell(data: st.DataObject) -> None:
    bare = ROOMS[data.draw(st.sampled_from(sorted(ROOMS)))]
    box = data.draw(blocks(bare.plan, "box"))
    room = replace(bare, boxes=(box,))
    points = points_in(bare, 8, data.draw(st.integers(0, 10**6)))
    before = first_reflections(points[:4], points[4:], bare.surfaces, bare)
    after = first_reflections(points[:4], points[4:], bare.surfaces, room)
    keys = [set(zip(one.source, one.ear, one.face, strict=True)) for one in (after, before)]
    assert keys[0] <= keys[1]


def test_round_the_corner_nothing_is_heard_off_the_far_wall() -> None:
    """In the L one stands in each leg: the front wall is before both, but each point of it is hidden from one."""
    source, ear = np.array([5.5, -2.9, 1.2]), np.array([3.0, -6.9, 1.2])
    paths = first_reflections(source, ear, ELL.surfaces, ELL)
    assert [ELL.surfaces[face].name for face in paths.face] == []
    near = first_reflections(source, np.array([2.0, -1.0, 1.2]), ELL.surfaces, ELL)
    assert "wall 1" in [ELL.surfaces[face].name for face in near.face]


def test_a_flush_speaker_has_no_image_in_its_own_face() -> None:
    paths = first_reflections([2.0, -2.0, 2.6], [2.0, -4.0, 1.1], SHOEBOX.surfaces, SHOEBOX)
    names = [SHOEBOX.surfaces[face].name for face in paths.face]
    assert sorted(names) == ["floor", "front wall", "left wall", "rear wall", "right wall"]


def test_where_two_walls_of_one_plane_meet_there_is_one_reflection() -> None:
    """A wall measured in two lengths; speaker and ear are as far to both sides of where they meet."""
    room = Room(outline([[0, 0], [2, 0], [4, 0], [4, 5], [0, 5]]), flat(2.4))
    paths = first_reflections([1.0, -2.0, 1.0], [3.0, -2.0, 1.0], room.surfaces, room)
    assert [room.surfaces[face].name for face in paths.face].count("wall 1") == 1
    assert "wall 2" not in [room.surfaces[face].name for face in paths.face]
    assert len(paths) == 6


def test_a_box_before_a_wall_takes_the_walls_place() -> None:
    box = Block.box("case", [0.0, -4.0, 0.0], [0.5, -2.0, 2.0])
    room = replace(SHOEBOX, boxes=(box,))
    ends = np.array([2.0, -2.5, 1.2]), np.array([2.0, -3.5, 1.2])
    assert "left wall" in {SHOEBOX.surfaces[f].name for f in first_reflections(*ends, SHOEBOX.surfaces, SHOEBOX).face}
    assert "left wall" not in {room.surfaces[f].name for f in first_reflections(*ends, room.surfaces, room).face}


@pytest.mark.parametrize("at_once", [1, 60, 300])
def test_speakers_taken_some_at_a_time_have_the_same_paths(at_once: int, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, sources, ears = paths_in(ELL, 8)
    monkeypatch.setattr(reflections, "AT_ONCE", at_once)
    parts = first_reflections(sources, ears, ELL.surfaces, ELL)
    for field in fields(Paths):
        assert np.array_equal(getattr(parts, field.name), getattr(whole, field.name))


def test_an_ear_at_the_speaker_and_one_outside_have_no_paths() -> None:
    ears = [[1.0, -1.0, 1.0], [2.0, -1.0, 1.0], [9.0, -1.0, 1.0]]
    paths = first_reflections([1.0, -1.0, 1.0], ears, SHOEBOX.surfaces, SHOEBOX)
    assert set(paths.ear) == {1}
    assert len(paths) == 6


def test_no_speakers_have_no_paths() -> None:
    nobody = np.zeros((0, 3))
    paths = first_reflections(nobody, np.array([[1.0, -1.0, 1.0]]), ELL.surfaces, ELL)
    assert len(paths) == 0
    assert paths.departures.shape == (0, 3)
