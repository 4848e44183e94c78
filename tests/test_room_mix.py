"""A thousand seeded rooms: every shape of ceiling, zones under any of them, bays, soffits, beams and columns.

Each is watertight, one body, and of the volume that clipping the plan by the ceilings' planes gives, with no mesh made.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
import shapely
from shapely import affinity

from earshed.model import ceiling as shapes
from earshed.model.ceiling import Ceiling
from earshed.model.plan import Plan, rectangle, rectangular_bay
from earshed.model.room import Room
from earshed.model.soffit import ring_along, under_soffit
from earshed.model.timber import following_beam
from earshed.model.tray import tray
from earshed.model.zone import Zone
from tests.rooms import volume_under

ROOMS = 1000
CHUNKS = 10


def some_ceiling(rng: np.random.Generator, width: float, length: float) -> tuple[Ceiling, Zone | None]:
    """One of every shape, over a rectangle at the origin."""
    low, rise = rng.uniform(1.2, 3.0), rng.uniform(0.2, 2.5)
    ridge = rng.choice(["front-to-back", "side-to-side"])
    span = width if ridge == "front-to-back" else length
    far = rng.uniform(1.2, low + rise - 0.05)
    gable = shapes.gable(
        width=width, length=length, ridge=ridge, low=low, peak=low + rise,
        ridge_at=rng.uniform(0.1, 0.9) * span, far_low=far,
    )  # fmt: skip
    inset = rng.uniform(0.05, 0.3) * min(width, length)
    run = rng.choice([0.0, rng.uniform(0.05, 0.15) * min(width, length)])
    match rng.integers(7):
        case 0:
            return shapes.flat(low), None
        case 1:
            rises = rng.choice(["left", "right", "front", "rear"])
            return shapes.shed(width=width, length=length, low=low, high=low + rise, rises=rises), None
        case 2:
            return gable, None
        case 3:
            return shapes.flat_top(gable, rng.uniform(max(low, far), low + rise)), None
        case 4:
            return shapes.hip(width=width, length=length, low=low, peak=low + rise), None
        case 5:
            return tray(width=width, length=length, height=low, rise=rise / 4, inset=inset, run=run)
        case _:
            return shapes.lifted(gable, rng.uniform(0.0, 1.0)), None


def placed(rng: np.random.Generator, name: str, x: float, y: float, width: float, length: float) -> list[Zone]:
    """A zone over a rectangle whose front left corner is at (x, y), under some ceiling, with a tray's middle."""
    planes, raised = some_ceiling(rng, width, length)
    area, moved = shapely.box(x, y - length, x + width, y), shapes.moved(planes, right=x, back=-y)
    if raised is None:
        return [Zone(name, area, moved)]
    middle = affinity.translate(raised.outline, x, y)
    top = Zone(f"{name} tray", middle, shapes.moved(raised.planes, right=x, back=-y))
    return [Zone(name, area.difference(middle), moved), top]


def some_room(rng: np.random.Generator) -> Room:
    width, length = rng.uniform(3, 9, 2)
    plan = rectangle(width, length)
    own, raised = some_ceiling(rng, width, length)
    zones = [raised] if raised else []
    if raised is None:
        edges = np.sort(rng.uniform(0.02, 0.98, 2 * int(rng.integers(0, 4)))).reshape(-1, 2) * width
        for number, (left, right) in enumerate(edges):
            front, rear = rng.uniform(0, 0.45) * length, rng.uniform(0.55, 1) * length
            if right - left > 0.05:
                zones += placed(rng, f"zone {number}", left, -front, right - left, rear - front)
    if not zones and rng.random() < 0.5:
        into, deep, wide = rng.uniform(0, 0.8), rng.uniform(0.3, 1.5), rng.uniform(0.5, 0.9) * length
        corner = rng.uniform(0, length - wide)
        zones += placed(rng, "bay", -deep, -corner, deep + into, wide)
        corners = np.array([[-deep, -corner], [into, -corner], [into, -corner - wide], [-deep, -corner - wide]])
        plan = Plan(plan.corners, plan.wall_names, plan.kind, (rectangular_bay("bay", corners),))
    if rng.random() < 0.4:
        walls = [name for name in plan.wall_names if rng.random() < 0.6] or ["front wall"]
        ring = ring_along(plan, walls, rng.uniform(0.05, 0.2) * min(width, length))
        area = ring.difference(shapely.union_all([zone.outline for zone in zones]))
        if area.area > 0.01:
            highest = min(float(plane.height(shapely.get_coordinates(area)).max()) for plane in own)
            zones.append(Zone("soffit", area, under_soffit(own, rng.uniform(0.5, 0.95) * highest, area)))
    return Room(plan, own, own_ceilings=tuple(zones))


def rooms_of(chunk: int) -> Iterator[tuple[np.random.Generator, Room]]:
    rng = np.random.default_rng(20261125 + chunk)
    for _ in range(ROOMS // CHUNKS):
        yield rng, some_room(rng)


def clipped(room: Room) -> float:
    """The volume of each zone alone, by clipping its area with its planes."""
    planes = [[(p.rise_right, p.rise_front, p.at_origin) for p in zone.planes] for zone in room.zones]
    return sum(volume_under(zone.outline, slopes) for zone, slopes in zip(room.zones, planes, strict=True))


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_watertight_one_body_and_the_clipped_volume(chunk):
    for _, room in rooms_of(chunk):
        assert room.air.watertight
        assert len(room.solid.decompose()) == 1
        assert room.volume == pytest.approx(clipped(room), rel=1e-6)
        assert sum(zone.outline.area for zone in room.zones) == pytest.approx(room.floor_area, rel=1e-9)


@pytest.mark.parametrize("chunk", range(0, CHUNKS, 3))
def test_every_face_has_one_name_and_every_place_one_ceiling(chunk):
    for rng, room in rooms_of(chunk):
        names = [face.name for face in room.surfaces]
        assert len(set(names)) == len(names)
        ceiling = sum(shapely.area(face.plan_area) for face in room.surfaces if face.kind == "ceiling")
        assert ceiling == pytest.approx(room.floor_area, rel=1e-6)
        spot = np.array([rng.uniform(0, room.plan.width), -rng.uniform(0, room.plan.length)])
        at, face = room.overhead(spot)
        assert at[2] == pytest.approx(float(room.ceiling_over(spot)), abs=1e-9)
        assert abs((at - face.origin) @ face.normal) < 1e-6


@pytest.mark.parametrize("chunk", [1, 4])
def test_a_beam_across_any_of_them_leaves_it_watertight(chunk):
    for rng, room in rooms_of(chunk):
        ends = np.column_stack([rng.uniform(0, room.plan.width, 2), -rng.uniform(0, room.plan.length, 2)])
        if np.linalg.norm(ends[1] - ends[0]) < 0.3:
            continue
        beams = following_beam("beam", ends, width=0.1, depth=0.2, zones=room.zones)
        full = Room(room.plan, room.ceiling, beams, own_ceilings=room.own_ceilings)
        assert full.air.watertight
        assert 0 < room.volume - full.volume < 0.1 * sum(beam.top - beam.lower[2] for beam in beams) * 12
