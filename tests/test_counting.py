"""Which speaker of a channel counts: laws of the choice, and what it comes to at seats and over the plane."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.channel import parse_channel
from earshed.model.coverage_map import map_coverage
from earshed.model.listening_plane import PlaneSpec, lay_plane
from earshed.model.pairs import best_pairs, pair
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.sound.counting import ALIKE, that_counts
from earshed.viewer.commands.check import command as check
from tests.scene_files import put

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
ROOM = """
format: 1
title: Side speakers
bare_lengths: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.6}}
seats: [{name: chair, at: {from_left: 2, from_front: 3}, ear_height: 1.1, main: true}]
speaker_types:
  box: {mount: stand, aiming: fixed, coverage: {angle: 100deg, band: 4kHz}}
"""


@st.composite
def arrays(draw):
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    shape = (draw(st.integers(1, 5)), 20)
    levels, distances = rng.uniform(60, 80, shape), rng.uniform(0.5, 6, shape)
    return levels, distances, rng.uniform(0, 120, shape), rng.random(shape) < draw(st.sampled_from([0.1, 0.7, 1.0]))


@given(arrays())
def test_none_that_is_seen_is_louder_by_more_or_as_loud_and_earlier(given_):
    levels, distances, _, visible = given_
    for column, pick in enumerate(that_counts(*given_)):
        seen = visible[:, column] if visible[:, column].any() else np.ones(len(levels), dtype=bool)
        assert seen[pick]
        loudest = levels[seen, column].max()
        assert levels[pick, column] >= loudest - ALIKE
        alike = seen & (levels[:, column] >= loudest - ALIKE)
        assert distances[pick, column] == distances[alike, column].min()


@given(arrays(), st.floats(-30, 30), st.integers(0, 1000))
def test_drive_and_order_are_nothing(given_, louder, seed):
    levels, *others = given_
    counts = that_counts(levels, *others)
    np.testing.assert_array_equal(that_counts(levels + louder, *others), counts)
    order = np.random.default_rng(seed).permutation(len(levels))
    again = that_counts(levels[order], *(each[order] for each in others))
    np.testing.assert_array_equal(order[again], counts)


def test_of_two_alike_in_all_but_their_angles_the_one_that_points_there_counts():
    assert that_counts([70.0, 70.0], [2.0, 2.0], [30.0, 10.0], [True, True]) == 1
    assert that_counts([70.0, 70.0], [2.0, 2.0], [10.0, 10.0], [True, True]) == 0


def two(tmp_path, *speakers):
    return put(tmp_path, room=f"{ROOM}speakers:\n" + "".join(f"  - {{{one}}}\n" for one in speakers))


def counting(path):
    scene = read_scene(path, None)
    (best,) = best_pairs([pair(scene, scene.seats[0], one) for one in scene.judged])
    return best.speaker.name


BEHIND = "name: behind, type: box, channel: side left, at: {from_left: 2, from_front: 4.5}, height: 1.1, faces: front"
BESIDE = "name: beside, type: box, channel: side left, at: {from_left: 0.8, from_front: 3}, height: 1.1, faces: 60"


def test_one_behind_that_points_at_a_seat_does_not_count_before_a_nearer_one_beside_it(tmp_path):
    """30 degrees off the one is 2.2 dB less on a square-law beam, and 1.5 m against 1.2 m is 1.9 dB: as loud, later."""
    assert counting(two(tmp_path, BEHIND, BESIDE)) == "beside"


def test_a_nearer_one_does_not_count_where_it_is_much_softer(tmp_path):
    """Turned away by 150 degrees it is far beyond its limit."""
    assert counting(two(tmp_path, BEHIND, BESIDE.replace("faces: 60", "faces: left"))) == "behind"


def test_check_says_which_counts(tmp_path):
    told = CliRunner().invoke(check, [str(two(tmp_path, BEHIND, BESIDE)), "--json"])
    pairs = json.loads(told.stdout)["pairs"]
    assert {one["speaker"]: one["counts"] for one in pairs} == {"behind": False, "beside": True}
    behind, beside = (one["level_db"] for one in pairs)
    assert beside - behind == pytest.approx(20 * np.log10(1.5 / 1.2) - 1.0, abs=1.5)
    printed = CliRunner().invoke(check, [str(two(tmp_path, BEHIND, BESIDE))]).stdout
    lines = {line.split()[0]: line for line in printed.splitlines() if "covered" in line or "fringe" in line}
    assert "(0.0° ● covered)" in lines["behind"]
    assert "(" not in lines["beside"]
    assert "in brackets where another speaker of the channel is louder" in " ".join(printed.split())


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_over_the_plane_it_is_as_at_a_seat_there(path):
    scene = read_scene(path, "proposed")
    one = parse_channel("upper side left")
    speakers = [replace(each, channel=one) for each in scene.judged]
    plane = lay_plane(scene.room, PlaneSpec(scene.plane.height, 0.2))
    (choice,) = map_coverage(scene, plane, speakers).counts
    rng = np.random.default_rng(2)
    places = np.argwhere(plane.inside)
    for row, column in places[rng.integers(0, len(places), 30)]:
        seat = Seat("here", plane.points[row, column])
        (best,) = best_pairs([pair(scene, seat, each) for each in speakers])
        chosen = pair(scene, seat, speakers[choice[row, column]])
        if chosen.speaker is not best.speaker:  # a map rounds; then it must be a near thing
            assert abs(abs(chosen.level - best.level) - ALIKE) < 0.05 or abs(chosen.level - best.level) < 0.05
