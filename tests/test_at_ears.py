"""Speakers at ears: what is said of a cabinet in a seat, and of any speaker that is nearer than it should be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.checks.at_ears import AT_EARS, CLOSE, ear_findings
from earshed.model.geometry import unit
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

ROOM = """
format: 1
title: Ears
bare_lengths: m
print_units: mm
room: {{width: 5, length: 6, ceiling: {{shape: flat, height: 2.6}}}}
seats: [{{name: chair, at: {{from_left: 2.5, from_front: 3}}, ear_height: 1.1}}]
speaker_types:
  box: {{mount: stand, aiming: fixed, coverage: 90deg}}
  wall: {{mount: in-wall, aiming: fixed, coverage: 90deg, cutout: 0.2, bezel: 0.24}}
  sub: {{mount: stand, aiming: fixed, subwoofer: true}}
speakers: [{{name: one, {0}}}]
"""


def found(words: str):
    scene = scene_from_tree(parse_tree(ROOM.format(words), "ears.yaml"))
    return [(one.severity, one.rule, one.subject, one.message) for one in ear_findings(scene)]


def at(place: np.ndarray, kind: str = "box") -> str:
    x, y, z = place
    return f"type: {kind}, at: {{from_left: {x:.6f}, from_front: {-y:.6f}}}, height: {z:.6f}, faces: rear"


@given(st.integers(0, 10_000), st.floats(0.0, 1.0))
def test_only_how_far_it_is_counts_not_where(seed: int, away: float) -> None:
    way = unit(np.random.default_rng(seed).normal(size=3))
    told = [(severity, rule) for severity, rule, *_ in found(at(np.array([2.5, -3.0, 1.1]) + away * way))]
    if abs(away - AT_EARS) > 1e-5 and abs(away - CLOSE) > 1e-5:
        near = [("error", "speaker-in-seat")] if away < AT_EARS else [("warning", "speaker-at-ears")]
        assert told == (near if away < CLOSE else [])


def test_what_is_said() -> None:
    (told,) = found(at(np.array([2.5, -3.0, 1.2])))
    assert told == ("error", "speaker-in-seat", "one", "it is 100 mm from the ears of chair: nobody could sit there")
    (told,) = found(at(np.array([2.5, -2.5, 1.1])))
    assert told[3] == "it is 500 mm from the ears of chair: set right for the others it is too loud there"


@pytest.mark.parametrize(
    ("words", "rules"),
    [
        (at(np.array([2.5, -2.6, 1.1]), "sub"), []),
        (at(np.array([2.5, -3.0, 1.1]), "sub"), ["speaker-in-seat"]),
        ("type: wall, wall: left, from_front: 3, height: 1.1", []),
    ],
)
def test_a_subwoofer_is_not_too_loud_for_one_seat_alone(words: str, rules: list[str]) -> None:
    assert [rule for _, rule, *_ in found(words)] == rules
