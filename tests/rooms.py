"""Random rooms for the tests, and independent ways to measure them.

Hypothesis draws lengths in whole millimetres, so that cases shrink to readable ones; the seeded rooms use any float.
A ceiling is measured here from its planes' coefficients alone, by clipping the plan with shapely: no mesh is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.ceiling import Ceiling, CeilingPlane, flat, gable, planes, shed
from earshed.model.geometry import frozen
from earshed.model.plan import Plan, Wall, outline, rectangle
from earshed.model.room import Room
from earshed.model.solid import Mesh

SIDES: tuple[Literal["left", "right", "front", "rear"], ...] = ("left", "right", "front", "rear")
RIDGES: tuple[Literal["front-to-back", "side-to-side"], ...] = ("front-to-back", "side-to-side")

FAR = 500.0
"""Metres: larger than any room here."""


def metres(low: float, high: float) -> st.SearchStrategy[float]:
    """Whole millimetres, given in metres."""
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda n: n / 1000)


# --- plans


def _turned(corners: NDArray[np.float64], start: int, backwards: bool) -> NDArray[np.float64]:
    rolled = np.roll(corners, start, axis=0)
    return rolled[::-1] if backwards else rolled


@st.composite
def rectangles(draw: st.DrawFn) -> Plan:
    return rectangle(draw(metres(1.5, 9)), draw(metres(1.5, 12)))


@st.composite
def notched(draw: st.DrawFn) -> Plan:
    """An L or a U: a rectangle with a piece out of a corner or out of the middle of a side."""
    width, length = draw(metres(3, 9)), draw(metres(3, 9))
    right, back = draw(metres(0.5, 2)), draw(metres(0.5, 2))
    if draw(st.booleans()):
        corners = [[0, 0], [width, 0], [width, length - back], [width - right, length - back],
                   [width - right, length], [0, length]]  # fmt: skip
    else:
        left = draw(metres(0.3, width - right - 0.3))
        corners = [[0, 0], [left, 0], [left, back], [left + right, back], [left + right, 0], [width, 0],
                   [width, length], [0, length]]  # fmt: skip
    measured = np.array(corners, dtype=float)
    if draw(st.booleans()):
        measured = measured[:, ::-1]
    if draw(st.booleans()):
        measured = measured * [-1, 1]
    return outline(_turned(measured, draw(st.integers(0, 7)), draw(st.booleans())))


@st.composite
def stars(draw: st.DrawFn) -> Plan:
    """A simple polygon all of whose corners are seen from one point, with corners that jut into the room."""
    count = draw(st.integers(3, 9))
    swing = draw(st.lists(st.integers(-30, 30), min_size=count, max_size=count))
    turns = 2 * np.pi / count * (np.arange(count) + np.array(swing) / 100)
    radii = np.array(draw(st.lists(metres(1.2, 5), min_size=count, max_size=count)))
    corners = np.round(radii[:, None] * np.column_stack([np.cos(turns), np.sin(turns)]), 3)
    return outline(_turned(corners, draw(st.integers(0, count)), draw(st.booleans())))


def outlines() -> st.SearchStrategy[Plan]:
    return notched() | stars()


def plans() -> st.SearchStrategy[Plan]:
    return rectangles() | outlines()


# --- ceilings


@st.composite
def flats(draw: st.DrawFn, plan: Plan) -> Ceiling:
    return flat(draw(metres(2, 4)))


@st.composite
def sheds(draw: st.DrawFn, plan: Plan) -> Ceiling:
    low = draw(metres(0.01, 3))
    high = low + draw(metres(0.1, 3))
    return shed(width=plan.width, length=plan.length, low=low, high=high, rises=draw(st.sampled_from(SIDES)))


@st.composite
def gables(draw: st.DrawFn, plan: Plan) -> Ceiling:
    ridge = draw(st.sampled_from(RIDGES))
    span = plan.width if ridge == "front-to-back" else plan.length
    low, far_low = draw(metres(0.01, 3)), draw(st.none() | metres(0.01, 3))
    return gable(
        width=plan.width, length=plan.length, ridge=ridge, low=low, far_low=far_low,
        peak=max(low, far_low or 0.0) + draw(metres(0.1, 2.5)), ridge_at=draw(st.none() | metres(0.3, span - 0.3)),
    )  # fmt: skip


@st.composite
def slabs(draw: st.DrawFn, plan: Plan) -> Ceiling:
    """One to four planes, no two alike in slope, all of them above the floor over the whole plan."""
    rises = draw(st.lists(st.tuples(st.integers(-14, 14), st.integers(-14, 14)), min_size=1, max_size=4, unique=True))
    points = []
    for right, front in rises:
        slope = np.array([right, front]) / 12
        start = draw(metres(0.5, 3)) - (plan.corners @ slope).min()
        spots = np.array([[0.0, 0.0], [plan.width, 0.0], [0.0, -plan.length]])
        points.append(np.column_stack([spots, spots @ slope + start]))
    return planes(points)


@st.composite
def ceilings(draw: st.DrawFn, plan: Plan) -> Ceiling:
    shapes = [flats, sheds, slabs] + ([gables] if plan.kind == "rectangle" else [])
    return draw(draw(st.sampled_from(shapes))(plan))


# --- rooms


@st.composite
def blocks(draw: st.DrawFn, plan: Plan, name: str, *, standing: bool = False) -> Block:
    """A box anywhere about the plan, past its walls and past the ceiling too."""
    left, front = draw(metres(-0.5, plan.width)), draw(metres(-0.5, plan.length))
    size = np.array([draw(metres(0.1, 2)), draw(metres(0.1, 2)), draw(metres(0.1, 1.5))])
    lower = np.array([left, -front - size[1], 0.0 if standing else draw(metres(0, 3))])
    return Block.box(name, frozen(lower), frozen(lower + size))


@st.composite
def rooms(draw: st.DrawFn, *, plan: st.SearchStrategy[Plan] | None = None, boxes: int = 0, risers: int = 0) -> Room:
    floor = draw(plan if plan is not None else plans())
    over = draw(ceilings(floor))
    things = tuple(draw(blocks(floor, f"box {i}")) for i in range(draw(st.integers(0, boxes))))
    steps = tuple(draw(blocks(floor, f"riser {i}", standing=True)) for i in range(draw(st.integers(0, risers))))
    return Room(floor, over, things, steps)


def seeded_rooms(count: int, seed: int) -> Iterator[Room]:
    """Rooms on outlines of any float, under one to five planes."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        corners = int(rng.integers(3, 13))
        turns = 2 * np.pi / corners * (np.arange(corners) + rng.uniform(-0.35, 0.35, corners))
        plan = outline(rng.uniform(1, 6, (corners, 1)) * np.column_stack([np.cos(turns), np.sin(turns)]))
        slopes = rng.uniform(-1.2, 1.2, (int(rng.integers(1, 6)), 2))
        spots = rng.uniform(-3, 3, 2) + np.array([[0.0, 0.0], [3.0, 0.1], [-0.2, -2.0]])
        low = rng.uniform(0.2, 3, len(slopes))
        heights = [
            spots @ slope + start - (plan.corners @ slope).min() for slope, start in zip(slopes, low, strict=True)
        ]
        yield Room(plan, planes([np.column_stack([spots, height]) for height in heights]))


