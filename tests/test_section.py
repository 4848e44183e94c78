"""Sections: the area that plane geometry asks, the volume they add up to, and where the cut runs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.geometry import FRONT, RIGHT, UP
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.section import BEHIND, OFF_WALL, cut_room, section_of
from earshed.model.solid import level_slice

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
GABLE = """\
format: 1
title: Gable
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}
screen: {wall: SCREEN, diagonal: 2, bottom: 0.8}
fixtures:
  - {name: chest, kind: box, from_left: 1, from_front: 2, bottom: 0, width: 1, length: 1, height: 0.5}
  - {name: shelf, kind: box, from_left: 0, from_front: 0, bottom: 1, width: 0.5, length: 6, height: 0.2}
seats: [{name: chair, at: {from_left: 2, from_front: 4}, ear_height: 1, main: true}]
"""


def scene(text: str = GABLE, screen: str = "front"):
    return scene_from_tree(parse_tree(text.replace("SCREEN", screen), "scene.yaml"))


@given(at=st.floats(0.05, 5.95))
def test_across_the_ridge_the_shell_is_a_house(at):
    """Width by the mean of the eaves' and the ridge's height, wherever it is cut; things are the boxes cut there."""
    found = cut_room(scene(), np.array([2.0, -at]), FRONT)
    assert found.shell.area == pytest.approx(4 * (2 + 3.5) / 2, abs=1e-6)
    shelf, chest = 0.5 * 0.2, 1.0 * 0.5
    if not 1.999 < at < 2.001 and not 2.999 < at < 3.001:
        assert found.things.area == pytest.approx(shelf + (chest if 2 < at < 3 else 0), abs=1e-6)


@given(at=st.floats(0.05, 3.95))
def test_along_the_ridge_it_is_as_tall_as_the_ceiling_there(at):
    found = cut_room(scene(), np.array([at, -3.0]), RIGHT)
    height = 2 + 1.5 * (1 - abs(at - 2) / 2)
    assert found.shell.bounds == pytest.approx((-3, 0, 3, height), abs=1e-6)
    assert found.shell.area == pytest.approx(6 * height, abs=1e-5)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
@pytest.mark.parametrize("way", [FRONT, RIGHT], ids=["front", "right"])
def test_sections_add_up_to_the_volume(path, way):
    """Cavalieri's principle: the areas of parallel sections, added up along the way, are the volume of the air."""
    scene = read_scene(path, "proposed")
    ends = np.sort(scene.room.plan.bounds @ way[:2])
    steps = 60
    at = ends[0] + (np.arange(steps) + 0.5) * (ends[1] - ends[0]) / steps
    cuts = [cut_room(scene, along * way[:2], way) for along in at]
    areas = [cut.shell.area - cut.things.area for cut in cuts]
    assert np.mean(areas) * (ends[1] - ends[0]) == pytest.approx(scene.room.air.volume, rel=0.02)


@given(height=st.floats(0.01, 3.49))
def test_cut_level_a_gable_is_as_wide_as_it_is_there(height):
    area = level_slice(scene().room.solid, height)
    wide = 4 if height < 2 else 4 * (3.5 - height) / 1.5
    assert area.area == pytest.approx(6 * wide, abs=1e-4)


def test_left_is_left_and_up_is_up():
    found = section_of(scene())
    assert found.right == pytest.approx(RIGHT)
    assert found.to_room(np.array([[1.0, 2.0]]))[0] == pytest.approx(found.origin + RIGHT + 2 * UP)
    shelf = found.to_room(np.array(found.things.bounds).reshape(2, 2))
    assert shelf[:, 0] == pytest.approx([0, 0.5], abs=1e-6)
    assert shelf[:, 2] == pytest.approx([1, 1.2], abs=1e-6)


@pytest.mark.parametrize(
    ("screen", "ceiling", "way"),
    [
        ("front", "gable, ridge: front-to-back, low: 2, peak: 3.5", FRONT),
        ("rear", "gable, ridge: front-to-back, low: 2, peak: 3.5", -FRONT),
        ("front", "gable, ridge: side-to-side, low: 2, peak: 3.5", RIGHT),
        ("front", "shed, low: 2, high: 3.5, rises: left", FRONT),
        ("front", "shed, low: 2, high: 3.5, rises: rear", RIGHT),
        ("front", "flat, height: 2.4", RIGHT),
    ],
)
def test_it_is_cut_across_the_slope_on_the_near_side_of_the_seats(screen, ceiling, way):
    text = GABLE.replace("gable, ridge: front-to-back, low: 2, peak: 3.5", ceiling)
    one = scene(text, screen)
    found = section_of(one)
    assert found.way == pytest.approx(way)
    ear = one.seats[0].ear
    assert (ear - found.origin) @ found.way == pytest.approx(BEHIND)
    assert found.shows(ear)
    assert not found.shows(ear - (BEHIND + 0.01) * found.way)


def test_the_cut_stays_in_the_room():
    found = section_of(scene(GABLE.replace("from_front: 4", "from_front: 5.8")))
    assert found.origin[1] == pytest.approx(-6 + OFF_WALL)
    bare = section_of(scene(GABLE.partition("seats:")[0]))
    assert bare.origin == pytest.approx([2, -3, 0])


@settings(max_examples=20)
@given(turn=st.floats(0, 2 * np.pi))
def test_a_cut_may_run_any_way(turn):
    """Through the middle of a flat room: the chord of the rectangle by its height."""
    flat = scene(GABLE.replace("gable, ridge: front-to-back, low: 2, peak: 3.5", "flat, height: 2.5"))
    way = np.array([np.cos(turn), np.sin(turn), 0.0])
    found = cut_room(flat, np.array([2.0, -3.0]), way)
    across = np.abs([way[1], way[0]])  # the line runs square to the way
    chord = 2 * min(half / part for half, part in zip((2, 3), across, strict=True) if part > 1e-9)
    assert found.shell.area == pytest.approx(2.5 * chord, rel=1e-6)
