"""The search for two partners: mirror images, symmetric in a symmetric room, and told apart from what is not."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.listener import listener_of
from earshed.model.search.answer import found_pair
from earshed.model.search.ask import STEP, Mirror, picture_mirror, room_mirror
from earshed.model.search.asking import ask_of, in_order, units_of
from earshed.model.search.pair_search import PairSearch, image_area
from earshed.model.seating import main_seats
from earshed.model.window import ANY_AZIMUTH, Window, even
from tests.search_rooms import HEIGHT, WIDTH, read

TWO = """{name: left, type: flush, channel: U+045, at: {from_left: 1, from_front: 1}},
{name: right, type: flush, channel: U-045, at: {from_right: 1, from_front: 1}}"""
ANY = Window(ANY_AZIMUTH, (0.0, math.pi / 2), "by hand")
FLAT = f"{{width: {WIDTH}, length: 3.8, ceiling: {{shape: flat, height: {HEIGHT}}}}}"
ROOMS = {
    "flat": FLAT,
    "gable": f"{{width: {WIDTH}, length: 3.8, ceiling: {{shape: gable, ridge: front-to-back, low: 1.9, peak: 3}}}}",
    "hip": f"{{width: {WIDTH}, length: 3.8, ceiling: {{shape: hip, low: 2, peak: 2.8}}}}",
}


def pair_of(scene, slack=0.0, step=STEP, mirror=None, **changes):
    both = in_order([one for one in scene.speakers if one.name in ("left", "right")])
    seats = main_seats(scene.seats)
    mirror = mirror or picture_mirror(scene)
    asks = [replace(ask_of(scene, one, moving=both, seats=seats, mirror=mirror), **changes) for one in both]
    return PairSearch(*asks, mirror, slack, step)


@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS)
def test_in_a_symmetric_room_both_get_the_same_from_mirrored_places(room):
    search = pair_of(read(room=room, speakers=TWO), step=2 * STEP)
    twins = search.finish()
    assert len(twins.both) > 50
    np.testing.assert_allclose(search.mirror.image(twins.first.points), twins.second.points, atol=1e-9)
    np.testing.assert_allclose(twins.first.worst, twins.second.worst, atol=1e-6)
    assert not twins.both.off.min()
    for choice in found_pair(search, 3).choices:
        one, other = choice
        assert one.matched
        assert one.uneven == pytest.approx((0.0, 0.0), abs=2e-3)  # each is put on the marks of a tape
        assert one.worst.off_axis == pytest.approx(other.worst.off_axis, abs=2e-3)


@settings(max_examples=25)
@given(
    x=st.integers(-30, 30), cans=st.lists(st.tuples(st.integers(10, 90), st.integers(10, 90)), min_size=1, max_size=4),
    slack=st.sampled_from([0.0, 0.05]),
)  # fmt: skip
def test_every_pair_is_what_each_of_the_two_is_by_itself(x, cans, slack):
    lights = ", ".join(
        f"{{name: c{n}, kind: can light, at: {{from_left: {WIDTH * a / 100:.3f}, from_front: {3.8 * b / 100:.3f}}}, "
        "cutout: 0.1}"
        for n, (a, b) in enumerate(cans)
    )
    seat = f"{{name: s, at: {{from_center: {x / 100}, from_front: 2.5}}, ear_height: 1.1, main: true}}"
    search = pair_of(read(f"fixtures: [{lights}]", room=FLAT, seats=seat, speakers=TWO), slack, 4 * STEP)
    twins = search.finish()
    apart = np.linalg.norm(search.mirror.image(twins.first.points) - twins.second.points, axis=1)
    np.testing.assert_allclose(apart, twins.apart, atol=1e-6)
    assert apart.max(initial=0.0) <= slack + 2e-6
    one, other = search.searches
    for spots, grounds, face in (
        (twins.first, one.grounds, one.ask.faces[0]),
        (twins.second, other.grounds, other.ask.faces[0]),
    ):
        for number in np.unique(spots.offers):
            places = face.to_face(spots.points[spots.offers == number])
            clear = grounds.on(face, int(number)).clear.buffer(1e-6)
            assert clear.covers(type(clear.centroid)(places[0]))
    assert np.array_equal(twins.first.offers, twins.second.offers)
    np.testing.assert_array_equal(twins.both.worst, np.maximum(twins.first.worst, twins.second.worst))
    np.testing.assert_array_equal(twins.both.off, np.maximum(twins.first.off, twins.second.off))


def test_more_slack_never_makes_the_best_worse():
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: front-to-back, "
    joists += "first_center: 8in}]"
    scene = read(joists, room=FLAT, speakers=TWO)
    ranks = [pair_of(scene, slack, 2 * STEP).finish().both.rank for slack in (0.0, 0.01, 0.03, 0.08, 0.15, 0.3)]
    assert ranks == sorted(ranks, reverse=True)
    assert ranks[0] == (math.inf,)  # bays that are nobody's mirror image
    assert ranks[-1] != ranks[0]


@pytest.mark.parametrize("slack", [0.0, 0.05])
def test_a_room_in_the_mirror_has_its_pairs_there_too(slack):
    """A joist, a light and seats that are nobody's mirror image, taped from the left and from the right."""
    text = """
framing: [{name: joist, surface: ceiling, member: 2x8, direction: front-to-back, members: [{center: JOIST}]}]
fixtures: [{name: can, kind: can light, at: {from_SIDE: 0.83, from_front: 1.4}, cutout: 0.15}]
"""
    seats = "{name: s, at: {from_SIDE: 1.3, from_front: 2.6}, ear_height: 1.1, main: true}"
    found = []
    for side, joist in (("left", 1.1), ("right", WIDTH - 1.1)):
        body = text.replace("SIDE", side).replace("JOIST", f"{joist}")
        scene = read(body, room=FLAT, seats=seats.replace("SIDE", side), speakers=TWO)
        twins = pair_of(scene, slack, 4 * STEP, window=ANY).finish()
        found.append([tuple(row) for row in np.hstack([twins.first.points, twins.second.points]).round(5).tolist()])
    there = {(round(WIDTH - x2, 5), y2, z2, round(WIDTH - x1, 5), y1, z1) for x1, y1, z1, x2, y2, z2 in found[1]}
    assert set(found[0]) == there
    assert len(there) > 100


