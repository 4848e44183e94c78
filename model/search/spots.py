"""Places that are tried for a speaker, and what each is worth, all at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.aims import Aims, best_axes
from earshed.model.geometry import Array
from earshed.model.listener import Listener
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.sight_lines import behind_furniture, chopped_seats, hidden_seats
from earshed.model.sound.level import Drive, axis_level
from earshed.model.sound.served import compared
from earshed.model.sound.speech import Speech
from earshed.model.speaker_type import ON_THE_LIMIT, Coverage
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.window import even

SAME_PLACE = 2 * INCH
"""Metres on the plan within which a place is the mirror image of another. Common practice, no source."""
BLOCK = 20_000
"""Places that are worked on between two looks at the clock."""
WORST_DIGITS = 8
"""Digits of radians to which worst angles are told apart."""
LEVEL_STEP = 0.1
"""Steps, dB, in which places are told apart by level or evenness, as they are printed; what is less leaves it to the
angle."""
OFF_STEP = math.radians(5)
"""Steps in which places outside their window are told apart: less than one decides over no angle at the seats. Common
practice, no source."""


@dataclass(frozen=True, eq=False)
class Spots:
    """N places with an offer each, and what they are worth.

    `points` (N, 3) in metres, `faces` and `offers` (N,) index those of the ask; `off` (N,) is how far past the window
    of the channel, radians, 0 within it; `uneven` (N,) whether it fails to mirror the partner; `blocked` (N,) how many
    of the seats it does not see, `chopped` (N,) how many it sees only past blades or a shade; `verdict` (N,) 0 covered,
    1 fringe, 2 outside for the seat served worst, at `worst` (N,) radians off axis. `wanting` (N,) is dB that count
    before that angle, the less the better: the spread, or the softest level less than none; 0 where the angle decides.
    """

    points: Array
    faces: NDArray[np.intp]
    offers: NDArray[np.intp]
    off: Array
    uneven: NDArray[np.bool_]
    blocked: NDArray[np.intp]
    chopped: NDArray[np.intp]
    verdict: NDArray[np.intp]
    worst: Array
    wanting: Array

    def __len__(self) -> int:
        return len(self.points)

    def take(self, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> Spots:
        return Spots(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))

    @property
    def keys(self) -> tuple[NDArray[Any], ...]:
        """What counts (N,), first to last: seats that it does not see, then how far outside the window, then whether it
        is a mirror image of the partner, then seats seen past blades, then the verdict of the seat served worst, then
        steps of what is preferred, then the angle of that seat. Angles that differ by a millionth of a degree or so are
        equal.
        """
        return (
            self.blocked,
            steps_off(self.off),
            self.uneven,
            self.chopped,
            self.verdict,
            LEVEL_STEP * np.rint(self.wanting / LEVEL_STEP),
            np.round(self.worst, WORST_DIGITS),
        )

    @property
    def order(self) -> NDArray[np.intp]:
        """Indices (N,), the best first by `keys`; where all is equal, by the type that is offered first, then by place,
        so that no order of lists counts."""
        x, y, z = self.points.T
        order: NDArray[np.intp] = np.lexsort((z, y, x, self.offers, *reversed(self.keys)))
        return order

    @property
    def rank(self) -> tuple[float, ...]:
        """What the best place is worth, by `keys`, the smaller the better; of no places, past all others."""
        if len(self) == 0:
            return (math.inf,)
        best = self.take(self.order[:1])
        return tuple(float(key[0]) for key in best.keys)


def steps_off(off: ArrayLike) -> NDArray[np.intp]:
    """How many steps (...) outside a window, for radians (...) outside it; 0 within, 1 up to the first step."""
    steps: NDArray[np.intp] = np.ceil(np.asarray(off) / OFF_STEP - 1e-9).astype(np.intp)
    return np.where(np.asarray(off) > 0.0, np.maximum(steps, 1), 0)


def no_spots() -> Spots:
    none, flags = np.zeros(0), np.zeros(0, dtype=bool)
    index = np.zeros(0, dtype=np.intp)
    return Spots(np.zeros((0, 3)), index, index, none, flags, index, index, index, none, none)


def joined(parts: Sequence[Spots]) -> Spots:
    """All places of several in one."""
    if not parts:
        return no_spots()
    return Spots(*(np.concatenate([getattr(part, name) for part in parts]) for name in Spots.__dataclass_fields__))


def judge(ask: Ask, listener: Listener, face: Surface, points: Array, fits: NDArray[np.bool_]) -> Iterator[Spots]:
    """What places (N, 3) on one face are worth with each of the offers that fit there (N, O), a block at a time."""
    for spots, _ in judge_each(ask, listener, face, points, fits):
        yield spots


def judge_each(
    ask: Ask, listener: Listener, face: Surface, points: Array, fits: NDArray[np.bool_]
) -> Iterator[tuple[Spots, NDArray[np.intp]]]:
    """As `judge`, with which of the block's places (M,) each is of."""
    number = next(index for index, one in enumerate(ask.faces) if one is face)
    for start in range(0, len(points), BLOCK):
        part = slice(start, start + BLOCK)
        yield _judge_block(ask, listener, face, number, points[part], fits[part])


