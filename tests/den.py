"""A small room whose angles can be worked by hand, for tests of schemes and of what changed under them."""

from __future__ import annotations

from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

# Ears 1 m up, a flush speaker AT metres from the left under a ceiling of 2.5 m: off axis by atan((AT - 1) / 1.5),
# covered to 31.8 degrees, which is at 1.93 m, and fringe to 45, which is at 2.5 m.
DEN = """\
format: 1
title: Den
print_units: mm
bare_lengths: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.5}}
seats:
  - {name: stool, at: {from_left: 1, from_front: 2}, ear_height: 1, main: true}
  - {name: bench, at: {from_left: 1, from_front: 2.5}, ear_height: 1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}
  wide: {mount: in-ceiling, aiming: fixed, coverage: {angle: 120deg, band: 4kHz}, cutout: 0.2}
  niche: {mount: in-wall, aiming: fixed, coverage: {angle: 100deg, band: 4kHz}, cutout: 0.2}
  turned: {mount: in-ceiling, aiming: {pivoting: 30deg}, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}
speakers:
  - {name: top, type: flush, channel: U+045, at: {from_left: 1.9, from_front: 2}}
  - {name: wall, type: niche, wall: left, from_front: 3, height: 1.2}
schemes:
"""


def den(*schemes: str) -> str:
    return DEN + "".join(f"  {scheme}\n" for scheme in schemes)


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "den.yaml"), scheme)
