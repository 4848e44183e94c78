"""Where on a face an offer can be cut, how good it is there, and why not elsewhere: each point has one answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.obstacle import Group
from earshed.model.search.ask import STEP, Ask
from earshed.model.search.grading import Grade, graded, twin_grades
from earshed.model.search.ground import why_not
from earshed.model.search.pair_search import PairSearch, image_area
from earshed.model.search.place import Place
from earshed.model.search.search import Search
from earshed.model.surface import Surface

Reason = Literal["depth", Group, "alignment", "new hole", "mirror"]
REASONS: tuple[Reason, ...] = (
    "depth", "edges", "framing", "hidden", "openings", "boxes", "screen", "fixtures", "old holes", "speakers",
    "alignment", "new hole", "mirror",
)  # fmt: skip
"""Why a hole cannot be, those first that can least be helped; where several hold, the first one counts.

"depth" takes a whole face, "new hole" is for asks that keep to the holes that are there, "mirror" for partners.
"""
DUST = 1e-9
"""Square metres that are none."""


@dataclass(frozen=True, eq=False)
class Feasibility:
    """A face in parts that do not overlap, in its coordinates: `why_not` by reason, and by grade where a hole `can` be.

    They are about the middle of the hole. A hole that is there already and takes the offer is a place too, though its
    own distance keeps new ones away.
    """

    face: Surface
    why_not: Mapping[Reason, BaseGeometry]
    can: Mapping[Grade, BaseGeometry]

    @property
    def parts(self) -> dict[Reason | Grade, BaseGeometry]:
        """All that are there, but for what is left by rounding."""
        named: list[tuple[Reason | Grade, BaseGeometry]] = [*self.why_not.items(), *self.can.items()]
        return {name: area for name, area in named if area.area > DUST}


def feasibility(search: Search, face: Surface, offer: int, step: float = STEP) -> Feasibility:
    """A face for one speaker with one of its ask's offers; `step` (metres) is of the grid on which it is graded."""
    reasons, clear = _reasons(search, face, offer)
    return Feasibility(face, reasons, graded(search, face, offer, clear, step))


def pair_feasibility(search: PairSearch, face: Surface, offer: int, step: float = STEP) -> Feasibility:
    """A face for the first of two partners, where the second can be cut too, graded by the worse of the two."""
    reasons, clear = _reasons(search.searches[0], face, offer)
    both = clear.intersection(image_area(search, face, offer))
    grades, near = twin_grades(search, face, offer, both, step)
    alone = shapely.union_all([clear.difference(both), near])
    return Feasibility(face, {**reasons, "mirror": alone}, grades)


def _reasons(search: Search, face: Surface, offer: int) -> tuple[dict[Reason, BaseGeometry], BaseGeometry]:
    """Parts of a face by the first reason that holds there, and the rest, where a hole can be."""
    ask = search.ask
    clear = search.grounds.on(face, offer).clear
    areas: dict[str, BaseGeometry] = dict(why_not(ask, face, ask.offers[offer]))
    taken = shapely.union_all(list(areas.values()))
    if ask.lines and "depth" not in areas:
        areas["alignment"] = face.outline.difference(shapely.union(taken, clear))
    if ask.only_holes:
        areas["new hole"], clear = clear, shapely.Polygon()
    return in_order(areas), clear


def in_order(areas: Mapping[str, BaseGeometry]) -> dict[Reason, BaseGeometry]:
    """Areas by reason, each less those of the reasons that come before it."""
    parts: dict[Reason, BaseGeometry] = {}
    taken: BaseGeometry = shapely.Polygon()
    for reason in REASONS:
        if reason in areas:
            parts[reason] = areas[reason].difference(taken)
            taken = shapely.union(taken, areas[reason])
    return parts


def as_met(ask: Ask, place: Place) -> Ask:
    """An ask without its window or its partner where its best place fails them, so that grades tell the rest apart."""
    given_up = {"azimuth", "elevation"} if place.off > 0.0 else set()
    given_up |= {"partner"} if place.matched is False else set()
    return replace(ask, relaxed=ask.relaxed | given_up)
