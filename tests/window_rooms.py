"""One plain room, its chair 2 m from the left wall and 3 m from the front one, with ears 1.5 m under the ceiling."""

from __future__ import annotations

import math

from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

PLACE = "at: {from_left: 1m, from_front: 2m}"
ROOM = """format: 1
title: Plain room
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.6m}}
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 170, band: 4kHz}, cutout: 100mm}}
seats: [{name: chair, at: {from_left: 2m, from_front: 3m}, ear_height: 1.1m, main: true}]
speakers:
"""


def scene_of(*speakers: str) -> Scene:
    text = ROOM + "".join(f"  - {speaker}\n" for speaker in speakers)
    return scene_from_tree(parse_tree(text, "plain.yaml"))


def at_one_place(*labels: str, more: str = "") -> Scene:
    """Speakers of these channels, called by their numbers."""
    hung = (f"{{name: {n}, type: flush, channel: {label}, {PLACE}{more}}}" for n, label in enumerate(labels))
    return scene_of(*hung)


def hung(name: str, label: str, azimuth: float, elevation: float, more: str = "") -> str:
    """A speaker in the ceiling, 1.5 m above the ear, heard from there."""
    far = 1.5 / math.tan(math.radians(elevation))
    left, front = (far * turn(math.radians(azimuth)) for turn in (math.sin, math.cos))
    place = f"at: {{from_left: {2 - left:.6f}m, from_front: {3 - front:.6f}m}}"
    return f"{{name: {name}, type: flush, channel: {label}, {place}{more}}}"
