"""Rooms: the closed shell, its faces, the air, and what is over and under a place.

Every random room is measured twice: by the room's own mesh, and by clipping its plan (see rooms.py), by trimesh, or
by solid angles.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane, flat, gable, planes, shed
from earshed.model.geometry import UP, frozen
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.solid import Mesh, cut, mesh_of, prism
from tests.rooms import (
    RIDGES,
    SIDES,
    blocks,
    filled_volume,
    metres,
    mirrored,
    outlines,
    rectangles,
    rooms,
    seeded_rooms,
    sloped_area,
    slopes_of,
    spot_inside,
    times_round,
    volume_under,
    wall_area,
)

FEWER = settings(max_examples=50)


def block(name, lower, upper):
    return Block.box(name, frozen(lower), frozen(upper))


def check_shell(room):
    """The laws that every shell keeps."""
    shell, floor = room.shell, room.plan.polygon
    assert shell.watertight
    other = trimesh.Trimesh(shell.vertices, shell.triangles, process=False)
    assert other.is_watertight
    assert other.is_winding_consistent
    assert shell.volume == pytest.approx(float(other.volume), rel=1e-9)
    assert shell.volume == pytest.approx(volume_under(floor, slopes_of(room)), rel=1e-7)
    off = shapely.distance(floor, shapely.points(shell.vertices[:, :2]))
    assert off.max() < 1e-7
    assert shell.vertices[:, 2].min() > -1e-9
    assert np.all(shell.vertices[:, 2] < room.ceiling_over(shell.vertices[:, :2]) + 1e-7)

    faces = room.surfaces
    assert sum(face.area for face in faces) == pytest.approx(float(other.area), rel=1e-6)
    assert np.allclose(sum(face.area * face.normal for face in faces), 0, atol=1e-5), "a closed surface"
    assert room.ceiling_area == pytest.approx(sloped_area(floor, slopes_of(room)), rel=1e-6)
    assert room.surface("floor").area == pytest.approx(room.floor_area, rel=1e-7)
    assert len({face.name for face in faces}) == len(faces)
    for wall in room.plan.walls:
        assert room.surface(wall.name).area == pytest.approx(wall_area(room, wall), rel=1e-6, abs=1e-6)
    for face in faces:
        assert np.linalg.norm(face.normal) == pytest.approx(1, abs=1e-12)
        corners = np.concatenate(face.rings())
        assert np.abs((corners - face.origin) @ face.normal).max() < 1e-5
    inward = {wall.name: np.append(wall.inward, 0.0) for wall in room.plan.walls} | {"floor": UP}
    for face in faces:
        into = face.normal[2] < 0 if face.kind == "ceiling" else np.array_equal(face.normal, inward[face.name])
        assert into, "its normal points into the room"


# --- the shell


@given(room=rooms())
def test_shell_of_random_rooms(room):
    check_shell(room)


@pytest.mark.parametrize("seed", range(4))
def test_shell_of_rooms_on_odd_outlines(seed):
    for room in seeded_rooms(60, seed):
        check_shell(room)


@pytest.mark.parametrize("rises", SIDES)
@given(width=metres(1, 9), length=metres(1, 9), high=metres(1, 4))
@FEWER
def test_a_shed_down_to_the_floor(rises, width, length, high):
    """Half a box, and no wall on the low side."""
    room = Room(rectangle(width, length), shed(width=width, length=length, low=0.0, high=high, rises=rises))
    assert room.shell.watertight
    assert room.volume == pytest.approx(width * length * high / 2, rel=1e-8)
    low = {"left": "right", "right": "left", "front": "rear", "rear": "front"}[rises]
    walls = {face.name for face in room.surfaces if face.kind == "wall"}
    assert walls == {f"{side} wall" for side in SIDES if side != low}


@pytest.mark.parametrize("ridge", RIDGES)
@given(width=metres(1, 9), length=metres(1, 9), peak=metres(1, 4), share=st.floats(0.1, 0.9))
@FEWER
def test_a_gable_down_to_the_floor_on_both_sides(ridge, width, length, peak, share):
    """A tent: half a box again wherever the ridge is, and two walls."""
    at = share * (width if ridge == "front-to-back" else length)
    shape = gable(width=width, length=length, ridge=ridge, low=0.0, peak=peak, ridge_at=at, far_low=None)
    room = Room(rectangle(width, length), shape)
    assert room.shell.watertight
    assert room.volume == pytest.approx(width * length * peak / 2, rel=1e-7)
    gables = ("front wall", "rear wall") if ridge == "front-to-back" else ("left wall", "right wall")
    assert {face.name for face in room.surfaces if face.kind == "wall"} == set(gables)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.6482])
@pytest.mark.parametrize("number", range(6))
def test_a_corner_in_the_middle_of_a_wall_parts_it_in_two(number, share):
    corners = np.array([[0, 0], [4, 0], [4, 3], [2.5, 3], [2.5, 5], [0, 5.0]])
    slope = planes([[[0, 0, 2], [4, 0, 3], [0, -5, 2.5]]])
    middle = corners[number] + share * (corners[(number + 1) % 6] - corners[number])
    whole = Room(outline(corners), slope)
    parted = Room(outline(np.insert(corners, number + 1, middle, axis=0)), slope)
    check_shell(parted)
    assert parted.surface("wall 7").called == "wall 7"
    names = [f"wall {number + 1}", f"wall {number + 2}"]
    assert sum(parted.surface(name).area for name in names) == pytest.approx(whole.surface(names[0]).area, rel=1e-6)


def test_a_plane_given_twice_is_one_ceiling():
    slope = [[0, 0, 2], [4, 0, 3], [0, -5, 2]]
    once, twice = (Room(rectangle(4, 5), planes([slope] * times)) for times in (1, 2))
    assert twice.volume == pytest.approx(once.volume, rel=1e-12)
    assert twice.ceiling_area == pytest.approx(once.ceiling_area, rel=1e-9)


def test_a_plane_that_never_comes_lowest_is_no_face():
    room = Room(rectangle(4, 5), (*flat(2.4), CeilingPlane("above", 0.1, 0.0, 3.0)))
    assert [face.name for face in room.surfaces if face.kind == "ceiling"] == ["ceiling"]
    assert (room.surface("ceiling").called, room.soffits) == ("the ceiling", ())
    with pytest.raises(KeyError, match="above"):
        room.surface("above")


@pytest.mark.parametrize(
    ("ceiling", "why"),
    [
        (flat(-0.1), "falls below the floor"),
        (flat(0.0), "leaves no height"),
        (planes([[[0, 0, 1], [4, 0, -1], [0, -5, 1]]]), "falls below the floor at corner 2"),
    ],
)
def test_ceilings_under_the_floor_are_refused(ceiling, why):
    with pytest.raises(ValueError, match=why):
        Room(rectangle(4, 5), ceiling)


# --- meshes

TETRAHEDRON = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])


def test_volume_of_a_corner_of_a_cube():
    corner = Mesh(np.vstack([np.zeros(3), np.eye(3)]), TETRAHEDRON)
    assert corner.watertight
    assert corner.volume == pytest.approx(1 / 6, rel=1e-15)
    assert Mesh(corner.vertices + np.array([5.0, -7.0, 3.0]), TETRAHEDRON).volume == pytest.approx(1 / 6, rel=1e-12)


@pytest.mark.parametrize(
    "triangles", [TETRAHEDRON[:3], TETRAHEDRON[[0, 1, 2, 3, 3]], np.vstack([TETRAHEDRON[:3], TETRAHEDRON[3:, ::-1]]),
                  np.zeros((0, 3), dtype=int)], ids=["gap", "flap", "turned face", "nothing"]
)  # fmt: skip
def test_what_is_not_watertight(triangles):
    assert not Mesh(np.vstack([np.zeros(3), np.eye(3)]), triangles).watertight


def test_cut_keeps_the_side_named():
    cube = prism(shapely.box(0, 0, 2, 2), bottom=1.0, height=2.0)
    assert mesh_of(cube).volume == pytest.approx(8)
    kept = mesh_of(cut(cube, point=[0.5, 0, 0], keep=[3, 0, 0]))
    assert kept.volume == pytest.approx(6)
    assert kept.vertices[:, 0].min() == pytest.approx(0.5)
    assert kept.vertices[:, 2].min() == 1.0


# --- the air


@given(room=rooms(boxes=4, risers=2))
def test_air_is_the_shell_less_what_fills_it(room):
    filled = filled_volume(room) if room.boxes or room.risers else 0.0
    assert room.volume == pytest.approx(room.shell.volume - filled, rel=1e-6, abs=1e-6)
    if room.volume > 0.01:
        assert room.air.watertight


def clear_of_faces(room, points, clearance=1e-4):
    """Which points keep a distance from every plane of the room and of its blocks."""
    xy, z = points[:, :2], points[:, 2]
    clear = shapely.distance(room.plan.polygon.exterior, shapely.points(xy)) > clearance
    clear &= (np.abs(z) > clearance) & (np.abs(z - room.ceiling_over(xy)) > 2 * clearance)
    for thing in (*room.boxes, *room.risers):
        clear &= np.all(np.abs(points - thing.lower) > clearance, axis=1)
        clear &= np.all(np.abs(points - thing.upper) > clearance, axis=1)
    return clear


@given(room=rooms(boxes=3, risers=2), seed=st.integers(0, 2**32))
def test_holds_what_the_air_goes_round(room, seed):
    low, high = room.shell.vertices.min(axis=0) - 0.3, room.shell.vertices.max(axis=0) + 0.3
    points = np.random.default_rng(seed).uniform(low, high, (100, 3))
    points = points[clear_of_faces(room, points)]
    around = times_round(room.air, points)
    assert np.allclose(around, np.round(around), atol=1e-6)
    assert np.array_equal(room.holds(points), np.round(around) == 1)


def test_faces_belong_to_the_room():
    room = Room(rectangle(4, 5), flat(2.4), boxes=(block("box", [1, -3, 0], [2, -2, 1]),))
    assert room.holds([[0, 0, 0], [4, -5, 2.4], [2, -1, 2.4], [1, -2.5, 0.5], [1.5, -2.5, 1.0]]).all()
    assert not room.holds([[1.5, -2.5, 0.5], [2, -1, 2.41], [2, -1, -0.01], [-0.01, -1, 1]]).any()


@given(room=rooms(boxes=3, risers=2))
@FEWER
def test_the_lining_is_closed_and_leaves_furniture_out(room):
    hanging = tuple(box for box in room.boxes if box not in room.bodies)
    lined = Room(room.plan, room.ceiling, hanging, room.risers).air.corners
    corners = np.concatenate(list(room.skin.values()))
    halves = [np.cross(c[:, 1] - c[:, 0], c[:, 2] - c[:, 0]) / 2 for c in (corners, lined)]
    assert np.allclose(halves[0].sum(axis=0), 0, atol=1e-6)
    areas = [np.linalg.norm(half, axis=1).sum() for half in halves]
    assert areas[0] == pytest.approx(areas[1], rel=1e-6)
    floor = room.skin.get("floor", np.zeros((0, 3, 3)))
    bare = room.plan.polygon.difference(shapely.union_all([riser.footprint for riser in room.risers]))
    assert sum(shapely.area(shapely.polygons(floor[:, :, :2]))) == pytest.approx(bare.area, rel=1e-6, abs=1e-5)
    assert np.abs(floor[:, :, 2]).max(initial=0) < 1e-6


# --- over and under a place


@given(room=rooms(risers=3), seed=st.integers(0, 2**32))
@FEWER
def test_one_stands_on_the_highest_riser(room, seed):
    spots = np.random.default_rng(seed).uniform([-1, -9], [9, 1], (50, 2))
    for spot, height in zip(spots, room.floor_under(spots), strict=True):
        tops = [r.upper[2] for r in room.risers if np.all((r.lower[:2] <= spot) & (spot <= r.upper[:2]))]
        assert height == max(tops, default=0.0)


@given(room=rooms(boxes=4), seed=st.integers(0, 2**32))
def test_overhead_lies_on_its_face_and_nothing_hangs_below_it(room, seed):
    apart = []
    for box in room.boxes:
        if all(box.footprint.disjoint(other.footprint) for other in apart):
            apart.append(box)
    room = Room(room.plan, room.ceiling, tuple(apart))
    spot = spot_inside(room.plan, np.random.default_rng(seed))
    place, face = room.overhead(spot)
    assert np.array_equal(place[:2], spot)
    assert abs((place - face.origin) @ face.normal) < 1e-9
    assert face.room_to_edge(place) > -1e-6
    height = float(room.ceiling_over(spot))
    over = [box for box in room.boxes if box.over(spot)]
    hung = [box for box in over if 1e-6 < box.lower[2] < height]
    if hung:
        assert (place[2], face.name, face.kind) == (hung[0].lower[2], hung[0].name, "soffit")
    else:
        assert face.kind == "ceiling"
        assert place[2] == pytest.approx(height, abs=1e-8)
    below = place - 1e-5 * UP
    assert room.holds(below) or any(box.holds(below) and box not in hung for box in over)


def test_a_soffit_counts_and_a_cupboard_does_not():
    soffit, cupboard = block("soffit", [0, -2, 2.1], [4, 0, 2.4]), block("cupboard", [0, -5, 0], [1, -4, 2.0])
    room = Room(rectangle(4, 5), flat(2.4), boxes=(soffit, cupboard))
    place, face = room.overhead(np.array([2.0, -1.0]))
    assert (place[2], face.name, face.kind) == (2.1, "soffit", "soffit")
    assert np.array_equal(face.normal, -UP)
    assert face.area == pytest.approx(8)
    place, face = room.overhead(np.array([0.5, -4.5]))
    assert (place[2], face.name, face.kind) == (2.4, "ceiling", "ceiling")
    assert [face.name for face in room.soffits] == ["soffit"]


def test_of_two_soffits_the_lower_counts_and_what_is_above_the_ceiling_does_not():
    low, lower = block("low", [0, -2, 2.1], [4, 0, 2.4]), block("lower", [1, -2, 1.8], [2, -1, 2.0])
    attic = block("attic", [0, -5, 2.6], [4, -3, 3.0])
    room = Room(rectangle(4, 5), flat(2.4), boxes=(low, lower, attic))
    assert room.overhead(np.array([1.5, -1.5]))[1].name == "lower"
    assert room.overhead(np.array([1.5, -0.5]))[1].name == "low"
    assert room.overhead(np.array([1.5, -4.0]))[1].name == "ceiling"


def test_a_cupboard_on_a_riser_is_no_soffit():
    riser, cupboard = block("riser", [0, -5, 0], [4, -3, 0.3]), block("cupboard", [0, -5, 0.3], [1, -4, 2.0])
    room = Room(rectangle(4, 5), flat(2.4), boxes=(cupboard,), risers=(riser,))
    assert room.overhead(np.array([0.5, -4.5]))[1].name == "ceiling"
    assert room.soffits == ()


def test_a_box_on_a_box_is_no_soffit():
    base, top = block("base", [1, -3, 0], [2, -2, 0.9]), block("top", [1, -3, 0.9], [2, -2, 2.2])
    room = Room(rectangle(4, 5), flat(2.4), boxes=(base, top))
    place, face = room.overhead(np.array([1.5, -2.5]))
    assert (place[2], face.name) == (2.4, "ceiling")


def test_a_soffit_may_be_called_like_a_face_of_the_room():
    room = Room(rectangle(4, 5), flat(2.4), boxes=(block("ceiling", [0, -2, 2.1], [4, 0, 2.4]),))
    place, face = room.overhead(np.array([2.0, -1.0]))
    assert abs((place - face.origin) @ face.normal) < 1e-9
    assert face.kind == "soffit"


# --- faces


@given(room=rooms(), data=st.data())
@FEWER
def test_face_coordinates_go_there_and_back(room, data):
    face = data.draw(st.sampled_from(room.surfaces))
    spot = np.array([data.draw(st.floats(-5, 5)), data.draw(st.floats(-5, 5))])
    place = face.to_room(spot)
    assert abs((place - face.origin) @ face.normal) < 1e-9
    assert np.allclose(face.to_face(place), spot, atol=1e-9)
    assert np.allclose(face.to_face(place + 0.7 * face.normal), spot, atol=1e-9)
    assert np.linalg.norm(face.to_room(spot + np.array([3.0, 4.0])) - place) == pytest.approx(5, abs=1e-9)


@given(x=metres(-1, 5), back=metres(-1, 7))
def test_room_to_the_nearest_edge_of_a_flat_ceiling(x, back):
    face = Room(rectangle(4, 6), flat(2.4)).surface("ceiling")
    sides = [x, 4 - x, back, 6 - back]
    beyond = np.hypot(max(0, -x, x - 4), max(0, -back, back - 6))
    assert face.room_to_edge([x, -back, 2.4]) == pytest.approx(min(sides) if beyond == 0 else -beyond, abs=1e-9)


# --- what does not depend on how the room is drawn


@given(room=rooms(boxes=2), seed=st.integers(0, 2**32))
@FEWER
def test_a_mirrored_room_is_the_same_room(room, seed):
    other = mirrored(room)
    assert other.shell.volume == pytest.approx(room.shell.volume, rel=1e-7)
    assert other.volume == pytest.approx(room.volume, rel=1e-7, abs=1e-7)
    swap = {"left wall": "right wall", "right wall": "left wall"}
    here = {swap.get(face.name, face.name): face.area for face in room.surfaces}
    assert {face.name: face.area for face in other.surfaces} == pytest.approx(here, rel=1e-5, abs=1e-5)
    points = np.random.default_rng(seed).uniform([-0.3, -room.plan.length, 0], [room.plan.width, 0.3, 4], (50, 3))
    points = points[clear_of_faces(room, points)]
    flipped = points * [-1, 1, 1] + [room.plan.width, 0, 0]
    assert np.allclose(other.ceiling_over(flipped[:, :2]), room.ceiling_over(points[:, :2]), atol=1e-9)
    assert np.array_equal(other.holds(flipped), room.holds(points))


@given(room=rooms(plan=outlines()), start=st.integers(0, 8), backwards=st.booleans())
@FEWER
def test_an_outline_may_start_anywhere_and_go_round_either_way(room, start, backwards):
    corners = np.roll(room.plan.corners * [1, -1], start, axis=0)
    other = Room(outline(corners[::-1] if backwards else corners), room.ceiling)
    assert other.volume == pytest.approx(room.volume, rel=1e-7)
    areas = [sorted(face.area for face in one.surfaces if face.kind == "wall") for one in (room, other)]
    assert areas[0] == pytest.approx(areas[1], rel=1e-5, abs=1e-5)
    kept = [{face.name: face.area for face in one.surfaces if face.kind != "wall"} for one in (room, other)]
    assert kept[0] == pytest.approx(kept[1], rel=1e-5)


@given(plan=rectangles(), data=st.data())
@FEWER
def test_a_rectangle_drawn_as_an_outline_is_the_same_room(plan, data):
    room = data.draw(rooms(plan=st.just(plan)))
    other = Room(outline(plan.corners * [1, -1]), room.ceiling)
    assert other.volume == pytest.approx(room.volume, rel=1e-9)
    assert [face.area for face in other.surfaces] == pytest.approx([face.area for face in room.surfaces], rel=1e-9)


@given(plan=rectangles(), data=st.data())
@FEWER
def test_a_box_has_its_faces_where_its_corners_are(plan, data):
    box = data.draw(blocks(plan, "box"))
    assert mesh_of(box.solid).volume == pytest.approx(float(np.prod(box.upper - box.lower)), rel=1e-6)
    assert box.underside.area == pytest.approx(box.footprint.area, rel=1e-12)
    assert np.allclose(box.underside.rings()[0][:, 2], box.lower[2], atol=1e-12)
    middle = (box.lower + box.upper) / 2
    assert box.holds(middle)
    assert box.over([middle[:2], box.lower[:2], box.upper[:2]]).all(), "edges included"
    assert not box.over([box.lower[:2] - 1e-5, box.upper[:2] + 1e-5]).any()
    assert not box.holds([box.lower, box.upper, middle * [1, 1, 0] + box.lower * [0, 0, 1]]).any(), "faces are outside"
