"""Chairs: of a size for people, under their ears, and one sofa where they stand side by side."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.furniture import BACK_DEPTH, BEHIND_EARS
from earshed.model.geometry import FRONT, frozen
from earshed.model.seating import Seat
from earshed.model.units import INCH
from earshed.viewer.chair_meshes import ARM_WIDTH, SEAM, chair_box, cushion, seat_mesh

AHEAD = FRONT[:2]
lengths = st.floats(0.05, 2.0)


def seat(name: str, x: float, y: float = -3.0, ear: float = 1.0, top: float | None = None) -> Seat:
    return Seat(name, frozen([x, y, ear]), back_top=top)


def bounds(mesh) -> np.ndarray:
    return np.reshape(mesh.bounds, (3, 2))


@given(size=st.tuples(lengths, lengths, lengths))
def test_a_cushion_is_a_closed_box_with_less_than_its_corners(size):
    made = cushion(np.zeros(3), np.array(size))
    assert bounds(made) == pytest.approx(np.column_stack([np.zeros(3), size]), abs=1e-6)
    assert made.is_manifold
    assert 0.8 * np.prod(size) < made.triangulate().volume < np.prod(size)


def test_a_chair_is_of_a_size_for_people():
    """Seats 22 to 26 in wide, 17 to 18 in high: common practice, no source."""
    chair = seat_mesh(seat("chair", 2.0), 0.0, AHEAD)
    wide, deep, _ = np.ptp(bounds(chair), axis=1) / INCH
    assert wide - 2 * ARM_WIDTH / INCH == pytest.approx(24, abs=2)
    assert 26 < deep < 40
    cushions = np.asarray(chair.points)
    middle = cushions[(np.abs(cushions[:, 0] - 2) < 0.2) & (cushions[:, 1] > -3 - BEHIND_EARS + 0.05)]
    before = cushions[cushions[:, 1] > -3 + 0.2]
    seat_top = before[np.abs(before[:, 0] - 2) < 0.30][:, 2].max() if len(before) else middle[:, 2].max()
    assert 17 <= seat_top / INCH <= 18
    assert bounds(chair)[1, 0] == pytest.approx(-3 - BEHIND_EARS - BACK_DEPTH, abs=1e-6)
    assert bounds(chair)[2, 1] < 1.0


@given(ear=st.floats(0.1, 1.6))
@settings(max_examples=20)
def test_however_low_the_ears_a_chair_stands_on_its_floor_the_right_way_out(ear):
    chair = seat_mesh(seat("chair", 2.0, ear=0.3 + ear), 0.3, AHEAD)
    low, high = bounds(chair)[2]
    assert 0.3 < low < 0.35
    assert high > 0.3 + 0.2
    assert chair.is_manifold
    assert chair.triangulate().volume > 0.02


def test_a_high_back_is_as_high_as_the_scene_says():
    assert bounds(seat_mesh(seat("chair", 2.0, top=1.2), 0.0, AHEAD))[2, 1] == pytest.approx(1.2, abs=1e-6)
    assert bounds(seat_mesh(seat("chair", 2.0, ear=1.3, top=1.5), 0.3, AHEAD))[2, 1] == pytest.approx(1.5, abs=1e-6)


@settings(max_examples=30)
@given(apart=st.floats(0.5, 1.2))
def test_side_by_side_they_meet_and_never_overlap(apart):
    row = [seat("left", 2.0), seat("right", 2.0 + apart)]
    left, right = (bounds(seat_mesh(one, 0.0, AHEAD, row)) for one in row)
    gap = right[0, 0] - left[0, 1]
    assert gap >= 2 * SEAM - 1e-6
    if apart < 0.8:
        assert gap == pytest.approx(2 * SEAM, abs=1e-6)
    assert left[0, 0] < 2.0 - 0.3  # the arm on the outer side stays


def test_behind_one_another_each_has_both_arms():
    alone = bounds(seat_mesh(seat("front", 2.0), 0.0, AHEAD))
    rows = [seat("front", 2.0), seat("back", 2.5, -4.2)]
    assert bounds(seat_mesh(rows[0], 0.0, AHEAD, rows)) == pytest.approx(alone)


@settings(max_examples=15)
@given(turn=st.floats(0, 2 * np.pi))
def test_a_chair_turns_with_the_room(turn):
    ahead = np.array([np.cos(turn), np.sin(turn)])
    one = seat("chair", 2.0)
    back = np.array([ahead[1], -ahead[0]])
    there, here = (np.asarray(seat_mesh(one, 0.0, way).points) - one.ear for way in (ahead, AHEAD))
    assert there[:, :2] @ ahead == pytest.approx(here[:, 1], abs=1e-5)
    assert there[:, :2] @ back == pytest.approx(here[:, 0], abs=1e-5)
    box = chair_box(one, 0.0, ahead) - one.ear
    assert np.ptp(box[:, :2] @ ahead) == pytest.approx(np.ptp(here[:, 1]), abs=0.02)