def test_the_order_of_partners_counts_for_nothing():
    scene = read(room=FLAT, speakers=TWO)
    left, right = scene.speakers
    assert in_order([right, left]) == in_order([left, right]) == (left, right)
    assert units_of(scene, [right, left]) == [(left, right)]


def test_a_mirror_outside_the_room_leaves_no_place_and_tells_by_how_much():
    """A mirror 1 m left of the room puts the image of x at -2 - x."""
    search = pair_of(read(room=FLAT, speakers=TWO), mirror=Mirror(np.array([-1.0, 0.0]), np.array([0.0, 1.0])))
    assert len(search.finish().both) == 0
    assert search.missed.outside == search.missed.places > 0
    grounds, offers = search.searches[0].grounds, range(len(search.first.offers))
    least = min(grounds.on(search.first.faces[0], offer).clear.bounds[0] for offer in offers)
    assert search.missed.least == pytest.approx(2.0 + least, abs=2 * STEP)


def test_mirrors_of_the_room_and_of_the_picture_are_told_apart():
    screen = "screen: {wall: front, width: 1, center_from_left: 1.2, bottom: 0.6}"
    scene = read(screen, room=FLAT, speakers=TWO)
    assert picture_mirror(scene).point[0] == pytest.approx(1.2)
    assert room_mirror(scene).point[0] == pytest.approx(WIDTH / 2)
    twins = pair_of(scene, step=2 * STEP).finish()
    np.testing.assert_allclose((twins.first.points + twins.second.points)[:, 0], 2.4, atol=1e-9)


def test_partners_keep_clear_of_each_other():
    twins = pair_of(read(room=FLAT, speakers=TWO), window=ANY, step=2 * STEP).finish()
    gap = np.linalg.norm(twins.first.points - twins.second.points, axis=1).min()
    assert gap >= 9 * 0.0254 + 1.25 * 0.0254 - 1e-9  # a bezel of 9 in, 1 in between and 1/4 in of tolerance


def test_places_in_the_window_are_what_a_whole_search_finds_there():
    search = pair_of(read(room=FLAT, speakers=TWO), step=4 * STEP)
    within = search.within()
    both = search.finish().both
    assert within.rank == both.rank
    assert len(within) == np.sum(both.off == 0.0)


# --- in holes that are there

