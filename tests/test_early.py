"""Reflections of scenes: what each comes off, which ones count, and what the speaker sends that way."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from earshed.model.geometry import angle_between
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.early import SOON, STRONG, Reflections, early_reflections, judged_level, scene_reflections
from earshed.model.sound.materials import MATERIALS
from earshed.model.sound.of_type import directivity_of
from earshed.model.sound.reflectors import reflectors_of
from tests.scene_files import put

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
DEN = """format: 1
title: Den
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}
surfaces: {walls: brick}
fixtures:
  - {name: case, kind: box, from_left: 3.5m, from_front: 4m, bottom: 0, width: 0.5m, length: 2m, height: 1.5m}
  - {name: duct, kind: box, from_left: 0, from_front: 5m, bottom: 2.2m, width: 4m, length: 1m, height: 0.3m}
  - {name: post, kind: column, at: {from_left: 0.5m, from_front: 5.5m}, diameter: 0.3m}
openings:
  - {name: window, wall: left, from_front: 1.5m, sill: 0.8m, width: 1m, height: 1m}
  - {name: door, wall: rear, from_left: 2m, sill: 0, width: 0.9m, height: 2m}
  - {name: skylight, wall: ceiling, from_left: 1.5m, from_front: 1.5m, width: 1m, length: 1m}
screen: {wall: front, diagonal: 2m, bottom: 0.6m}
risers: [{name: step, from_left: 0, from_front: 4m, width: 3m, length: 1m, height: 0.2m}]
seats:
  - {name: near, at: {from_left: 2m, from_front: 3m}, ear_height: 1.2m, main: true}
  - {name: back, at: {from_left: 1m, from_front: 4.5m}, ear_height: 1m}
speaker_types:
  cube 8 in:
    mount: on-surface
    aiming: fixed
    coverage: {angle: 360deg, band: 16kHz}
    size: {width: 0.2m, height: 0.3m, depth: 0.2m}
speakers:
  - {name: cube, type: cube 8 in, at: {from_left: 2m, from_front: 1m}, height: 1.2m, faces: rear}
