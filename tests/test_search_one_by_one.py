"""The search against the same worked out place by place by the scalar functions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.aim import best_axis
from earshed.model.clear_area import gap_of, wanted_of
from earshed.model.coverage import VERDICTS
from earshed.model.furniture import furniture
from earshed.model.geometry import angle_between
from earshed.model.hole import hole_shape
from earshed.model.listener import listener_of
from earshed.model.pairs import pair
from earshed.model.search.ask import STEP
from earshed.model.search.ground import places_on
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.search.place import aimed
from earshed.model.search.search import Search
from earshed.model.search.sight_lines import behind_furniture, hidden_seats
from earshed.model.sight import block_between, obstacle_between
from earshed.model.window import Window
from tests.rooms import rooms
from tests.search_rooms import HEIGHT, LENGTH, WIDTH, asked, read, search
from tests.test_room_mix import some_room


def test_the_search_is_what_one_finds_place_by_place():
    """Every place of the grid by the scalar functions: where nothing is too near it is found, and worth the same."""
    room = "{width: 1.6, length: 1.7, ceiling: {shape: shed, low: 2.0, high: 2.5, rises: rear}}"
    more = """
framing: [{name: rafters, surface: ceiling, member: 2x6, spacing: 24in, direction: up-slope, first_center: 3in}]
fixtures:
  - {name: can, kind: can light, at: {from_left: 0.8, from_front: 0.5}, cutout: 4in}
  - {name: pier, kind: box, from_left: 0.6, from_front: 0.9, bottom: 0, width: 0.2, length: 0.2, height: 1.6}
