"""The listening plane: where its points are, which lie in the room's air, and how fine it may be."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.block import Block
from earshed.model.ceiling import flat, gable, planes
from earshed.model.listening_plane import MOST_POINTS, PlaneSpec, PlaneTooFine, grid_size, lay_plane
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room

sizes = st.floats(0.5, 12)
steps = st.floats(0.05, 0.9)


def block(name, *, left, right, front, rear, bottom=0.0, top):
    return Block.box(name, np.array([left, -rear, bottom]), np.array([right, -front, top]))


@given(sizes, sizes, steps)
def test_the_grid_is_centered_ascending_and_covers_the_room_to_within_a_step(width, length, step):
    plane = lay_plane(Room(rectangle(width, length), flat(2.7)), PlaneSpec(1.1, step))
    assert (len(plane.x), len(plane.y)) == grid_size(Room(rectangle(width, length), flat(2.7)), step)
    for values, low, high in ((plane.x, 0.0, width), (plane.y, -length, 0.0)):
        np.testing.assert_allclose(np.diff(values), step, rtol=1e-9)
        assert values[0] + values[-1] == pytest.approx(low + high, abs=1e-9)
        assert low - step / 2 < values[0] - step / 2 <= low + 1e-9  # the outer cells reach the walls, and not past
        assert high - 1e-9 <= values[-1] + step / 2 < high + step / 2
    assert plane.inside.all()
    assert plane.height.shape == plane.inside.shape == (len(plane.y), len(plane.x))
    np.testing.assert_array_equal(plane.height, 1.1)


def test_points_are_x_y_and_height():
    riser = block("riser", left=0, right=2, front=1, rear=3, top=0.25)
    plane = lay_plane(Room(rectangle(2.0, 3.0), flat(2.5), risers=(riser,)), PlaneSpec(1.0, 0.5))
    for row, y in enumerate(plane.y):
        for column, x in enumerate(plane.x):
            np.testing.assert_array_equal(plane.points[row, column], [x, y, plane.height[row, column]])
            np.testing.assert_array_equal(plane.xy[row, column], [x, y])


def test_a_whole_number_of_steps_gives_just_that_many_cells():
    """8 ft 7 in by 14 ft 4 in at 1 in, though 103 x 0.0254 / 0.0254 comes out a hair over 103 in binary."""
    width, length = 103 * 0.0254, 172 * 0.0254
    assert width / 0.0254 > 103
    assert grid_size(Room(rectangle(width, length), flat(2.5)), 0.0254) == (103, 172)


# --- risers, boxes, slopes


def filled(mirrored):
    """A room with two risers that overlap and a cupboard, under a lopsided gable; or its mirror image."""
    width, ridge = 4.3, 1.4
    spans = [("low", 0.0, 2.6, 3.0, 5.1, 0.0, 0.2), ("high", 1.9, 4.3, 4.1, 5.1, 0.0, 0.45),
             ("cupboard", 0.0, 0.7, 0.5, 2.2, 0.0, 1.6), ("shelf", 3.1, 4.3, 0.0, 0.4, 1.5, 1.8)]  # fmt: skip
    blocks = []
    for name, left, right, front, rear, bottom, top in spans:
        near, far = (width - right, width - left) if mirrored else (left, right)
        blocks.append(block(name, left=near, right=far, front=front, rear=rear, bottom=bottom, top=top))
    low, far_low, at = (1.9, 1.3, width - ridge) if mirrored else (1.3, 1.9, ridge)
    ceiling = gable(width=width, length=5.1, ridge="front-to-back", low=low, peak=2.8, ridge_at=at, far_low=far_low)
    return Room(rectangle(width, 5.1), ceiling, tuple(blocks[2:]), tuple(blocks[:2]))


@pytest.mark.parametrize("step", [0.07, 0.1, 0.23])
@pytest.mark.parametrize("height", [1.0, 1.55, 1.7])
def test_a_mirrored_room_has_the_mirrored_grid(step, height):
    plane, mirrored = (lay_plane(filled(turned), PlaneSpec(height, step)) for turned in (False, True))
    np.testing.assert_allclose(mirrored.x, 4.3 - plane.x[::-1], atol=1e-12)
    np.testing.assert_allclose(mirrored.y, plane.y, atol=1e-12)
    np.testing.assert_array_equal(mirrored.inside, plane.inside[:, ::-1])
    np.testing.assert_allclose(mirrored.height, plane.height[:, ::-1], atol=1e-12)


@pytest.mark.parametrize("height", [1.0, 1.55, 1.7])
def test_risers_lift_it_and_boxes_and_slopes_cut_it(height):
    """Point by point: the highest riser counts; a point in a box or over the slope is not in the room's air."""
    plane = lay_plane(filled(False), PlaneSpec(height, 0.13))
    for (row, column), level in np.ndenumerate(plane.height):
        x, back = plane.x[column], -plane.y[row]
        high, low = x > 1.9 and back > 4.1, x < 2.6 and back > 3.0
        assert level == pytest.approx(height + (0.45 if high else 0.2 if low else 0.0))
        ceiling = 1.3 + x * 1.5 / 1.4 if x < 1.4 else 2.8 - (x - 1.4) * 0.9 / 2.9
        cupboard = x < 0.7 and 0.5 < back < 2.2 and level < 1.6
        shelf = x > 3.1 and back < 0.4 and 1.5 < level < 1.8
        assert plane.inside[row, column] == (level <= ceiling and not cupboard and not shelf)


def test_in_an_l_shaped_room_only_the_floor_counts():
    plan = outline([[0, 0], [5, 0], [5, 2], [2, 2], [2, 6], [0, 6]])
    room = Room(plan, planes([[[0, 0, 2.4], [5, 0, 2.4], [0, -6, 2.9]]]))
    plane = lay_plane(room, PlaneSpec(1.1, 0.1))
    expected = (plane.x[None, :] < 2) | (plane.y[:, None] > -2)
    np.testing.assert_array_equal(plane.inside, expected)
    assert plane.inside.sum() * 0.1**2 == pytest.approx(plan.polygon.area)


# --- how fine


@pytest.mark.parametrize(("width", "length"), [(4.2, 6.6), (60.0, 60.0), (0.3048, 60.0), (59.9, 0.31), (12.0, 9.0)])
@pytest.mark.parametrize("step", [0.0001, 0.001])
def test_past_five_million_points_the_refusal_names_a_step_that_does(width, length, step):
    room = Room(rectangle(width, length), flat(2.7))
    columns, rows = grid_size(room, step)
    with pytest.raises(PlaneTooFine, match=f"{columns * rows:,}") as refused:
        lay_plane(room, PlaneSpec(1.1, step))
    columns, rows = grid_size(room, refused.value.enough)
    assert 0.9 * MOST_POINTS < columns * rows <= MOST_POINTS
