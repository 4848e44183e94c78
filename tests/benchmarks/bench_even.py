"""Speed and error of the level spread over seats, and of the most even aim. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_even.py

Every figure is a ratio of medians taken in one run with the variants interleaved. Aims: the spread of the speech band
for 20,000 positions, 200 aims and 12 seats at least 12 times as fast as plain double precision with interpolation, good
to 0.01 dB; of 40,000 axes none more even than the most even aim by more than 0.1 dB.
"""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np

from earshed.model.aim import AtSeats
from earshed.model.even_aim import most_even
from earshed.model.geometry import Array, angle_between
from earshed.model.seating import Seat
from earshed.model.sound.of_type import directivity_of
from earshed.model.sound.speech import SPEECH, Speech
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Coverage, Pivoting, SpeakerType

POSITIONS, AIMS, SEATS, REACH, RUNS = 20_000, 200, 12, math.radians(25), 3
PLAIN = 200
"""Positions that the plain way takes, from which the rest is reckoned: all at once would not fit in memory."""
BLOCK = 50
"""Positions worked on together: their arrays stay in the cache."""
KIND = SpeakerType("pivot", "in-ceiling", Pivoting(REACH), Coverage(math.radians(120), 4000.0))
DOWN = np.array([0.0, 0.0, -1.0])
DEGREES = np.radians(np.arange(181.0))


def aims(count: int, reach: float = REACH) -> Array:
    """Axes (N, 3) spread evenly over what is in reach, by the golden angle."""
    number = np.arange(count)
    down = 1 - (1 - math.cos(reach)) * (number + 0.5) / count
    turn = number * math.pi * (3 - math.sqrt(5))
    level = np.sqrt(1 - down**2)
    return np.stack([level * np.cos(turn), level * np.sin(turn), -down], axis=-1)


def ways(count: int) -> Array:
    """Ways (N, S, 3) from places on a ceiling to three rows of four seats."""
    rng = np.random.default_rng(2051)
    places = rng.uniform([0, -6.6, 2.6], [4.2, 0, 2.6], (count, 3))
    across, back = np.meshgrid([0.9, 1.7, 2.5, 3.3], [-3.2, -4.2, -5.2])
    ears = np.column_stack([across.ravel(), back.ravel(), np.full(SEATS, 1.1)])
    return ears - places[:, None]


def plain(axes: Array, ways: Array) -> Array:
    """Spreads (N, A) by broadcasting in double precision: arc cosines, and each band between whole degrees."""
    levels = directivity_of(KIND).level_at(DEGREES)[:, SPEECH]
    distance = np.linalg.norm(ways, axis=-1)
    cosines = np.sum(axes[:, None] * (ways / distance[..., None])[:, None], axis=-1)
    angles = np.degrees(np.arccos(np.clip(cosines, -1, 1)))
    low = np.minimum(angles.astype(int), 179)
    level = levels[low] + (angles - low)[..., None] * (levels[low + 1] - levels[low])
    speech = 10 * np.log10(np.mean(10 ** (level / 10), axis=-1)) - 20 * np.log10(distance)[:, None]
    return np.ptp(speech, axis=-1)


def quick(axes: Array, ways: Array) -> Array:
    """The same in blocks by the tables of the search."""
    parts = range(0, len(ways), BLOCK)
    return np.concatenate(
        [Speech(KIND, DOWN, None, ways[start : start + BLOCK]).spreads(axes[None]) for start in parts]
    )


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def exhaustive() -> None:
    axes, there = aims(AIMS), ways(POSITIONS)
    few = there[:PLAIN]
    error = np.abs(quick(axes, few) - plain(axes, few)).max()
    rounds = [(seconds(partial(quick, axes, there)), seconds(partial(plain, axes, few))) for _ in range(RUNS)]
    fast, slow = (statistics.median(times) for times in zip(*rounds, strict=True))
    slow *= POSITIONS / PLAIN
    print(f"spread, {POSITIONS:,} positions x {AIMS} aims x {SEATS} seats: {fast:.2f} s, plain {slow:.1f} s", end="")
    print(f"   ratio {slow / fast:.1f} (aim 12; largest difference {error:.4f} dB)")


def one_aim() -> None:
    """The most even aim against a sphere of axes."""
    there, axes = ways(20), aims(40_000)
    speaker = Speaker("one", KIND, None, np.zeros(3), DOWN, DOWN, AtSeats(()), None)
    took, worse = [], []
    for each in there:
        seats = [Seat(f"s{number}", way) for number, way in enumerate(each)]
        took.append(seconds(partial(most_even, speaker, seats)))
        turned = most_even(speaker, seats)
        if turned is not None:
            allowed = angle_between(axes[:, None], each).max(axis=1) <= KIND.coverage.limit
            least = quick(axes, each[None])[0][allowed].min()
            worse.append(float(quick(turned.axis[None], each[None])[0, 0] - least))
    print(f"most even aim: {statistics.median(took) * 1e3:.1f} ms; over the least of {len(axes):,} axes by", end="")
    print(f" {max(worse):.3f} dB at the most (aim 0.1) in {len(worse)} of {len(there)} cases where all can be covered")


if __name__ == "__main__":
    exhaustive()
    one_aim()
