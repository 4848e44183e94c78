"""What is asked of a search: for which speaker, with which types, on which faces, for whom, under what conditions."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, get_args

import numpy as np

from earshed.model.fixture import Fixture
from earshed.model.framing import Direction, runs_along
from earshed.model.geometry import Array, unit
from earshed.model.hole import Hole, HoleShape, hole_shape
from earshed.model.scene import Scene
from earshed.model.search.known import Known
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Angled, Fixed, Pivoting, Rectangular, SpeakerType
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.window import Window

STEP = INCH / 2
"""Metres between the places that are tried on a face."""
WAYS: tuple[Direction, ...] = ("up-slope", "level")
"""Ways in which the long side of a rectangular hole is tried."""
Preferred = Literal["angle", "evenness", "level"]
PREFERRED: tuple[Preferred, ...] = get_args(Preferred)
"""What tells places of one verdict apart: the worst off-axis angle, how far the level spreads from seat to seat, or how
loud it is where it is softest."""
PLAINEST = (Fixed, Angled, Pivoting)
"""Ways of aiming, in the order in which they are taken where they serve as well."""


@dataclass(frozen=True, eq=False)
class Offer:
    """A type that may be used, and for a rectangular hole the way that its long side lies."""

    type: SpeakerType
    way: Direction | None = None

    @cached_property
    def takes_up(self) -> Hashable:
        """All that says where it fits; what takes up the same fits in the same places."""
        kind = self.type
        turns = kind.clamps is not None and isinstance(kind.aiming, Angled)
        return kind.cutout, kind.rim, kind.bezel, kind.clamps, turns, kind.mounting_depth, kind.depth_from, self.way

    def long_axis(self, face: Surface) -> Array | None:
        return runs_along(self.way, face.normal) if self.way else None

    def shape(self, face: Surface, ahead: Array) -> HoleShape:
        """What it takes up round the origin of a face's coordinates, `ahead` (2,) the plan way to the screen; feet of
        clamps that turn with a lean count all round, since where they land is not known before it is aimed."""
        return hole_shape(self.type, face, np.zeros(2), ahead, long_axis=self.long_axis(face))


@dataclass(frozen=True, eq=False)
class Line:
    """A plan line to be in line with: through `point` (2,) along `run` (2,), and what it is named after."""

    name: str
    point: Array
    run: Array

    def off(self, xy: Array) -> Array:
        """Metres (...) of plan points (..., 2) from it."""
        aside = np.array([-self.run[1], self.run[0]])
        off: Array = np.abs((xy - self.point) @ aside)
        return off


@dataclass(frozen=True, eq=False)
class Mirror:
    """The upright plane through `point` (2,) along `run` (2,) on the plan, in which partners mirror each other."""

    point: Array
    run: Array

    @property
    def aside(self) -> Array:
        """Unit direction (2,) square to it, to the left of its run."""
        return np.array([-self.run[1], self.run[0]])

    def left_of(self, points: Array) -> Array:
        """Metres (...) of points (..., 2 or 3) to the left of its run."""
        off: Array = (points[..., :2] - self.point) @ self.aside
        return off

    def image(self, points: Array) -> Array:
        """Points (..., 2 or 3) on the other side of it."""
        image = points.copy()
        image[..., :2] -= 2 * self.left_of(points)[..., None] * self.aside
        return image


@dataclass(frozen=True, eq=False)
class Ask:
    """One speaker to be placed.

    `others` are holes that stay where they are; `partner` is the speaker to match, by being heard as its mirror image
    or by being that in the plane `mirror`. With `only_holes` it goes into a hole that is there already. `lines` are
    alternatives, in line with any of which it is to be, within `align_within` metres. Places that are as good but for
    their angle are told apart by what is `preferred`. `relaxed` names conditions that
    are not asked: groups of obstacles, single things by name, "clamps",
    "tolerance", "depth", "azimuth", "elevation", "partner", "alignment".
    """

    scene: Scene
    speaker: Speaker
    offers: tuple[Offer, ...]
    seats: tuple[Seat, ...]
    faces: tuple[Surface, ...]
    window: Window | None = None
    others: tuple[Hole, ...] = ()
    partner: Speaker | None = None
    mirror: Mirror | None = None
    lines: tuple[Line, ...] = ()
    align_within: float = INCH / 2
    only_holes: bool = False
    preferred: Preferred = "angle"
    relaxed: frozenset[str] = frozenset()
    known: Known = field(default_factory=Known, repr=False)
    """Shared by all asks of a scene, whatever they relax."""

    @property
    def cuts(self) -> bool:
        """Whether a new hole may be cut."""
        return not self.only_holes or "new hole" in self.relaxed

    @property
    def ears(self) -> Array:
        """Ears (S, 3) of the seats that it is to serve."""
        return np.array([seat.ear for seat in self.seats])

    @property
    def hanging(self) -> tuple[Fixture, ...]:
        """Fixtures that hang in the room and are not given up."""
        if "fixtures" in self.relaxed:
            return ()
        there = (one for one in self.scene.fixtures if one.name not in self.relaxed)
        return tuple(one for one in there if one.hanging is not None)


def offers_of(types: Iterable[SpeakerType], mount: str) -> tuple[Offer, ...]:
    """The types of a mount that have a coverage, each way that a rectangular one can lie: those first that need the
    least aiming, then by name, so that the order in which they are listed counts for nothing."""
    fitting = [kind for kind in types if kind.mount == mount and kind.coverage is not None]
    fitting.sort(key=lambda kind: (PLAINEST.index(type(kind.aiming)), kind.name))
    return tuple(
        Offer(kind, way)
        for kind in fitting
        for way in (WAYS if isinstance(kind.cutout or kind.rim, Rectangular) else (None,))
    )


def faces_for(scene: Scene, speaker: Speaker) -> tuple[Surface, ...]:
    """The faces that a speaker may be cut into: for one in the ceiling all that look down, else its own wall."""
    if speaker.type.mount == "in-ceiling":
        return tuple(face for face in (*scene.room.surfaces, *scene.room.soffits) if face.kind in ("ceiling", "soffit"))
    return (speaker.surface,) if speaker.surface is not None else ()


def picture_mirror(scene: Scene) -> Mirror:
    """The plane through the middle of the picture, square to its wall; without one, through the middle of the room."""
    if scene.screen is None:
        return room_mirror(scene)
    return Mirror(scene.screen.center[:2], unit(np.append(scene.ahead, 0.0))[:2])


def room_mirror(scene: Scene) -> Mirror:
    """The plane through the middle of the room's plan, front to back as the seats face."""
    plan = scene.room.plan
    return Mirror(np.array([plan.width, -plan.length]) / 2, unit(np.append(scene.ahead, 0.0))[:2])


def lines_through(names: Sequence[tuple[str, Array]]) -> tuple[Line, ...]:
    """For each named plan point (2,), the lines through it along and across the room."""
    ways = (np.array([1.0, 0.0]), np.array([0.0, 1.0]))
    return tuple(Line(name, point, way) for name, point in names for way in ways)
