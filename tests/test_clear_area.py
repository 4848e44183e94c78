"""Where the middle of a hole may be: against whole shapes laid over one another, and the travel of a bay by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earshed.model.checks.elsewhere import Places, places_of
from earshed.model.clear_area import blocked_area, clear_area
from earshed.model.cut_fit import covering_area, covers
from earshed.model.face_shape import ROUND, FaceShape, rectangle_shape, round_shape
from earshed.model.hole import hole_shape
from earshed.model.scene import Scene
from earshed.model.surroundings import obstacles_on
from earshed.model.units import INCH
from tests.conflict_scenes import FINE, hole_at, keeps, moved, scene_of, scenes

CORNER = 1 / np.cos(np.pi / (4 * ROUND)) - 1
"""Share of its radius by which a round corner may be drawn outside its circle."""
FARTHEST = 0.7
"""Metres: more than any radius of a blocked area here."""

slow = settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow])


def shape_of(place: Places):
    one = place.speaker
    return hole_shape(
        one.type, place.hole.surface, np.zeros(2), place.scene.ahead, long_axis=one.long_axis, axis=one.axis
    )


def area_of(scene: Scene):
    """The first speaker's place, its shape at the origin, what is in its way, and where it may be."""
    place = places_of(scene)[0]
    shape, face = shape_of(place), place.hole.surface
    obstacles = obstacles_on(scene, face, place.others)
    return place, shape, obstacles, clear_area(face.outline, obstacles, shape)


@slow
@given(scenes(), st.integers(0, 2**31))
def test_the_clear_area_is_where_every_distance_is_kept(scene: Scene, seed: int) -> None:
    """In it none is less than wanted; outside it by more than the corners are rounded, one is."""
    place, shape, obstacles, clear = area_of(scene)
    outline, rng = place.hole.surface.outline, np.random.default_rng(seed)
    low, high = np.array(outline.bounds).reshape(2, 2)
    spots = rng.uniform(low, high, (20, 2))
    if not clear.is_empty:
        edge = clear.boundary
        on_edge = [edge.interpolate(share, normalized=True).coords[0] for share in rng.uniform(0, 1, 20)]
        spots = np.concatenate([spots, on_edge + rng.normal(0, 3e-4, (20, 2))])
    for spot in spots:
        point, hole = shapely.Point(spot), hole_at(shape, spot)
        if not outline.contains(point):
            continue
        if clear.intersects(point):
            assert all(keeps(one, hole, -FINE) for one in obstacles)
        elif clear.distance(point) > CORNER * FARTHEST + FINE:
            assert not all(keeps(one, hole, FINE) for one in obstacles)


@slow
@given(scenes(), st.randoms())
def test_the_order_of_things_changes_nothing(scene: Scene, random) -> None:
    place, shape, obstacles, clear = area_of(scene)
    shuffled = list(obstacles)
    random.shuffle(shuffled)
    again = clear_area(place.hole.surface.outline, shuffled, shape)
    assert again.symmetric_difference(clear).area < 1e-9


@slow
@given(scenes(), st.floats(0, 0.1), st.integers(0, 100))
def test_more_in_the_way_larger_clearances_and_larger_holes_never_enlarge_it(scene, more, left_out) -> None:
    place, shape, obstacles, clear = area_of(scene)
    outline = place.hole.surface.outline
    fewer = [one for number, one in enumerate(obstacles) if number != left_out % len(obstacles)]
    farther = [
        replace(one, levels=tuple(replace(level, distance=level.distance + more) for level in one.levels))
        for one in obstacles
    ]
    larger = replace(
        shape,
        cut=replace(shape.cut, radius=shape.cut.radius + more),
        rim=replace(shape.rim, radius=shape.rim.radius + more),
    )
    assert clear.difference(clear_area(outline, fewer, shape)).area < 1e-9
    assert clear_area(outline, farther, shape).difference(clear).area < 1e-9
    on_the_board = [replace(one, taken_in=None) for one in obstacles]  # a larger hole takes in more old ones
    before = clear_area(outline, on_the_board, shape)
    assert clear_area(outline, on_the_board, larger).difference(before).area < 1e-9


def test_a_larger_hole_takes_in_an_old_one_where_a_smaller_would_meet_it() -> None:
    scene = scene_of(existing_holes="[{name: old, at: {from_left: 2, from_front: 3}, cutout: 0.17}]",
                     speakers="[{name: one, type: round, at: {from_left: 2, from_front: 3}},"
                              " {name: two, type: small, at: {from_left: 1, from_front: 3}}]")  # fmt: skip
    large, small = (shape_of(place) for place in places_of(scene))
    face = scene.speakers[0].surface
    (old,) = [one for one in obstacles_on(scene, face) if one.group == "old holes"]
    middle = shapely.Point(face.to_face([2, -3, 2.6]))
    within = blocked_area(old, large).distance(middle)
    assert within == pytest.approx((0.2 - 0.17) / 2 + INCH / 16, abs=2e-4)
    assert blocked_area(old, small).distance(middle) == 0


