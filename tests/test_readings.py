"""Readings against what was expected: laws that hold whatever was read, and figures worked by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.measured import Measured
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sound.balance import balances
from earshed.model.sound.commissioning import Expected, expected
from earshed.model.sound.level import Drive
from earshed.model.sound.readings import Compared, Reading, beyond_others, compared, shared
from earshed.model.units import FOOT
from tests.measured_rooms import hall, with_readings

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))


def told_of(path: Path, scheme: str = "proposed") -> list[Expected]:
    scene = read_scene(path, scheme)
    return expected(scene, balances(scene, Drive()))


ALL = {path.stem: told_of(path) for path in SCENES}
BONUS = ALL["bonus-room"]
CHANNELS = len(BONUS)


def right(one: Expected, moved: float = 0.0) -> Measured:
    """All of a speaker as it is expected, its levels more by what its meter adds."""
    balance = one.balance
    return Measured(
        one.ohm, "normal", balance.arrival.distance, balance.arrival.delay, balance.trim,
        balance.reference.speech + balance.trim + moved,
        {at.seat.name: at.speech + balance.trim + moved for at in balance.seats},
    )  # fmt: skip


def levels_of(more: Sequence[float], moved: float = 0.0) -> list[Compared]:
    """The bonus room, of which levels alone were read, each by so much more than is predicted."""
    usual = [one.balance.reference.speech + one.balance.trim + moved for one in BONUS]
    return compared(with_readings(BONUS, [Measured(level=a + b) for a, b in zip(usual, more, strict=True)]))


def flags(found: Sequence[Compared]) -> dict[str, list[tuple[str, str | None, str]]]:
    return {
        one.speaker.name: told
        for one in found
        if (told := [(each.what, each.seat, each.flag) for each in one.readings if each.flag is not None])
    }


def level(one: Compared) -> Reading:
    found = one.of("level")
    assert found is not None
    return found


def difference(one: Compared) -> float:
    more = level(one).difference
    assert more is not None
    return more


# --- laws

deviations = st.lists(st.floats(-20, 20), min_size=CHANNELS, max_size=CHANNELS)


@pytest.mark.parametrize("told", ALL.values(), ids=ALL)
@pytest.mark.parametrize("moved", [0.0, -23.4, 31.7])
def test_what_is_as_expected_has_no_flag_whatever_the_meter_adds(told: list[Expected], moved: float) -> None:
    found = compared(with_readings(told, [right(one, moved) for one in told]))
    assert flags(found) == {}
    for one, wanted in zip(found, told, strict=True):
        assert one.swapped is None
        assert one.level == pytest.approx(wanted.balance.reference.speech + wanted.balance.trim + moved)
        assert {each.what for each in one.readings} == {
            "resistance", "polarity", "distance", "delay", "trim", "level",
        }  # fmt: skip
        for each in one.readings:
            assert each.difference == pytest.approx(0.0, abs=1e-9)


@given(deviations, st.floats(-40, 40))
def test_what_all_levels_share_changes_nothing(more: list[float], moved: float) -> None:
    once, again = levels_of(more), levels_of(more, moved)
    for one, other in zip(once, again, strict=True):
        assert difference(one) == pytest.approx(difference(other), abs=1e-9)
        assert one.level + moved == pytest.approx(other.level, abs=1e-9)


@given(st.permutations(range(CHANNELS)), deviations)
def test_the_order_of_speakers_does_not_matter(order: list[int], more: list[float]) -> None:
    told = with_readings(BONUS, [Measured(level=80.0 + each, trim=-1.0, ohm=4.0 + abs(each)) for each in more])
    there = {one.speaker.name: one for one in compared(told)}
    for one in compared([told[index] for index in order]):
        other = there[one.speaker.name]
        assert (one.readings, one.level, one.swapped) == (other.readings, other.level, other.swapped)


@given(deviations)
def test_loud_and_soft_mirror_each_other(more: list[float]) -> None:
    other = {"loud": "soft", "soft": "loud", None: None}
    for one, turned in zip(levels_of(more), levels_of([-each for each in more]), strict=True):
        assert difference(one) == pytest.approx(-difference(turned), abs=1e-9)
        if abs(abs(difference(one)) - 3.0) > 1e-6:
            assert level(turned).flag == other[level(one).flag]


@given(st.lists(st.floats(-20, 20), min_size=2, max_size=9), st.floats(-1000, 1000))
def test_one_that_is_far_off_does_not_move_the_others(others: list[float], bad: float) -> None:
    """The median of three and more stays among the others, wherever one of them goes."""
    assert min(others) <= shared(np.array([*others, bad])) <= max(others)


@given(st.floats(-40, 40), st.integers(0, CHANNELS - 1))
def test_one_bad_speaker_is_told_and_no_other(bad: float, which: int) -> None:
    found = levels_of([bad if index == which else 0.0 for index in range(CHANNELS)])
    assert [difference(one) for one in found] == pytest.approx(
        [bad if index == which else 0.0 for index in range(CHANNELS)], abs=1e-9
    )
    if abs(abs(bad) - 3.0) > 1e-6:
        assert list(flags(found)) == ([found[which].speaker.name] if abs(bad) > 3.0 else [])


@given(st.floats(-20, 20), st.floats(-20, 20))
def test_of_two_each_is_held_against_the_other(one: float, other: float) -> None:
    assert beyond_others(np.array([one, other])) == pytest.approx([one - other, other - one])


def test_one_level_alone_says_nothing() -> None:
    read = [Measured(level=120.0), *([None] * (CHANNELS - 1))]
    first, second, *_ = compared(with_readings(BONUS, read))
    assert level(first) == Reading("level", None, 120.0)
    assert level(first).difference is None
    alone = BONUS[1].balance.reference.speech + BONUS[1].balance.trim
    moved = 120.0 - BONUS[0].balance.reference.speech - BONUS[0].balance.trim
    assert second.level == pytest.approx(alone + moved)


@given(st.lists(st.sampled_from([x / 2 for x in range(-40, 1)]), min_size=CHANNELS, max_size=CHANNELS))
def test_levels_follow_the_trims_that_were_set(trims: list[float]) -> None:
    """Whatever was set: a level that follows it is as expected, though the trim may not be."""
    read = [
        Measured(trim=trim, level=one.balance.reference.speech + trim)
        for one, trim in zip(BONUS, trims, strict=True)
    ]  # fmt: skip
    found = compared(with_readings(BONUS, read))
    assert all(level(one).flag is None for one in found)
    assert [difference(one) for one in found] == pytest.approx([0.0] * CHANNELS, abs=1e-9)


@given(st.one_of(st.floats(0, 1000), st.just(math.inf)))
def test_resistance_is_held_against_the_limits_of_a_short_and_an_open_circuit(ohm: float) -> None:
    first, *_ = compared(with_readings(BONUS, [Measured(ohm=ohm), *([None] * (CHANNELS - 1))]))
    told = first.of("resistance")
    assert told is not None
    assert (told.flag == "short") == (ohm < first.expected.short)
    assert (told.flag == "open") == (ohm > first.expected.open)


@pytest.mark.parametrize(("key", "within"), [("distance", 0.5 * FOOT), ("delay", 0.0005), ("trim", 0.5)])
@pytest.mark.parametrize("share", [-1.5, -1.0, -0.9, 0.9, 1.0, 1.5])
def test_a_setting_may_be_off_by_half_a_coarse_step(key: str, within: float, share: float) -> None:
    """Half of 1 ft, 1 ms and 1 dB."""
    read = [right(one) for one in BONUS]
    read[2] = Measured(**{key: getattr(read[2], key) + share * within})
    expected_flags = {BONUS[2].balance.speaker.name: [(key, None, "differs")]} if abs(share) > 1 else {}
    assert flags(compared(with_readings(BONUS, read))) == expected_flags


@pytest.mark.parametrize("key", ["distance", "delay", "trim"])
def test_what_a_processor_adds_to_every_channel_is_no_fault(key: str) -> None:
    added = {"distance": 1.0, "delay": 0.02, "trim": 3.0}[key]
    read: list[Measured | None] = [Measured(**{key: getattr(right(one), key) + added}) for one in BONUS]
    assert flags(compared(with_readings(BONUS, read))) == {}
    read[0] = None  # so that nobody knows that it is on every channel
    assert len(flags(compared(with_readings(BONUS, read)))) == CHANNELS - 1


def test_polarity() -> None:
    first, second, third, *_ = compared(
        with_readings(BONUS, [Measured(polarity="reversed"), Measured(polarity="normal"), *([None] * (CHANNELS - 2))])
    )
    assert first.readings == (Reading("polarity", 1.0, -1.0, "reversed"),)
    assert second.readings == (Reading("polarity", 1.0, 1.0),)
    assert third.readings == ()


# --- swapped speakers


def swapped(one: int, other: int, also: float = 0.0) -> list[Compared]:
    """The bonus room with two cables changed over at the rack: trims stay with the channels."""
    speech = [each.balance.reference.speech for each in BONUS]
    speech[one], speech[other] = speech[other] + also, speech[one]
    return compared(with_readings(
        BONUS, [Measured(level=70.0 + heard + each.balance.trim) for heard, each in zip(speech, BONUS, strict=True)]
    ))  # fmt: skip


def test_two_that_are_swapped_are_told_where_levels_can_tell() -> None:
    speech = [one.balance.reference.speech for one in BONUS]
    told = 0
    for one in range(CHANNELS):
        for other in range(one + 1, CHANNELS):
            found = swapped(one, other)
            names = {each.speaker.name: each.swapped for each in found if each.swapped is not None}
            first, second = BONUS[one].balance.speaker.name, BONUS[other].balance.speaker.name
            apart = abs(speech[one] - speech[other])
            assert names == ({first: second, second: first} if apart > 3.0 else {})
            told += apart > 3.0
    assert told > 5


def test_nothing_is_told_of_swapping_where_it_would_not_fit() -> None:
    names = [one.balance.speaker.name for one in BONUS]
    one, other = names.index("front left"), names.index("upper rear left")
    assert [each.swapped for each in swapped(one, other, also=1.5)] == [None] * CHANNELS
    assert [each.swapped for each in levels_of([6.0, *([0.0] * (CHANNELS - 1))])] == [None] * CHANNELS


# --- worked by hand


def in_the_hall(**measured: str) -> dict[str, Compared]:
    scene = scene_from_tree(parse_tree(hall(**measured), "hall.yaml"))
    return {one.speaker.name: one for one in compared(expected(scene, balances(scene, Drive())))}


def test_levels_by_the_inverse_square_law() -> None:
    """On their axes at 1, 2, 2 and 4 m and with no trims: 6.02 dB less for twice the distance."""
    read = {"near": 80.0, "left": 74.1, "right": 69.0, "far": 68.0}
    found = in_the_hall(**{name: f"trim: 0dB, level: {db}dB" for name, db in read.items()})
    assert [found[name].level - found["near"].level for name in read] == pytest.approx(
        [0.0, -6.021, -6.021, -12.041], abs=0.001
    )
    apart = {"near": 0.0, "left": 0.121, "right": -4.979, "far": 0.041}  # over the softened levels of the first
    middle = (0.0 + 0.041) / 2
    assert {name: difference(one) for name, one in found.items()} == pytest.approx(
        {name: more - middle for name, more in apart.items()}, abs=0.001
    )
    assert [name for name in read if level(found[name]).flag] == ["right"]


def test_delays_of_the_hall() -> None:
    """4 m and 1 m: 3 m at 343.2 m/s (20 C) are 8.74 ms."""
    found = in_the_hall(near="delay: 8.7ms", far="delay: 0.4ms", left="delay: 5.0ms")
    assert {name: one.of("delay").flag for name, one in found.items() if one.of("delay")} == {  # type: ignore[union-attr]
        "near": None, "far": None, "left": "differs",
    }  # fmt: skip
    near = found["near"].of("delay")
    assert near is not None
    assert near.expected == pytest.approx(0.00874, abs=0.00002)


def test_partners_that_change_their_readings_change_their_flags() -> None:
    loud, plain = "level: 80dB, trim: -4dB, polarity: reversed", "level: 70dB, trim: -6dB, resistance: open"
    once, mirrored = in_the_hall(left=loud, right=plain), in_the_hall(left=plain, right=loud)
    for name, other in (("left", "right"), ("right", "left")):
        assert [each.flag for each in once[name].readings] == [each.flag for each in mirrored[other].readings]
    assert level(once["left"]).flag == "loud"


def test_each_place_is_held_against_itself() -> None:
    """Somebody turned the knob down by 10 dB before going to the bench: no flag comes of that."""
    told = [*in_the_hall().values()]
    read = []
    for one in told:
        at_bench = next(at for at in one.expected.balance.seats if at.seat.name == "bench")
        trim = one.expected.balance.trim
        read.append(Measured(level=one.expected.balance.reference.speech + trim, levels={
            "bench": at_bench.speech + trim - 10.0
        }))  # fmt: skip
    assert flags(compared(with_readings([one.expected for one in told], read))) == {}