"""
    one, other = "{name: a, at: {from_left: 0.5, from_front: 1.3}", "{name: b, at: {from_left: 1.1, from_front: 1.2}"
    scene = read(more, room=room, seats=f"{one}, ear_height: 1}}, {other}, ear_height: 0.9}}")
    step = 4 * STEP
    window = Window((-2.5, 1.0), (0.2, math.pi / 2), "by hand")
    ask = asked(scene, window=window)
    one = Search(ask, step)
    found = {}
    for _, spots, _ in one.judged():
        for index in range(len(spots)):
            found[tuple(np.round(spots.points[index], 6)), int(spots.offers[index])] = spots.take(np.array([index]))
    listener, (face,) = listener_of(scene), ask.faces
    corners = shapely.box(*face.outline.bounds)
    seen = 0
    for offer_number, offer in enumerate(ask.offers):
        for middle in places_on(replace(ask, relaxed=frozenset()), face, corners, step):
            point = face.to_room(middle)
            key = tuple(np.round(point, 6)), offer_number
            shape = hole_shape(offer.type, face, middle, scene.ahead, long_axis=offer.long_axis(face))
            rooms_left = [
                gap_of(level, shape) - wanted_of(level, shape) - level.within
                for obstacle in obstacles_for(ask, face, offer)
                for level in obstacle.levels
            ]
            if not face.outline.covers(shapely.Point(middle)) or min(rooms_left) < 0:
                assert key not in found
                continue
            sees = listener.sees(point)
            if (
                key not in found
            ):  # a hair too near a circle drawn outside, or beyond the window, where the grid is coarser
                assert min(rooms_left) < 2e-4 or not window.contains(*sees)
                continue
            seen += 1
            spot = found[key]
            speaker = aimed(ask, offer, face, point)
            pairs = [pair(scene, seat, speaker) for seat in ask.seats]
            worst = max(one.off_axis for one in pairs)
            axis = best_axis(offer.type.aiming, face.normal, ask.ears - point)
            assert worst == pytest.approx(float(angle_between(axis, ask.ears - point).max()), abs=1e-9)
            assert spot.worst[0] == pytest.approx(worst, abs=1e-7)
            assert VERDICTS[spot.verdict[0]] == max((one.verdict for one in pairs), key=VERDICTS.index)
            assert spot.blocked[0] == sum(not one.visible for one in pairs)
            off = 0.0 if window.contains(*sees) else float(window.off(*sees))
            assert spot.off[0] == pytest.approx(off, abs=1e-9)
    assert seen > 100
    one = Search(ask, step)
    assert one.finish().rank == min(spot.rank for spot in found.values())
    assert one.tried == len(found)


@settings(max_examples=60)
@given(room=rooms(boxes=3), seed=st.integers(0, 1000))
def test_which_seats_are_hidden_is_what_one_sees_one_by_one(room, seed):
    rng = np.random.default_rng(seed)
    faces = [face for face in room.surfaces if face.kind in ("ceiling", "soffit", "wall") and face.area > 0.01]
    points = np.array([face.to_room(shapely.get_coordinates(face.outline.representative_point())[0]) for face in faces])
    low, high = room.plan.bounds
    ears = []
    while len(ears) < 3:
        spot = rng.uniform(low, high)
        if room.plan.polygon.buffer(-0.01).contains(shapely.Point(spot)):
            top = float(min(plane.height(spot) for plane in room.ceiling))
            ears.append([*spot, rng.uniform(0.01, 0.9) * top])
        elif room.plan.polygon.buffer(-0.01).is_empty:
            return
    ears = np.array(ears)
    one_by_one = [sum(obstacle_between(ear, point, room) is not None for ear in ears) for point in points]
    assert hidden_seats(points, ears, room).sum(axis=1).tolist() == one_by_one


def test_which_seats_are_hidden_in_bays_and_under_dormers_is_what_one_sees_one_by_one():
    hidden = 0
    for seed in range(100):
        rng = np.random.default_rng(seed)
        room = some_room(rng)
        low, high = room.plan.bounds
        ears = np.append(rng.uniform(low, high, (12, 2)), rng.uniform(0.3, 1.5, (12, 1)), axis=1)
        spots = rng.uniform(low, high, (12, 2))
        spots = spots[room.plan.contains(spots)]
        points = np.array([room.overhead(spot)[0] for spot in spots])
        ears = ears[room.holds(ears)]
        one_by_one = [[obstacle_between(ear, point, room) is not None for ear in ears] for point in points]
        np.testing.assert_array_equal(hidden_seats(points, ears, room), one_by_one)
        hidden += np.sum(one_by_one)
    assert hidden > 100


def test_a_search_sees_backs_of_seats_and_the_screen_as_pairs_do():
    """Seats that recline take their own backs with them."""
    seats = """{name: low, at: {from_left: 1.3, from_front: 3}, ear_height: 1, back_height: 1.2, reclined: true},
      {name: behind, at: {from_left: 2.4, from_front: 4.2}, ear_height: 1, back_height: 1.1}"""
    scene = read("screen: {wall: front, width: 1.2, bottom: 0.6}", seats=seats)
    rng = np.random.default_rng(3)
    low, high = scene.room.plan.bounds
    points = rng.uniform([*low, 0.1], [*high, 2.3], (400, 3))
    points[:100, 1] = 0.0  # in the front wall, some of them behind the screen
    found = behind_furniture(points, scene.seats, scene)
    one_by_one = [
        [block_between(seat.ear, point, furniture(scene, seat)) is not None for seat in scene.seats] for point in points
    ]
    np.testing.assert_array_equal(found, one_by_one)
    assert found[:100].any()
    assert found[100:].any()


@pytest.mark.parametrize("ceiling", ["{shape: tray, height: 2.2, rise: 0.6, inset: 0.7}", "{shape: flat, height: 2.4}"])
def test_a_seat_is_hidden_by_the_edge_of_a_tray_or_a_corner_of_the_room(ceiling):
    outline = "[[0, 0], [5, 0], [5, 2], [2.5, 2], [2.5, 5], [0, 5]]"
    room = f"{{outline: {outline}, ceiling: {ceiling}}}" if "flat" in ceiling else ""
    room = room or f"{{width: 5, length: 5, ceiling: {ceiling}}}"
    seat = "{name: low, at: {from_left: 0.3, from_front: 4.7}, ear_height: 1.9}"
    scene = read(room=room, seats=seat, speakers="{name: top, type: flush, at: {from_left: 1.2, from_front: 1}}")
    spots = search(scene, "flush", step=4 * STEP)
    one_by_one = [obstacle_between(scene.seats[0].ear, point, scene.room) is not None for point in spots.points]
    assert spots.blocked.tolist() == one_by_one
    assert 0 < sum(one_by_one) < len(spots)


@settings(max_examples=40)
@given(seed=st.integers(0, 10_000))
def test_directions_to_many_places_are_those_to_each(seed):
    rng = np.random.default_rng(seed)
    scene = read("screen: {wall: front, width: 1.2, center_from_left: 1.1, bottom: 0.6}")
    listener = listener_of(scene)
    points = rng.uniform([0, -LENGTH, 0], [WIDTH, 0, HEIGHT], (20, 3))
    each = np.array([listener.sees(point) for point in points])
    np.testing.assert_allclose(np.stack(listener.directions_to(points), axis=-1), each, atol=1e-12)


def test_a_thousand_lights_and_a_thousand_pipes_are_all_kept_clear_of():
    rng = np.random.default_rng(3)
    spots = rng.uniform([0.3, 0.3], [6, 9.7], (2000, 2)).round(3)
    lights = ", ".join(
        f"{{name: f{n}, kind: can light, at: {{from_left: {x}, from_front: {y}}}, cutout: 0.02}}"
        for n, (x, y) in enumerate(spots[:1000])
    )
    pipes = ", ".join(
        f"{{name: k{n}, kind: pipe, at: {{from_left: {x}, from_front: {y}}}, diameter: 0.02}}"
        for n, (x, y) in enumerate(spots[1000:])
    )
    room = "{width: 9, length: 10, ceiling: {shape: flat, height: 2.6}}"
    scene = read(f"fixtures: [{lights}]\nkeep_outs: [{pipes}]", room=room)
    found = search(scene, "flush", step=2 * STEP)
    assert len(found) > 1000
    away = np.min(np.linalg.norm(found.points[:, None, :2] - spots * [1, -1], axis=-1), axis=0)
    light = (9 / 2 + 2 + 0.25) * 0.0254 + 0.01  # half a bezel, 2 in from a light, the tolerance, half a light
    pipe = (8 / 2 + 1 + 0.25) * 0.0254 + 0.01
    assert away[:1000].min() >= light - 1e-9
    assert away[1000:].min() >= pipe - 1e-9
    assert min(away[:1000].min() - light, away[1000:].min() - pipe) < 2 * STEP
