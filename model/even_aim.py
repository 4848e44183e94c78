"""The aim that makes a speaker most even from seat to seat: off the near ones, so that angle makes up for distance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from earshed.model.aim import best_axis, worst_off_axis
from earshed.model.aim_cells import Bounded, Cap, Chart, Rim, least
from earshed.model.geometry import Array, angle_between, frozen
from earshed.model.remedy import directions_to
from earshed.model.seating import Seat
from earshed.model.sound.served import compared
from earshed.model.sound.speech import Speech
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import ON_THE_LIMIT, Angled, Fixed, Pivoting

EVEN_ENOUGH = 0.05
"""dB to which the least spread is found, and again dB that an axis may spread more that serves the worst seat better;
together the last figure that is printed."""
ANGLE_ENOUGH = np.radians(0.1)
"""Radians to which the worst angle of that axis is the least."""


def most_even(speaker: Speaker, seats: Sequence[Seat]) -> Speaker | None:
    """A speaker turned so that its speech band spreads least over some seats, no seat being past its coverage limit.

    Within 0.1 dB of the least that there is, the axis with the least worst off-axis angle. None for a fixed type, for
    fewer than two seats to compare, where one is past the limit whatever the aim, and where an ear is in the speaker.
    """
    directions, ways = directions_to(speaker, seats), directions_to(speaker, compared(seats))
    if isinstance(speaker.type.aiming, Fixed) or len(ways) < 2 or len(directions) < len(seats):
        return None
    start = best_axis(speaker.type.aiming, speaker.normal, directions)
    limit = speaker.coverage.limit + ON_THE_LIMIT
    if worst_off_axis(start, directions) > limit:
        return None
    chart, worst = _chart(speaker), _worst(directions)
    spreads = _spreads(Speech(speaker.type, speaker.normal, speaker.long_axis, ways[None]))
    axis, even = least(chart, spreads, _over(worst, limit), start, EVEN_ENOUGH)
    uneven = _over(spreads, even + EVEN_ENOUGH)
    if uneven(start[None], 0.0)[0] <= 0:
        return replace(speaker, axis=frozen(start))
    axis, _ = least(chart, worst, uneven, axis, ANGLE_ENOUGH)
    return replace(speaker, axis=frozen(axis))


def _chart(speaker: Speaker) -> Chart:
    match speaker.type.aiming:
        case Angled(angle):
            return Rim(speaker.normal, angle)
        case Pivoting(limit):
            return Cap(speaker.normal, limit)
        case Fixed():
            raise ValueError(f"{speaker.name} is fixed")


def _spreads(speech: Speech) -> Bounded:
    """How far, dB, the loudest ear is over the softest."""

    def bounded(axes: Array, radius: float) -> tuple[Array, Array]:
        low, high = speech.bounds(axes[None], radius)
        least_apart = low[0].max(axis=0) - high[0].min(axis=0)
        return speech.spreads(axes[None])[0], np.maximum(least_apart, 0.0)

    return bounded


def _worst(directions: Array) -> Bounded:
    """The largest off-axis angle, radians, over directions (S, 3)."""

    def bounded(axes: Array, radius: float) -> tuple[Array, Array]:
        angles = angle_between(axes[:, None], directions).max(axis=1)
        return angles, angles - radius

    return bounded


def _over(cost: Bounded, most: float) -> Bounded:
    """By how much something is over the most that it may be."""

    def bounded(axes: Array, radius: float) -> tuple[Array, Array]:
        here, low = cost(axes, radius)
        return here - most, low - most

    return bounded
