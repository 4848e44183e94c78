"""The best-fit outline: true readings give the room back, the fit is the least there is, and it is one however walked.

Sources of the checks: closed forms (law of cosines, Ptolemy's theorem, the determinant of Cayley and Menger); a
condition equation as another way to the same adjustment (C. D. Ghilani, "Adjustment Computations"); the chi-square
table of the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4 (values from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.adjustment import ASSUMED, FREE, adjust, fit
from earshed.model.misreading import held_to_corners
from earshed.model.survey import CRITICAL, FieldNotes, Reading, largest_misfit, reading_deviation
from earshed.model.traverse import azimuths, compass_rule, courses, misclosure, stations
from earshed.model.units import FOOT, INCH
from tests.rooms import metres
from tests.surveys import between, distances, rooms_out_of_square, rounded, taped, turns_of, walked

SQUARE = np.full(4, math.pi / 2)
BOTH = [(0, 2), (1, 3)]
LOOSE = 1e4
"""Radians: corners that have no say."""


def misfit(notes, corners, corner_deviation=ASSUMED):
    """The weighted sum of squares of an outline, reckoned from the corners alone."""
    off = [(r.length - between(corners, r.start, r.end)) / reading_deviation(r.length) for r in notes.readings]
    turned = (notes.turns - turns_of(corners) + math.pi) % (2 * math.pi) - math.pi
    return float(np.sum(np.square(off)) + np.sum((turned / corner_deviation) ** 2))


@st.composite
def noisy(draw, most=0.03):
    """Field notes of an outline, each length out by up to `most` metres and each turn by up to a degree."""
    corners, diagonals = draw(walked())
    count = len(corners) + len(diagonals)
    slips = dict(enumerate(draw(st.lists(st.floats(-most, most), min_size=count, max_size=count))))
    off = draw(st.lists(st.floats(-0.017, 0.017), min_size=len(corners), max_size=len(corners)))
    return taped(corners, diagonals, turns=turns_of(corners) + off, slips=slips)


# --- true readings


@given(room=walked())
def test_true_readings_give_the_room_back(room):
    corners, diagonals = room
    survey = adjust(taped(corners, diagonals))
    assert distances(survey.corners) == pytest.approx(distances(corners), abs=1e-8)
    assert turns_of(survey.corners) == pytest.approx(turns_of(corners), abs=1e-8)
    assert survey.residuals == pytest.approx(0, abs=1e-8)
    assert survey.off_corners == pytest.approx(0, abs=1e-8)
    assert survey.misfit < 1e-6
    assert survey.askew < 1e-7
    assert survey.agrees


@given(corners=rooms_out_of_square(by=0.3))
def test_two_true_diagonals_give_back_a_room_however_far_out_of_square(corners):
    """Nobody measured the corners; six lengths fix a figure of four corners with one to spare."""
    assume(np.abs(turns_of(corners) - math.pi / 2).max() < math.radians(20))
    survey = adjust(taped(corners, BOTH, turns=SQUARE))
    assert survey.agrees
    assert survey.rigid
    assert survey.overdetermined
    assert survey.inside_angles == pytest.approx(math.pi - np.roll(turns_of(corners), 1), abs=0.002)
    assert distances(survey.corners) == pytest.approx(distances(corners), abs=0.003)


def test_a_figure_by_hand():
    """Sides 8, 5, 3, 5 and both diagonals 7.

    Law of cosines: cos B = (8^2 + 5^2 - 7^2) / (2 x 8 x 5) = 1/2 and cos D = (5^2 + 3^2 - 7^2) / (2 x 5 x 3) = -1/2, so
    B is 60 degrees and D 120. They add up to 180, so Ptolemy's theorem holds: 7 x 7 = 8 x 3 + 5 x 5.
    """
    sides = [Reading(0, 1, 8.0), Reading(1, 2, 5.0), Reading(2, 3, 3.0), Reading(3, 0, 5.0)]
    notes = FieldNotes((*sides, Reading(0, 2, 7.0), Reading(1, 3, 7.0)), np.radians([120.5, 59.5, 60.5, 119.5]))
    survey = fit(notes, corner_deviation=LOOSE)
    assert np.degrees(survey.inside_angles) == pytest.approx([60, 60, 120, 120], abs=1e-6)
    height = 5 * math.sin(math.radians(60))
    assert survey.corners == pytest.approx(np.array([[0, 0], [8, 0], [5.5, -height], [2.5, -height]]), abs=1e-7)
    assert survey.residuals == pytest.approx(0, abs=1e-8)


def test_the_carpenters_corner():
    """12 ft by 16 ft with 20' 0-1/2" across is 90.25 degrees there: acos((12^2 + 16^2 - 20.0417^2) / (2 x 12 x 16))."""
    feet = [12, 16, 12, 16, 20 + 1 / 24]
    ends = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]
    notes = FieldNotes(tuple(Reading(*e, f * FOOT) for e, f in zip(ends, feet, strict=True)), SQUARE)
    by_hand = math.degrees(math.acos((144 + 256 - feet[4] ** 2) / 384))
    assert by_hand == pytest.approx(90.25, abs=0.005)
    assert np.degrees(fit(notes, corner_deviation=LOOSE).inside_angles)[1] == pytest.approx(by_hand, abs=1e-6)
    assert np.degrees(adjust(notes).inside_angles)[1] == pytest.approx(by_hand, abs=0.03)


