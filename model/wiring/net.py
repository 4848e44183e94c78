"""The net of all lines of a room, and the cheapest ways through it."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.wiring.joints import Joint
from earshed.model.wiring.lines import MERGED, lay_lines
from earshed.model.wiring.panel import Panel
from earshed.model.wiring.spec import CableEnd
from earshed.model.wiring.weave import Node, Spot, Weave

NEARLY = 1.5
"""Walls up to so many times as far as the nearest one may hold the plate of what stands in the room."""


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
    """The net on some panels that reaches some ends, the first of which is the rack."""
    at: dict[int, list[tuple[int, Array]]] = {}
    for number, end in enumerate(ends):
        at[number] = [*_on_panels(end, panels)] or [*_plates(end, panels)]
    lines = lay_lines(panels, joints, [spot for spots in at.values() for spot in spots])
    made = Weave(panels, lines, ends[0].position)
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
                made.link(end_node(number), node, length, length)
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