def mirrored(room: Room) -> Room:
    """The same room in a mirror: x becomes width - x."""
    width, plan = room.plan.width, room.plan
    swap = {"left wall": "right wall", "right wall": "left wall"}
    over = tuple(
        CeilingPlane(p.name, -p.rise_right, p.rise_front, p.at_origin + p.rise_right * width) for p in room.ceiling
    )
    boxes = tuple(
        Block.box(b.name, frozen([width - b.upper[0], *b.lower[1:]]), frozen([width - b.lower[0], *b.upper[1:]]))
        for b in room.boxes
    )
    corners = frozen(plan.corners * [-1, 1] + [width, 0])
    return Room(Plan(corners, tuple(swap.get(name, name) for name in plan.wall_names), plan.kind), over, boxes)


def spot_inside(plan: Plan, rng: np.random.Generator, clearance: float = 0.0) -> NDArray[np.float64]:
    """A random plan point (2,) of the floor, farther than `clearance` from its walls."""
    while True:
        spot = np.array([rng.uniform(0, plan.width), -rng.uniform(0, plan.length)])
        point = shapely.Point(spot)
        if plan.polygon.contains(point) and plan.polygon.exterior.distance(point) > clearance:
            return spot


# --- measuring by another path

# Rafter table of the framing square: rise in 12, degrees, length of a common rafter per foot of run and of a hip or
# valley per foot of common run (inches), sloped area over plan area. Two-decimal columns as printed (rises 2 to 18
# in a how-to article; NAVEDTRA 14044 prints 13.89 for 7; Griffith, Carpentry, prints 13.42 for 6; hip 3 to 12 in a
# carpentry reference); degrees and area are atan(rise / 12) and its secant.
FRAMING_SQUARE = [
    (2, 9.4623, 12.17, 17.09, 1.01379), (3, 14.0362, 12.37, 17.23, 1.03078), (4, 18.4349, 12.65, 17.44, 1.05409),
    (5, 22.6199, 13.00, 17.69, 1.08333), (6, 26.5651, 13.42, 18.00, 1.11803), (7, 30.2564, 13.89, 18.36, 1.15770),
    (8, 33.6901, 14.42, 18.76, 1.20185), (9, 36.8699, 15.00, 19.21, 1.25000), (10, 39.8056, 15.62, 19.70, 1.30171),
    (11, 42.5104, 16.28, 20.22, 1.35657), (12, 45.0000, 16.97, 20.78, 1.41421), (13, 47.2906, 17.69, 21.38, 1.47432),
    (14, 49.3987, 18.44, 22.00, 1.53659), (15, 51.3402, 19.21, 22.65, 1.60078), (16, 53.1301, 20.00, 23.32, 1.66667),
    (17, 54.7824, 20.81, 24.02, 1.73405), (18, 56.3099, 21.63, 24.74, 1.80278),
]  # fmt: skip

