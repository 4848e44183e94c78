"""The net of all lines of a room, and the cheapest ways through it."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import TOUCHING, Array
from earshed.model.wiring.joints import Joint
from earshed.model.wiring.lines import MERGED, Lines, lay_lines
from earshed.model.wiring.panel import ASSUMED_SPACING, Panel
from earshed.model.wiring.spec import CableEnd

BORED, PATCHED = 0.5, 3.0
"""Metres of cable that one would rather run than bore a member that a drill reaches, or open and patch one."""
PLATE_BORED, PLATE_PATCHED = 1.0, 3.0
"""The same for what stands between two faces."""
OUT = 1.0
"""The same for a hole where a cable comes out to lie on a face."""
ON_SURFACE = 20.0
"""Times as far that one would rather go than lie on a face in sight."""
TURN = 0.3
"""Metres that one would rather run than turn off square on a face, so that ways are plain ones."""
LOOSE = 4.0
"""Times as far that one would rather go than lead a cable through the room, from a plate in a wall to what it feeds."""
PAST_HIDDEN = 100.0
"""Times as far that one would rather go than past what was found behind the board. All of these are our own choice."""
NEARLY = 1.5
"""Walls up to so many times as far as the nearest one may hold the plate of what stands in the room."""
UNIT = 1e-6
"""Metres in which costs are counted, so that sums are exact."""

Spot = tuple[int, float, float]
"""A panel by its number and a place in its grid; an end has panel -1 and its own number."""
Node = tuple[int, float, float, int]
"""A place as one comes to it: along the members (0) or across them (1)."""


@dataclass(frozen=True, eq=False)
class Net:
    """Places and the ways between them: cost and length in whole UNITs. `ends` are those it was made for."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    ways: Mapping[Node, list[tuple[Node, int, int]]]
    crossings: Mapping[tuple[Spot, Spot], Joint]
    ends: tuple[CableEnd, ...]

    def point(self, spot: Spot) -> Array:
        """The point (3,) of a place."""
        if spot[0] < 0:
            return self.ends[int(spot[1])].position
        return self.panels[spot[0]].to_room(np.array(spot[1:]))

    def from_end(self, end: int) -> Tree:
        """The cheapest ways from an end to everywhere (E. W. Dijkstra, 1959), of equally cheap ones the shortest.

        No way goes through another end, which may stand in the middle of the room.
        """
        source = end_node(end)
        best: dict[Node, tuple[int, int]] = {source: (0, 0)}
        before: dict[Node, Node] = {}
        queue: list[tuple[int, int, Node]] = [(0, 0, source)]
        done: set[Node] = set()
        while queue:
            cost, length, node = heapq.heappop(queue)
            if node in done:
                continue
            done.add(node)
            if node[0] < 0 and node != source:
                continue
            for other, more, further in self.ways.get(node, ()):
                reached = (cost + more, length + further)
                if other not in best or reached < best[other]:
                    best[other], before[other] = reached, node
                    heapq.heappush(queue, (*reached, other))
        return Tree(source, best, before)


@dataclass(frozen=True, eq=False)
class Tree:
    """The cheapest ways from one place to all others."""

    source: Node
    best: Mapping[Node, tuple[int, int]]
    before: Mapping[Node, Node]

    def way_back(self, end: int) -> list[Spot] | None:
        """The places from an end back to the source; None where there is no way."""
        node = end_node(end)
        if node not in self.best:
            return None
        way = [node[:3]]
        while node != self.source:
            node = self.before[node]
            if node[:3] != way[-1]:
                way.append(node[:3])
        return way


def end_node(end: int) -> Node:
    """The place of an end by its number."""
    return -1, float(end), 0.0, 0


def build_net(panels: Sequence[Panel], joints: Sequence[Joint], ends: Sequence[CableEnd]) -> Net:
    """The net on some panels that reaches some ends."""
    at: dict[int, list[tuple[int, Array]]] = {}
    for number, end in enumerate(ends):
        at[number] = [*_on_panels(end, panels)] or [*_plates(end, panels)]
    lines = lay_lines(panels, joints, [spot for spots in at.values() for spot in spots])
    made = _Making(panels, lines)
    made.find_ports(joints)
    for index in range(len(panels)):
        made.run(index)
    made.turn()
    made.join()
    for number, end in enumerate(ends):
        for index, place in at[number]:
            away = np.abs(panels[index].to_room(place) - end.position)
            length = float(np.hypot(*away[:2]) + away[2])
            length = length if length > MERGED else 0.0
            for node in made.nodes_at(made.spot(index, place)):
                made.link(end_node(number), node, LOOSE * length, length)
    return Net(tuple(panels), tuple(joints), made.ways, made.crossings, tuple(ends))


