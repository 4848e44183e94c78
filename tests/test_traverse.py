"""The traverse: closed walks close, the compass rule shares out what is left, and printed examples come out as printed.

The examples print lengths and directions with departures and latitudes to 0.001 ft (0.01 ft in the last), unadjusted
and adjusted by the compass rule:

- Ghilani and Wolf, "Elementary Surveying", the traverse of figure 10.1, as the listing of the textbook's own program
  for "Example 10.4" has it (a Scribd copy of a class sheet, document 439789459; its adjusted departures and latitudes
  are cut off after the third course);
- J. Mahun, "Open Access Surveying Library", traverse adjustment, solutions of problems 1 and 2 (jerrymahun.com);
- Purdue University, ASM 215, traverse calculations (engineering.purdue.edu/~asm215/topics/travcalc.html), whose
  corrections are printed to 0.01 ft and shared out so as to add up.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.traverse import (
    azimuths,
    closing_changes,
    closing_lengths,
    comes_back,
    compass_rule,
    courses,
    goes_once_round,
    misclosure,
    relative_precision,
    stations,
)
from tests.surveys import rooms_out_of_square, taped, turns_of, walked

RIGHT, LEFT = math.pi / 2, -math.pi / 2


def dms(degrees: int, minutes: int = 0, seconds: float = 0.0) -> float:
    return math.radians(degrees + minutes / 60 + seconds / 3600)


PRINTED = {
    # name: (courses as length, azimuth, departure, latitude), adjusted (departure, latitude), one part in, decimals
    "Ghilani and Wolf": (
        [
            (647.25, dms(126, 55, 17.0), 517.451, -388.815),
            (203.03, dms(178, 18, 57.8), 5.966, -202.942),
            (720.35, dms(15, 31, 54.6), 192.891, 694.044),
            (610.24, dms(284, 35, 20.4), -590.564, 153.709),
            (285.13, dms(206, 9, 42.2), -125.716, -255.919),
        ],
        [(517.443, -388.835), (5.964, -202.949), (192.883, 694.022)],
        30_000,
        0.0006,
    ),
    "Mahun 1": (
        [
            (379.25, dms(180 - 36), 222.918, -306.820),
            (408.90, dms(180 + 75, 23, 18), -395.675, -103.152),
            (298.65, dms(360) - dms(14, 43, 29), -75.909, 288.842),
            (276.55, dms(63, 59, 20), 248.538, 121.280),
        ],
        [(222.954, -306.862), (-395.637, -103.197), (-75.881, 288.809), (248.564, 121.250)],
        6_900,
        0.0015,
    ),
    "Mahun 2": (
        [
            (639.15, dms(226, 54, 23), -466.732, -436.662),
            (523.69, dms(0), 0.0, 523.690),
            (409.54, dms(235, 2, 29), -335.645, -234.660),
            (815.93, dms(79, 35, 2), 802.484, 147.517),
        ],
        [(-466.761, -436.631), (-0.023, 523.715), (-335.663, -234.640), (802.447, 147.556)],
        15_200,
        0.0006,
    ),
    "Purdue": (
        [
            (285.10, dms(26, 10), 125.72, 255.88),
            (610.45, dms(104, 35), 590.78, -153.70),
            (720.48, dms(195, 30), -192.54, -694.28),
            (203.00, dms(358, 18), -6.02, 202.91),
            (647.02, dms(306, 54), -517.41, 388.48),
        ],
        [(125.66, 255.96), (590.65, -153.52), (-192.69, -694.07), (-6.07, 202.97), (-517.55, 388.66)],
        2_771,
        0.011,
    ),
}


@pytest.mark.parametrize("name", PRINTED)
def test_printed_traverses(name):
    printed, adjusted, parts, within = PRINTED[name]
    lengths, directions, departures, latitudes = np.array(printed).T
    walked = courses(lengths, directions)
    assert walked == pytest.approx(np.column_stack([departures, latitudes]), abs=within)
    assert misclosure(walked) == pytest.approx([departures.sum(), latitudes.sum()], abs=2 * within)
    assert 1 / relative_precision(walked) == pytest.approx(parts, rel=0.01)
    assert compass_rule(walked)[: len(adjusted)] == pytest.approx(np.array(adjusted), abs=within)


def test_the_printed_misclosure_of_the_textbook():
    """0.026, 0.077 and in all 0.08 ft: values from memory of the book, whose azimuths are to whole seconds.

    The listing, whose azimuths are to 0.1 seconds, prints 0.028 and 0.077.
    """
    lengths, directions, _, _ = np.array(PRINTED["Ghilani and Wolf"][0]).T
    departure, latitude = misclosure(courses(lengths, directions))
    assert (departure, latitude) == pytest.approx((0.028, 0.077), abs=0.0005)
    assert departure == pytest.approx(0.026, abs=0.003)
    assert math.hypot(departure, latitude) == pytest.approx(0.08, abs=0.005)
    assert lengths.sum() == pytest.approx(2466.00)


# --- laws


@given(room=walked())
def test_a_true_walk_comes_back(room):
    corners, _ = room
    notes = taped(corners, [])
    assert comes_back(notes.lengths, notes.turns)
    assert notes.turns.sum() == pytest.approx(2 * math.pi)
    assert misclosure(notes.walked) == pytest.approx([0, 0], abs=1e-9)
    begun = stations(notes.walked)
    assert begun[0] == pytest.approx([0, 0])
    assert begun[1] == pytest.approx([notes.lengths[0], 0], abs=1e-12)
    first = corners[1] - corners[0]
    turned = np.array([[first[0], -first[1]], [first[1], first[0]]]) / notes.lengths[0]
    assert begun == pytest.approx((corners - corners[0]) @ turned, abs=1e-9)


@given(room=walked(), slips=st.lists(st.floats(-0.05, 0.05), min_size=9, max_size=9))
def test_the_compass_rule(room, slips):
    """It closes the walk, moves each course along the gap, and by its share of the length (Bowditch, 1808)."""
    corners, _ = room
    walked = taped(corners, [], slips=dict(enumerate(slips[: len(corners)]))).walked
    closed = compass_rule(walked)
    assert misclosure(closed) == pytest.approx([0, 0], abs=1e-9)
    lengths = np.hypot(*walked.T)
    moved = walked - closed
    assert moved == pytest.approx(np.outer(lengths, moved.sum(axis=0)) / lengths.sum(), abs=1e-12)
    assert compass_rule(closed) == pytest.approx(closed, abs=1e-9)


def test_directions_go_by_the_right():
    assert azimuths([RIGHT, RIGHT, LEFT, RIGHT]) == pytest.approx([RIGHT, 2 * RIGHT, 3 * RIGHT, 2 * RIGHT])
    assert courses([2.0, 3.0], [RIGHT, math.pi]) == pytest.approx(np.array([[2.0, 0.0], [0.0, -3.0]]), abs=1e-12)


# --- walks that do not come back

ELL = np.array([18.0, 17.0, 6.0, 7.0, 12.0, 24.0])
ELL_TURNS = np.array([RIGHT, RIGHT, LEFT, RIGHT, RIGHT, RIGHT])


def ell_but(last):
    return np.append(ELL_TURNS[:-1], last)


@given(room=walked(), at=st.integers(0, 8))
def test_one_turn_to_the_wrong_side_is_found(room, at):
    corners, _ = room
    turns, at = turns_of(corners), at % len(corners)
    lengths = taped(corners, []).lengths
    wrong = turns * np.where(np.arange(len(turns)) == at, -1, 1)
    if abs(turns[at]) < math.radians(20):
        return  # so slight a turn that it hardly matters which way it goes
    assert not goes_once_round(wrong)
    assert any(set(change) == {at} and change[at] == turns[at] for change in closing_changes(lengths, wrong))


def test_a_turn_written_at_the_wrong_wall_is_found():
    """It stands where it leads from, not where it leads to: the walls are right, and two turns are exchanged."""
    wrong = np.array([RIGHT, RIGHT, RIGHT, LEFT, RIGHT, RIGHT])
    assert not comes_back(ELL, wrong)
    assert list(closing_changes(ELL, wrong)) == [{2: LEFT, 3: RIGHT}]


def test_nothing_is_offered_where_no_one_turn_would_do():
    assert list(closing_changes(np.array([3.0, 4.0, 9.0, 4.0]), np.full(4, RIGHT))) == []


@pytest.mark.parametrize(
    ("lengths", "turns", "back"),
    [
        (ELL, ELL_TURNS, True),
        (ELL + np.array([0, 7, 0, 0, 0, 0]), ELL_TURNS, True),  # 7 of 91
        (ELL + np.array([0, 10, 0, 0, 0, 0]), ELL_TURNS, False),  # 10 of 94
        (ELL, ell_but(LEFT), False),
        (ELL, ell_but(RIGHT + math.radians(9)), True),
        (ELL, ell_but(RIGHT + math.radians(11)), False),
        (ELL, -ELL_TURNS, False),
    ],
)
def test_how_near_a_walk_must_come(lengths, turns, back):
    assert comes_back(lengths, turns) == back


@given(corners=rooms_out_of_square(by=0.0), at=st.integers(0, 3), slip=st.floats(-2, 2).filter(lambda s: abs(s) > 0.5))
def test_the_length_that_would_close_a_walk(corners, at, slip):
    """Its own wall and the one across from it, which must change the other way."""
    true = taped(corners, []).lengths
    lengths = taped(corners, [], slips={at: slip}).lengths
    found = dict(closing_lengths(lengths, np.full(4, RIGHT)))
    across = (at + 2) % 4
    assert found == pytest.approx({at: true[at], across: true[across] + slip}, abs=1e-9)


def test_no_length_is_offered_that_no_wall_can_have():
    """Wall 1 is 13 short of its 18; the two across from it, 6 and 12, would have to be less than nothing."""
    assert dict(closing_lengths(ELL - np.array([13, 0, 0, 0, 0, 0]), ELL_TURNS)) == pytest.approx({0: 18})