turns = st.floats(0, np.pi)


@st.composite
def cuts(draw: st.DrawFn, low: float, high: float) -> FaceShape:
    size = st.floats(low, high)
    if draw(st.booleans()):
        return round_shape(np.zeros(2), draw(size))
    turn = draw(turns)
    return rectangle_shape(np.zeros(2), np.array([np.cos(turn), np.sin(turn)]), draw(size), draw(size))


@given(cuts(0.1, 0.3), cuts(0.05, 0.25), st.integers(0, 2**31))
def test_a_cut_takes_in_an_old_hole_wherever_it_is_said_to(cut: FaceShape, old: FaceShape, seed: int) -> None:
    area = covering_area(cut, old)
    rng = np.random.default_rng(seed)
    spots = rng.uniform(-0.15, 0.15, (20, 2))
    if not area.is_empty:
        spots = np.concatenate([spots, shapely.get_coordinates(area)[:20] * rng.uniform(0.98, 1.02, (1, 2))])
    for spot in spots:
        by = float(area.boundary.distance(shapely.Point(spot))) if not area.is_empty else 1.0
        if by > 1e-4:
            assert covers(moved(cut, spot), old) == area.contains(shapely.Point(spot))


def mirrored(text: str) -> str:
    return text.replace("from_left", "from_right")


def test_a_mirrored_room_has_the_mirrored_area() -> None:
    said = {
        "framing": "[{name: joists, surface: ceiling, member: 2x8, spacing: 0.4, direction: front-to-back, %s: 0.2}]",
        "keep_outs": "[{name: pipe, kind: pipe, at: {from_left: 1.1, from_front: 2}, diameter: 0.1}]",
        "fixtures": "[{name: vent, kind: vent, at: {from_left: 2.9, from_front: 3}, size: 0.3 x 0.15}]",
        "existing_holes": "[{name: old, at: {from_left: 3.3, from_front: 5}, cutout: 0.12}]",
        "speakers": "[{name: one, type: round, at: {from_left: 1, from_front: 1}}]",
    }
    said["framing"] %= "first_center"
    one = area_of(scene_of(**said))
    # 4 m wide, 0.2 + 9 x 0.4 = 3.8: the run is its own mirror image
    other = area_of(scene_of(**{key: mirrored(text) for key, text in said.items()}))
    face = one[0].hole.surface
    turned = shapely.transform(other[3], lambda uv: face.to_face(face.to_room(uv) * [-1, 1, 1] + [4, 0, 0]))
    assert one[3].area > 1
    assert turned.symmetric_difference(one[3]).area < 1e-9


TRAVEL = [
    # cut-out, clamps or saw alone, travel each way about the middle of a bay of 14-1/2 in
    (8.375, 0, 3.0625), (8.375, 1.25, 1.8125), (9.5, 0, 2.5), (9.5, 1.25, 1.25),
]  # fmt: skip


@pytest.mark.parametrize("tolerance", [0, 0.25])
@pytest.mark.parametrize(("cutout", "clamp", "each_way"), TRAVEL)
def test_travel_in_a_bay_of_sixteen_inch_framing(cutout, clamp, each_way, tolerance) -> None:
    """An installation manual works with 14-1/2 in between joists and 1-1/4 in each side for clamps; the rest follows.

    The tolerance of a member takes as much again from each side.
    """
    framing = (
        "[{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: front-to-back, first_center: 4in,"
        f" tolerance: {tolerance}in}}]"
    )
    types = f"{{round: {{mount: in-ceiling, aiming: fixed, coverage: 90, cutout: {cutout}in}}}}"
    scene = scene_of(
        room="{width: 144in, length: 120in, ceiling: {shape: flat, height: 96in}}", framing=framing,
        speaker_types=types, clearances=f"{{saw: 0, clamp: {clamp}in}}",
        speakers="[{name: one, type: round, at: {from_left: 60in, from_front: 60in}}]",
    )  # fmt: skip
    _, _, _, clear = area_of(scene)
    across = clear.intersection(shapely.LineString([(52 * INCH, -60 * INCH), (68 * INCH, -60 * INCH)]))
    middle, travel = 60 * INCH, (each_way - tolerance) * INCH
    assert across.bounds[0::2] == pytest.approx((middle - travel, middle + travel), abs=1e-12)


def test_a_bay_is_narrower_than_the_hole_everywhere() -> None:
    framing = "[{name: joists, surface: ceiling, member: 2x8, spacing: 8in, direction: level, first_center: 4in}]"
    speaker = "[{name: one, type: round, at: {from_left: 1, from_front: 1}}]"
    place, _, _, clear = area_of(scene_of(framing=framing, speakers=speaker))
    assert clear.is_empty
    assert place.clear_of("joists") is None
