"""Links the places of all lines into ways, with what each costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.wiring.joints import Joint
from earshed.model.wiring.lines import MERGED, Lines
from earshed.model.wiring.panel import Panel
from earshed.model.wiring.prices import TURN, dearer, edge_price, spans, stretch_cost

UNIT = 1e-6
"""Metres in which costs are counted, so that sums are exact."""

Spot = tuple[int, float, float]
"""A panel by its number and a place in its grid; an end has panel -1 and its own number."""
Node = tuple[int, float, float, int]
"""A place as one comes to it: along the members (0) or across them (1)."""


class Weave:
    """The ways of a net while it is made: along lines, round turns, over edges; `rack` (3,) is where most end."""

    def __init__(self, panels: Sequence[Panel], lines: Sequence[Lines], rack: Array) -> None:
        self.panels, self.lines, self.rack = panels, lines, rack
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
                one, other = self.panels[joint.first], self.panels[joint.second]
                times = dearer(one.to_room(np.array(first[1:])), self.rack)
                price = edge_price(joint, one, other, times)
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
                    cost = stretch_cost(panel, axis, spots, line, self.rack)
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
    inside = spans(line.intersection(panel.outline.buffer(2 * MERGED)), axis)
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
