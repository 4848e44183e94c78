"""How a speaker is turned by hand, and where its axis lands: closed forms."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from earshed.model.clamp import Clamps
from earshed.model.geometry import FRONT, UP, tilted, unit
from earshed.model.hole import hole_shape
from earshed.model.landing import landing
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker_type import Fixed
from earshed.model.turning import rim_mark, wall_turn

DEN = scene_from_tree(
    parse_tree(
        """
format: 1
title: Den
bare_lengths: m
room: {width: 4.2, length: 5.4, ceiling: {shape: shed, low: 2.1, high: 3.0, rises: right}}
risers: [{name: step, from_left: 0, from_front: 4.2, width: 4.2, length: 1.2, height: 0.2}]
fixtures: [{name: chest, kind: box, from_left: 0, from_front: 1.6, bottom: 0, width: 0.6, length: 1, height: 0.9}]
speaker_types:
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  long: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 0.1 x 0.3}
speakers:
  - {name: one, type: angled, at: {from_left: 1.0, from_front: 1.4}, aim: {toward: front}}
  - {name: slot, type: long, at: {from_left: 3.0, from_front: 1.4}, aim: {toward: front}, long_axis: side-to-side}
""",
        "",
    )
)


def test_the_distance_round_a_round_rim_is_its_arc():
    """Radius times angle; a polygon of 128 sides stands for the circle, short by less than a part in 5,000."""
    scene = DEN
    speaker = scene.speakers[0]
    ahead, normal = scene.ahead, speaker.normal
    for degrees in (0, 1, 30, 90, 135, 180, -1, -60, -179):
        front = unit(np.append(ahead, 0) - (np.append(ahead, 0) @ normal) * normal)
        right = np.cross(normal, front)
        lean = math.cos(math.radians(degrees)) * front + math.sin(math.radians(degrees)) * right
        mark = rim_mark(speaker, tilted(normal, lean, 0.4), ahead)
        assert mark is not None
        assert mark.distance == pytest.approx(0.12 * math.radians(abs(degrees)), rel=2e-4, abs=1e-6)
        assert mark.side == (None if degrees in (0, 180) else "right" if degrees > 0 else "left")
    assert right[0] > 0  # to the right is to the right of the room
    assert rim_mark(speaker, normal, ahead) is None


@pytest.mark.parametrize("ahead", [(0, 1), (0, -1), (1, 0), (-1, 0), (0.6, 0.8)])
@pytest.mark.parametrize("first", [0, 20, 120, -75])
def test_clamps_stand_where_an_axis_leans_that_is_as_far_round_the_rim(ahead, first):
    """Of a slope too, where a quarter turn on the face is none on the plan."""
    speaker, ahead = DEN.speakers[0], np.array(ahead, dtype=float)
    clamps = Clamps(count=1, reach=0.05, first=math.radians(first))
    kind = replace(speaker.type, aiming=Fixed(), clamps=clamps)
    (foot,) = hole_shape(kind, speaker.surface, np.zeros(2), ahead).clamps
    lean = shapely.get_coordinates(foot.core)[-1] @ speaker.surface.frame
    mark = rim_mark(speaker, tilted(speaker.normal, lean, 0.3), ahead)
    assert mark.distance == pytest.approx(0.12 * math.radians(abs(first)), rel=2e-4, abs=1e-6)
    assert mark.side == {0: None, -75: "left"}.get(first, "right")


def test_a_wall_speaker_is_turned_aside_and_up_or_down():
    turn = wall_turn(-FRONT, unit([math.sin(0.3), -math.cos(0.3), -math.tan(0.2)]))
    assert turn is not None
    assert (turn.aside, turn.up) == (pytest.approx(0.3), pytest.approx(-0.2))
    np.testing.assert_allclose(turn.towards, [1, 0, 0], atol=1e-12)
    assert wall_turn(-UP, -UP) is None


def test_an_axis_lands_on_what_it_meets_first():
    room = DEN.room
    place = np.array([2.0, -1.0, 1.5])
    for axis, name, point in (
        ([0, 0, -1], "the floor", [2, -1, 0]),
        ([1, 0, 0], "the right wall", [4.2, -1, 1.5]),
        ([0, -3.5, -1.3], "step", [2, -4.5, 0.2]),
        (np.array([0.3, -2.0, 0.9]) - place, "chest", [0.3, -2.0, 0.9]),
    ):
        lands = landing(room, place, -UP, unit(axis))
        assert lands is not None
        assert lands.name == name
        np.testing.assert_allclose(lands.point, point, atol=2e-3)


def test_the_distance_round_a_rectangular_rim_goes_round_its_corner():
    """A rim 0.3 m across the room and 0.1 m deep: from the middle of its long side to that of its short one."""
    speaker = DEN.speakers[1]
    right = np.cross(speaker.normal, FRONT)
    mark = rim_mark(speaker, tilted(speaker.normal, right, 0.4), DEN.ahead)
    assert mark is not None
    assert (mark.distance, mark.side) == (pytest.approx(0.15 + 0.05, abs=1e-6), "right")