Slopes = Sequence[tuple[float, float, float]]
"""Planes as (rise to the right, rise to the front, height at the origin)."""


def slopes_of(room: Room) -> Slopes:
    return [(plane.rise_right, plane.rise_front, plane.at_origin) for plane in room.ceiling]


def _half_plane(a: float, b: float, c: float) -> shapely.Polygon:
    """The part of the plan near the room where a x + b y + c <= 0."""
    size = np.hypot(a, b)
    if size < 1e-12:
        return shapely.box(-FAR, -FAR, FAR, FAR) if c <= 0 else shapely.Polygon()
    out = np.array([a, b]) / size
    along = np.array([-out[1], out[0]])
    foot = -c / size * out
    return shapely.Polygon(
        [foot - FAR * along, foot + FAR * along, foot + FAR * (along - out), foot - FAR * (along + out)]
    )


def lowest_parts(floor: BaseGeometry, slopes: Slopes) -> list[tuple[tuple[float, float, float], BaseGeometry]]:
    """Each plane with the part of the floor over which it is the lowest."""
    parts = []
    slopes = list(dict.fromkeys(slopes))  # the same plane twice is there once
    for plane in slopes:
        part = floor
        for other in slopes:
            if other is not plane:
                part = part.intersection(
                    _half_plane(*(mine - theirs for mine, theirs in zip(plane, other, strict=True)))
                )
        parts.append((plane, part))
    return parts


def volume_under(floor: BaseGeometry, slopes: Slopes) -> float:
    """Integral of the lowest plane over a floor: a plane's mean over a polygon is its height at the centroid."""
    total = 0.0
    for (right, front, start), part in lowest_parts(floor, slopes):
        if part.area > 0:
            total += part.area * (right * part.centroid.x + front * part.centroid.y + start)
    return total


def sloped_area(floor: BaseGeometry, slopes: Slopes) -> float:
    """Integral of sqrt(1 + gx^2 + gy^2) over a floor, g the gradient of the lowest plane."""
    return sum(part.area * np.sqrt(1 + right**2 + front**2) for (right, front, _), part in lowest_parts(floor, slopes))


def wall_area(room: Room, wall: Wall) -> float:
    """Integral of the ceiling's height along a wall: straight between the points where two planes cross."""
    ends = np.array([plane.height([wall.start, wall.end]) for plane in room.ceiling])
    steps = [0.0, 1.0]
    for (a0, a1), (b0, b1) in ((a, b) for i, a in enumerate(ends) for b in ends[:i]):
        if (a0 - b0) * (a1 - b1) < 0:
            steps.append((a0 - b0) / ((a0 - b0) - (a1 - b1)))
    at = np.sort(steps)
    heights = np.min(ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * at, axis=0)
    return float(np.sum(np.diff(at) * (heights[1:] + heights[:-1]) / 2)) * wall.length


def filled_volume(room: Room) -> float:
    """Volume inside the shell that boxes and risers fill, counted once where they overlap.

    The plan is cut along every block's sides; over one piece the filled heights are the same stretches everywhere,
    and what lies between two heights under the ceiling is the difference of two volumes under a lower ceiling.
    """
    things = [*room.boxes, *room.risers]
    cuts = [np.unique([[t.lower[axis], t.upper[axis]] for t in things]) for axis in (0, 1)]
    total = 0.0
    for (x0, x1), (y0, y1) in ((x, y) for x in pairwise(cuts[0]) for y in pairwise(cuts[1])):
        cell = shapely.box(x0, y0, x1, y1).intersection(room.plan.polygon)
        over = [t for t in things if t.lower[0] <= x0 and x1 <= t.upper[0] and t.lower[1] <= y0 and y1 <= t.upper[1]]
        for bottom, top in pairwise(sorted({z for t in over for z in (t.lower[2], t.upper[2])})):
            if any(t.lower[2] <= bottom and top <= t.upper[2] for t in over):
                up_to = [volume_under(cell, [*slopes_of(room), (0.0, 0.0, float(z))]) for z in (top, bottom)]
                total += up_to[0] - up_to[1]
    return total


def times_round(mesh: Mesh, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How often a closed surface goes round each point (N, 3): 1 inside, 0 outside.

    Sum of the triangles' solid angles over 4 pi (A. van Oosterom and J. Strackee, "The solid angle of a plane
    triangle", IEEE Trans. Biomedical Engineering 30 (2), 1983, equation 8).
    """
    a, b, c = np.moveaxis(mesh.corners[None] - points[:, None, None], 2, 0)
    la, lb, lc = (np.linalg.norm(side, axis=-1) for side in (a, b, c))
    over = np.sum(a * np.cross(b, c), axis=-1)
    under = la * lb * lc + np.sum(a * b, axis=-1) * lc + np.sum(a * c, axis=-1) * lb + np.sum(b * c, axis=-1) * la
    return np.sum(2 * np.arctan2(over, under), axis=1) / (4 * np.pi)
