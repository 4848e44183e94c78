"""What changed between two readings, in words: laws of any comparison, then the words themselves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.aim import Straight
from earshed.model.finding import SEVERITIES, Finding
from earshed.model.pairs import Pair
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage, Fixed, SpeakerType
from earshed.viewer.changes import MOST_LINES, changes

DOWN = np.array([0.0, 0.0, -1.0])
KIND = SpeakerType("flush", "in-ceiling", Fixed(), Coverage(math.pi / 2, None), None, None, None, None, False)


def pair(seat: str, speaker: str, degrees: float, verdict="covered", obstacle: str | None = None) -> Pair:
    placed = Speaker(speaker, KIND, None, np.zeros(3), DOWN, DOWN, Straight(), None)
    return Pair(Seat(seat, np.zeros(3)), placed, 1.0, math.radians(degrees), 0.0, 0.0, verdict, obstacle)


def warning(message: str, subject: str = "left", rule: str = "seat-outside-coverage") -> Finding:
    return Finding("warning", rule, subject, message)


names = st.sampled_from(["sofa left", "sofa left, reclined", "chair 1", "chair 2"])
pairs = st.lists(
    st.builds(pair, names, st.sampled_from(["left", "right"]), st.integers(0, 90),
              st.sampled_from(["covered", "fringe", "outside"]), st.sampled_from([None, None, "post"])),
    max_size=6, unique_by=lambda one: (one.seat.name, one.speaker.name),
)  # fmt: skip
findings = st.lists(
    st.builds(Finding, st.sampled_from(SEVERITIES), st.sampled_from(["a", "b"]), st.sampled_from(["left", "right"]),
              st.sampled_from(["chair 1 is 30.1° off axis", "chair 2 is 30.1° off axis", "no"])),
    max_size=5,
)  # fmt: skip
readings = st.tuples(pairs, findings)


# --- laws


@given(readings)
def test_nothing_changes_from_a_reading_to_itself_in_any_order(reading):
    assert changes(reading, reading) == []
    assert changes(reading, (reading[0][::-1], reading[1][::-1])) == []


@given(readings, readings)
def test_the_way_back_says_the_same_backwards(one, other):
    def turned(line: str) -> str:
        for word, opposite in (("new", "gone"), ("gone", "new")):
            if line.startswith(word):
                return opposite + line.removeprefix(word)
        head, rest = line.split(": ", 1)
        parts = [" -> ".join(reversed(part.split(" -> "))) for part in rest.replace(" degrees, ", "|").split("|")]
        return f"{head}: {parts[0]} degrees, {parts[1]}"

    assert sorted(map(turned, changes(one, other))) == sorted(changes(other, one))


@given(readings, readings)
def test_a_pair_is_told_just_where_its_angle_or_its_verdict_is_another(one, other):
    def known(reading):
        return {
            (p.seat.name, p.speaker.name): (round(math.degrees(p.off_axis), 1), p.verdict, p.visible)
            for p in reading[0]
        }

    before, after = known(one), known(other)
    differing = [key for key in before.keys() | after.keys() if before.get(key) != after.get(key)]
    told = [line for line in changes(one, other) if " / " in line]
    assert len(told) == len(differing)
    for seat, speaker in differing:
        assert any(f"{seat} / {speaker}: " in line for line in told)


# --- words

WORDS = [
    (pair("sofa left", "upper left", 47.9, "outside"), pair("sofa left", "upper left", 31.2),
     ["sofa left / upper left: 47.9 -> 31.2 degrees, outside -> covered"]),
    (pair("sofa", "left", 20), pair("sofa", "left", 21.04), ["sofa / left: 20.0 -> 21.0 degrees, covered"]),
    (pair("sofa", "left", 20), pair("sofa", "left", 20.04), []),
    (pair("sofa", "left", 20), pair("sofa", "left", 20, "fringe"), ["sofa / left: 20.0 degrees, covered -> fringe"]),
    (pair("sofa", "left", 20), pair("sofa", "left", 20, obstacle="post"),
     ["sofa / left: 20.0 degrees, covered -> covered (blocked)"]),
    (pair("sofa", "left", 20), pair("sofa", "right", 20),
     ["new: sofa / right: 20.0 degrees, covered", "gone: sofa / left: 20.0 degrees, covered"]),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after", "lines"), WORDS)
def test_words_for_a_pair(before, after, lines):
    assert changes(([before], []), ([after], [])) == lines


SAME = [
    ("sofa is 47.9° off axis, outside by 2.9°", "sofa is 55.0° off axis, outside by 10.0°"),
    ("runs in by 1-1/2\"; slide it 6-1/4\" towards left", "runs in by 3/16\"; slide it 1' 0-1/2\" towards left"),
    ("past the edge by 12 mm", "past the edge by 8.5 mm"),
    ("past the edge by 0.01 m", "past the edge by 12 m"),
    ("past the edge by 1' 6\"", "past the edge by 6\""),
]  # fmt: skip
OTHER = [
    ("chair 1 is 47.9° off axis", "chair 2 is 47.9° off axis"),
    ("row 1-2 is 47.9° off axis", "row 1-3 is 47.9° off axis"),
    ("runs in by 2\"; slide it 1\" towards left", "runs in by 2\"; slide it 1\" towards right"),
    ("4 m of it", "4 more of it"),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after"), SAME)
def test_a_finding_with_other_figures_is_still_the_same(before, after):
    assert changes(([], [warning(before)]), ([], [warning(after)])) == []


@pytest.mark.parametrize(("before", "after"), OTHER)
def test_a_finding_with_other_words_is_another(before, after):
    lines = changes(([], [warning(before)]), ([], [warning(after)]))
    assert lines == [f"new warning: left: {after}", f"gone warning: left: {before}"]


def test_a_finding_is_known_by_its_severity_rule_and_subject_too():
    first = warning("no")
    for second in (replace(first, severity="error"), replace(first, rule="x"), replace(first, subject="right")):
        assert len(changes(([], [first]), ([], [second]))) == 2
    assert changes(([], [first]), ([], [first, first])) == ["new warning: left: no"]
    for severity in SEVERITIES:
        assert changes(([], []), ([], [replace(first, severity=severity)])) == [f"new {severity}: left: no"]


def test_new_verdicts_stand_first_and_long_lists_are_cut():
    before = [pair(f"seat {n}", "left", 20) for n in range(40)]
    after = [pair(f"seat {n}", "left", 21, "fringe" if n == 39 else "covered") for n in range(40)]
    lines = changes((before, []), (after, []))
    assert lines[0] == "seat 39 / left: 20.0 -> 21.0 degrees, covered -> fringe"
    assert lines[1] == "seat 0 / left: 20.0 -> 21.0 degrees, covered"
    assert len(lines) == MOST_LINES + 1
    assert lines[-1] == f"and {40 - MOST_LINES} more"
    some = changes((before[:MOST_LINES], []), (after[:MOST_LINES], []))
    assert len(some) == MOST_LINES
    assert some[-1].startswith(f"seat {MOST_LINES - 1} ")
