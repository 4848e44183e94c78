"""Scenes held against each other, for the tests of before and after."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from earshed.model.compare.compare import BeforeAfter, before_after
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from tests.test_symmetry import TYPES, as_it_is, in_the_mirror

# Ears 1 m up, flush speakers under a ceiling of 2.5 m: AT metres from the left one is atan((AT - 1) / 1.5) off axis for
# the stool, covered to 31.8 degrees, which is at 1.93 m, and fringe to 45, which is at 2.5 m.
DEN = """\
format: 1
title: Den
print_units: mm
bare_lengths: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.5}}
screen: {wall: front, width: 1.6, bottom: 0.6}
seats:
  - {name: stool, at: {from_left: 1, from_front: 2}, ear_height: 1, main: true}
  - {name: bench, at: {from_left: 1, from_front: 3}, ear_height: 1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}
  wide: {mount: in-ceiling, aiming: fixed, coverage: {angle: 120deg, band: 4kHz}, cutout: 0.2}
  large: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.26}
  niche: {mount: in-wall, aiming: fixed, coverage: {angle: 100deg, band: 4kHz}, cutout: 0.2}
fixtures:
  - {name: lamp, kind: can light, at: {from_left: 4, from_front: 4}, cutout: 0.1}
speakers:
  - {name: top, type: flush, channel: U+045, at: {from_left: 1.9, from_front: 2}}
  - {name: wall, type: niche, wall: left, from_front: 3, height: 1.2}
listening_plane: {height: 1, step: 0.1}
"""


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "den.yaml"), scheme)


def held(before: Scene, after: Scene) -> BeforeAfter:
    return before_after((before, seat_pairs(before)), (after, seat_pairs(after)))


def with_changes(*lines: str) -> BeforeAfter:
    """The den as it stands against the den under a scheme of these lines."""
    text = f"{DEN}schemes:\n  new:\n" + "".join(f"    {line}\n" for line in lines)
    return held(read(text), read(text, "new"))


def top_at(before: float, after: float) -> BeforeAfter:
    """The den with its ceiling speaker so many metres from the left."""
    at = "at: {from_left: 1.9, from_front: 2}"
    one, other = (DEN.replace(at, at.replace("1.9", repr(place))) for place in (before, after))
    return held(read(one), read(other))


# --- shipped scenes

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
IDS = [path.stem for path in SCENES]


@cache
def shipped(path: Path, scheme: str) -> Scene:
    return read_scene(path, scheme)


@cache
def change_of(path: Path, before: str, after: str) -> BeforeAfter:
    return held(shipped(path, before), shipped(path, after))


# --- a room and its mirror image

AFTER = """
schemes:
  after:
    remove: [nine]
    seats: {back: {at: {from_left: SEAT, from_front: 5.0}}}
    speakers:
      five: {type: pivot, aim: {seats: main}}
      one: {type: flush, aim: none}
      three: {at: {from_left: PLACE, from_front: 4.4}}
"""


@cache
def mirrored() -> tuple[BeforeAfter, BeforeAfter]:
    """A lopsided room under a scheme, and its mirror image."""
    here = as_it_is() + AFTER.replace("SEAT", "1.5").replace("PLACE", "1.1")
    there = in_the_mirror() + AFTER.replace("SEAT", "1.5").replace("PLACE", "1.1").replace("from_left", "from_right")
    found = []
    for body in (here, there):
        text = f"format: 1\ntitle: Symmetry\nbare_lengths: m\nprint_units: mm\n{TYPES}{body}"
        found.append(held(*(scene_from_tree(parse_tree(text, "symmetry.yaml"), name) for name in (None, "after"))))
    return found[0], found[1]
