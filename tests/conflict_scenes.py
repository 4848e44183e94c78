"""Random ceilings with all kinds of things in the way of a hole, and whether holes keep their distances."""

from __future__ import annotations

from typing import Any

import shapely
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from earshed.model.cut_fit import SLOP
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.hole import HoleShape
from earshed.model.obstacle import Level, Obstacle
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

FLAT = "{width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}"
GABLE = "{width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}"
KINDS = ("blocking", "pipe", "cable", "duct", "driver box", "unknown")
TYPES = """{
  round: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2, bezel: 0.24},
  small: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.15, bezel: 0.18, clamps: {count: 3, reach: 0.02}},
  four: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2, bezel: 0.24, clamps: {count: 4, reach: 0.03}},
  leans: {mount: in-ceiling, aiming: {angled: 20}, coverage: 90, cutout: 0.2, bezel: 0.24,
    clamps: {count: 3, reach: 0.025, first: 20}},
  slot: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.12 x 0.25, bezel: 0.15 x 0.28}}"""


def scene_of(**sections: Any) -> Scene:
    said = {"room": FLAT, "speaker_types": TYPES} | sections
    body = "".join(f"{key}: {value}\n" for key, value in said.items() if value)
    return scene_from_tree(parse_tree(f"format: 1\ntitle: Random\nbare_lengths: m\nprint_units: mm\n{body}", "r.yaml"))


def _at(draw: st.DrawFn, low: float = 0.2) -> str:
    left, front = draw(st.floats(low, 4 - low)), draw(st.floats(low, 6 - low))
    return f"from_left: {left:.4f}, from_front: {front:.4f}"


@st.composite
def framings(draw: st.DrawFn) -> str:
    runs = []
    for number, direction in enumerate(draw(st.lists(st.sampled_from(["up-slope", "level"]), max_size=2, unique=True))):
        spacing = draw(st.sampled_from([0.3048, 0.4064, 0.6096]))
        first, tolerance = draw(st.floats(0.02, 0.9)) * spacing, draw(st.sampled_from([0, 0.006]))
        keys = f"member: 2x8, spacing: {spacing}, first_center: {first:.4f}, tolerance: {tolerance}"
        runs.append(f"{{name: run {number}, surface: ceiling, direction: {direction}, {keys}}}")
    return f"[{', '.join(runs)}]"


@st.composite
def keep_outs(draw: st.DrawFn) -> str:
    found = []
    for number in range(draw(st.integers(0, 3))):
        kind, sure = draw(st.sampled_from(KINDS)), draw(st.sampled_from(["seen", "scanned"]))
        match draw(st.sampled_from(["round", "run", "patch"])):
            case "round":
                place = f"at: {{{_at(draw)}}}, diameter: 0.1"
            case "run":
                fronts = draw(st.floats(0.2, 2.9)), draw(st.floats(3.1, 5.8))
                ends = [f"[{draw(st.floats(0.2, 3.8)):.3f}, {front:.3f}]" for front in fronts]
                place = f"between: [{', '.join(ends)}], width: 0.05"
            case _:
                place = f"{_at(draw, 0.4)}, width: 0.2, length: 0.3"
        found.append(f"{{name: hidden {number}, kind: {kind}, {place}, sure: {sure}}}")
    return f"[{', '.join(found)}]"


@st.composite
def fixtures(draw: st.DrawFn) -> str:
    found = []
    for number in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from(["vent", "detector", "sprinkler", "can light", "fan", "box"]))
        keys = {
            "can light": "cutout: 0.15, body: 0.19", "vent": "size: 0.3 x 0.15",
            "fan": "blades: 0.8, drop: 0.3, canopy: 0.12",
            "box": "bottom: 1.9, width: 0.4, length: 0.5, height: 2",
        }.get(kind, "diameter: 0.1")  # fmt: skip
        place = _at(draw, 0.6) if kind == "box" else f"at: {{{_at(draw, 0.5)}}}"
        found.append(f"{{name: thing {number}, kind: {kind}, {place}, {keys}}}")
    return f"[{', '.join(found)}]"


@st.composite
def scenes(draw: st.DrawFn, room: str | None = None) -> Scene:
    """A level or a gabled ceiling with framing, hidden and old things, fixtures, and two speakers."""
    count = draw(st.integers(0, 2))
    holes = [f"{{name: old {number}, at: {{{_at(draw, 0.4)}}}, cutout: 0.12}}" for number in range(count)]
    speakers = []
    kinds = st.sampled_from(["round", "small", "four", "leans", "slot"])
    for number, kind in enumerate(draw(st.lists(kinds, min_size=1, max_size=2))):
        more = {"slot": ", long_axis: front-to-back", "leans": ", aim: {toward: rear}"}.get(kind, "")
        speakers.append(f"{{name: speaker {number}, type: {kind}, at: {{{_at(draw)}}}{more}}}")
    return scene_of(
        room=room or draw(st.sampled_from([FLAT, GABLE])), framing=draw(framings()), keep_outs=draw(keep_outs()),
        fixtures=draw(fixtures()), existing_holes=f"[{', '.join(holes)}]", speakers=f"[{', '.join(speakers)}]",
    )  # fmt: skip


# --- distances without those of the model: whole shapes grown and laid over one another

FINE = 2e-5
"""Metres by which a round outline here may be inside its circle."""


def moved(shape: FaceShape, by: Array) -> FaceShape:
    return FaceShape(shapely.transform(shape.core, lambda uv: uv + by), shape.radius)


def hole_at(shape: HoleShape, by: Array) -> HoleShape:
    return HoleShape(moved(shape.cut, by), moved(shape.rim, by), tuple(moved(foot, by) for foot in shape.clamps))


def area_of(shape: FaceShape, grown: float = 0.0) -> BaseGeometry:
    return shape.core.buffer(shape.radius + grown, quad_segs=128) if shape.radius + grown != 0.0 else shape.core


def keeps(obstacle: Obstacle, shape: HoleShape, slack: float) -> bool:
    """Whether a hole keeps all distances from an obstacle and some slack more, metres, or takes an old hole in."""
    if obstacle.taken_in is not None and area_of(shape.cut, SLOP - slack).covers(area_of(obstacle.taken_in)):
        return True
    return not any(
        area_of(part, wanted_by(level, shape) + slack).intersects(area_of(level.shape))
        for level in obstacle.levels
        for part in shape.parts(level.part)
    )


def wanted_by(level: Level, shape: HoleShape) -> float:
    """Metres, tolerance included; the feet of clamps that are known are not to touch."""
    known = level.part == "clamps" and len(shape.clamps) > 0
    return level.within + (0.0 if known else level.distance)
