"""Small pictures of one room that are kept, so that a change of what is drawn does not go unseen.

Made anew, and then to be looked at, by `python tests/reference_pictures.py` in the contributor's environment.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from earshed.model.listening_plane import lay_plane
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.viewer import picture
from earshed.viewer.camera import find_view
from earshed.viewer.gl import prepare_offscreen
from earshed.viewer.picture import Shot, Show

KEPT = Path(__file__).resolve().parent / "data" / "pictures"
SIZE = (420, 320)
VIEWS: dict[str, tuple[str, Show]] = {
    "cones": ("corner", "cones"), "ceiling": ("ceiling", "room"), "section": ("section", "cones"),
    "light": ("plan", "light"),
}  # fmt: skip
ROOM = """\
format: 1
title: Small
bare_lengths: m
room: {width: 3, length: 4, ceiling: {shape: gable, ridge: front-to-back, low: 1.8, peak: 2.8}}
screen: {wall: front, diagonal: 1.6, bottom: 0.7}
openings: [{name: window, wall: left, from_front: 1, sill: 0.8, width: 0.9, height: 0.9}]
fixtures: [{name: can, kind: can light, at: {from_left: 2, from_front: 2.8}, cutout: 0.15}]
seats:
  - {name: left, at: {from_left: 1.1, from_front: 2.6}, ear_height: 1, main: true}
  - {name: right, at: {from_left: 1.8, from_front: 2.6}, ear_height: 1, main: true}
speaker_types:
  angled: {mount: in-ceiling, aiming: {angled: 20deg}, coverage: {angle: 70deg, band: 4kHz}, cutout: 0.24, bezel: 0.27}
speakers: [{name: top, type: angled, at: {from_left: AT, from_front: 1.2}, aim: {seats: main}}]
listening_plane: {height: 1, step: 0.03}
"""


def room(at: float = 0.9) -> Scene:
    """The room, its speaker that many metres from the left."""
    return scene_from_tree(parse_tree(ROOM.replace("AT", str(at)), "small.yaml"))


def drawn(name: str, scene: Scene) -> Image.Image:
    """The room alone, with no words, which depend on fonts."""
    view, show = VIEWS[name]
    plane = lay_plane(scene.room, scene.plane) if show == "light" else None
    shot = Shot(scene, view, scene.judged, plane, SIZE, "2030-01-02", show)
    return picture._render(shot, find_view(scene, view, SIZE[0] / SIZE[1]), SIZE)


def main() -> None:
    prepare_offscreen()
    KEPT.mkdir(parents=True, exist_ok=True)
    for name in VIEWS:
        drawn(name, room()).save(KEPT / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
