"""Coverage as light: full on the axis, softer to the limit, dark past it and in shadow, lighter the more there is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.coverage import verdict_map
from earshed.model.coverage_map import map_coverage
from earshed.model.listening_plane import lay_plane
from earshed.model.scene_file.read import read_scene
from earshed.viewer.light import AT_LIMIT, light_colors, light_map, light_of, light_rows
from tests.test_palette import cielab, linear

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
limits = st.floats(5, 120)


def lightness(light) -> np.ndarray:
    """CIELAB lightness of the color of some light, in gray as the eye sees it."""
    colors = light_colors(np.asarray(light, dtype=float))[..., :3]
    hexes = ["#{:02x}{:02x}{:02x}".format(*color) for color in colors.reshape(-1, 3).tolist()]
    return np.array([cielab(linear(color))[0] for color in hexes])


@given(limit=limits)
def test_light_at_the_axis_at_the_limit_and_past_it(limit):
    assert light_of(np.array([0.0, limit]), limit) == pytest.approx([1, AT_LIMIT])
    assert light_of(np.array([limit * 1.0001, 180.0]), limit).tolist() == [0, 0]


@given(limit=limits, shares=st.lists(st.floats(0, 1), min_size=2, max_size=8))
def test_light_falls_with_the_angle(limit, shares):
    found = light_of(np.sort(shares) * limit, limit)
    assert np.all(np.diff(found) <= 1e-12)
    assert found.min() >= AT_LIMIT - 1e-9


@given(limit=limits, share=st.floats(0, 2))
def test_light_is_of_any_unit(limit, share):
    if abs(share - 1) > 1e-6:
        angle = share * limit
        assert light_of(np.array(angle), limit) == pytest.approx(light_of(np.array(angle * 7), limit * 7))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_there_is_light_where_the_map_says_covered(path):
    """Of one speaker lit is exactly what it sees within its limit; of several the mean of what each gives."""
    scene = read_scene(path, "proposed")
    plane = lay_plane(scene.room, scene.plane)
    cover = map_coverage(scene, plane, scene.judged)
    each = []
    for speaker in scene.judged:
        alone = map_coverage(scene, plane, [speaker])
        light = light_map(alone)
        near = np.abs(alone.angles[0] - np.degrees(speaker.coverage.limit)) < 1e-3
        outside = verdict_map(speaker, alone.angles[0]) == 2
        assert np.array_equal(np.isnan(light), ~plane.inside)
        inside = plane.inside & ~near
        assert np.array_equal((light > 0)[inside], (~outside & alone.visible[0])[inside])
        each.append(light)
    np.testing.assert_allclose(light_map(cover), np.mean(each, axis=0), atol=1e-9)


def test_more_light_is_lighter_in_gray_too():
    assert np.all(np.diff(lightness(np.linspace(0, 1, 33))) > 0)
    assert lightness([AT_LIMIT])[0] - lightness([0.0])[0] > 30  # the limit shows without its line


def test_outside_of_the_air_nothing_shows():
    shown = light_colors(np.array([np.nan, 0.0, 1.0]))[:, 3]
    assert shown[0] == 0
    assert shown[1] == shown[2] > 128


@pytest.mark.parametrize("count", range(1, 12))
def test_the_key_goes_from_all_to_none(count):
    rows = light_rows(count)
    assert len({row.color for row in rows}) == len(rows) <= 6
    tones = [cielab(linear(row.color))[0] for row in rows]
    assert tones == sorted(tones, reverse=True)
    if count > 1:
        assert (rows[0].words, rows[-1].words) == ("all", "none")
        assert len({row.words for row in rows}) == len(rows)
