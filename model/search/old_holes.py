"""Which types the holes that are there already would take, and what has to be done to them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.clear_area import gap_of, wanted_of
from earshed.model.cut_fit import covers, laps, wider
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import ExistingHole
from earshed.model.hole import Hole, HoleShape
from earshed.model.obstacle import Obstacle
from earshed.model.old_cut import nothing_to_saw, takes_in
from earshed.model.scene import Scene
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.ground import deep_enough
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.search.known import kept
from earshed.model.surface import Surface


@dataclass(frozen=True, eq=False)
class Fit:
    """How an offer goes into a hole that is there: `why_not` in words, None where it does; `larger` is how many metres
    across the hole has to be cut wider, 0 where it is as it should be."""

    hole: ExistingHole
    offer: Offer
    why_not: str | None
    larger: float = 0.0

    @property
    def fits(self) -> bool:
        return self.why_not is None


def fit(ask: Ask, hole: ExistingHole, offer: Offer) -> Fit:
    """Whether a hole takes an offer: the new cut-out no smaller, its bezel lapping the board all round, board for its
    clamps, depth behind it, and nothing in the way of cutting it wider."""
    key = (hole.name, ask.others, offer.takes_up, ask.relaxed, ask.only_holes)
    return Fit(hole, offer, *kept(ask.known.fits, key, lambda: _fit(ask, hole, offer)))


def _fit(ask: Ask, hole: ExistingHole, offer: Offer) -> tuple[str | None, float]:
    """Why it does not, if so, and how many metres wider the hole has to be cut."""
    shape = shape_in(hole, offer, ask.scene.ahead)
    if not covers(shape.cut, hole.shape):
        return "its cut-out is smaller than the hole", 0.0
    if offer.type.bezel is not None and not laps(shape.rim, shape.cut, hole.shape):
        return "its bezel does not lap the board all round", 0.0
    if not deep_enough(ask, hole.surface, offer):
        return "the board or the cavity behind it does not take it", 0.0
    if ask.scene.room.board(hole.surface).intersection(shape.cut.outline).area < shape.cut.outline.area - TOUCHING:
        return "it would cut past the edge of its face", 0.0
    larger = wider(shape.cut, hole.shape)
    for obstacle in obstacles_for(ask, hole.surface, offer):
        if obstacle.name == hole.name and obstacle.group == "old holes":
            continue
        if found := _in_the_way(ask, obstacle if larger else nothing_to_saw(obstacle), shape):
            return found, 0.0
    return None, larger


def _in_the_way(ask: Ask, obstacle: Obstacle, shape: HoleShape) -> str | None:
    """What of an obstacle keeps a hole from being cut or filled, in words; None where nothing does. Where only holes
    that are there will do, a distance that is short is put up with, as long as nothing meets."""
    for level in obstacle.levels:
        gap, wanted = gap_of(level, shape), wanted_of(level, shape)
        if gap >= wanted + (0.0 if ask.only_holes else level.within) - TOUCHING:
            continue
        if level.part == "clamps":
            return f"no board for its clamps beside {obstacle.name}"
        if level.rule == "rims-meet" or (level.rule == "near-edge" and gap < -TOUCHING):
            return f"its bezel would lie over {obstacle.name}"
        if level.severity == "error" or not ask.only_holes:
            return f"cut for it, the hole would come too near to {obstacle.name}"
    return None


def fits_of(ask: Ask) -> list[Fit]:
    """How each offer goes into each hole on the faces of an ask, holes outermost, both in their order."""
    faces = [face.name for face in ask.faces]
    holes = [hole for hole in ask.scene.existing_holes if hole.surface.name in faces]
    return [fit(ask, hole, offer) for hole in holes for offer in ask.offers]


def hole_at(scene: Scene, face: Surface, point: Array) -> ExistingHole | None:
    """The hole that is there already with its middle at a point (3,) of a face."""
    here = (hole for hole in scene.existing_holes if hole.surface.name == face.name)
    return next((hole for hole in here if float(np.linalg.norm(hole.position - point)) < TOUCHING), None)


def patches(scene: Scene, holes: Iterable[Hole]) -> list[ExistingHole]:
    """The holes that are there already and that no speaker's hole takes in, which are left to patch."""
    holes = list(holes)
    return [old for old in scene.existing_holes if not any(takes_in(hole, old) for hole in holes)]


def shape_in(hole: ExistingHole, offer: Offer, ahead: Array) -> HoleShape:
    """What an offer takes up in the middle of a hole; `ahead` (2,) is the plan way to the screen."""
    middle = hole.surface.to_face(hole.position)
    shape = offer.shape(hole.surface, ahead)
    clamps = tuple(_moved(foot, middle) for foot in shape.clamps)
    return HoleShape(_moved(shape.cut, middle), _moved(shape.rim, middle), clamps)


def _moved(shape: FaceShape, by: Array) -> FaceShape:
    core = shapely.transform(shape.core, lambda uv: uv + by)
    return FaceShape(core, shape.radius)
