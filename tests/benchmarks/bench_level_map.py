"""Speed, memory and error of level maps. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_level_map.py

Every figure is a ratio of medians taken in one run with the variants interleaved. Aims: a full map of 11 speakers,
250 000 points and 8 bands at least 10 times as fast as plain double precision with interpolation; memory beyond the
result of at most 16 MB; one speaker that moved within 1/11 + 5 % of the full map.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np

from earshed.model.geometry import unit
from earshed.model.sound.level_map import Field, Source

SPEAKERS, POINTS, BANDS, RUNS = 11, 250_000, 8, 5
DEGREES = np.arange(181.0)


def plain(points, sources, levels):
    """Broadcasting in double precision: angles by arc cosine, levels between whole degrees."""
    total = np.zeros((len(points), BANDS))
    for source, table in zip(sources, levels, strict=True):
        ways = points - source.position
        far = np.linalg.norm(ways, axis=1)
        angle = np.degrees(np.arccos(np.clip(ways @ source.axis / far, -1, 1)))
        low = np.minimum(angle.astype(int), 179)
        level = table[low] + (angle - low)[:, None] * (table[low + 1] - table[low])
        total += 10 ** (level / 10) / far[:, None] ** 2
    return total


def full(points, sources):
    return Field(points).power(sources)


def moved(field, source, others):
    """One speaker anew over what all others give, the points laid out already."""
    total = others.copy()
    field.add(total, [source])
    return total


def timed(call, *arguments):
    start = time.perf_counter()
    result = call(*arguments)
    return time.perf_counter() - start, result


def main() -> None:
    rng = np.random.default_rng(1)
    points = np.column_stack([rng.uniform(0, 6, POINTS), rng.uniform(-8, 0, POINTS), np.full(POINTS, 1.1)])
    sharp = rng.uniform(0.5, 8.0, (SPEAKERS, BANDS))
    places = np.column_stack([rng.uniform(0, 6, SPEAKERS), rng.uniform(-8, 0, SPEAKERS), np.full(SPEAKERS, 2.6)])
    axes = unit(rng.normal([0, 0, -2], 1.0, size=(SPEAKERS, 3)))
    sines = ((np.arange(16384) + 0.5) / 16384)[:, None]
    tables = [((1 - sines**2) ** s + 1e-3).astype(np.float32) for s in sharp]
    sources = [Source(at, axis, table) for at, axis, table in zip(places, axes, tables, strict=True)]
    field = Field(points)
    half = np.sin(np.radians(DEGREES) / 2)[:, None]
    levels = [10 * np.log10((1 - half**2) ** s + 1e-3) for s in sharp]
    times: dict[str, list[float]] = {"plain": [], "full": [], "one": []}
    for _ in range(RUNS):
        spent, exact = timed(plain, points, sources, levels)
        times["plain"].append(spent)
        spent, found = timed(full, points, sources)
        times["full"].append(spent)
        times["one"].append(timed(moved, field, sources[0], found)[0])
    median = {name: float(np.median(spent)) for name, spent in times.items()}
    tracemalloc.start()
    kept = full(points, sources)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    error = np.abs(10 * np.log10(found / exact))
    print(f"full map: {median['full'] * 1000:.0f} ms, {median['plain'] / median['full']:.1f} times as fast as plain")
    print(
        f"one speaker that moved: {median['one'] / median['full']:.3f} of the full map, asked {1 / SPEAKERS + 0.05:.3f}"
    )
    print(f"memory beyond the result: {(peak - kept.nbytes) / 1e6:.1f} MB; largest difference {error.max():.3f} dB")


if __name__ == "__main__":
    main()
