"""What an offer's hole is to keep away from, and where that keeps its middle out."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.behind_board import hidden_before
from earshed.model.clear_area import blocked_area
from earshed.model.obstacle import Obstacle
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.known import kept
from earshed.model.speaker_type import Angled
from earshed.model.surface import Surface
from earshed.model.surroundings import obstacles_on

WANTED = frozenset({"tolerance", "clamps"})
"""Conditions that are part of every distance, and not things in the way."""


def obstacles_for(ask: Ask, face: Surface, offer: Offer) -> list[Obstacle]:
    """What an offer's hole is to keep away from, with tolerances; what is relaxed is left out."""
    every = _obstacles(ask, face, offer)
    return [one for one in every if one.group not in ask.relaxed and one.name not in ask.relaxed]


def areas_by_group(ask: Ask, face: Surface, offer: Offer) -> Mapping[str, BaseGeometry]:
    """Where each group of obstacles keeps the middle of an offer's hole out, in the face's coordinates."""
    names: dict[str, list[str]] = {}
    for one in _obstacles(ask, face, offer):
        names.setdefault(one.group, []).append(one.name)
    return {
        group: _group_area(ask, face, offer, group, frozenset(ask.relaxed.intersection(names[group])))
        for group in names
        if group not in ask.relaxed
    }


def _key(ask: Ask, face: Surface, offer: Offer) -> tuple[Hashable, ...]:
    """All that obstacles depend on, but for what is left out of them."""
    return face.name, ask.others, offer.takes_up, ask.relaxed & WANTED


def _obstacles(ask: Ask, face: Surface, offer: Offer) -> tuple[Obstacle, ...]:
    def work() -> tuple[Obstacle, ...]:
        scene, given_up = ask.scene, ask.relaxed & WANTED
        there = kept(ask.known.on_face, (face.name, ask.others), lambda: obstacles_on(scene, face, ask.others))
        needed = offer.type.depth_behind(scene.cavity(face).board)
        every = (*there, *(() if needed is None else hidden_before(scene, face, needed)))
        return tuple(_as_kept(one, scene.clearances.tolerance, offer, given_up) for one in every)

    return kept(ask.known.obstacles, _key(ask, face, offer), work)


def _areas(ask: Ask, face: Surface, offer: Offer) -> tuple[tuple[Obstacle, BaseGeometry], ...]:
    """Every obstacle with where it keeps the middle out."""

    def work() -> tuple[tuple[Obstacle, BaseGeometry], ...]:
        shape = offer.shape(face, ask.scene.ahead)
        return tuple((one, blocked_area(one, shape)) for one in _obstacles(ask, face, offer))

    return kept(ask.known.areas, _key(ask, face, offer), work)


def _group_area(ask: Ask, face: Surface, offer: Offer, group: str, without: frozenset[str]) -> BaseGeometry:
    def work() -> BaseGeometry:
        every = _areas(ask, face, offer)
        return shapely.union_all([area for one, area in every if one.group == group and one.name not in without])

    return kept(ask.known.groups, (*_key(ask, face, offer), group, without), work)


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
