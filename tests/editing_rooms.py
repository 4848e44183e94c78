"""Scenes for the tests of editing: those that are shipped, one with every way of taping, and random rooms as files."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import shapely

from earshed.model.editing.changes import NO_CHANGES, Changes
from earshed.model.editing.draft import Draft
from earshed.model.editing.things import Named, place_of, section_of, the
from earshed.model.room import Room
from earshed.model.scene import Scene
from tests.rooms import spot_inside

FOLDER = Path(__file__).resolve().parent.parent / "scenes"
SCENES = sorted(FOLDER.glob("*.yaml"))
TYPES = """\
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 8in, bezel: 9in}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 100deg, cutout: 8in, bezel: 9in}
  slot: {mount: in-ceiling, aiming: {angled: 30deg}, coverage: 80deg, cutout: 5in x 12in, bezel: 6in x 13in}
  wall: {mount: in-wall, aiming: {pivoting: 12deg}, coverage: 110deg, cutout: 7in, bezel: 8in}
  wall fixed: {mount: in-wall, aiming: fixed, coverage: 110deg, cutout: 6in x 9in, bezel: 7in x 10in}
  bookshelf: {mount: stand, aiming: fixed, coverage: 100deg}
  box: {mount: on-surface, aiming: {pivoting: 20deg}, coverage: 100deg}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
