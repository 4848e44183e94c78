"""A place that a search found, as it would be built: on the marks of a tape, aimed, and with all that speaks for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from earshed.model.aim import AtSeats, Straight, best_axis
from earshed.model.checks.conflicts import conflict_with
from earshed.model.coverage import VERDICTS
from earshed.model.cut_fit import covers
from earshed.model.fixture import Fixture
from earshed.model.geometry import Array, frozen
from earshed.model.hole import hole_shape
from earshed.model.listener import Listener, listener_of
from earshed.model.moves import MARKS
from earshed.model.neighbors import Near, nearest_shown, wood_beside
from earshed.model.old_cut import nothing_to_saw
from earshed.model.pairs import Pair, pair
from earshed.model.scene import Scene
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.ground import Ground, Slide, is_clear, slides
from earshed.model.search.in_the_way import obstacles_for
from earshed.model.search.old_holes import Fit, fit, hole_at
from earshed.model.search.search import Grounds
from earshed.model.search.spots import off_window, steps_off, unmatched
from earshed.model.seating import Seat
from earshed.model.shadows import seating_shadows
from earshed.model.sight import meets_hanging
from earshed.model.sound.served import Served, served
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Fixed, Verdict
from earshed.model.surface import Surface
from earshed.model.surroundings import obstacles_on
from earshed.model.taped import tape_to
from earshed.model.window import uneven


@dataclass(frozen=True)
class Short:
    """A distance that is not kept: from what, what there is and what is wanted, metres."""

    name: str
    gap: float
    wanted: float


@dataclass(frozen=True, eq=False)
class Instead:
    """Another type that could go into the same place, and what the seat that it serves worst gets."""

    type: str
    worst: float
    verdict: Verdict


@dataclass(frozen=True, eq=False)
class Place:
    """One place for a speaker. Angles in radians: `azimuth` and `elevation` as heard from the reference position, `off`
    how far past its window.

    `matched` is None where there is no partner to match, and `uneven` by how much (azimuth, elevation) the two are
    heard apart from mirror images. `pairs` are with the seats that were asked for. `slides` is how far it can slide
    and stay clear; a hole that is there already cannot.
    """

    scene: Scene
    speaker: Speaker
    offer: Offer
    azimuth: float
    elevation: float
    off: float
    matched: bool | None
    uneven: tuple[float, float] | None
    pairs: tuple[Pair, ...]
    wood: tuple[Near, ...]
    nearest: Near | None
    slides: tuple[Slide, ...]
    instead: tuple[Instead, ...]
    fit: Fit | None = None
    """How it goes into the hole that is there already, if it does."""
    chopped: tuple[tuple[Seat, Fixture], ...] = ()
    """Seats that it sees past what hangs alone, each with that."""
    short: tuple[Short, ...] = ()
    """Distances that the hole that it goes into does not keep."""

    @property
    def worst(self) -> Pair:
        """Of the seat served worst."""
        return max(self.pairs, key=lambda one: one.off_axis)

    @cached_property
    def served(self) -> Served:
        """How loud and how even it is at the seats."""
        return served(self.scene, self.speaker, [one.seat for one in self.pairs])

    @cached_property
    def shadow(self) -> dict[str, float]:
        """Which share (0 to 1) of the seating area each thing hides from it, the most first."""
        return seating_shadows(self.scene, [self.speaker])[0]

    @property
    def is_good(self) -> bool:
        """Whether it is heard from where it should be and as its partner is, and reaches all the seats freely."""
        reaches = self.worst.verdict != "outside" and not self.blocked and not self.chopped
        return self.off == 0.0 and self.matched is not False and reaches

    def with_partner(self, partner: Speaker, listener: Listener, matched: bool) -> Place:
        """The same with a partner that was placed with it, whether it matches that or not."""
        return replace(self, matched=matched, uneven=_uneven(listener, self.speaker.position, partner))

    @property
    def blocked(self) -> list[Pair]:
        return [one for one in self.pairs if not one.visible]


def place_at(ask: Ask, grounds: Grounds, face: Surface, number: int, point: Array) -> Place:
    """The place at a point (3,) of a face with one of the ask's offers."""
    listener = listener_of(ask.scene)
    offer = ask.offers[number]
    ground = grounds.on(face, number)
    speaker = aimed(ask, offer, face, point)
    azimuth, elevation = listener.sees(point)
    wood, nearest = _near(ask, ground, speaker)
    in_hole = _fit(ask, offer, face, point)
    pairs = tuple(pair(ask.scene, seat, speaker) for seat in ask.seats)
    return Place(
        ask.scene,
        speaker,
        offer,
        azimuth,
        elevation,
        float(off_window(ask, listener, point[None])[0]),
        None if ask.partner is None else not unmatched(ask, listener, point[None])[0],
        None if ask.partner is None else _uneven(listener, point, ask.partner),
        pairs,
        wood,
        nearest,
        () if in_hole is not None else slides(ground, face.to_face(point)),
        tuple(_instead(ask, grounds, face, number, point)),
        in_hole,
        tuple(_past_hanging(ask, pairs)),
        () if in_hole is None else tuple(_short(ask, in_hole, speaker)),
    )