# --- the fit


@given(notes=noisy())
def test_the_adjusted_figure_closes(notes):
    survey = fit(notes)
    lengths, turns = survey.fitted[: len(notes.turns)], notes.turns + survey.off_turns
    assert turns.sum() == pytest.approx(2 * math.pi, abs=1e-9)
    walk = courses(lengths, azimuths(turns))
    assert misclosure(walk) == pytest.approx([0, 0], abs=1e-9)
    assert stations(walk) == pytest.approx(survey.corners, abs=1e-9)
    assert survey.inside_angles.sum() == pytest.approx((len(turns) - 2) * math.pi, abs=1e-9)
    assert survey.residuals == pytest.approx(
        [r.length - between(survey.corners, r.start, r.end) for r in notes.readings], abs=1e-9
    )


@given(notes=noisy(), data=st.data())
def test_no_other_outline_fits_better(notes, data):
    survey = fit(notes)
    assert survey.misfit == pytest.approx(misfit(notes, survey.corners), abs=1e-9)
    assert survey.misfit <= misfit(notes, stations(compass_rule(notes.walked))) + 1e-9
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32)))
    for size in (1e-5, 1e-4, 1e-3, 1e-2):
        for _ in range(5):
            other = survey.corners + rng.normal(0, size, survey.corners.shape)
            assert misfit(notes, other) > survey.misfit


@given(notes=noisy(), start=st.integers(1, 8))
def test_another_first_corner_gives_the_same_outline(notes, start):
    count = len(notes.turns)
    start %= count
    walls = [notes.readings[(i + start) % count] for i in range(count)]
    renumbered = tuple(
        Reading((r.start - start) % count, (r.end - start) % count, r.length) for r in (*walls, *notes.readings[count:])
    )
    here, there = fit(notes), fit(FieldNotes(renumbered, np.roll(notes.turns, -start)))
    assert distances(there.corners) == pytest.approx(
        np.roll(distances(here.corners), (-start, -start), (0, 1)), abs=1e-6
    )
    assert there.misfit == pytest.approx(here.misfit, rel=1e-6, abs=1e-9)
    assert there.rigid == here.rigid


@given(notes=noisy())
def test_a_mirrored_room_walked_from_its_mirrored_side_is_the_mirrored_outline(notes):
    """The walk runs the other way round: wall N is the last but N, and begins where it ended."""
    count = len(notes.turns)
    back = [-i % count for i in range(count)]
    walls = [notes.readings[-i - 1 + count] for i in range(count)]
    mirrored = tuple(
        Reading(back[first], back[second], r.length)
        for r, (first, second) in [
            *((wall, (wall.end, wall.start)) for wall in walls),
            *((r, (r.start, r.end)) for r in notes.readings[count:]),
        ]
    )
    turns = np.array([notes.turns[(-i - 2) % count] for i in range(count)])
    here, there = fit(notes), fit(FieldNotes(mirrored, turns))
    assert distances(there.corners) == pytest.approx(distances(here.corners)[np.ix_(back, back)], abs=1e-6)
    assert there.inside_angles == pytest.approx(here.inside_angles[back], abs=1e-6)


def cayley_menger(a, b, c, d, p, q):
    """Zero for sides a, b, c, d in turn and diagonals p (from a's start) and q of a plane figure."""
    square = np.array([[0, a, p, d], [a, 0, b, q], [p, b, 0, c], [d, q, c, 0]]) ** 2
    bordered = np.block([[np.zeros((1, 1)), np.ones((1, 4))], [np.ones((4, 1)), square]])
    return float(np.linalg.det(bordered))


@given(corners=rooms_out_of_square(by=0.1), slips=st.lists(metres(-0.01, 0.01), min_size=6, max_size=6))
def test_lagranges_condition_gives_the_same_adjustment(corners, slips):
    """Six lengths of a plane figure of four corners obey one condition. With corners that have no say, the residuals

    are the least weighted ones that meet it: v = -f Q J' / (J Q J'), J the condition's slope, until f is nothing.
    """
    notes = taped(corners, BOTH, turns=SQUARE, slips=dict(enumerate(slips)))
    variance = notes.deviations**2
    fitted = notes.lengths.copy()
    for _ in range(20):
        slope = np.array(
            [
                (cayley_menger(*(fitted + step)) - cayley_menger(*(fitted - step))) / 2e-5
                for step in 1e-5 * np.eye(len(fitted))
            ]
        )
        short = cayley_menger(*fitted) + slope @ (notes.lengths - fitted)
        fitted = notes.lengths - variance * slope * short / (slope @ (variance * slope))
    assert fit(notes, corner_deviation=LOOSE).fitted == pytest.approx(fitted, abs=2e-5)


# --- how well each reading is checked


