"""Levels over the plane: what seats get, what mirrors, and how channels that carry one signal count."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from earshed.model.listening_plane import PlaneSpec, lay_plane
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import Drive, heard
from earshed.model.sound.plane_levels import plane_levels
from earshed.model.sound.response import Response

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
BONUS = next(path for path in SCENES if path.stem == "bonus-room")
BAND = OCTAVES.index(4000)


def mapped(path: Path, scheme: str | None = "proposed", step: float = 0.25, **changes):
    scene = read_scene(path, scheme)
    speakers = [replace(one, **changes) for one in scene.judged]
    plane = lay_plane(scene.room, PlaneSpec(scene.plane.height, step))
    return scene, plane, plane_levels(scene, plane, speakers, Drive())


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_the_map_says_at_a_point_what_a_seat_there_would_get(path):
    _, plane, found = mapped(path)
    rng = np.random.default_rng(4)
    rows, columns = np.nonzero(plane.inside)
    for pick in rng.integers(0, len(rows), 12):
        row, column = rows[pick], columns[pick]
        seat = Seat("here", plane.points[row, column])
        for number, speaker in enumerate(found.speakers):
            exact = heard(speaker, seat, Drive()).levels
            np.testing.assert_allclose(found.levels[number, row, column], exact, atol=0.02)
    assert np.all(np.isnan(found.levels[:, ~plane.inside]))


def test_at_the_reference_position_nothing_is_louder_and_nothing_spread():
    scene, plane, found = mapped(BONUS, step=0.05)
    ear = np.mean([seat.ear for seat in scene.seats if seat.main], axis=0)
    away = np.linalg.norm(plane.points - ear, axis=-1)
    row, column = np.unravel_index(np.argmin(np.where(plane.inside, away, np.inf)), away.shape)
    assert np.abs(found.against_reference(BAND)[:, row, column]).max() < 0.3
    assert found.spread(BAND)[row, column] < 0.4


def test_the_spread_is_of_levels_set_alike_so_that_sensitivity_counts_for_nothing():
    scene, plane, found = mapped(BONUS)
    louder = [replace(one, type=replace(one.type, sensitivity_db=80.0 + 2 * n)) for n, one in enumerate(scene.judged)]
    again = plane_levels(scene, plane, louder, Drive())
    np.testing.assert_allclose(found.spread(BAND), again.spread(BAND), atol=1e-3)


def test_two_speakers_of_one_channel_count_as_one_signal():
    scene, plane, _ = mapped(BONUS)
    one = scene.judged[3]
    twice = plane_levels(scene, plane, [one, replace(one, name="again")], Drive())
    inside = plane.inside
    np.testing.assert_allclose(twice.spread(BAND)[inside], 0.0, atol=1e-5)


def test_a_response_in_two_planes_that_are_alike_is_as_one_all_round():
    """The kernel's table against directions worked out one by one."""
    scene = read_scene(BONUS, "proposed")
    angles = np.radians(np.arange(0, 181, 10.0))
    drop = -20 * np.sin(angles / 2)[:, None] * np.ones(8)
    both = Response(angles, OCTAVES.exact, np.stack([drop] * 4, axis=1), "by hand")
    alone = Response(angles, OCTAVES.exact, drop[:, None], "by hand")
    plane = lay_plane(scene.room, PlaneSpec(scene.plane.height, 0.3))
    kinds = [replace(scene.judged[3].type, directivity=one) for one in (both, alone)]
    two, one = (plane_levels(scene, plane, [replace(scene.judged[3], type=kind)], Drive()) for kind in kinds)
    inside = plane.inside
    np.testing.assert_allclose(two.levels[0][inside], one.levels[0][inside], atol=0.05)


def test_twice_the_volts_are_six_decibels_everywhere():
    scene, plane, found = mapped(BONUS)
    louder = plane_levels(scene, plane, scene.judged, Drive(2 * 2.83))
    inside = plane.inside
    np.testing.assert_allclose((louder.levels - found.levels)[:, inside], 20 * math.log10(2), atol=1e-3)
