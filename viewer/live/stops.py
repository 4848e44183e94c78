"""From where the live room is seen: the places of every page with a room, every main seat, and the section."""

from __future__ import annotations

from typing import Any

from earshed.model.scene import Scene
from earshed.model.seating import main_seats, upright_seats
from earshed.model.section import section_of
from earshed.viewer.pages.stops import numbers, seat_stop, stops_of

MOST_SEATS = 4
"""Main seats with a button of their own."""


def live_stops(scene: Scene) -> list[dict[str, Any]]:
    """The corner first, then the plan, the ceiling, the section, and the first main seats."""
    stops = {stop["id"]: stop for stop in stops_of(scene, "corner")}
    seats = [seat_stop(scene, seat) for seat in upright_seats(main_seats(scene.seats))[:MOST_SEATS]]
    return [stops["corner"], stops["plan"], stops["ceiling"], _section(scene), *seats]


def _section(scene: Scene) -> dict[str, Any]:
    """The room from the cut on; what is nearer is left out."""
    section = section_of(scene)
    normal = numbers(section.way)
    behind = float(section.way @ section.origin)
    cut = {"normal": normal, "constant": -behind}
    return {"id": "section", "name": "Section", "kind": "outside", "way": numbers(-section.way), "cut": cut}