"""


def den(folder: Path, text: str = DEN) -> Scene:
    return read_scene(put(folder, scene=text))


def found_in(scene: Scene) -> Reflections:
    return scene_reflections(scene, scene.judged, scene.seats)


def test_each_reflector_has_its_material_said_or_assumed(tmp_path: Path) -> None:
    of: dict[str, tuple[str, bool]] = {}
    for reflector in reflectors_of(den(tmp_path)):
        for facing in (reflector.facing, *(facing for _, facing in reflector.patches)):
            of[facing.name] = facing.material.name, facing.assumed
    assert of["left wall"] == ("brick", False)
    assert of["floor"] == ("carpet on pad", True)
    assert of["ceiling"] == ("plasterboard", True)
    assert of["window"] == ("window glass", True)
    assert of["door"] == ("wood door", True)
    assert of["skylight"] == ("window glass", True)
    assert of["screen"] == ("plate glass", True)
    assert of["left side of case"] == of["top of case"] == ("wood boards", True)
    assert of["underside of duct"] == ("plasterboard", True)
    assert of["top of step"] == ("carpet on pad", True)
    assert {name for name in of if "post" in name} == {"top of post", "underside of post"}  # round: its sides scatter


def test_a_riser_is_of_what_the_floor_is(tmp_path: Path) -> None:
    scene = den(tmp_path, DEN.replace("{walls: brick}", "{floor: wood floor}"))
    facings = {one.facing.name: one.facing for one in reflectors_of(scene)}
    assert facings["top of step"].material.name == "wood floor"
    assert not facings["top of step"].assumed


def test_each_path_comes_off_what_is_at_its_point(tmp_path: Path) -> None:
    """From x = 2, y = -1 to x = 2, y = -3 the left wall is met at y = -2, 1.2 m up, in the window, the ceiling there in
    the skylight; the right wall is bare, the floor is met before the step."""
    found = found_in(den(tmp_path))
    near = [n for n in range(len(found.paths)) if found.paths.ear[n] == 0]
    names = {found.facings[n].name: found.paths.points[n] for n in near}
    np.testing.assert_allclose(names["window"], [0, -2, 1.2], atol=1e-9)
    np.testing.assert_allclose(names["skylight"], [2, -2, 2.5], atol=1e-9)
    np.testing.assert_allclose(names["right wall"], [4, -2, 1.2], atol=1e-9)
    np.testing.assert_allclose(names["floor"], [2, -2, 0], atol=1e-9)
    assert {"screen", "front side of step"} & set(names) == {"screen"}  # the step's front is below the line to it
    assert "left wall" not in names
    assert "ceiling" not in names


def test_the_riser_hides_the_floor_and_reflects_in_its_place(tmp_path: Path) -> None:
    """Ears 0.1 m over the step, 4.9 m back: its top, 1 m below the speaker, is met 3.9 / 1.1 m behind it; the floor
    would be met at 3.9 x 1.2 / 1.5 m, under the step."""
    scene = den(tmp_path)
    seat = replace(scene.seats[1], ear=np.array([1.0, -4.9, 0.3]))
    found = scene_reflections(scene, scene.judged, [seat])
    points = {facing.name: point for facing, point in zip(found.facings, found.paths.points, strict=True)}
    assert points["top of step"][1] == pytest.approx(-1 - 3.9 / 1.1)
    assert "floor" not in points


def test_levels_are_spreading_and_absorption_and_what_the_speaker_sends(tmp_path: Path) -> None:
    """By hand off the window at 1 kHz: 2 m straight, 2 sqrt(1 + 4) = 4.4721 m by the wall, 0.12 stays in the glass."""
    found = found_in(den(tmp_path))
    path = next(n for n, facing in enumerate(found.facings) if facing.name == "window")
    wanted = 20 * math.log10(2 / math.sqrt(20)) + 10 * math.log10(1 - 0.12)
    band = OCTAVES.index(1000)
    assert found.levels_db[path, band] == pytest.approx(wanted + found.sent_db[path, band])
    speaker = found.speakers[found.paths.source[path]]
    ways = np.array([found.paths.points[path], found.seats[found.paths.ear[path]].ear]) - speaker.position
    aside, straight = angle_between(ways, speaker.axis)
    radiates = directivity_of(speaker.type)
    sent = radiates.level_at(aside) - radiates.level_at(straight)
    np.testing.assert_allclose(found.sent_db[path], sent, atol=1e-9)


def test_a_speaker_that_sends_alike_all_round_adds_nothing(tmp_path: Path) -> None:
    scene = den(tmp_path)
    alike = [replace(one, type=replace(one.type, subwoofer=True)) for one in scene.judged]
    found = scene_reflections(scene, alike, scene.seats)
    np.testing.assert_array_equal(found.sent_db, 0.0)


def test_the_level_that_is_judged_is_a_mean_in_power_from_1_to_8_khz() -> None:
    levels = np.array([99.0, 99.0, 99.0, 0.0, -10.0, -10.0, -10.0, 99.0])
    assert judged_level(levels) == pytest.approx(10 * math.log10((1 + 0.1 + 0.1 + 0.1) / 4))


def test_early_ones_are_soon_and_strong(tmp_path: Path) -> None:
    scene = den(tmp_path)
    early = early_reflections(found_in(scene))
    assert early
    for one in early:
        assert one.delay <= SOON
        assert one.level >= STRONG
    order = [(one.seat.name, -one.level) for one in early]
    assert order == sorted(order, key=lambda row: (["near", "back"].index(row[0]), row[1]))


def test_an_absorber_takes_its_wall_off_the_list(tmp_path: Path) -> None:
    before = {one.facing.name for one in early_reflections(found_in(den(tmp_path)))}
    treated = den(tmp_path, DEN.replace("{walls: brick}", "{walls: brick, right wall: mineral wool 2 in}"))
    after = {one.facing.name for one in early_reflections(found_in(treated))}
    assert MATERIALS["mineral wool 2 in"].loss_db[4] < -9
    assert before - after == {"right wall"}


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_shipped_scene_has_early_reflections_at_points_of_the_room(path: Path) -> None:
    scene = read_scene(path)
    early = early_reflections(found_in(scene))
    assert early
    for one in early:
        assert scene.room.holds(one.point + 1e-3 * one.face.normal)
