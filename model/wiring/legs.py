"""Legs: a way through the net, or point by point as a scene gives it, as one would run it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.wiring.joints import Crossed, Joint
from earshed.model.wiring.lines import MERGED
from earshed.model.wiring.net import Net
from earshed.model.wiring.panel import ALONG, ASSUMED_SPACING, Panel
from earshed.model.wiring.weave import Spot

How = Literal["fish", "bore", "open and patch", "over tiles", "surface", "loose"]
Way = Literal["along", "across", "upright", "level", "up-slope", "askew", "loose"]


@dataclass(frozen=True, eq=False)
class Passed:
    """What stands between two faces (their names), passed at a point (3,): bored where a drill reaches it, else a
    patch, or neither where a cable comes out or lies on a face."""

    crossed: Crossed
    faces: tuple[str, str]
    at: Array
    how: Literal["bore", "open and patch", "surface"]


@dataclass(frozen=True, eq=False)
class Leg:
    """A straight part of a run, from `start` to `end` (3,), metres, on a panel; None for a part that hangs or lies in
    the room.

    `members` are those that it crosses by their numbers on the panel, each with how far along it; None where none are
    given. `entered` is what is passed before it.
    """

    panel: Panel | None
    start: Array
    end: Array
    length: float
    way: Way
    how: How
    members: tuple[tuple[int, float], ...] | None = ()
    passes: tuple[str, ...] = ()
    entered: Passed | None = None

    @property
    def crossings(self) -> int | None:
        """How many members are bored, or opened and patched; None where that is not known."""
        return None if self.members is None else len(self.members)

    @property
    def perhaps(self) -> int:
        """How many members it crosses at the most where none are given, if they stand as far apart as is assumed."""
        return math.ceil(self.length / ASSUMED_SPACING - 1e-9) if self.members is None else 0


@dataclass(frozen=True, eq=False)
class Route:
    """The legs of a run from its far end to the rack. `is_given` says that the scene gives its points."""

    legs: tuple[Leg, ...]
    is_given: bool = False

    @property
    def length(self) -> float:
        return sum(leg.length for leg in self.legs)


def legs_through(net: Net, way: Sequence[Spot]) -> Iterator[Leg]:
    """The legs of a way through a net, straight on as far as it goes."""
    entered: Passed | None = None
    at = 0
    while at < len(way) - 1:
        here, there = way[at], way[at + 1]
        joint = net.crossings.get((here, there))
        if joint is not None and here[0] != there[0]:
            entered = _passed(joint, net.panels[here[0]], net.panels[there[0]], net.point(here))
            at += 1
            continue
        if here[0] != there[0]:  # to or from an end, which may stand in the room
            start, end = net.point(here), net.point(there)
            away = np.abs(end - start)
            at += 1
            if away.max() <= MERGED:
                continue
            yield Leg(None, frozen(start), frozen(end), float(np.hypot(*away[:2]) + away[2]), "loose", "loose")
            continue
        last = at + 1
        while last < len(way) - 1 and way[last + 1][0] == here[0] and _goes_on(way[at], way[last], way[last + 1]):
            last += 1
        panel = net.panels[here[0]]
        yield straight_leg(panel, np.array(here[1:]), np.array(way[last][1:]), entered)
        entered, at = None, last


def straight_leg(panel: Panel, start: Array, end: Array, entered: Passed | None = None) -> Leg:
    """The leg between two points (2,) of a panel's grid."""
    run = end - start
    length = float(np.hypot(*run))
    members = panel.crossed(start, end)
    ahead = np.abs(run) / length if length > 0 else np.array([1.0, 0.0])
    straight = ahead.max() >= ALONG
    way: Way
    if not straight:
        way = "askew"
    elif panel.members is not None:
        way = "along" if ahead[0] > ahead[1] else "across"
    elif panel.is_upright:
        way = "upright" if ahead[0] > ahead[1] else "level"
    else:
        way = "up-slope" if ahead[0] > ahead[1] else "level"
    ends = panel.to_room(np.array([start, end]))
    how = _how(panel, way, members)
    passes = () if panel.back == "none" else panel.passes(start, end)
    crossed = members if how in ("bore", "open and patch") else ()
    return Leg(panel, frozen(ends[0]), frozen(ends[1]), length, way, how, crossed, passes, entered)


def legs_by_points(net: Net, ends: Sequence[int]) -> list[Leg] | None:
    """The legs from end to end by their numbers in the net: straight where two are on one face, else the cheapest way
    between them. None where there is none."""
    legs: list[Leg] = []
    for one, other in pairwise(ends):
        start, end = net.ends[one].position, net.ends[other].position
        if float(np.linalg.norm(end - start)) < TOUCHING:
            continue
        shared = next((panel for panel in net.panels if panel.holds(start) and panel.holds(end)), None)
        on_faces = net.ends[one].surface is not None and net.ends[other].surface is not None
        if shared is not None and on_faces:
            legs.append(straight_leg(shared, shared.to_grid(start), shared.to_grid(end)))
            continue
        way = net.from_end(other).way_back(one)
        if way is None:
            return None
        legs += legs_through(net, way)
    before = zip([None, *legs[:-1]], legs, strict=True)
    return [replace(leg, entered=leg.entered or _between(last, leg, net)) for last, leg in before]


def _between(before: Leg | None, leg: Leg, net: Net) -> Passed | None:
    """What is passed from one leg to the next, where they are on two faces that share an edge."""
    if before is None or before.panel is None or leg.panel is None or before.panel is leg.panel:
        return None
    pair = {net.panels.index(before.panel), net.panels.index(leg.panel)}
    joint = next((joint for joint in net.joints if {joint.first, joint.second} == pair), None)
    return None if joint is None else _passed(joint, before.panel, leg.panel, leg.start)


def _goes_on(first: Spot, last: Spot, following: Spot) -> bool:
    """Whether the next place lies straight on."""
    axis = 0 if first[2] == last[2] else 1
    return first[2 - axis] == following[2 - axis]


def _how(panel: Panel, way: Way, members: tuple[tuple[int, float], ...] | None) -> How:
    if panel.back == "none":
        return "surface"
    if panel.back == "tiles":
        return "over tiles"
    if members == () or (members is None and way == "upright"):
        return "fish"
    return "bore" if panel.reached else "open and patch"


def _passed(joint: Joint, one: Panel, other: Panel, at: Array) -> Passed | None:
    if joint.crossed is None or (one.back == "none" and other.back == "none"):
        return None
    first, second = sorted((one, other), key=lambda panel: (not panel.is_upright, panel.face.name))
    faces = (first.face.name, second.face.name)
    if "none" in (one.back, other.back):
        return Passed(joint.crossed, faces, frozen(at), "surface")
    return Passed(joint.crossed, faces, frozen(at), "bore" if one.reached or other.reached else "open and patch")
