"""Reverberation: sums by hand, limits, and areas that leave nothing out."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.reverberation import Reverberation, eyring_time, reverberation, sabine_time
from tests.rooms import rooms
from tests.scene_files import put

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
BARE = """format: 1
title: Den
materials: {{even: {{125Hz: {a}, 250Hz: {a}, 500Hz: {a}, 1kHz: {a}, 2kHz: {a}, 4kHz: {a}}}}}
surfaces: {{floor: even, walls: even, ceiling: even}}
room: {{width: 4m, length: 6m, ceiling: {{shape: flat, height: 2.5m}}}}
"""


def den(folder: Path, even: str = "0.2", more: str = "") -> Scene:
    return read_scene(put(folder, scene=BARE.format(a=even) + more))


def in_room(scene: Scene, room: Room) -> Reverberation:
    return reverberation(replace(scene, room=room))


def surface_of(room: Room) -> float:
    one, two, three = np.moveaxis(room.air.corners, 1, 0)
    return float(np.linalg.norm(np.cross(two - one, three - one), axis=1).sum() / 2)


def test_a_box_of_one_material_by_hand(tmp_path: Path) -> None:
    """60 m3 in faces of 2 (24 + 10 + 15) = 98 m2 at 0.2: A = 19.6 m2, T = 0.16101 x 60 / 19.6 = 0.4929 s; by Eyring
    0.16101 x 60 / (98 x 0.223144) = 0.4418 s. 24 ln 10 / 343.2146 = 0.16101."""
    found = reverberation(den(tmp_path))
    assert found.volume == pytest.approx(60.0)
    assert found.area == pytest.approx(98.0)
    np.testing.assert_allclose(found.absorbing, 19.6, rtol=1e-9)
    np.testing.assert_allclose(found.sabine, 0.49290, atol=1e-5)
    np.testing.assert_allclose(found.eyring, 0.44178, atol=1e-5)


def test_a_floor_of_carpet_by_hand(tmp_path: Path) -> None:
    """At 1 kHz 24 m2 x 0.69 + 74 m2 x 0.2 = 31.36 m2: 0.3081 s."""
    found = reverberation(den(tmp_path))
    carpet = read_scene(put(tmp_path, scene=BARE.format(a="0.2").replace("floor: even", "floor: carpet on pad")))
    assert reverberation(carpet).absorbing[OCTAVES.index(1000)] == pytest.approx(31.36)
    assert reverberation(carpet).sabine[OCTAVES.index(1000)] == pytest.approx(0.16101 * 60 / 31.36, abs=1e-4)
    assert np.all(reverberation(carpet).sabine[2:] < found.sabine[2:])


@given(st.floats(0.05, 500), st.floats(1, 500), st.lists(st.floats(1e-6, 0.999), min_size=1, max_size=8))
def test_eyring_is_never_longer_than_sabine(volume: float, area: float, shares: list[float]) -> None:
    absorbing = area * np.array(shares)
    short, long = eyring_time(volume, area, absorbing), sabine_time(volume, absorbing)
    assert np.all(short <= long * (1 + 1e-12))
    assert np.all(np.isfinite(long))


@given(st.floats(0.05, 500), st.floats(1, 500))
def test_both_agree_where_little_is_absorbed_and_part_where_all_is(volume: float, area: float) -> None:
    """-ln(1 - a) = a + a^2 / 2 + ..., so that the two differ by half of a."""
    for share in (1e-3, 1e-6):
        absorbing = np.array([share * area])
        ratio = sabine_time(volume, absorbing) / eyring_time(volume, area, absorbing)
        np.testing.assert_allclose(ratio, 1 + share / 2, atol=share**2 + 1e-10)
    whole = np.array([area])
    assert 0 < float(eyring_time(volume, area, whole)[0]) < float(sabine_time(volume, whole)[0]) / 20


def test_where_nothing_absorbs_there_is_no_end(tmp_path: Path) -> None:
    found = reverberation(den(tmp_path, "0"))
    assert np.all(np.isinf(found.sabine))
    assert np.all(np.isinf(found.eyring))


@settings(max_examples=40)
@given(room=rooms(boxes=2, risers=1))
def test_every_face_of_the_air_is_counted_once(tmp_path_factory: pytest.TempPathFactory, room: Room) -> None:
    found = in_room(den(tmp_path_factory.mktemp("den")), room)
    assert found.area == pytest.approx(surface_of(room), abs=1e-4)
    assert found.volume == room.volume


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_scene_has_a_time_in_every_octave(path: Path) -> None:
    scene = read_scene(path)
    found = reverberation(scene)
    assert found.area == pytest.approx(surface_of(scene.room), abs=1e-4)
    assert np.all((found.sabine > 0.1) & (found.sabine < 2.0))
    assert np.all(found.eyring < found.sabine)


def test_a_door_takes_its_area_from_its_wall_and_a_picture_from_a_window(tmp_path: Path) -> None:
    """The rear wall is 4 x 2.5 = 10 m2, the door 0.9 x 2; the picture, 1.6 x 0.9, hangs before half the window."""
    more = """openings:
  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 0.9m, height: 2m}
  - {name: window, wall: front, from_left: 2m, sill: 1m, width: 2m, height: 0.9m}
screen: {wall: front, width: 1.6m, aspect: 16:9, center_from_left: 2m, bottom: 1m}
"""
    areas: dict[str, float] = {}
    for facing, area in reverberation(den(tmp_path, more=more)).areas:
        areas[facing.name] = areas.get(facing.name, 0.0) + area
    assert areas["door"] == pytest.approx(1.8)
    assert areas["rear wall"] == pytest.approx(8.2)
    assert areas["screen"] == pytest.approx(1.44)
    assert areas["window"] == pytest.approx(2 * 0.9 - 0.8 * 0.9)
    assert areas["front wall"] == pytest.approx(10 - 1.44 - 1.08)
    assert math.isclose(sum(areas.values()), 98.0, rel_tol=1e-9)