HOLES = """existing_holes:
  - {name: old 1, at: {from_left: 0.9, from_front: 1.2}, cutout: 8in}
  - {name: old 2, at: {from_right: 0.95, from_front: 1.2}, cutout: 8in}
  - {name: old 3, at: {from_right: 0.3, from_front: 3.3}, cutout: 8in}
"""


def test_partners_go_into_old_holes_that_are_not_quite_mirror_images():
    scene = read(HOLES, room=FLAT, speakers=TWO)
    search = pair_of(scene, only_holes=True)
    twins = search.finish()
    listener = listener_of(scene)
    for index in range(len(twins.both)):
        heard = [listener.sees(side.points[index]) for side in (twins.first, twins.second)]
        aside = abs(twins.first.points[index, 0] + twins.second.points[index, 0] - WIDTH) <= 2 * 0.0254
        same_row = abs(twins.first.points[index, 1] - twins.second.points[index, 1]) < 1e-9
        assert bool(twins.both.uneven[index]) is not bool(even(*heard, math.radians(45)) or (aside and same_row))
    (best, *_) = found_pair(search, 3).choices
    assert [place.fit.hole.name for place in best] == ["old 1", "old 2"]
    assert best[0].matched


def test_partners_never_share_a_hole():
    scene = read(HOLES[: HOLES.index("  - {name: old 2")], room=FLAT, speakers=TWO)
    assert len(pair_of(scene, only_holes=True).finish().both) == 0


@pytest.mark.parametrize("slack", [0.0, 0.05])
@pytest.mark.parametrize("run", [(0.0, 1.0), (0.0, -1.0)])
def test_partners_of_left_and_right_channels_never_swap_sides(slack, run):
    """Wherever they may be heard from: the left one stays on the left of the plane, as one faces along it."""
    scene = read(room=FLAT, speakers=TWO)
    mirror = Mirror(np.array([WIDTH / 2, 0.0]), np.array(run))
    search = pair_of(scene, slack, 4 * STEP, mirror, window=None)
    for twins in (search.finish(), pair_of(scene, slack, 4 * STEP, mirror, window=ANY).finish()):
        assert len(twins.both) > 20
        side = run[1]
        assert (twins.first.points[:, 0] * side <= WIDTH / 2 * side + 1e-9).all()
        assert (twins.second.points[:, 0] * side >= WIDTH / 2 * side - 1e-9).all()
    plain = read(room=FLAT, speakers=TWO.replace("channel: U+045, ", "").replace("channel: U-045, ", ""))
    either = pair_of(plain, slack, 4 * STEP, mirror, window=None).finish()
    assert either.first.points[:, 0].min() < WIDTH / 2 < either.first.points[:, 0].max()


def test_an_image_lies_on_a_wall_on_the_skew_as_far_as_it_is_near_enough():
    """The right wall leans out by 1 in 100 from 4 m over: an image of the left wall is 20 mm off it 2 m on."""
    room = "{outline: [[0, 0], [4, 0], [4.05, 5], [0, 5]], ceiling: {shape: flat, height: 2.6}}"
    speakers = (
        "{name: left, type: wall, wall: 4, along: 2, height: 1.2}, "
        "{name: right, type: wall, wall: 2, along: 2, height: 1.2}"
    )
    scene = read(room=room, speakers=speakers, seats="{name: s, at: {from_left: 2, from_front: 2}, ear_height: 1.1}")
    both = sorted(scene.speakers, key=lambda one: one.name)
    asks = [ask_of(scene, one, moving=both, seats=scene.seats) for one in both]
    search = PairSearch(*asks, Mirror(np.array([2.0, 0.0]), np.array([0.0, 1.0])), step=4 * STEP)
    (face,) = search.first.faces
    area = image_area(search, face, 0)
    reach = -face.to_room(np.reshape(area.bounds, (2, 2)))[:, 1]
    assert reach.max() == pytest.approx(2.0, abs=0.02)
    clear = search.searches[0].grounds.on(face, 0).clear
    asked = 0
    for part, _ in search.searches[0].within_each():
        found = {tuple(point) for twins in search.twins_of(part) for point in twins.first.points.tolist()}
        for point in part.points.tolist():
            spot = shapely.Point(face.to_face(np.array(point)))
            if clear.contains(spot) and area.boundary.distance(spot) > 1e-6:
                asked += 1
                assert area.contains(spot) == (tuple(point) in found)
    assert asked > 100
