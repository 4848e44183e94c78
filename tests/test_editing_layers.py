"""Maps of a scene that is being changed: what is kept of its speakers is what would be worked out anew."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from earshed.model.coverage_map import map_coverage
from earshed.model.editing.changes import NO_CHANGES
from earshed.model.editing.draft import Draft
from earshed.model.editing.layers import SPARE, Layers
from earshed.model.editing.moving import nudged
from earshed.model.scene import Scene
from earshed.model.sound.level import Drive
from earshed.model.sound.plane_levels import plane_levels
from tests.editing_rooms import SCENES, put_in


def same(layers: Layers, scene: Scene) -> None:
    """All maps are those of a scene that nothing was kept of."""
    anew = map_coverage(scene, layers.plane, scene.judged)
    kept = layers.coverage(scene, scene.judged)
    np.testing.assert_array_equal(kept.angles, anew.angles)
    np.testing.assert_array_equal(kept.visible, anew.visible)
    np.testing.assert_array_equal(kept.seating, anew.seating)
    np.testing.assert_array_equal(kept.of_set.worst, anew.of_set.worst)
    assert kept.set_hiders == pytest.approx(anew.set_hiders)
    assert kept.hidden_shares == anew.hidden_shares
    levels = plane_levels(scene, layers.plane, scene.judged, Drive())
    np.testing.assert_array_equal(layers.levels(scene, scene.judged).levels, levels.levels)
    np.testing.assert_array_equal(layers.levels(scene, scene.judged).spread(3), levels.spread(3))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_what_is_kept_is_what_comes_out_anew(path: Path) -> None:
    draft = Draft.open(path, "proposed")
    scene, changes = draft.scene("proposed"), NO_CHANGES
    layers = Layers.over(scene, replace(scene.plane, step=0.15))
    same(layers, scene)
    for number, one in enumerate(scene.judged[:3]):
        scene = draft.scene("proposed", changes)
        keys = nudged(scene, one.name, right=0.05 * (number + 1), back=0.04, up=0.03)
        changes = put_in(scene, one.name, keys, changes)
        same(layers, draft.scene("proposed", changes))
    same(layers, draft.scene("proposed"))


def test_it_holds_no_more_than_it_needs() -> None:
    draft = Draft.open(SCENES[0], "proposed")
    scene = draft.scene("proposed")
    layers = Layers.over(scene, replace(scene.plane, step=0.5))
    for number in range(60):
        keys = nudged(scene, scene.judged[0].name, right=0.001 * number, back=0.002 * number)
        moved = draft.scene("proposed", put_in(scene, scene.judged[0].name, keys))
        layers.coverage(moved, moved.judged)
    assert len(layers._angles.held) <= len(scene.speakers) + SPARE


def test_of_no_speakers_there_is_the_plane_alone() -> None:
    scene = Draft.open(SCENES[0]).scene(None)
    layers = Layers.over(scene, replace(scene.plane, step=0.5))
    assert layers.coverage(scene, []).angles.shape == (0, *layers.plane.inside.shape)
    assert layers.coverage(scene, []).shadows.hider.shape == (0, *layers.plane.inside.shape)
