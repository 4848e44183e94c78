"""Slips in a walk: what is said of each, and where the message points. Damaged walks end in a scene or in an error."""

from __future__ import annotations

import random

import pytest

from earshed.model.checks.run import find_all
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from tests.test_scene_fuzz import DAMAGES, check_refusal, check_sound, damaged

GOOD = """\
format: 1
title: Den
print_units: m
room:
  walk: [{wall: 4m}, {wall: 6m, turn: 90deg right}, {wall: 4m, turn: right}, {wall: 6m}]
  diagonals: [{from: 1, to: 3, length: 7.21m}, {from: front right, to: rear left, length: 7.21m}]
  ceiling: {shape: gable, ridge: front-to-back, low: 2m, peak: 3m}
"""
WALK = "[{wall: 4m}, {wall: 6m, turn: 90deg right}, {wall: 4m, turn: right}, {wall: 6m}]"
TAPED = "[{from: 1, to: 3, length: 7.21m}, {from: front right, to: rear left, length: 7.21m}]"
ELL = "[{wall: 5.5m}, {wall: 5m}, {wall: 2m, turn: left}, {wall: 2m}, {wall: 3.5m}, {wall: 7m}]"
SLIPS = [
    # (what to change, to what, the words that must be said); ¦ stands where the message must point
    (WALK, "¦[{wall: 4m}, {wall: 6m}]", "room, walk", "2", "at least 3"),
    (WALK, "¦6m", "room, walk", "must be a list", "6m"),
    (f"walk: {WALK}", "¦ceilling: 1", "`ceilling`", "walk", "diagonals"),
    (f"walk: {WALK}", f"walk: {WALK}\n  ¦width: 4m", "room, width", "the walk gives the whole plan"),
    (f"walk: {WALK}", f"walk: {WALK}\n  ¦length: 4m", "room, length", "the walk gives the whole plan"),
    (f"walk: {WALK}", f"walk: {WALK}\n  ¦outline: [[0, 0], [1m, 0], [0, 1m]]", "room, outline", "whole plan"),
    (f"walk: {WALK}", "width: 4m\n  length: 6m", "room, diagonals", "corners of a walk", "none"),
    (f"  walk: {WALK}\n", "", "room", "width and length", "outline", "walk"),
    ("{wall: 4m}", "{wall: ¦4}", "room, wall 1, wall", "4 has no unit"),
    ("{wall: 4m}", "{wall: ¦0}", "room, wall 1, wall", "more than 0"),
    ("{wall: 4m}", "¦{turn: left}", "room, wall 1", "needs `wall`"),
    ("{wall: 4m}", "{¦wal: 4m}", "room, wall 1", "`wal`", "did you mean `wall`?", "turn"),
    ("turn: 90deg right", "turn: ¦straight", "room, wall 2, turn", "straight", "right, left", "45deg right"),
    ("turn: 90deg right", "turn: ¦90deg", "room, wall 2, turn", "90deg is not a turn", "45deg right"),
    ("turn: 90deg right", "turn: ¦0 left", "room, wall 2, turn", "0 left", "45deg right"),
    ("turn: 90deg right", "turn: ¦180 left", "room, wall 2, turn", "180 left"),
    ("turn: 90deg right", "turn: ¦wide right", "room, wall 2, turn", "wide right"),
    ("turn: 90deg right", "turn: ¦[right]", "room, wall 2, turn", "a turn", "list"),
    (WALK, "¦[{wall: 4m}, {wall: 6m}, {wall: 4m}, {wall: 6m, turn: left}]", "room, walk", "add up to 180.0°", "360.0°",
     "close with a turn to the right at the end of wall 4"),
    (WALK, "¦[{wall: 4m}, {wall: 6m}, {wall: 4m, turn: 60 left}, {wall: 6m}]", "add up to 210.0°",
     "more than one turn"),
    (WALK, "¦[{wall: 4m}, {wall: 6m}, {wall: 4m}, {wall: 9m}]", "room, walk", "ends 3.000 m from its start", "a tenth",
     "close with wall 2 at 9.000 m, or with wall 4 at 6.000 m"),
    (WALK, "¦[{wall: 4m}, {wall: 6m}, {wall: 8m}, {wall: 11m}]", "room, walk", "ends 6.403 m", "a wall is missing"),
    (WALK, "¦[{wall: 4m, turn: left}, {wall: 6m, turn: left}, {wall: 4m, turn: left}, {wall: 6m, turn: left}]",
     "room, walk", "to the left", "room on your right", "left to right"),
    (f"{WALK}\n  diagonals: {TAPED}",
     "¦[{wall: 5.5m}, {wall: 5m}, {wall: 2m}, {wall: 2m, turn: left}, {wall: 3.5m}, {wall: 7m}]\n  diagonals: []",
     "ends 4.000 m", "a turn to the left at the end of wall 3 and a turn to the right at the end of wall 4"),
    (f"{WALK}\n  diagonals: {TAPED}",  # in on itself: the notch is deeper than the room
     "¦[{wall: 6m}, {wall: 6m}, {wall: 2m}, {wall: 7m, turn: left}, {wall: 2m, turn: left}, {wall: 7m}, {wall: 2m}, "
     "{wall: 6m}]\n  diagonals: []", "room, walk", "crosses itself", "wall 1 meets wall 4"),
    (f"{WALK}\n  diagonals: {TAPED}", "¦[{wall: 20cm}, {wall: 6m}, {wall: 20cm}, {wall: 6m}]", "walk", "at least"),
    (f"{WALK}\n  diagonals: {TAPED}", "¦[{wall: 40m}, {wall: 6m}, {wall: 30m, turn: left}, {wall: 6m}, {wall: 60m}, "
     "{wall: 6m, turn: left}, {wall: 50m}, {wall: 6m}]", "room, walk"),
    (f"{WALK}\n  diagonals: {TAPED}", f"{ELL}\n  diagonals: [{{from: ¦front left, to: 4, length: 6m}}]",
     "room, diagonal 1, from", "no corner front left; the corners are 1 to 6"),
    (f"{WALK}\n  diagonals: {TAPED}", f"{ELL}\n  diagonals: [{{from: 1, to: 5, length: ¦12m}}]",
     "12.000 m is more than the 10.500 m from corner to corner along walls 5 and 6"),  # the shorter way round
    (f"{WALK}\n  diagonals: {TAPED}", f"{ELL}\n  diagonals: [{{from: 5, to: 1, length: ¦12m}}]", "walls 5 and 6"),
    ("from: 1, to: 3", "from: 1, to: ¦5", "room, diagonal 1, to", "no corner 5", "1 to 4", "rear left"),
    ("from: 1, to: 3", "from: ¦left, to: 3", "room, diagonal 1, from", "no corner left", "front left"),
    ("from: 1, to: 3", "from: ¦1.0, to: 3", "room, diagonal 1, from", "no corner 1.0"),
    ("from: 1, to: 3", "from: 1, to: ¦1", "room, diagonal 1, to", "same corner"),
    ("from: 1, to: 3", "from: 1, to: ¦front left", "room, diagonal 1, to", "same corner"),
    ("from: 1, to: 3", "from: 4, to: ¦1", "room, diagonal 1, to", "that is wall 4"),
    ("from: 1, to: 3", "from: 4, to: ¦3", "room, diagonal 1, to", "that is wall 3"),
    ("{from: front right, to: rear left", "¦{from: 3, to: front left", "room, diagonal 2", "already", "diagonal 1"),
    ("{from: 1, to: 3", "¦{from: 1", "room, diagonal 1", "needs `to`"),
    ("{from: 1, to: 3", "¦{to: 3", "room, diagonal 1", "needs `from`"),
    ("{from: 1, to: 3", "{¦start: 1, to: 3", "room, diagonal 1", "`start`", "from, to, length"),
    ("to: 3, length: 7.21m", "to: 3, length: ¦10.1m", "room, diagonal 1, length", "10.100 m is more than the 10.000 m",
     "walls 1 and 2"),
    ("to: 3, length: 7.21m", "to: 3, length: ¦1.9m", "room, diagonal 1, length", "1.900 m makes no triangle",
     "the 4.000 m and 6.000 m", "corner 2"),
]  # fmt: skip


