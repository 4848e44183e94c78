"""What an offer's hole is to keep away from, and where that keeps its middle out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.behind_board import hidden_before
from earshed.model.clear_area import blocked_area
from earshed.model.hole import Hole
from earshed.model.obstacle import Obstacle
from earshed.model.scene import Scene
from earshed.model.search.ask import Ask, Offer
from earshed.model.speaker_type import Angled
from earshed.model.surface import Surface
from earshed.model.surroundings import obstacles_on

WANTED = frozenset({"tolerance", "clamps"})
"""Conditions that are part of every distance, and not things in the way."""


def obstacles_for(ask: Ask, face: Surface, offer: Offer) -> list[Obstacle]:
    """What an offer's hole is to keep away from, with tolerances; what is relaxed is left out."""
    every = _obstacles(ask.scene, face, ask.others, offer, ask.relaxed & WANTED)
    return [one for one in every if one.group not in ask.relaxed and one.name not in ask.relaxed]


def areas_by_group(ask: Ask, face: Surface, offer: Offer) -> Mapping[str, BaseGeometry]:
    """Where each group of obstacles keeps the middle of an offer's hole out, in the face's coordinates."""
    key = (ask.scene, face, ask.others, offer, ask.relaxed & WANTED)
    names: dict[str, list[str]] = {}
    for one in _obstacles(*key):
        names.setdefault(one.group, []).append(one.name)
    found = {}
    for group in names:
        if group in ask.relaxed:
            continue
        found[group] = _group_area(*key, group, frozenset(ask.relaxed.intersection(names[group])))
    return found


@lru_cache(maxsize=128)
def _obstacles(
    scene: Scene, face: Surface, others: tuple[Hole, ...], offer: Offer, given_up: frozenset[str]
) -> tuple[Obstacle, ...]:
    needed = offer.type.depth_behind(scene.cavity(face).board)
    before = () if needed is None else hidden_before(scene, face, needed)
    every = (*_on_face(scene, face, others), *before)
    return tuple(_as_kept(one, scene.clearances.tolerance, offer, given_up) for one in every)


@lru_cache(maxsize=128)
def _areas(
    scene: Scene, face: Surface, others: tuple[Hole, ...], offer: Offer, given_up: frozenset[str]
) -> tuple[tuple[Obstacle, BaseGeometry], ...]:
    """Every obstacle with where it keeps the middle out."""
    shape = offer.shape(face, scene.ahead)
    return tuple((one, blocked_area(one, shape)) for one in _obstacles(scene, face, others, offer, given_up))


@lru_cache(maxsize=512)
def _group_area(
    scene: Scene,
    face: Surface,
    others: tuple[Hole, ...],
    offer: Offer,
    given_up: frozenset[str],
    group: str,
    without: frozenset[str],
) -> BaseGeometry:
    every = _areas(scene, face, others, offer, given_up)
    return shapely.union_all([area for one, area in every if one.group == group and one.name not in without])


@lru_cache(maxsize=256)
def _on_face(scene: Scene, face: Surface, others: tuple[Hole, ...]) -> tuple[Obstacle, ...]:
    return obstacles_on(scene, face, others)


def _as_kept(obstacle: Obstacle, slack: float, offer: Offer, given_up: frozenset[str]) -> Obstacle:
    """An obstacle from which more is kept by what a tape and a saw leave, where it has no tolerance of its own; without
    tolerances, or what clamps want, where these are given up. Clamps that turn with a lean, not known yet, may reach to
    all sides."""
    clamps = offer.type.clamps if isinstance(offer.type.aiming, Angled) else None
    levels = []
    for level in obstacle.levels:
        if level.part == "clamps" and "clamps" in given_up:
            continue
        reach = clamps.reach if clamps is not None and level.part == "clamps" else None
        distance = level.distance if reach is None else reach
        within = 0.0 if "tolerance" in given_up else max(level.within, slack)
        levels.append(replace(level, distance=distance, within=within))
    return replace(obstacle, levels=tuple(levels))
