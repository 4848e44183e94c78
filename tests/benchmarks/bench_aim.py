"""Speed, memory and error of the best aims from very many positions. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_aim.py

Every figure is a ratio of medians taken in one run with the variants interleaved. The aims: 10 times faster than trying
every single, pair and triple of the seats (442 axes for 12 seats) in plain numpy, exact to a millionth of a degree, and
less than 100 MB beyond the output at 400,000 positions.
"""

from __future__ import annotations

import math
import statistics
import time
import tracemalloc
from collections.abc import Callable
from functools import partial
from itertools import combinations

import numpy as np

from earshed.model.aims import best_axes
from earshed.model.geometry import unit
from earshed.model.speaker_type import Aiming, Angled, Pivoting

SEATS = 12
PAIRS, TRIPLES = (np.array(list(combinations(range(SEATS), n))).T for n in (2, 3))
ENUMERATED = 500
"""Positions that plain enumeration takes at a time: all at once would not fit in memory."""


def ceiling(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Normals (N, 3) up to 40 degrees off straight down, and directions (N, S, 3) to three rows of four seats."""
    rng = np.random.default_rng(2051)
    places = rng.uniform([0, -6.6, 2.2], [4.2, 0, 3.4], (count, 3))
    across, back = np.meshgrid([0.9, 1.7, 2.5, 3.3], [-3.2, -4.2, -5.2])
    ears = np.column_stack([across.ravel(), back.ravel(), np.full(SEATS, 1.1)]) + rng.normal(0, 0.05, (SEATS, 3))
    lean, turn = rng.uniform(0, 0.7, count), rng.uniform(-math.pi, math.pi, count)
    normals = np.stack([np.sin(lean) * np.cos(turn), np.sin(lean) * np.sin(turn), -np.cos(lean)], axis=-1)
    return normals, ears - places[:, None]


def enumerated(aiming: Aiming, normals: np.ndarray, directions: np.ndarray) -> np.ndarray:
    """The worst angle (N,) of the best of all candidate axes, in the plainest numpy, some positions at a time."""
    parts = range(0, len(normals), ENUMERATED)
    return np.concatenate([
        enumerated_part(aiming, normals[start : start + ENUMERATED], directions[start : start + ENUMERATED])
        for start in parts
    ])  # fmt: skip


def enumerated_part(aiming: Aiming, normals: np.ndarray, directions: np.ndarray) -> np.ndarray:
    reach = aiming.angle if isinstance(aiming, Angled) else aiming.limit
    d, n = unit(directions), normals[:, None]
    first, second = d[:, PAIRS[0]], d[:, PAIRS[1]]
    lean = unit(d - np.sum(d * n, axis=-1, keepdims=True) * n)
    axes = [math.cos(reach) * n + math.sin(reach) * lean]
    split = first - second
    level = np.sum(split * n, axis=-1, keepdims=True)
    across = split - level * n
    swing = np.linalg.norm(across, axis=-1, keepdims=True)
    along = np.clip(-math.cos(reach) * level / (math.sin(reach) * swing), -1, 1)
    aside = np.sqrt(1 - along**2) * np.cross(n, across / swing)
    for side in (1, -1):
        axes.append(math.cos(reach) * n + math.sin(reach) * (along * across / swing + side * aside))
    if isinstance(aiming, Pivoting):
        a, b, c = (d[:, which] for which in TRIPLES)
        around = unit(np.cross(b - a, c - a))
        around *= np.sign(np.sum(around * n, axis=-1, keepdims=True))
        inner = np.concatenate([d, unit(first + second), around], axis=1)
        within = np.sum(inner * n, axis=-1, keepdims=True) >= math.cos(reach)
        axes.append(np.where(within, inner, axes[0][:, :1]))
    cosines = np.concatenate(axes, axis=1) @ d.swapaxes(1, 2)
    return np.arccos(np.clip(cosines.min(axis=2).max(axis=1), -1, 1))


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def compare_with_enumeration(count: int) -> None:
    normals, directions = ceiling(count)
    print(f"{count:,} positions x {SEATS} seats, medians of 5 interleaved runs")
    for aiming in (Angled(math.radians(25)), Pivoting(math.radians(25))):
        fast, slow = partial(best_axes, aiming, normals, directions), partial(enumerated, aiming, normals, directions)
        apart = np.degrees(np.abs(fast().worst - slow()).max())
        rounds = [(seconds(fast), seconds(slow)) for _ in range(5)]
        quick, plain = (statistics.median(times) for times in zip(*rounds, strict=True))
        print(
            f"  {type(aiming).__name__:9} best_axes {quick * 1e3:7.1f} ms   enumeration {plain * 1e3:8.1f} ms", end=""
        )
        print(f"   ratio {plain / quick:5.1f}  (aim 10; largest difference {apart:.1e} degrees)")


def growth() -> None:
    print("growth with the number of positions, pivoting")
    for count in (5_000, 20_000, 100_000, 400_000):
        work = partial(best_axes, Pivoting(math.radians(25)), *ceiling(count))
        took = statistics.median(seconds(work) for _ in range(3))
        tracemalloc.start()
        aims = work()
        peak = tracemalloc.get_traced_memory()[1] - aims.axes.nbytes - aims.worst.nbytes
        tracemalloc.stop()
        print(
            f"  {count:9,} positions  {took / count * 1e6:6.2f} us a position  {peak / 1e6:6.1f} MB beyond the output"
        )


if __name__ == "__main__":
    compare_with_enumeration(20_000)
    growth()
