"""What each seat gets from each speaker, exactly, seat by seat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from earshed.model.coverage import channel_groups, off_axis
from earshed.model.furniture import furniture
from earshed.model.geometry import FRONT, PARALLEL, Array
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.sight import obstacle_between
from earshed.model.sound.counting import that_counts
from earshed.model.sound.level import Drive, heard
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict


@dataclass(frozen=True)
class Pair:
    """One seat and one speaker: distance in metres, angles in radians.

    `azimuth` is the bearing in plan from the seat to the speaker, zero towards the middle of the picture (straight
    ahead where there is none), positive to the left, in (-pi, pi]; `elevation` from level at the ear (the senses of
    Rec. ITU-R BS.2051-3, section 3). `obstacle` names what stands in the way, None where the view is free.
    """

    seat: Seat
    speaker: Speaker
    distance: float
    off_axis: float
    azimuth: float
    elevation: float
    verdict: Verdict
    obstacle: str | None

    @property
    def visible(self) -> bool:
        return self.obstacle is None

    @cached_property
    def level(self) -> float:
        """dB of the direct sound at the volts that sensitivities are for, a mean over the bands of speech."""
        return heard(self.speaker, self.seat, Drive()).speech

    def between(self, seat: Seat, speaker: Speaker) -> Pair:
        """The same of a seat and a speaker that are as these are, in a later scene."""
        later = replace(self, seat=seat, speaker=speaker)
        if "level" in vars(self):
            vars(later)["level"] = self.level
        return later


def seat_pairs(scene: Scene) -> list[Pair]:
    """Every seat with every speaker that coverage is asked of, seats outermost, both in the scene's order."""
    return [pair(scene, seat, speaker) for seat in scene.seats for speaker in scene.judged]


def seat_pairs_after(scene: Scene, before: Sequence[Pair]) -> list[Pair]:
    """The `seat_pairs` of a scene that is other than one, whose pairs are `before`, in its speakers alone: those of
    speakers that stayed as they were are taken over."""
    known = {(one.seat.name, one.speaker.name): one for one in before}
    found = []
    for seat in scene.seats:
        for speaker in scene.judged:
            was = known.get((seat.name, speaker.name))
            stays = was is not None and _stays(was.speaker, speaker)
            found.append(was.between(seat, speaker) if was is not None and stays else pair(scene, seat, speaker))
    return found


def _stays(one: Speaker, other: Speaker) -> bool:
    where = ((each.position, each.normal, each.axis) for each in (one, other))
    return one.type == other.type and all(np.array_equal(then, now) for then, now in zip(*where, strict=True))


def pair(scene: Scene, seat: Seat, speaker: Speaker) -> Pair:
    """What one seat gets from one speaker. Raises ValueError for a speaker without a coverage angle."""
    angle = float(off_axis(seat.ear, speaker.position, speaker.axis))
    way = speaker.position - seat.ear
    azimuth, elevation = direction_from_seat(scene, seat, speaker.position)
    return Pair(
        seat,
        speaker,
        distance=float(np.linalg.norm(way)),
        off_axis=angle,
        azimuth=azimuth,
        elevation=elevation,
        verdict=speaker.coverage.verdict(angle),
        obstacle=obstacle_between(seat.ear, speaker.position, scene.room, furniture(scene, seat)),
    )


def direction_from_seat(scene: Scene, seat: Seat, point: Array) -> tuple[float, float]:
    """Azimuth and elevation (radians) of a point (3,) from a seat's ear; azimuth 0 where it is straight above."""
    way = point - seat.ear
    ahead = scene.screen.center - seat.ear if scene.screen else FRONT
    level = math.hypot(way[0], way[1])
    elevation = math.atan2(way[2], level)
    if level < PARALLEL or math.hypot(ahead[0], ahead[1]) < PARALLEL:
        return 0.0, elevation
    turn = math.atan2(ahead[0] * way[1] - ahead[1] * way[0], ahead[0] * way[0] + ahead[1] * way[1])
    return (math.pi if turn == -math.pi else turn), elevation


def best_of_seats(pairs: Sequence[Pair]) -> list[Pair]:
    """For each seat, in order, the pairs that count: one per signal."""
    seats = dict.fromkeys(pair.seat for pair in pairs)
    return [best for seat in seats for best in best_pairs([pair for pair in pairs if pair.seat is seat])]


def best_pairs(pairs: Sequence[Pair]) -> list[Pair]:
    """Of the pairs of one seat, the one that counts per signal: the loudest, or the first of those as loud."""
    groups = channel_groups([pair.speaker for pair in pairs])
    return [_that_counts([pairs[number] for number in group]) for group in groups]


def _that_counts(pairs: Sequence[Pair]) -> Pair:
    if len(pairs) == 1:
        return pairs[0]
    said = [(pair.level, pair.distance, math.degrees(pair.off_axis), pair.visible) for pair in pairs]
    return pairs[int(that_counts(*zip(*said, strict=True)))]
