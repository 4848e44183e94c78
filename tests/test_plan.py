"""Plans, their walls, and what hangs on walls."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import RIGHT, UP
from earshed.model.plan import SHORTEST_WALL, outline, rectangle
from earshed.model.screen import WallPatch
from tests.rooms import metres, outlines, plans

# --- walls


@given(plan=plans())
def test_walls_go_round_and_face_inward(plan):
    assert len(plan.walls) == len(plan.corners) == len(set(plan.wall_names))
    assert sum(wall.length for wall in plan.walls) == pytest.approx(plan.polygon.length, rel=1e-12)
    for wall, after in zip(plan.walls, plan.walls[1:] + plan.walls[:1], strict=True):
        assert np.array_equal(wall.end, after.start)
        assert np.linalg.norm(wall.inward) == pytest.approx(1, abs=1e-12)
        assert abs(wall.inward @ wall.along) < 1e-12
        step = 1e-6 * wall.inward
        middle = (wall.start + wall.end) / 2
        assert plan.contains(middle + step)
        assert not plan.contains(middle - step)


@given(plan=plans())
def test_area_is_that_of_the_divergence_theorem(plan):
    """Area = -1/2 sum of (point . inward normal) x length over the walls, for either turn."""
    flux = -sum(wall.length * ((wall.start + wall.end) / 2 @ wall.inward) for wall in plan.walls) / 2
    assert plan.polygon.area == pytest.approx(flux, rel=1e-9)
    assert np.allclose(sum(wall.length * wall.inward for wall in plan.walls), 0, atol=1e-9)


def test_walls_of_a_rectangle_go_by_side():
    plan = rectangle(4, 6)
    walls = {wall.name: wall for wall in plan.walls}
    assert {name: tuple(wall.inward) for name, wall in walls.items()} == {
        "front wall": (0, -1), "right wall": (-1, 0), "rear wall": (0, 1), "left wall": (1, 0),
    }  # fmt: skip
    assert (walls["front wall"].length, walls["left wall"].length) == (4, 6)
    assert np.all(walls["front wall"].start[1] == 0)
    assert np.all(walls["rear wall"].start[1] == -6)
    assert np.all(walls["right wall"].end[0] == 4)
    assert (plan.width, plan.length) == (4, 6)


@given(plan=outlines())
def test_front_left_corner_of_the_bounding_box_is_the_origin(plan):
    assert (plan.corners[:, 0].min(), plan.corners[:, 1].max()) == (0, 0)
    assert (plan.corners[:, 0].max(), -plan.corners[:, 1].min()) == (plan.width, plan.length)


@given(plan=outlines(), right=metres(-9, 9), back=metres(-9, 9))
def test_outline_may_begin_anywhere(plan, right, back):
    measured = plan.corners * [1, -1]
    assert np.allclose(outline(measured + np.array([right, back])).corners, plan.corners, atol=1e-12)


@given(plan=outlines(), start=st.integers(0, 8))
def test_another_first_corner_changes_wall_numbers_alone(plan, start):
    other = outline(np.roll(plan.corners * [1, -1], -start, axis=0))
    count = len(plan.walls)
    for number, wall in enumerate(other.walls, start=1):
        same = plan.walls[(number - 1 + start) % count]
        assert wall.name == f"wall {number}"
        assert np.array_equal([wall.start, wall.end, wall.inward], [same.start, same.end, same.inward])


@given(plan=outlines())
def test_turning_the_other_way_round_swaps_ends_alone(plan):
    other = outline((plan.corners * [1, -1])[::-1])
    ends = {(tuple(wall.end), tuple(wall.start)): wall.inward for wall in other.walls}
    assert len(ends) == len(plan.walls)
    for wall in plan.walls:
        assert np.allclose(ends[tuple(wall.start), tuple(wall.end)], wall.inward, atol=1e-15)


@given(plan=plans(), data=st.data())
def test_contains_against_a_walk_round_the_corners(plan, data):
    """Even-odd rule, edge by edge, for points not within a micrometre of an edge."""
    spot = np.array([data.draw(metres(-1, plan.width + 1)), data.draw(metres(-plan.length - 1, 1))]) + 0.000321
    crossings = 0
    for (x0, y0), (x1, y1) in zip(plan.corners, np.roll(plan.corners, -1, axis=0), strict=True):
        if (y0 > spot[1]) != (y1 > spot[1]):
            crossings += x0 + (spot[1] - y0) * (x1 - x0) / (y1 - y0) > spot[0]
    if plan.polygon.exterior.distance(shapely.Point(spot)) > 1e-6:
        assert bool(plan.contains(spot)) == bool(crossings % 2)


def test_edges_and_corners_belong_to_the_floor():
    plan = outline([[0, 0], [4, 0], [4, 2], [2, 2], [2, 5], [0, 5]])
    inside = plan.contains([[0, 0], [4, -1], [3, -2], [2, -2], [2, -5], [1, -1]])
    assert inside.all()
    assert not plan.contains([[2.001, -2.001], [4.001, -1], [1, 0.001]]).any()


# --- refused

BOW = [[0, 0], [4, 4], [4, 0], [0, 4]]


@pytest.mark.parametrize(
    ("corners", "why"),
    [
        ([[0, 0], [1, 1]], "at least three corners"),
        ([[0, 0], [4, 0], [4, 0.005], [0, 4]], "corners 2 and 3 are the same place"),
        ([[0, 0], [4, 0], [4, 4], [0, 0.001]], "corners 4 and 1 are the same place"),
        (BOW, "crosses itself: wall 1 meets wall 3"),
        ([[0, 0], [4, 0], [2, 0], [2, 3]], "crosses itself: wall 1 meets wall 2"),  # walks back along a wall
        ([[0, 0], [4, 0], [4, 4], [2, 0], [0, 4]], "crosses itself: wall 1 meets wall 3"),  # touches a wall
        ([[0, 0], [2, 0], [4, 0]], "crosses itself"),
        ([[0, 0], [1, 0], [0.5, 0.00001]], "encloses no floor"),
    ],
)
def test_outlines_that_no_room_can_have(corners, why):
    with pytest.raises(ValueError, match=why):
        outline(corners)


def test_shortest_wall_is_allowed():
    assert outline([[0, 0], [4, 0], [4, SHORTEST_WALL], [0, 4]]).walls[1].length == pytest.approx(SHORTEST_WALL)


# --- patches on walls


@given(plan=plans(), data=st.data())
def test_a_patch_lies_on_its_wall(plan, data):
    wall = data.draw(st.sampled_from(plan.walls))
    start, bottom = data.draw(metres(0, 3)), data.draw(metres(0, 2))
    width, height = data.draw(metres(0.1, 3)), data.draw(metres(0.1, 2))
    patch = WallPatch("door", wall, start, start + width, bottom, bottom + height)
    corners = patch.corners
    assert np.allclose((corners[:, :2] - wall.start) @ wall.inward, 0, atol=1e-12)
    assert np.allclose(corners.mean(axis=0), patch.center, atol=1e-12)
    sides = np.roll(corners, -1, axis=0) - corners
    assert np.allclose(np.linalg.norm(sides, axis=1), [width, height, width, height], atol=1e-12)
    assert corners[0] @ UP == pytest.approx(bottom)
    assert np.allclose(sides[1], height * UP, atol=1e-12)
    assert (corners[0, :2] - wall.start) @ wall.along == pytest.approx(start, abs=1e-12)


def test_patch_on_the_front_wall_is_taped_from_the_left():
    patch = WallPatch("screen", rectangle(4, 6).walls[0], 1.0, 3.0, 0.7, 1.9)
    assert np.allclose(patch.center, [2.0, 0.0, 1.3])
    assert np.allclose(patch.corners[1] - patch.corners[0], 2 * RIGHT)
