"""Several speakers together: exact against trying all, never too near each other, and never out of hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.search.answer import settle
from earshed.model.search.asking import ask_of
from earshed.model.search.joint import MOST_NODES, MOST_TOGETHER, Unit, fits_others, together, unit_of_one
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots
from earshed.model.seating import main_seats
from tests.search_rooms import read

NAMES = [f"n{number}" for number in range(12)]
MANY = ", ".join(f"{{name: {name}, type: flush, at: {{from_left: 1, from_front: 1}}}}" for name in NAMES)
SCENE = read(speakers=MANY)
ASKS = [
    ask_of(SCENE, one, moving=SCENE.speakers, seats=main_seats(SCENE.seats), types=[SCENE.speaker_types["flush"]])
    for one in SCENE.speakers
]
GAP = (9 + 1 + 0.25) * 0.0254
"""Metres that two of 9 in keep from middle to middle."""


def unit(number: int, rows: list[tuple[float, float, int, float]], wanting: list[float] | None = None) -> Unit:
    """A speaker with places: x and y, its verdict and its worst angle in degrees; dB that are preferred to that."""
    x, y, verdict, worst = np.array(rows, dtype=float).reshape(-1, 4).T
    preferred = np.zeros(len(x)) if wanting is None else np.array(wanting, dtype=float)
    zeros = np.zeros(len(x), dtype=np.intp)
    points = np.stack([x, y, np.full(len(x), 2.6)], axis=-1)
    flags = np.zeros(len(x), dtype=bool)
    spots = Spots(
        points,
        zeros,
        zeros,
        np.zeros(len(x)),
        flags,
        zeros,
        zeros,
        verdict.astype(np.intp),
        np.radians(worst),
        preferred,
    )
    return Unit((ASKS[number],), (spots,))


ROWS = st.lists(
    st.tuples(st.integers(0, 8).map(lambda n: n * 0.1), st.just(-1.0), st.integers(0, 2), st.integers(0, 60)),
    min_size=0, max_size=5,
)  # fmt: skip


def exhaustive(units: list[Unit]) -> tuple[float, ...]:
    """The least cost of all ways to place some or all."""
    costs = [[*unit.costs, None] for unit in units]
    least = (math.inf,)
    for chosen in product(*(range(len(of_unit)) for of_unit in costs)):
        points = [
            unit.spots[0].points[index] for unit, index in zip(units, chosen, strict=True) if index < len(unit.costs)
        ]
        if all(np.linalg.norm(a - b) >= GAP for n, a in enumerate(points) for b in points[:n]):
            rows = [of_unit[index] or (1, *[0] * 7) for of_unit, index in zip(costs, chosen, strict=True)]
            least = min(least, tuple(int(part) for part in np.sum(rows, axis=0)))
    return least


@settings(max_examples=150)
@given(rows=st.lists(ROWS, min_size=1, max_size=4), seed=st.randoms(use_true_random=False))
def test_the_joint_answer_is_the_best_of_all(rows, seed):
    """Whatever is preferred to the angle: a spread, or a level less than none."""
    wanting = [[seed.choice([-80.3, -79.9, 0.0, 0.1, 2.4]) for _ in places] for places in rows]
    units = [unit(number, places, wanting[number]) for number, places in enumerate(rows)]
    joint = together(units)
    assert joint.proven
    sizes = np.array([1, 1e6, 1, 1, 1, 1, 10, 1e8])
    assert tuple(np.rint(np.array(joint.cost) * sizes).astype(int)) == exhaustive(units)
    assert joint.loss >= 0
    points = [u.spots[0].points[i] for u, i in zip(units, joint.chosen, strict=True) if i is not None]
    assert all(np.linalg.norm(a - b) >= GAP for n, a in enumerate(points) for b in points[:n])


@settings(max_examples=50)
@given(rows=st.lists(ROWS, min_size=2, max_size=4), seed=st.randoms(use_true_random=False))
def test_the_order_of_units_counts_for_nothing(rows, seed):
    units = [unit(number, places) for number, places in enumerate(rows)]
    order = list(range(len(units)))
    seed.shuffle(order)
    one, other = together(units), together([units[number] for number in order])
    assert other.chosen == tuple(one.chosen[number] for number in order)
    assert other.cost == one.cost


def test_two_that_want_one_spot_share_the_loss_that_is_least():
    """Moved by one step of 0.3 m the first loses 5 degrees and the second 2."""
    first = unit(0, [(1.0, -1, 0, 10), (1.3, -1, 0, 15)])
    second = unit(1, [(1.0, -1, 0, 10), (1.3, -1, 0, 12)])
    joint = together([first, second])
    assert joint.chosen == (0, 1)
    assert math.degrees(joint.loss) == pytest.approx(2, abs=1e-6)
    assert fits_others([first, second], joint, 0).tolist() == [True, False]


def test_one_too_many_is_left_out_and_the_others_are_placed():
    units = [unit(number, [(1.0, -1, 0, 10)]) for number in range(2)] + [unit(2, [(2.0, -1, 2, 50)])]
    joint = together(units)
    assert joint.chosen == (0, None, 0)
    assert joint.cost[0] == 1
    assert together([unit(0, []), unit(1, [(1.0, -1, 0, 5)])]).chosen == (None, 0)


def test_twelve_that_crowd_one_spot_all_find_a_place():
    search = Search(ASKS[0], 0.0254)
    spots = search.finish()
    units = [unit_of_one(replace(ask), spots) for ask in ASKS]
    joint = together(units)
    assert None not in joint.chosen
    points = np.array([u.spots[0].points[i] for u, i in zip(units, joint.chosen, strict=True)])
    gaps = np.linalg.norm(points[:, None] - points, axis=-1)[np.triu_indices(12, 1)]
    assert gaps.min() >= GAP - 1e-9
    assert not joint.proven  # and it says so, after no more than so many choices
    assert MOST_NODES <= 50_000
    assert joint.loss > 0


def test_second_choices_are_a_foot_away_and_clear_of_the_rest():
    search = Search(ASKS[0], 0.0254)
    spots = search.finish()
    units = [unit_of_one(ask, spots) for ask in ASKS[:3]]
    joint = together(units)
    found = settle(units, joint)
    chosen = [choice[0].speaker.position for choice in found.chosen]
    for number, second in enumerate(found.second):
        assert second is not None
        here = second[0].speaker.position
        assert np.linalg.norm(here - chosen[number]) >= 0.3048 - 2e-3
        others = [point for other, point in enumerate(chosen) if other != number]
        assert min(np.linalg.norm(here - point) for point in others) >= GAP - 2e-3


def test_as_many_as_may_be_are_placed_and_one_more_is_refused():
    ones = [unit(0, [(n * 2 * GAP, 0.0, 0, 10)]) for n in range(MOST_TOGETHER)]
    assert together(ones).chosen == (0,) * MOST_TOGETHER
    with pytest.raises(ValueError, match=f"{MOST_TOGETHER + 1} are to be placed together, at most {MOST_TOGETHER}"):
        together([*ones, ones[0]])
