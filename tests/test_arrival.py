"""Arrival: times by hand, and delays that bring all sound in together."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from earshed.model.listener import listener_of
from earshed.model.scene_file.read import read_scene
from earshed.model.sound.arrival import arrivals

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_held_back_by_their_delays_all_arrive_at_once(path):
    scene = read_scene(path, None)
    ear = listener_of(scene).ear
    found = arrivals(scene.speakers, ear)
    together = [one.time + one.delay for one in found]
    np.testing.assert_allclose(together, max(one.time for one in found))
    assert min(one.delay for one in found) == 0.0
    for one in found:
        assert one.distance == pytest.approx(np.linalg.norm(one.speaker.position - ear))


def test_a_millisecond_is_some_thirteen_and_a_half_inches():
    """0.88807 ms a foot at 20 degrees, from 343.215 m/s."""
    scene = read_scene(SCENES[0], None)
    for one in arrivals(scene.speakers, listener_of(scene).ear):
        assert one.time * 1000 == pytest.approx(one.distance / 0.3048 * 0.88807, rel=1e-5)


def test_warmer_air_is_faster():
    scene = read_scene(SCENES[0], None)
    cold, warm = (arrivals(scene.speakers, listener_of(scene).ear, celsius) for celsius in (10.0, 30.0))
    assert all(one.time > other.time for one, other in zip(cold, warm, strict=True))


def test_no_speakers_no_arrivals():
    assert arrivals([], np.zeros(3)) == []
