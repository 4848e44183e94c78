"""Finds the route of every run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from earshed.model.scene import Scene
from earshed.model.wiring.joints import joints_between
from earshed.model.wiring.legs import Route, legs_by_points, legs_through
from earshed.model.wiring.net import Net, Tree, build_net
from earshed.model.wiring.panel import owner_of
from earshed.model.wiring.panels import panels_of
from earshed.model.wiring.pulls import Pull
from earshed.model.wiring.spec import CableEnd, Wiring


def find_routes(scene: Scene, wiring: Wiring, pulls: Sequence[Pull]) -> list[Route | None]:
    """The route of each run, in their order; None where there is no way. Needs a rack.

    One net serves them all, and one search from the rack all that end there.
    """
    assert wiring.rack is not None
    ends: list[CableEnd] = [wiring.rack]
    passed: list[list[int]] = []
    for pull in pulls:
        points = [pull.end, *wiring.ways.get(pull.name, ())]
        numbers = [*range(len(ends), len(ends) + len(points))]
        ends += points
        if pull.start is not None:
            numbers.append(len(ends))
            ends.append(pull.start)
        else:
            numbers.append(0)
        passed.append(numbers)
    panels = panels_of(scene, wiring, ends)
    net = build_net(panels, joints_between(panels), ends)
    trees: dict[int, Tree] = {}
    return [_route(net, numbers, trees) for numbers in passed]


def _route(net: Net, numbers: Sequence[int], trees: dict[int, Tree]) -> Route | None:
    if len(numbers) > 2:
        given = legs_by_points(net, numbers)
        return None if given is None else Route(tuple(given), True)
    far, near = numbers
    if near not in trees:
        trees[near] = net.from_end(near)
    way = trees[near].way_back(far)
    return None if way is None else Route(tuple(legs_through(net, way)))


def faces_used(routes: Sequence[Route | None]) -> Mapping[str, bool]:
    """Names of the faces that routes run behind, in their order, each with whether the scene says how it is reached;
    sides by what they belong to."""
    return {
        owner_of(leg.panel.face): leg.panel.access_stated
        for route in routes
        if route is not None
        for leg in route.legs
        if leg.panel is not None and leg.panel.back == "cavity"
    }