"""
ALL_WAYS = f"""\
format: 1
title: Every way of taping
print_units: UNITS
room:
  width: 14' 2"
  length: 6.013m
  ceiling: {{shape: gable, ridge: front-to-back, low: 5' 3", peak: 9' 8", ridge_at: 2.1m}}
  zones:
    - {{name: dormer, from_left: -1.2m, from_front: 2m, width: 2.4m, length: 1.8m, projects: true,
       ceiling: {{shape: flat, height: 2.1m}}}}
datums: {{post: {{from_left: 18in, from_front: 1.5m}}}}
framing:
  - {{name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}}
fixtures:
  - {{name: can, kind: can light, at: {{from_left: 3' 4", from_front: 4'}}, cutout: 6-1/4in}}
  - {{name: duct, kind: box, from_right: 1m, from_front: 0, bottom: 1.5m, width: 1m, length: 6m, height: 1m}}
risers: [{{name: step, from_left: 0, from_front: 4m, width: 3m, length: 2m, height: 8in}}]
screen: {{wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m, bottom: 50cm}}
seats:
  - {{name: chair, at: {{datum: post, right: 1m, back: 2m}}, ear_height: 40in, main: true}}
  - {{name: sofa, at: {{from_center: 10in, from_rear: 2m}}, ear_height: 1.0133m, main: true, reclined: {{}}}}
  - {{name: stool, at: {{from_right: 1m, from_rear: 1m}}, ear_height: 3' 4-1/3"}}
{TYPES}
speakers:
  - {{name: one, type: pivot, channel: U+045, at: {{from_left: 1m, from_front: 1m}}, aim: {{tilt: 10, toward: rear}}}}
  - {{name: two, type: angled, channel: U-045, at: {{from_right: 4' 1/3", from_front: 1m}}, aim: {{seats: main}}}}
  - {{name: three, type: slot, channel: U+135, at: {{datum: post, right: 20in, back: 8'}}, long_axis: up-slope,
     aim: {{seat: chair}}}}
  - {{name: four, type: flush, channel: U-135, at: {{from_center: 3', from_rear: 7'}}}}
  - {{name: low, type: flush, at: {{from_right: 1' 6", from_rear: 7'}}}}
  - {{name: left, type: wall, channel: M+090, wall: left, from_front: 5m, height: 1m, aim: {{seats: main}}}}
  - {{name: right, type: wall, channel: M-090, wall: right, from_rear: 5m, height: 4' 1/3", aim: {{seats: all}}}}
  - {{name: rear, type: wall fixed, wall: rear, at: {{from_center: -2'}}, height: 1m}}
  - {{name: front, type: wall fixed, wall: front, datum: post, right: 1m, height: 1m}}
  - {{name: in the dormer, type: wall fixed, wall: dormer left wall, from_front: 3m, height: 1m}}
  - {{name: tower, type: bookshelf, at: {{from_left: 1m, from_front: 1m}}, height: 1m, faces: sofa}}
  - {{name: hung, type: box, at: {{from_left: 2m, from_front: 3m}}, height: 2.2m, faces: down, aim: {{seats: main}}}}
  - {{name: bass, type: sub, channel: LFE1, at: {{datum: post, right: 1m, back: -1'}}, height: 8in, faces: rear}}
schemes:
  as found: {{speakers: {{one: {{type: flush, aim: none}}}}, remove: [can]}}
  moved: {{builds_on: as found, seats: {{chair: {{at: {{from_left: 3m, from_rear: 1m}}}}}}}}
"""


def every_way(folder: Path, units: str = "ft-in") -> Path:
    path = folder / f"ways-{units}.yaml"
    path.write_text(ALL_WAYS.replace("UNITS", units), encoding="utf-8")
    return path


def write_room(folder: Path, room: Room, rng: np.random.Generator) -> Path:
    """A random room as a scene file: by its corners and the planes of its ceiling, with one thing of each mount."""
    plan = room.plan
    corners = [[f"{x}m", f"{-y}m"] for x, y in plan.corners]
    spots = np.array([[0.0, 0.0], [3.0, -0.1], [0.2, -2.0]])
    planes = [[[f"{x}m", f"{-y}m", f"{plane.height(np.array([x, y]))}m"] for x, y in spots] for plane in room.ceiling]
    (x, y), (u, v), (s, t) = (spot_inside(plan, rng) for _ in range(3))
    wall = int(rng.integers(1, len(plan.walls) + 1))
    place = plan.walls[wall - 1].length * rng.uniform(0.1, 0.9)
    boxes = [
        f"{{name: {box.name}, kind: box, from_left: {box.lower[0]}m, from_front: {-box.upper[1]}m, "
        f"bottom: {box.lower[2]}m, width: {box.upper[0] - box.lower[0]}m, length: {box.upper[1] - box.lower[1]}m, "
        f"height: {box.top - box.lower[2]}m}}"
        for box in room.boxes
        if shapely.intersects(box.footprint.buffer(-0.01), plan.polygon)
    ]
    text = f"""\
format: 1
title: Random
print_units: {rng.choice(["ft-in", "mm", "cm", "m"])}
room: {{outline: {_flow(corners)}, ceiling: {{shape: planes, planes: {_flow(planes)}}}}}
fixtures: {_flow(boxes)}
seats: [{{name: seat, at: {{from_left: {s}m, from_front: {-t}m}}, ear_height: 0.1m, main: true}}]
{TYPES}
speakers:
  - {{name: up, type: flush, at: {{from_left: {x}m, from_front: {-y}m}}}}
  - {{name: side, type: wall, wall: {wall}, along: {place}m, height: 0.1m}}
  - {{name: floor, type: bookshelf, at: {{from_right: {plan.width - u}m, from_rear: {plan.length + v}m}}, height: 0.1m,
     faces: rear}}
"""
    path = folder / "random.yaml"
    path.write_text(text.replace("'", ""), encoding="utf-8")
    return path


def _flow(value: object) -> str:
    return f"[{', '.join(map(_flow, value))}]" if isinstance(value, list) else str(value)


def things(scene: Scene) -> Iterator[str]:
    """Names of all that can be moved."""
    yield from (speaker.name for speaker in scene.speakers)
    yield from (seat.name for seat in scene.seats if seat.reclined_from is None)


def put_in(scene: Scene, thing: Named, keys: dict, changes: Changes = NO_CHANGES) -> Changes:
    """Changes with keys of a thing changed."""
    return changes.with_keys(section_of(scene, thing), the(scene, thing).name, keys)


def place(scene: Scene, name: str) -> np.ndarray:
    return place_of(the(scene, name))


def drafts(folder: Path) -> Iterator[tuple[Draft, str | None]]:
    """Every shipped scene and the one with every way of taping, each under all its schemes."""
    for path in (*SCENES, every_way(folder), every_way(folder, "mm")):
        draft = Draft.open(path)
        yield from ((draft, scheme) for scheme in draft.schemes)