def _on_panels(end: CableEnd, panels: Sequence[Panel]) -> Iterator[tuple[int, Array]]:
    """The panel that an end is on, with its place in the grid."""
    for number, panel in enumerate(panels):
        if end.surface is not None and panel.face.name == end.surface.name and panel.holds(end.position):
            yield number, panel.to_grid(end.position)
            return


def _plates(end: CableEnd, panels: Sequence[Panel]) -> list[tuple[int, Array]]:
    """Places in the walls nearest to an end in the room, or over it, where its cable may come out."""
    height = end.position[2] if end.plate is None else min(end.plate, end.position[2])
    found = []
    for number, panel in enumerate(panels):
        if panel.face.kind == "wall":
            spot = panel.to_grid(np.array([*end.position[:2], height]))
        elif panel.face.kind in ("ceiling", "soffit") and end.may_hang:
            spot = panel.to_grid(panel.face.over(end.position[:2]))
        else:
            continue
        away = float(np.linalg.norm(panel.to_room(spot) - end.position))
        is_free = not any(np.all(spot > b[:2] + TOUCHING) and np.all(spot < b[2:] - TOUCHING) for b in panel.blocked)
        if is_free and panel.outline.distance(shapely.Point(spot)) < MERGED:
            found.append((away, number, spot))
    least = min((away for away, *_ in found), default=0.0)
    return [(number, spot) for away, number, spot in found if away <= NEARLY * least + MERGED]


class _Making:
    """A net while it is made."""

    def __init__(self, panels: Sequence[Panel], lines: Sequence[Lines]) -> None:
        self.panels, self.lines = panels, lines
        self.ways: dict[Node, list[tuple[Node, int, int]]] = {}
        self.crossings: dict[tuple[Spot, Spot], Joint] = {}
        self.ports: dict[int, list[Spot]] = {}

    def spot(self, index: int, place: Array) -> Spot:
        """A place (2,) of a panel's grid, on the lines that it is within a hair of."""
        lines = self.lines[index]
        return index, _snapped(float(place[0]), lines.across), _snapped(float(place[1]), lines.along)

    def nodes_at(self, spot: Spot) -> list[Node]:
        """A place as one comes to it along the lines through it."""
        return [node for axis in (0, 1) if (node := (*spot, axis)) in self.ways]

    def link(self, one: Node, other: Node, cost: float, length: float) -> None:
        paid, long = round(cost / UNIT), round(length / UNIT)
        self.ways.setdefault(one, []).append((other, paid, long))
        self.ways.setdefault(other, []).append((one, paid, long))

    def find_ports(self, joints: Sequence[Joint]) -> None:
        """Finds the places at which lines of two panels meet on an edge that they share."""
        for joint in joints:
            one, other = self.panels[joint.first], self.panels[joint.second]
            points = np.concatenate([
                self.lines[joint.first].ports(one, joint.edge), self.lines[joint.second].ports(other, joint.edge)
            ])  # fmt: skip
            for here, there in zip(one.to_grid(points), other.to_grid(points), strict=True):
                first, second = self.spot(joint.first, here), self.spot(joint.second, there)
                if (first, second) not in self.crossings and self._on_line(first) and self._on_line(second):
                    self.crossings[first, second] = self.crossings[second, first] = joint
                    self.ports.setdefault(joint.first, []).append(first)
                    self.ports.setdefault(joint.second, []).append(second)

    def join(self) -> None:
        """Links them, once the lines are there. Over an edge one turns anyway, so a turn there is free."""
        for (first, second), joint in self.crossings.items():
            if first[0] == joint.first:
                price = _price(joint, self.panels[joint.first], self.panels[joint.second])
                for here in self.nodes_at(first):
                    for there in self.nodes_at(second):
                        self.link(here, there, price, 0.0)

    def turn(self) -> None:
        """Links the two ways in which one comes to a place where lines cross."""
        for node in [node for node in self.ways if node[3] == 0]:
            other = (*node[:3], 1)
            if other in self.ways:
                self.link(node, other, TURN, 0.0)

    def _on_line(self, spot: Spot) -> bool:
        index, along, across = spot
        return bool(np.any(self.lines[index].across == along) or np.any(self.lines[index].along == across))

    def run(self, index: int) -> None:
        """Links the places along every line of a panel."""
        panel, lines = self.panels[index], self.lines[index]
        ports = np.reshape([spot[1:] for spot in self.ports.get(index, ())], (-1, 2))
        low_a, low_b, high_a, high_b = panel.outline.bounds
        for axis, values, others in ((1, lines.across, lines.along), (0, lines.along, lines.across)):
            fixed = 1 - axis
            for value in values:
                stops = np.unique(np.concatenate([others, ports[ports[:, fixed] == value, axis]]))
                ends = (
                    [(value, low_b - 1), (value, high_b + 1)]
                    if axis == 1
                    else [(low_a - 1, value), (high_a + 1, value)]
                )
                line = shapely.LineString(ends)
                for start, stop in _free(panel, line, axis, float(value), stops):
                    spots = np.full((2, 2), value)
                    spots[:, axis] = start, stop
                    cost = _cost(panel, axis, spots, line)
                    one, other = ((index, float(a), float(b), axis) for a, b in spots)
                    self.link(one, other, cost, stop - start)