@given(notes=noisy(most=0.005), at=st.integers(0, 30))
def test_what_leaving_one_out_does_is_told_beforehand(notes, at):
    """Of small errors: the misfit falls by the standardized residual squared, and the rest makes the reading

    wrong by its residual over its redundancy (Ghilani, "Adjustment Computations", on blunder detection; Baarda 1968).
    """
    at %= len(notes.readings)
    survey, rest = fit(notes), fit(notes, left_out=at)
    assume(survey.checks[at] > 0.02)  # of one that hardly anything checks, the small error makes a large move
    assert survey.misfit - rest.misfit == pytest.approx(survey.standardized[at] ** 2, rel=0.1, abs=0.05)
    assert rest.residuals[at] == pytest.approx(survey.residuals[at] / survey.checks[at], rel=0.1, abs=0.002)
    assert rest.freedom == survey.freedom - 1
    assert rest.standardized[at] == 0


@given(corners=rooms_out_of_square())
def test_redundancies_add_up_to_what_is_to_spare(corners):
    """With corners that have no say a square room and both its diagonals have one length to spare; with one, none."""
    both = fit(taped(corners, BOTH, turns=SQUARE), corner_deviation=LOOSE)
    assert both.checks.sum() == pytest.approx(1, abs=1e-4)
    one = fit(taped(corners, BOTH[:1], turns=SQUARE), corner_deviation=LOOSE)
    assert one.checks.sum() == pytest.approx(0, abs=1e-4)
    assert one.standardized == pytest.approx(0, abs=1e-3)
    assert (both.rigid, one.rigid) == (True, True)
    assert (both.overdetermined, one.overdetermined) == (True, False)
    assert not fit(taped(corners, [], turns=SQUARE)).rigid


@given(room=walked())
def test_diagonals_to_spare_in_one_part_do_not_fix_the_rest(room):
    """n - 3 diagonals can fix an outline (G. Laman 1970: 2 n - 3 lengths), fewer never do, and all always do."""
    corners, diagonals = room
    fixed = fit(taped(corners, diagonals)).rigid
    assert not (fixed and len(diagonals) < len(corners) - 3)
    assert not fit(taped(corners, []), corner_deviation=FREE).rigid or len(corners) == 3


@pytest.mark.parametrize(("juts_out", "rigid"), [(0.1, False), (3, True)])
def test_a_corner_in_a_nearly_straight_wall_is_not_fixed_by_its_two_parts(juts_out, rigid):
    """Feet. The other four corners are fixed by a diagonal and by the line from end to end of the bent wall."""
    corners = FOOT * np.array([[0, 0], [14, 0], [14 + juts_out, -10], [14, -21], [0, -21]])
    assert fit(taped(corners, [(0, 3), (1, 3)])).rigid == rigid


TABLE = {1: 10.828, 2: 13.816, 3: 16.266, 4: 18.467, 5: 20.515, 6: 22.458, 8: 26.125, 10: 29.588, 20: 45.315,
         30: 59.703, 50: 86.661, 100: 149.449}  # fmt: skip


@pytest.mark.parametrize("freedom", TABLE)
def test_largest_misfit_against_the_table(freedom):
    assert largest_misfit(freedom) == pytest.approx(TABLE[freedom], rel=0.035 / freedom**0.5)
    assert largest_misfit(freedom) < largest_misfit(freedom + 1)


# --- noise, and what is more than noise


@given(room=rounded(INCH / 8))
def test_rounding_to_an_eighth_is_never_taken_for_a_slip(room):
    """Each reading is then within half its standard deviation e, so a residual is within sqrt(M) / 2 of its own, and

    the misfit within M / 4: under both limits for these outlines of up to 28 observations.
    """
    corners, notes = room
    survey = adjust(notes)
    assert survey.agrees
    assert np.abs(survey.standardized).max() <= math.sqrt(len(notes.readings)) / 2 + 0.1
    assert held_to_corners(notes).agrees
    assert distances(survey.corners) == pytest.approx(distances(corners), abs=0.1)


@given(corners=rooms_out_of_square(by=0.0), at=st.integers(0, 3), slip=st.sampled_from([-1, 1]))
def test_a_wall_an_inch_longer_than_its_twin_is_seen_only_by_square_corners(corners, at, slip):
    """Four walls cannot tell a slip of the tape from a wall out of square by a third of a degree."""
    notes = taped(corners, [], turns=SQUARE, slips={at: slip * INCH})
    assert adjust(notes).agrees
    assert not held_to_corners(notes).agrees
    assert np.abs(np.degrees(adjust(notes).off_corners)).max() < 0.5


@given(room=walked(), slip=st.floats(0.001, 0.3), at=st.integers(0, 30))
def test_one_slip_moves_the_misfit_up_alone(room, slip, at):
    """From a true room, the misfit and the slipped reading's own residual grow with the slip, and keep its sign."""
    corners, diagonals = room
    at %= len(corners) + len(diagonals)
    small, large = (fit(taped(corners, diagonals, slips={at: by})) for by in (slip / 2, slip))
    assume(small.checks[at] > 1e-3)
    assert 0 < small.misfit < large.misfit
    assert 0 < small.residuals[at] < large.residuals[at] < slip
    assert (np.abs(large.standardized) <= CRITICAL).all() or not large.agrees