def _short(ask: Ask, in_hole: Fit, speaker: Speaker) -> Iterator[Short]:
    """The distances that a hole which is there already does not keep, one for each thing, as the checks would tell."""
    face, old = in_hole.hole.surface, in_hole.hole
    middle = face.to_face(speaker.position)
    offer = in_hole.offer
    shape = hole_shape(offer.type, face, middle, ask.scene.ahead, long_axis=speaker.long_axis, axis=speaker.axis)
    there = [one for one in obstacles_on(ask.scene, face, ask.others) if one.name != old.name]
    told: set[str] = set()
    for obstacle in map(nothing_to_saw, there) if in_hole.larger == 0.0 else there:
        conflict = conflict_with(obstacle, shape)
        if conflict is not None and conflict.is_certain and obstacle.name not in told:
            told.add(obstacle.name)
            yield Short(obstacle.name, conflict.gap, conflict.wanted)


def _past_hanging(ask: Ask, pairs: Sequence[Pair]) -> Iterator[tuple[Seat, Fixture]]:
    """Seats that are seen past blades or a shade alone, each with the first fixture that these are of."""
    for one in pairs:
        past = (each for each in ask.hanging if each.hanging is not None
                and meets_hanging(one.speaker.position, one.seat.ear, each.hanging))  # fmt: skip
        fixture = next(past, None)
        if one.visible and fixture is not None:
            yield one.seat, fixture


def best_on_tape(ask: Ask, grounds: Grounds, face: Surface, number: int, point: Array) -> Place:
    """The place at a point (3,) of a face moved to the marks of a tape, or at the point itself where that keeps to a
    limit and the marks beside it do not."""
    there = place_at(ask, grounds, face, number, point)
    moved = on_the_tape(ask, grounds.on(face, number), point)
    if np.array_equal(moved, point):
        return there
    taped = place_at(ask, grounds, face, number, moved)
    return taped if _grade(taped) <= _grade(there) else there


def _grade(place: Place) -> tuple[int, int, bool, int, int]:
    """All that ranks a place but for its angle."""
    verdict = VERDICTS.index(place.worst.verdict)
    steps = int(steps_off(place.off))
    return len(place.blocked), steps, place.matched is False, len(place.chopped), verdict


def _fit(ask: Ask, offer: Offer, face: Surface, point: Array) -> Fit | None:
    hole = hole_at(ask.scene, face, point)
    return fit(ask, hole, offer) if hole is not None else None


def _uneven(listener: Listener, point: Array, partner: Speaker) -> tuple[float, float]:
    """By how much a speaker at a point (3,) and its partner are heard apart from mirror images, radians."""
    aside, up = uneven(listener.sees(point), listener.sees(partner.position))
    return float(aside), float(up)


def aimed(ask: Ask, offer: Offer, face: Surface, point: Array) -> Speaker:
    """The ask's speaker as an offer at a point (3,) of a face, aimed at the seats as well as it can."""
    axis = best_axis(offer.type.aiming, face.normal, ask.ears - point)
    names = tuple(seat.name for seat in ask.seats)
    aim = Straight() if isinstance(offer.type.aiming, Fixed) else AtSeats(names)
    return replace(
        ask.speaker,
        type=offer.type,
        position=frozen(point),
        normal=face.normal,
        axis=frozen(axis),
        aim=aim,
        surface=face,
        long_axis=offer.long_axis(face),
    )


def on_the_tape(ask: Ask, ground: Ground, point: Array) -> Array:
    """A point (3,) of a face moved to the nearest marks of a tape, on the plan or along a wall and up it; where that is
    not clear, and in the middle of a hole that is there, as it was."""
    if hole_at(ask.scene, ground.face, point) is not None:
        return point
    face, plan = ground.face, ask.scene.room.plan
    moved = tape_to(point, face, plan, MARKS[ask.scene.print_units]).point(plan)
    return moved if is_clear(ground, face.to_face(moved)) else point


def _near(ask: Ask, ground: Ground, speaker: Speaker) -> tuple[tuple[Near, ...], Near | None]:
    """What its hole is near: wood, the two nearest members of each run; and the nearest of all that shows."""
    face, offer = ground.face, ground.offer
    middle = face.to_face(speaker.position)
    shape = hole_shape(offer.type, face, middle, ask.scene.ahead, long_axis=speaker.long_axis, axis=speaker.axis)
    holes = [old for old in ask.scene.existing_holes if old.surface.name == face.name]
    kept = [old.name for old in holes if covers(shape.cut, old.shape)]
    near = obstacles_for(ask, face, offer)
    shown = [one for one in near if not (one.group == "old holes" and one.name in kept)]
    return wood_beside(near, face, middle, shape), nearest_shown(shown, face, middle, shape.rim)


def _instead(ask: Ask, grounds: Grounds, face: Surface, number: int, point: Array) -> list[Instead]:
    """The other types that fit there, the best first, each once."""
    found: dict[str, Instead] = {}
    mine = ask.offers[number].type.name
    for index, offer in enumerate(ask.offers):
        if offer.type.name != mine and _may_go(ask, grounds.on(face, index), point):
            other = aimed(ask, offer, face, point)
            worst = max((pair(ask.scene, seat, other) for seat in ask.seats), key=lambda one: one.off_axis)
            here = Instead(offer.type.name, worst.off_axis, worst.verdict)
            found.setdefault(offer.type.name, here)
    return sorted(found.values(), key=lambda one: (VERDICTS.index(one.verdict), one.worst))


def _may_go(ask: Ask, ground: Ground, point: Array) -> bool:
    """Whether an offer may be cut at a point (3,) of its face, or goes into a hole that is there."""
    if ask.cuts and is_clear(ground, ground.face.to_face(point)):
        return True
    found = _fit(ask, ground.offer, ground.face, point)
    return found is not None and found.fits