def _snapped(value: float, values: Array) -> float:
    if not len(values):
        return value
    nearest = float(values[np.abs(values - value).argmin()])
    return nearest if abs(nearest - value) <= 3 * MERGED else value


def _free(
    panel: Panel, line: shapely.LineString, axis: int, value: float, stops: Array
) -> Iterator[tuple[float, float]]:
    """The stretches between stops of a line (along an axis, at a value of the other) that a cable may take."""
    inside = _spans(line.intersection(panel.outline.buffer(2 * MERGED)), axis)
    barred = [
        (rect[axis], rect[axis + 2])
        for rect in panel.blocked
        if rect[1 - axis] + TOUCHING < value < rect[3 - axis] - TOUCHING
    ]
    if axis == 0 and panel.members is not None:
        barred += [(one.low, one.high) for one in panel.members if abs(one.at - value) < one.thickness / 2 - TOUCHING]
    for low, high in inside:
        within = stops[(stops >= low - MERGED) & (stops <= high + MERGED)]
        for start, stop in pairwise(within):
            if not any(stop > low_bar + TOUCHING and start < high_bar - TOUCHING for low_bar, high_bar in barred):
                yield float(start), float(stop)


def _spans(shape: BaseGeometry, axis: int) -> list[tuple[float, float]]:
    found = []
    for part in shapely.get_parts(shape):
        if part.length > 0:
            values = shapely.get_coordinates(part)[:, axis]
            found.append((float(values.min()), float(values.max())))
    return found


def _cost(panel: Panel, axis: int, spots: Array, line: shapely.LineString) -> float:
    """Metres of cable that a stretch (2, 2) of a line is worth."""
    length = float(np.abs(spots[1] - spots[0]).sum())
    hidden = 0.0
    for shape in panel.hidden_shapes:
        for low, high in _spans(shape.intersection(line), axis):
            hidden += max(0.0, min(high, float(spots[1, axis])) - max(low, float(spots[0, axis])))
    if panel.back == "none":
        return ON_SURFACE * length
    if panel.back == "tiles":
        return length + PAST_HIDDEN * hidden
    each = BORED if panel.reached else PATCHED
    crossed = panel.crossed(spots[0], spots[1])
    if crossed is not None:
        members = float(len(crossed))
    else:
        members = 0.0 if panel.is_upright and axis == 0 else length / ASSUMED_SPACING
    return length + each * members + PAST_HIDDEN * hidden


def _price(joint: Joint, one: Panel, other: Panel) -> float:
    """What passing an edge is worth."""
    if (one.back == "none") != (other.back == "none"):
        return OUT
    if joint.crossed is None or one.back == "none":
        return 0.0
    return PLATE_BORED if one.reached or other.reached else PLATE_PATCHED
