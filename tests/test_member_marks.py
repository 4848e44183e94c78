"""Members by spacing, put right by those found on site: laws that hold whatever was found."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.member_marks import EDGE, SAME_MEMBER, MemberMark, member_marks
from earshed.model.units import INCH

THICK, WITHIN = 1.5 * INCH, INCH / 4
SURE = INCH / 16

lengths = st.floats(1.0, 12.0)
spacings = st.floats(0.2, 0.8)
shares = st.floats(0.0, 1.0, exclude_max=True)


def found(at: float, thickness: float = THICK, within: float = SURE) -> MemberMark:
    return MemberMark(at, thickness, within, found=True)


def marks(length, spacing=0.4, first=0.2, seen=()):
    return member_marks(length, thickness=THICK, within=WITHIN, spacing=spacing, first=first, found=seen)


def places(*args, **keys):
    return [mark.at for mark in marks(*args, **keys)]


@given(lengths, spacings, shares)
def test_nothing_found_is_an_arithmetic_progression(length: float, spacing: float, share: float) -> None:
    first = share * spacing
    at = places(length, spacing, first)
    assert at == pytest.approx([first + step * spacing for step in range(len(at))])
    assert length - spacing - 1e-6 <= at[-1] < length


def test_sixteen_inches_on_a_twelve_foot_tape() -> None:
    """First at 8 in, then every 16: 8, 24, ... 136 of 144 in. Common practice, no source."""
    at = places(144 * INCH, 16 * INCH, 8 * INCH)
    assert [value / INCH for value in at] == pytest.approx(list(range(8, 144, 16)))


@st.composite
def drifted(draw: st.DrawFn, *, with_first: bool) -> tuple[float, float, float | None, list[float], list[int]]:
    """Length, spacing, first, places found and the number of each, where the true spacing is a few per cent off.

    No gap between two that are known is so long that the drift would add up to another member's place.
    """
    spacing = draw(spacings)
    true = spacing * (1 + draw(st.floats(-0.03, 0.03)))
    steps = draw(st.lists(st.integers(1, 9), min_size=1, max_size=5))
    start = draw(st.floats(0.0, 0.9)) * spacing
    numbers = [sum(steps[:count]) for count in range(1, len(steps) + 1)]
    if not with_first:
        numbers = [0, *numbers]
    at = [start + number * true for number in numbers]
    return at[-1] + draw(st.floats(0.1, 3.0)), spacing, start if with_first else None, at, numbers


@given(drifted(with_first=True))
def test_between_two_known_ones_the_counted_are_even_and_their_number_is_right(case) -> None:
    length, spacing, first, at, numbers = case
    got = places(length, spacing, first, [found(value) for value in at])
    upto = [value for value in got if value <= at[-1] + 1e-9]
    assert len(upto) == numbers[-1] + 1
    for (low, start), (high, end) in pairwise([(0, first), *zip(numbers, at, strict=True)]):
        step = (end - start) / (high - low)
        assert upto[low : high + 1] == pytest.approx([start + number * step for number in range(high - low + 1)])
    past = [value for value in got if value > at[-1] + 1e-9]
    assert past == pytest.approx([at[-1] + step * spacing for step in range(1, len(past) + 1)])


@given(drifted(with_first=False))
def test_without_a_first_member_they_are_counted_both_ways(case) -> None:
    length, spacing, _, at, numbers = case
    got = places(length, spacing, None, [found(value) for value in at])
    before = [value for value in got if value < at[0] - 1e-9]
    assert before == pytest.approx([at[0] - step * spacing for step in range(len(before), 0, -1)])
    assert at[0] - spacing * (len(before) + 1) < 1e-6
    assert sum(at[0] - 1e-9 <= value <= at[-1] + 1e-9 for value in got) == numbers[-1] + 1


@given(drifted(with_first=False))
def test_a_tape_pulled_from_the_other_end_finds_the_same_members(case) -> None:
    length, spacing, _, at, _ = case
    got = places(length, spacing, None, [found(value) for value in at])
    back = places(length, spacing, None, [found(length - value) for value in at])
    inner = [value for value in got if 1e-6 < value < length - 1e-6]
    assert inner == pytest.approx([length - value for value in reversed(back) if 1e-6 < value < length - 1e-6])


anywhere = st.lists(st.tuples(shares, st.floats(0.01, 0.1), st.floats(0, 0.02)), max_size=6)


@given(lengths, st.one_of(st.none(), spacings), st.one_of(st.none(), shares), anywhere, st.randoms())
def test_what_was_found_is_there_as_found_in_whatever_order(length, spacing, share, seen, random) -> None:
    seen = [found(share * length * 0.999, thick, within) for share, thick, within in seen]
    first = None if share is None or spacing is None else share * spacing
    if first is None and not seen:
        return
    got = marks(length, spacing, first, seen)
    for mark in seen:
        assert mark in got
    assert [mark.at for mark in got] == sorted(mark.at for mark in got)
    assert all(0 <= mark.at < length for mark in got)
    assert all((mark.thickness, mark.within) == (THICK, WITHIN) for mark in got if not mark.found)
    shuffled = list(seen)
    random.shuffle(shuffled)
    assert [mark.at for mark in marks(length, spacing, first, shuffled)] == [mark.at for mark in got]


@given(lengths, spacings, shares, st.sets(st.integers(0, 60), max_size=5))
def test_found_where_they_were_counted_they_change_nothing_but_how_sure_they_are(length, spacing, share, which) -> None:
    first = share * spacing
    plain = marks(length, spacing, first)
    seen = [found(plain[number].at) for number in which if number < len(plain)]
    got = marks(length, spacing, first, seen)
    assert [mark.at for mark in got] == pytest.approx([mark.at for mark in plain])
    assert sum(mark.found for mark in got) == len(seen)


@given(lengths, spacings, shares, st.integers(0, 20), st.floats(SAME_MEMBER + 0.01, 1 - SAME_MEMBER - 0.01))
def test_an_extra_member_between_two_stays_and_moves_none(length, spacing, share, number, between) -> None:
    first = share * spacing
    plain = places(length, spacing, first)
    extra = first + (number + between) * spacing
    if extra < length:
        assert places(length, spacing, first, [found(extra)]) == pytest.approx(sorted([*plain, extra]))


def test_a_doubled_member_is_one_more_and_moves_none() -> None:
    assert places(2.0, seen=[found(0.6), found(0.64)]) == pytest.approx([0.2, 0.6, 0.64, 1.0, 1.4, 1.8])


def test_the_first_member_stays_where_it_was_taped() -> None:
    """Found at 8.4 spacings, the twelve between drift by a third of one; the first is known as well as it is."""
    got = places(8.0, 0.4, 0.2, [found(0.2 + 12.3 * 0.4)])
    assert got[0] == 0.2
    assert got[:13] == pytest.approx([0.2 + step * 12.3 / 12 * 0.4 for step in range(13)])


@pytest.mark.parametrize("at", [0.17, 0.2, 0.23])
def test_the_first_member_found_is_not_there_twice(at: float) -> None:
    assert places(1.5, 0.4, 0.2, [found(at)]) == pytest.approx([at + step * 0.4 for step in range(4)])


def test_members_before_the_one_called_first_are_believed() -> None:
    assert places(2.0, 0.4, 1.0, [found(0.19)]) == pytest.approx([0.19, 0.595, 1.0, 1.4, 1.8])


def test_without_a_spacing_there_are_those_found_alone() -> None:
    assert places(2.0, None, None, [found(1.7), found(0.3), found(2.5)]) == [0.3, 1.7]


def test_a_spacing_alone_says_nothing_of_where() -> None:
    with pytest.raises(ValueError, match="needs a first member"):
        marks(2.0, 0.4, None)


@given(lengths, spacings, shares)
def test_a_member_in_the_last_wall_is_not_counted(length, spacing, share) -> None:
    first = share * spacing
    steps = math.ceil((length - first) / spacing)
    assert all(at < length for at in places(first + steps * spacing, spacing, first))
    assert max(places(first + steps * spacing, spacing, first)) < first + steps * spacing - EDGE
