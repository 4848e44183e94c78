"""What was worked out of a scene already, so that the asks that are made of it need not work it out again."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import TypeVar

from shapely.geometry.base import BaseGeometry

from earshed.model.obstacle import Obstacle

V = TypeVar("V")


@dataclass(frozen=True, eq=False)
class Known:
    """Of one scene, each by all that it depends on: what is on a face, what an offer keeps from there and where that
    keeps it out, one by one and by group, and how offers go into holes that are there (why not, how much wider)."""

    on_face: dict[Hashable, tuple[Obstacle, ...]] = field(default_factory=dict)
    obstacles: dict[Hashable, tuple[Obstacle, ...]] = field(default_factory=dict)
    areas: dict[Hashable, tuple[tuple[Obstacle, BaseGeometry], ...]] = field(default_factory=dict)
    groups: dict[Hashable, BaseGeometry] = field(default_factory=dict)
    fits: dict[Hashable, tuple[str | None, float]] = field(default_factory=dict)


def kept(found: dict[Hashable, V], key: Hashable, work: Callable[[], V]) -> V:
    """What was found by a key, worked out the first time."""
    if key not in found:
        found[key] = work()
    return found[key]
