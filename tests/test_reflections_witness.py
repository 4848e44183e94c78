"""First reflections against an image-source program of others, pyroomacoustics, in rooms that it can hold.

R. Scheibler, E. Bezzam and I. Dokmanic, "Pyroomacoustics", ICASSP 2018. It works in single precision.
"""

from __future__ import annotations

import numpy as np
import pytest

from earshed.model.room import Room
from earshed.model.sound.reflections import first_reflections
from tests.sound_rooms import CONVEX, lengths_of, points_in

pra = pytest.importorskip(
    "pyroomacoustics", reason="pyroomacoustics, a witness, is not installed", exc_type=ImportError
)
SINGLE = 2e-5
"""Metres by which single precision may be off in a room of this size."""


def its_room(room: Room) -> pra.Room:
    """The same room there: a polygon for every face, turned so that it looks out."""
    walls = []
    for face in room.surfaces:
        (ring,) = face.rings()
        corners = ring[:-1]
        turn = np.cross(corners[1] - corners[0], corners[2] - corners[1]) @ face.normal
        walls.append(pra.wall_factory((corners[::-1] if turn > 0 else corners).T, [0.1], [0.0]))
    return pra.Room(walls, fs=16000, max_order=1)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("name", CONVEX)
def test_both_see_the_same_images_as_far_away(name: str, seed: int) -> None:
    room, points = CONVEX[name], points_in(CONVEX[name], 23, 100 + seed)
    sources, ears = points[:11], points[11:]
    paths = first_reflections(sources, ears, room.surfaces, room)
    theirs = its_room(room)
    for source in sources:
        theirs.add_source(source)
    theirs.add_microphone_array(ears.T)
    theirs.image_source_model()
    for s, heard in enumerate(theirs.sources):
        first = np.asarray(heard.orders) == 1
        for e, ear in enumerate(ears):
            seen = np.asarray(theirs.visibility[s])[e].astype(bool) & first
            wanted = np.sort(np.linalg.norm(heard.images[:, seen].T - ear, axis=1))
            mine = lengths_of(paths, s, e)
            assert len(mine) == len(wanted)
            np.testing.assert_allclose(mine, wanted, atol=SINGLE)
