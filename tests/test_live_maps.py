"""The maps of the live room: every cell has the color of its value, as the key says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from earshed.model.coverage import off_axis_map
from earshed.model.coverage_map import map_coverage
from earshed.model.editing.layers import Layers
from earshed.model.listening_plane import ListeningPlane, lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.sound.level import Drive
from earshed.model.sound.plane_levels import plane_levels
from earshed.viewer import palette
from earshed.viewer.level_page import LEVEL_COLORS, LEVEL_EDGES, SPREAD_COLORS, SPREAD_EDGES
from earshed.viewer.live.maps import MapChoice, map_picture
from earshed.viewer.quantities import QUANTITIES
from tests.live_rooms import LIVE_ROOM

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))


@pytest.fixture(scope="module")
def scene() -> Scene:
    return scene_from_tree(parse_tree(LIVE_ROOM, "loft.yaml"))


def plane_of(scene: Scene, step: float = 0.2) -> ListeningPlane:
    return lay_plane(scene.room, replace(scene.plane, step=step))


def layers_on(scene: Scene, plane: ListeningPlane) -> Layers:
    return Layers.over(scene, replace(scene.plane, step=plane.step))


def colored(values: np.ndarray, edges: tuple[float, ...], colors: tuple[str, ...]) -> np.ndarray:
    """What each value should look like: the color of the highest edge that it reaches, one by one."""
    shown = np.zeros((*values.shape, 4), dtype=np.uint8)
    for spot in np.ndindex(values.shape):
        if not np.isnan(values[spot]):
            band = max([0, *(number for number, edge in enumerate(edges) if values[spot] >= edge)])
            shown[spot] = [*bytes.fromhex(colors[min(band, len(colors) - 1)][1:]), 255]
    return shown


def test_angles_of_the_set(scene: Scene) -> None:
    plane = plane_of(scene)
    worst = map_coverage(scene, plane, scene.judged).of_set.worst
    picture = map_picture(scene, layers_on(scene, plane), MapChoice())
    np.testing.assert_array_equal(picture.colors, colored(worst, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS))
    assert picture.key["colors"] == list(palette.OFF_AXIS_COLORS)


def test_angles_of_one(scene: Scene) -> None:
    plane, one = plane_of(scene), scene.judged[0]
    (angles,) = off_axis_map(plane, one.position, one.axis)
    picture = map_picture(scene, layers_on(scene, plane), MapChoice(speaker=one.name))
    np.testing.assert_array_equal(picture.colors, colored(angles, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS))


@pytest.mark.parametrize("band", [0, 3, 7])
def test_levels_and_how_even(scene: Scene, band: int) -> None:
    plane = plane_of(scene)
    found = plane_levels(scene, plane, scene.judged, Drive())
    level = map_picture(scene, layers_on(scene, plane), MapChoice("level", scene.judged[1].name, band))
    np.testing.assert_array_equal(level.colors, colored(found.against_reference(band)[1], LEVEL_EDGES, LEVEL_COLORS))
    spread = map_picture(scene, layers_on(scene, plane), MapChoice("spread", None, band))
    np.testing.assert_array_equal(spread.colors, colored(found.spread(band), SPREAD_EDGES, SPREAD_COLORS))


def test_shadows_lie_in_strokes_over_the_angles_and_plain_by_themselves() -> None:
    scene = read_scene(SCENES[0], "proposed")
    plane = plane_of(scene, 0.05)
    for number, one in enumerate(scene.judged):
        hidden = plane.inside & ~map_coverage(scene, plane, scene.judged).visible[number]
        angles = map_picture(scene, layers_on(scene, plane), MapChoice(speaker=one.name)).colors
        (values,) = off_axis_map(plane, one.position, one.axis)
        darker = (angles != colored(values, palette.OFF_AXIS_EDGES, palette.OFF_AXIS_COLORS)).any(axis=-1)
        assert not (darker & ~hidden).any()
        if hidden.sum() > 100:
            assert 0.1 < (darker & hidden).sum() / hidden.sum() < 0.6
        shown = map_picture(scene, layers_on(scene, plane), MapChoice("shadow", one.name)).colors[..., :3]
        kinds = {tuple(color) for color in shown[plane.inside].tolist()}
        assert len(kinds) == len(set(hidden[plane.inside].tolist()))


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_every_map_of_every_scene(path: Path) -> None:
    scene = read_scene(path, "as found")
    plane = plane_of(scene)
    for quantity in QUANTITIES:
        for name in (None, *(one.name for one in scene.judged)):
            picture = map_picture(scene, layers_on(scene, plane), MapChoice(quantity, name))
            assert picture.colors.shape == (*plane.inside.shape, 4)
            np.testing.assert_array_equal(picture.colors[..., 3] > 0, plane.inside)
            assert len(picture.key["colors"]) == len(picture.key["labels"])


def test_where_nothing_can_be_shown_the_key_says_why() -> None:
    bare = scene_from_tree(parse_tree(LIVE_ROOM.split("speaker_types:")[0], "loft.yaml"))
    assert "no speaker" in map_picture(bare, layers_on(bare, plane_of(bare)), MapChoice()).key["title"]
    head, tail = LIVE_ROOM.split("seats:\n")
    rest = tail[tail.index("fixtures:") :].split("schemes:")[0]
    seatless = scene_from_tree(parse_tree(head + rest, "loft.yaml"))
    assert "no" in map_picture(seatless, layers_on(seatless, plane_of(seatless)), MapChoice("level")).key["title"]
    assert not map_picture(seatless, layers_on(seatless, plane_of(seatless)), MapChoice("level")).colors.any()