def best_each(spots: Spots, place: NDArray[np.intp]) -> NDArray[np.intp]:
    """Indices of the best of each place, where `place` (N,) tells which are of one place, each offer there once."""
    best = np.full(int(place.max(initial=-1)) + 1, -1)
    for offer in range(int(spots.offers.max(initial=-1)) + 1):
        mine = np.flatnonzero(spots.offers == offer)
        held = best[place[mine]]
        better = held < 0
        better[~better] = _better(spots.take(mine[~better]), spots.take(held[~better]))
        best[place[mine[better]]] = mine[better]
    return np.sort(best[best >= 0])


def _better(one: Spots, other: Spots) -> NDArray[np.bool_]:
    """Which places (N,) come before others (N,)."""
    better = np.zeros(len(one), dtype=bool)
    for mine, theirs in zip(reversed(one.keys), reversed(other.keys), strict=True):
        better = (mine < theirs) | ((mine == theirs) & better)
    return better


def _judge_block(
    ask: Ask, listener: Listener, face: Surface, number: int, points: Array, fits: NDArray[np.bool_]
) -> tuple[Spots, NDArray[np.intp]]:
    ways = ask.ears - points[:, None]
    off, uneven = off_window(ask, listener, points), unmatched(ask, listener, points)
    hidden = hidden_seats(points, ask.ears, ask.scene.room) | behind_furniture(points, ask.seats, ask.scene)
    past = chopped_seats(points, ask.ears, ask.hanging) & ~hidden
    blocked, chopped = hidden.sum(axis=1), past.sum(axis=1)
    best: dict[object, Aims] = {}
    found, places = [], []
    for index, offer in enumerate(ask.offers):
        mine = np.flatnonzero(fits[:, index])
        if len(mine) == 0:
            continue
        if offer.type.aiming not in best:
            some = np.flatnonzero(fits[:, [one.type.aiming == offer.type.aiming for one in ask.offers]].any(axis=1))
            aims = best_axes(offer.type.aiming, face.normal, ways[some])
            axes, worst = np.full((len(points), 3), np.nan), np.full(len(points), np.nan)
            axes[some], worst[some] = aims.axes, aims.worst
            best[offer.type.aiming] = Aims(axes, worst)
        aims = best[offer.type.aiming]
        angle = aims.worst[mine]
        indices = (np.full(len(mine), number), np.full(len(mine), index))
        verdict = _verdicts(offer, angle)
        seen = (blocked[mine], chopped[mine])
        wanting = _wanting(ask, offer, face, points[mine], aims.axes[mine])
        found.append(Spots(points[mine], *indices, off[mine], uneven[mine], *seen, verdict, angle, wanting))
        places.append(mine)
    return joined(found), np.concatenate([np.zeros(0, dtype=np.intp), *places])


def _wanting(ask: Ask, offer: Offer, face: Surface, points: Array, axes: Array) -> Array:
    """What counts (N,), dB, before the worst angle, of an offer at places (N, 3) of a face with unit axes (N, 3): those
    of the least worst angle, whichever where there are several."""
    if ask.preferred == "angle":
        return np.zeros(len(points))
    ways = np.array([seat.ear for seat in compared(ask.seats)]) - points[:, None]
    speech = Speech(offer.type, face.normal, offer.long_axis(face), ways)
    if ask.preferred == "evenness":
        return speech.spreads(axes[:, None])[:, 0]
    softest: Array = axis_level(offer.type, Drive()) + speech.levels(axes[:, None])[..., 0].min(axis=1)
    return -softest


def off_window(ask: Ask, listener: Listener, points: Array) -> Array:
    """How far past its window (N,), radians, a speaker at places (N, 3) is heard; what is relaxed is not asked."""
    if ask.window is None:
        return np.zeros(len(points))
    azimuth, elevation = listener.directions_to(points)
    past = [np.zeros(len(points))]
    if "azimuth" not in ask.relaxed:
        past.append(ask.window.off_azimuth(azimuth, elevation))
    if "elevation" not in ask.relaxed:
        past.append(ask.window.off_elevation(elevation))
    inside = ask.window.contains(azimuth, elevation)
    off = np.sqrt(np.sum(np.square(past), axis=0))
    outside: Array = np.where(inside, 0.0, off)
    return outside


def unmatched(ask: Ask, listener: Listener, points: Array) -> NDArray[np.bool_]:
    """Which places (N, 3) do not match the partner: neither heard as its mirror image, nor that on the plan."""
    if ask.partner is None or "partner" in ask.relaxed or ask.speaker.channel is None:
        return np.zeros(len(points), dtype=bool)
    nominal = np.radians(ask.speaker.channel.azimuth_deg or 0)
    here = np.stack(listener.directions_to(points), axis=-1)
    there = np.array(listener.sees(ask.partner.position))
    matched = even(here, there, nominal)
    if ask.mirror is not None:
        image = ask.mirror.image(ask.partner.position)
        matched |= np.linalg.norm((points - image)[:, :2], axis=1) <= SAME_PLACE
    return ~matched


def _verdicts(offer: Offer, worst: Array) -> NDArray[np.intp]:
    coverage = offer.type.coverage
    assert coverage is not None
    return verdict_numbers(coverage, worst)


def verdict_numbers(coverage: Coverage, off_axis: Array) -> NDArray[np.intp]:
    """0 covered, 1 fringe, 2 outside, for off-axis angles (N,) in radians."""
    past = (off_axis > coverage.covered_limit + ON_THE_LIMIT).astype(np.intp)
    numbers: NDArray[np.intp] = past + (off_axis > coverage.limit + ON_THE_LIMIT)
    return numbers
