"""Rooms for the tests of feasibility maps, and what is asked of every one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene
from earshed.model.search.ask import Ask, picture_mirror
from earshed.model.search.asking import ask_of, units_of
from earshed.model.search.feasibility import Feasibility
from earshed.model.search.pair_search import PairSearch
from earshed.model.seating import main_seats

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
SCENES = ("attic", "basement", "bonus-room", "office")
BORDER = 2e-3
"""Metres from a border within which a point is not asked: corners of circles are drawn that far outside them."""
STEP = 0.03

# A level ceiling 1.6 m over the ear of one seat, and a flush speaker with a bezel of 0.24 m.
LOFT = """\
format: 1
title: Loft
bare_lengths: m
print_units: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.6}}
seats: [{name: stool, at: {from_left: 2.5, from_front: 3}, ear_height: 1, main: true}]
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2, bezel: 0.24,
          mounting_depth: 0.1}
speakers:
  - {name: one, type: flush, channel: U+045, at: {from_left: 1.5, from_front: 2.4}}
  - {name: two, type: flush, channel: U-045, at: {from_left: 3.5, from_front: 2.4}}
MORE
"""
DROP, RIM = 1.6, 0.12


def loft(folder: Path, more: str = "") -> Scene:
    scene = folder / "loft.yaml"
    scene.write_text(LOFT.replace("MORE", more), encoding="utf-8")
    return read_scene(scene)


def ask_for(scene: Scene, name: str, *more: str, **changes: object) -> Ask:
    speakers = {speaker.name: speaker for speaker in scene.speakers}
    moving = [speakers[one] for one in (name, *more)]
    ask = ask_of(scene, speakers[name], moving=moving, seats=main_seats(scene.seats), mirror=picture_mirror(scene))
    return replace(ask, **changes)


def room_asks(name: str) -> list[Ask]:
    scene = read_scene(FOLDER / f"{name}.yaml", "as found")
    speakers = [one for one in scene.judged if one.type.mount in ("in-ceiling", "in-wall")]
    chosen = [
        next(one for one in speakers if one.type.mount == mount) for mount in {one.type.mount for one in speakers}
    ]
    return [ask_of(scene, one, moving=[one], seats=main_seats(scene.seats)) for one in chosen]


def room_pair(name: str) -> PairSearch:
    scene = read_scene(FOLDER / f"{name}.yaml", "as found")
    unit = next(u for u in units_of(scene, [s for s in scene.judged if s.type.mount == "in-ceiling"]) if len(u) == 2)
    mirror = picture_mirror(scene)
    asks = [ask_of(scene, one, moving=unit, seats=main_seats(scene.seats), mirror=mirror) for one in unit]
    return PairSearch(*asks, mirror)


def points_on(outline: shapely.Geometry, count: int = 300) -> NDArray[np.float64]:
    """Random points (N, 2) of an area."""
    low_u, low_v, high_u, high_v = outline.bounds
    spots = np.random.default_rng(7).uniform((low_u, low_v), (high_u, high_v), (4 * count, 2))
    return spots[shapely.intersects_xy(outline, *spots.T)][:count]


def part_at(parts: Mapping[str, shapely.Geometry], point: NDArray[np.float64]) -> str | None:
    """The part in which a point lies; None near a border."""
    spot = shapely.Point(point)
    near = [name for name, area in parts.items() if area.distance(spot) < BORDER]
    return near[0] if len(near) == 1 and parts[near[0]].boundary.distance(spot) > BORDER else None


def assert_one_answer(found: Feasibility) -> None:
    face = found.face.outline
    assert sum(area.area for area in found.parts.values()) == pytest.approx(face.area, abs=1e-6)
    assert shapely.union_all(list(found.parts.values())).area == pytest.approx(face.area, abs=1e-6)
    for point in points_on(face):
        spot = shapely.Point(point)
        inside = [name for name, area in found.parts.items() if area.contains(spot)]
        near = any(area.boundary.distance(spot) < 1e-6 for area in found.parts.values())
        assert len(inside) == 1 or near, (point, inside)
