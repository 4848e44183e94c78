"""Which tape was misread: one slip among readings that check one another is named, and where none can tell, none is."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.adjustment import FREE, adjust, fit
from earshed.model.misreading import MOST_TRIED, Suspect, held_to_corners, suspects
from earshed.model.survey import Reading, reading_deviation
from earshed.model.units import FOOT, INCH
from tests.rooms import metres
from tests.surveys import clockwise, every_diagonal, outlines, rooms_out_of_square, taped, turns_of

SQUARE = np.full(4, math.pi / 2)
BOTH = [(0, 2), (1, 3)]
BY = (FOOT, INCH)
# 14 ft by 21 ft, and an L of 18 ft by 24 ft without its rear right 6 ft by 7 ft
BOX = FOOT * np.array([[0, 0], [14, 0], [14, -21], [0, -21]], dtype=float)
ELL = FOOT * np.array([[0, 0], [18, 0], [18, -17], [12, -17], [12, -24], [0, -24]], dtype=float)


def found(notes, steps=BY):
    survey = adjust(notes)
    assert not survey.agrees
    return suspects(survey, steps)


# --- named


@given(
    corners=rooms_out_of_square(),
    at=st.integers(0, 5),
    feet=st.sampled_from([-2, -1, 1, 2]),
    noise=st.lists(st.floats(-INCH / 16, INCH / 16), min_size=6, max_size=6),
)
def test_a_foot_is_found_in_any_reading_of_a_room_with_both_diagonals(corners, at, feet, noise):
    """The others are read to the nearest eighth."""
    slips = {i: off + (feet * FOOT if i == at else 0) for i, off in enumerate(noise)}
    notes = taped(corners, BOTH, turns=SQUARE, slips=slips)
    (suspect,) = found(notes)
    assert suspect.position == at
    assert suspect.reading is notes.readings[at]
    assert suspect.error == pytest.approx(feet * FOOT, abs=4 * suspect.deviation)
    assert suspect.is_whole(FOOT)


@settings(max_examples=40)
@given(plan=outlines(), at=st.integers(0, 60), slip=st.sampled_from([-1, 1]), size=metres(0.1, 0.4))
def test_any_slip_is_found_where_every_diagonal_was_taped(plan, at, slip, size):
    """As the likeliest; and from a foot on, as the only one."""
    corners = clockwise(plan)
    assume(len(corners) > 4)
    diagonals = every_diagonal(len(corners))
    at %= len(corners) + len(diagonals)
    first, *others = found(taped(corners, diagonals, slips={at: slip * size}), ())
    assert first.position == at
    assert first.error == pytest.approx(slip * size, abs=1e-6)
    assert first.left < 1e-6
    assert not (others and size >= FOOT)


@given(corners=rooms_out_of_square(by=0.25), at=st.integers(0, 8))
def test_a_foot_is_found_in_a_skewed_room_with_readings_to_spare(corners, at):
    """Five corners, the fifth jutting out at the rear: all five walls and diagonals but one. Corners are assumed to be

    as on the drawing of a square room, which they are not; the tapes alone must tell.
    """
    middle = (corners[2] + corners[3]) / 2 + [0.0, -1.5]
    five = np.insert(corners, 3, middle, axis=0)
    stated = np.radians([90, 45, 90, 45, 90])
    assume(np.abs(turns_of(five) - stated).max() > math.radians(4))
    diagonals = every_diagonal(5)
    notes = taped(five, diagonals, turns=stated, slips={at: FOOT})
    assert not fit(taped(five, diagonals, turns=stated)).agrees
    assert adjust(taped(five, diagonals, turns=stated)).corner_deviation == FREE
    assert found(notes)[0].position == at


# --- not to be told apart


@pytest.mark.parametrize("steps", [BY, ()])
@pytest.mark.parametrize("at", range(4))
def test_without_a_diagonal_a_wall_and_its_twin_are_alike(at, steps):
    across = (at + 2) % 4
    pair = found(taped(BOX, [], turns=SQUARE, slips={at: FOOT}), steps)
    assert {suspect.position for suspect in pair} == {at, across}
    errors = {suspect.position: suspect.error for suspect in pair}
    assert errors[at] == pytest.approx(FOOT, abs=0.003)
    assert errors[across] == pytest.approx(-FOOT, abs=0.003)


def test_without_a_diagonal_all_walls_that_run_one_way_are_alike():
    pair = found(taped(ELL, [], slips={3: FOOT}))
    assert {suspect.position for suspect in pair} == {1, 3, 5}


@pytest.mark.parametrize("at", range(4))
def test_walls_of_a_walk_that_fails_to_close_by_an_inch(at):
    """Held to square corners: each of the two walls along the gap, and what it would have to be."""
    held = held_to_corners(taped(BOX, [], turns=SQUARE, slips={at: INCH}))
    true = taped(BOX, []).lengths
    wanted = {at: true[at], (at + 2) % 4: true[at] + INCH}
    assert {s.position: s.implied for s in suspects(held, BY)} == pytest.approx(wanted, abs=1e-4)


def test_diagonals_have_no_say_in_whether_the_walls_close():
    """A diagonal that shows the corners out of square does not open a walk that closes."""
    assert held_to_corners(taped(ELL, [(0, 3)], slips={6: 2 * INCH})).agrees
    assert not held_to_corners(taped(ELL, [(0, 3)], slips={0: 2 * INCH})).agrees


def test_two_slips_are_not_laid_to_one():
    assert found(taped(BOX, BOTH, turns=SQUARE, slips={0: FOOT, 1: -FOOT})) == ()


def test_whole_feet_are_preferred_to_what_explains_it_as_well():
    """Four inches in the front wall of a large room can be laid to other readings, but not as just four inches."""
    survey = adjust(taped(1.3 * BOX, BOTH, turns=SQUARE, slips={0: 4 * INCH}))
    alike = suspects(survey, (FOOT,))
    assert len(alike) > 1
    assert alike == tuple(sorted(alike, key=lambda suspect: suspect.left))
    (kept,) = suspects(survey, (INCH, 4 * INCH, FOOT))
    assert kept.position == 0
    assert kept == alike[0]
    assert suspects(survey, (INCH,)) == alike  # which inch it is, the others cannot say
    assert {other.position for other in suspects(survey, (2 * INCH,))} == {4, 5}
    assert suspects(survey, (2 * INCH, 4 * INCH)) == (kept,)  # the larger step comes first


# --- whole steps


def suspect(error, deviation):
    return Suspect(0, Reading(0, 1, 5.0), 5.0 - error, deviation, 0.0)


@pytest.mark.parametrize(
    ("error", "deviation", "whole"),
    [
        (FOOT, 0.003, True),
        (-2 * FOOT, 0.003, True),
        (FOOT + 0.009, 0.003, True),  # three deviations
        (FOOT + 0.011, 0.003, False),
        (FOOT - 0.011, 0.003, False),
        (0.001, 0.003, False),  # none is no whole number of them
        (FOOT, FOOT / 5, False),  # too blunt to tell
        (FOOT, FOOT / 7, True),
        (FOOT / 2, 0.003, False),
    ],
)
def test_whole_steps(error, deviation, whole):
    assert suspect(error, deviation).is_whole(FOOT) == whole


def test_the_deviation_of_an_error_grows_as_less_checks_it():
    """That of the reading over the root of its redundancy (Ghilani, "Adjustment Computations")."""
    notes = taped(BOX, BOTH, turns=SQUARE, slips={0: FOOT})
    survey = adjust(notes)
    (only,) = suspects(survey, BY)
    assert only.deviation == pytest.approx(reading_deviation(15 * FOOT) / math.sqrt(survey.checks[0]))
    assert only.deviation > 3 * reading_deviation(15 * FOOT)


def test_a_long_list_is_tried_from_its_worst():
    """In a room of many walls the slip is among the dozen that stand out."""
    corners = 4 * np.column_stack([np.cos(t := -2 * math.pi / 18 * np.arange(18)), np.sin(t)])
    diagonals = [(i, j) for i, j in every_diagonal(18) if (i + j) % 3 == 0]
    notes = taped(corners, diagonals, slips={40: FOOT})
    assert len(notes.readings) > 3 * MOST_TRIED
    (only,) = found(notes)
    assert only.position == 40
