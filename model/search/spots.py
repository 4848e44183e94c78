"""Places that are tried for a speaker, and what each is worth, all at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from earshed.model.aims import best_axes
from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array
from earshed.model.listener import Listener
from earshed.model.search.ask import Ask, Offer
from earshed.model.speaker_type import ON_THE_LIMIT, Coverage
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.window import even

SAME_PLACE = 2 * INCH
"""Metres on the plan within which a place is the mirror image of another. Common practice, no source."""
BLOCK = 20_000
"""Places that are worked on between two looks at the clock."""


@dataclass(frozen=True, eq=False)
class Spots:
    """N places with an offer each, and what they are worth.

    `points` (N, 3) in metres, `faces` and `offers` (N,) index those of the ask; `off` (N,) is how far past the window
    of the channel, radians, 0 within it; `uneven` (N,) whether it fails to mirror the partner; `blocked` (N,) how many
    of the seats it does not see; `verdict` (N,) 0 covered, 1 fringe, 2 outside for the seat served worst, at `worst`
    (N,) radians off axis.
    """

    points: Array
    faces: NDArray[np.intp]
    offers: NDArray[np.intp]
    off: Array
    uneven: NDArray[np.bool_]
    blocked: NDArray[np.intp]
    verdict: NDArray[np.intp]
    worst: Array

    def __len__(self) -> int:
        return len(self.points)

    def take(self, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> Spots:
        return Spots(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))

    @property
    def order(self) -> NDArray[np.intp]:
        """Indices (N,), the best first: in the window, then a mirror image of the partner, then by what is seen, the
        verdict and the angle of the seat served worst; where all is equal, by place, so that no order of lists counts.
        """
        x, y, z = self.points.T
        keys = (z, y, x, self.worst, self.verdict, self.blocked, self.uneven, np.round(self.off, 6))
        order: NDArray[np.intp] = np.lexsort(keys)
        return order


def no_spots() -> Spots:
    none, flags = np.zeros(0), np.zeros(0, dtype=bool)
    index = np.zeros(0, dtype=np.intp)
    return Spots(np.zeros((0, 3)), index, index, none, flags, index, index, none)


def joined(parts: Sequence[Spots]) -> Spots:
    """All places of several in one."""
    if not parts:
        return no_spots()
    return Spots(*(np.concatenate([getattr(part, name) for part in parts]) for name in Spots.__dataclass_fields__))


def judge(ask: Ask, listener: Listener, face: Surface, points: Array, fits: NDArray[np.bool_]) -> Iterator[Spots]:
    """What places (N, 3) on one face are worth with each of the offers that fit there (N, O), a block at a time."""
    number = next(index for index, one in enumerate(ask.faces) if one is face)
    for start in range(0, len(points), BLOCK):
        part = slice(start, start + BLOCK)
        yield _judge_block(ask, listener, face, number, points[part], fits[part])


def _judge_block(
    ask: Ask, listener: Listener, face: Surface, number: int, points: Array, fits: NDArray[np.bool_]
) -> Spots:
    ways = ask.ears - points[:, None]
    off, uneven = off_window(ask, listener, points), unmatched(ask, listener, points)
    blocked = hidden_seats(points, ask.ears, ask.scene.room.boxes)
    worst: dict[object, Array] = {}
    found = []
    for index, offer in enumerate(ask.offers):
        mine = np.flatnonzero(fits[:, index])
        if len(mine) == 0:
            continue
        if offer.type.aiming not in worst:
            some = np.flatnonzero(fits[:, [one.type.aiming == offer.type.aiming for one in ask.offers]].any(axis=1))
            angles = np.full(len(points), np.nan)
            angles[some] = best_axes(offer.type.aiming, face.normal, ways[some]).worst
            worst[offer.type.aiming] = angles
        angle = worst[offer.type.aiming][mine]
        indices = (np.full(len(mine), number), np.full(len(mine), index))
        verdict = _verdicts(offer, angle)
        found.append(Spots(points[mine], *indices, off[mine], uneven[mine], blocked[mine], verdict, angle))
    return joined(found)


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


def hidden_seats(points: Array, ears: Array, blocks: Sequence[Block]) -> NDArray[np.intp]:
    """How many ears (S, 3) each of some points (N, 3) does not see past blocks, by where a line enters and leaves each.

    To run along a face, or up to one, is not to be blocked.
    """
    hidden = np.zeros((len(points), len(ears)), dtype=bool)
    for block in blocks:
        normals, offsets = block.planes
        away = offsets - points @ normals.T
        enter, leave = np.zeros(hidden.shape), np.ones(hidden.shape)
        misses = np.zeros(hidden.shape, dtype=bool)
        to_ears = ears @ normals.T
        for plane in range(len(normals)):
            start = away[:, plane][:, None]
            ahead = to_ears[:, plane] - (offsets[plane] - start)
            level = np.abs(ahead) < 1e-12
            misses |= level & (start < TOUCHING)
            at = start / np.where(level, 1.0, ahead)
            enter = np.where(~level & (ahead < 0), np.maximum(enter, at), enter)
            leave = np.where(~level & (ahead > 0), np.minimum(leave, at), leave)
        length = np.linalg.norm(ears - points[:, None], axis=-1)
        hidden |= ~misses & ((leave - enter) * length > TOUCHING)
    count: NDArray[np.intp] = hidden.sum(axis=1)
    return count
