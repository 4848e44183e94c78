"""First places and types for the speakers of a layout: where to begin, not the best that a search would find."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from earshed.model.aim import AtSeats, Straight, best_axis
from earshed.model.channel import Channel
from earshed.model.coverage import VERDICTS
from earshed.model.geometry import Array, angle_between, frozen
from earshed.model.layout import Direction, Layout
from earshed.model.listener import Listener, listener_of
from earshed.model.placing import Placing, Spot
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Angled, Fixed, Pivoting, SpeakerType, Verdict
from earshed.model.surface import Surface
from earshed.model.taped import Taped, tape_to
from earshed.model.units import INCH

OVERHEAD_TYPES = ("flush 6 in", "pivot 6 in", "angled 6 in")
WALL_TYPES = ("wall 6 in", "wall 8 in")
"""Names of the types to choose from, in order of preference."""
INCH_MARK = INCH / 4
METRIC_MARK = 0.005
"""Metres to which places are rounded. Common practice, no source."""
FRONT_MOST = math.radians(45)
"""Azimuth up to which a speaker of ear height belongs beside the picture. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Served:
    """What the main seat that a speaker serves worst gets; the angle in radians."""

    seat: str
    off_axis: float
    verdict: Verdict


@dataclass(frozen=True, eq=False)
class Proposal:
    """One speaker where it might go, and how that is taped; azimuth and elevation (radians) as seen from the
    reference position."""

    direction: Direction
    speaker: Speaker
    taped: Taped
    azimuth: float
    elevation: float
    worst: Served

    @property
    def allowed(self) -> bool:
        """Whether it is heard from where its layout allows."""
        return self.direction.allows_azimuth(self.azimuth) and self.direction.allows_elevation(self.elevation)


@dataclass(frozen=True)
class LeftOut:
    """A channel for which the room has no place, and why."""

    channel: Channel
    reason: str


@dataclass(frozen=True, eq=False)
class Proposed:
    """What comes of a layout in a room."""

    proposals: tuple[Proposal, ...]
    left_out: tuple[LeftOut, ...]


def propose(scene: Scene, layout: Layout, types: Mapping[str, SpeakerType]) -> Proposed:
    """Speakers of a layout for a scene with seats in a rectangle, of `types` by their names.

    Front ones go on the screen's wall beside or below the picture, others of ear height on the wall from which they
    are to be heard, upper ones in the ceiling. A pair is of one type: the first that covers every main seat, else the
    one that serves the worst of them best.

    Raises ValueError for a scene without seats and for a plan that is no rectangle, KeyError for a type not in `types`.
    """
    if scene.room.plan.kind != "rectangle":
        raise ValueError("places are proposed for rectangles alone")
    listener = listener_of(scene)
    done: list[Proposal] = []
    left_out: list[LeftOut] = []
    for left in layout.directions:
        sides = tuple(dict.fromkeys((left, left.mirrored)))
        kinds = [types[name] for name in (OVERHEAD_TYPES if left.overhead else WALL_TYPES)]
        holes = tuple((other.speaker.position, _radius(other.speaker.type)) for other in done)
        radius, reach = max(map(_radius, kinds)), max(map(_reach, kinds))
        placing = Placing(listener, radius, reach, holes)
        placed = [(side, spot) for side, spot in zip(sides, _spots(placing, sides), strict=True) if spot]
        done += _speakers(listener, placed, kinds)
        left_out += [LeftOut(side.channel, _no_place(side)) for side in sides if side not in dict(placed)]
    return Proposed(tuple(done), tuple(left_out))


def _spots(placing: Placing, sides: tuple[Direction, ...]) -> tuple[Spot | None, ...]:
    """A place for each side: for both together in the allowed directions, else for each the nearest that is clear."""
    if sides[0].overhead:
        ceilings = placing.ceilings
        return placing.together(sides, ceilings) or tuple(placing.anywhere(side, ceilings) for side in sides)
    screen = placing.listener.scene.screen
    front = [face for face in placing.walls if face.name == (screen.wall.name if screen else "front wall")]
    if sides[0].azimuth == 0:
        return placing.together(sides, front) or tuple(placing.upright(sides[0], face) for face in front) or (None,)
    if sides[0].azimuth <= FRONT_MOST:
        beside = placing.together(sides, front)
        level = [placing.level(side, face) for face in front for side in sides]
        if beside or (level and all(level)):
            return beside or tuple(level)
    walls = placing.walls
    return placing.together(sides, walls) or tuple(placing.anywhere(side, walls) for side in sides)


def _radius(kind: SpeakerType) -> float:
    """Half of what shows of a type on its face, metres."""
    return kind.rim.across / 2


def _reach(kind: SpeakerType) -> float:
    """How far from square to its face (radians) the coverage limit of a type can be turned."""
    limit = kind.coverage.limit if kind.coverage else 0.0
    match kind.aiming:
        case Angled(angle=tilt) | Pivoting(limit=tilt):
            return limit + tilt
        case Fixed():
            return limit


def _no_place(side: Direction) -> str:
    if side.overhead:
        return "the ceiling has no place that clears its edges and the other speakers"
    if side.azimuth == 0:
        return "the screen's wall has no place straight above or below the middle that clears the picture and the edges"
    return "no wall has a place on its side that clears the edges, the picture and the other speakers"


def _speakers(
    listener: Listener, placed: Sequence[tuple[Direction, Spot]], kinds: Sequence[SpeakerType]
) -> list[Proposal]:
    """The speakers of a pair, or of a center, in their places, all of the one type that serves them best."""
    scene = listener.scene
    mark = INCH_MARK if scene.print_units == "ft-in" else METRIC_MARK
    taped = [tape_to(spot.point, spot.face, scene.room.plan, mark) for _, spot in placed]
    places = [(each.point(scene.room.plan), spot.face) for each, (_, spot) in zip(taped, placed, strict=True)]
    if not places:
        return []
    kind = min(kinds, key=lambda kind: _rank(kind, [_serve(scene, kind, *place)[1] for place in places]))
    proposals = []
    for (side, _), tape, place in zip(placed, taped, places, strict=True):
        speaker, worst = _serve(scene, kind, *place)
        called = replace(speaker, name=side.channel.words, channel=side.channel)
        proposals.append(Proposal(side, called, tape, *listener.sees(speaker.position), worst))
    return proposals


def _rank(kind: SpeakerType, worst: Sequence[Served]) -> tuple[int, bool, float]:
    """What decides between types, least first: the worst verdict, then to need no aiming where all are inside, then by
    how much the worst seat is past the limit or within it."""
    verdict = max(VERDICTS.index(served.verdict) for served in worst)
    beyond = max(served.off_axis for served in worst) - (kind.coverage.limit if kind.coverage else 0.0)
    return verdict, verdict < 2 and not isinstance(kind.aiming, Fixed), beyond


def _serve(scene: Scene, kind: SpeakerType, position: Array, face: Surface) -> tuple[Speaker, Served]:
    """A speaker of a type in a place (3,) on a face, aimed at the main seats if it can aim, and its worst main seat."""
    main = main_seats(scene.seats)
    ways = np.array([seat.ear - position for seat in main])
    aim = Straight() if isinstance(kind.aiming, Fixed) else AtSeats(tuple(seat.name for seat in main))
    axis = best_axis(kind.aiming, face.normal, ways)
    off_axis = angle_between(axis, ways)
    worst = int(np.argmax(off_axis))
    speaker = Speaker(kind.name, kind, None, frozen(position), face.normal, frozen(axis), aim, face)
    angle = float(off_axis[worst])
    return speaker, Served(main[worst].name, angle, speaker.coverage.verdict(angle))