def read(written: str) -> Scene:
    return scene_from_tree(parse_tree(written, "den.yaml"))


def test_a_good_walk_is_read() -> None:
    scene = read(GOOD)
    assert {found.severity for found in find_all(scene, seat_pairs(scene))} == {"note"}


@pytest.mark.parametrize(("old", "new", "words"), [(old, new, words) for old, new, *words in SLIPS])
def test_slips(old: str, new: str, words: list[str]) -> None:
    assert GOOD.count(old) >= 1
    before, mark, after = GOOD.replace(old, new, 1).partition("¦")
    with pytest.raises(SceneError) as refused:
        read(before + after)
    error = refused.value
    if mark:
        assert (error.mark.line, error.mark.column) == (before.count("\n") + 1, len(before) - before.rfind("\n")), error
    for word in words:
        assert word in error.message


def test_a_slip_in_the_turns_is_likelier_than_one_of_metres() -> None:
    """Wall 2 or wall 6 could close this walk too, were it another four metres long."""
    turned = "[{wall: 5.5m}, {wall: 5m}, {wall: 2m}, {wall: 2m, turn: left}, {wall: 3.5m}, {wall: 7m}]"
    with pytest.raises(SceneError, match=r"at the end of wall 4$"):
        read(GOOD.replace(WALK, turned).replace(TAPED, "[]"))


@pytest.mark.parametrize("kind", DAMAGES)
def test_damaged_walks(kind: str) -> None:
    """Whatever stands in a walk, it ends in a scene that can be checked or in an error with a place."""
    rng = random.Random(f"{kind} 1958")
    for _ in range(60):
        broken = GOOD
        for _ in range(rng.choice([1, 1, 2])):
            broken = damaged(rng, broken, kind) or "-"
        try:
            scene = read(broken)
            check_sound(scene)
            find_all(scene, seat_pairs(scene))
        except SceneError as refused:
            check_refusal(refused, broken, "den.yaml")
