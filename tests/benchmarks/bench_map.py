"""Speed and memory of the off-axis map, and the time to `earshed --help`. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_map.py

Every figure is a ratio of medians taken in one run with the variants interleaved, since times differ from one
machine, and from one run, to the next. The aims: 10 times faster than plain float64 broadcasting with the arc cosine
of the dot product, and 16 MB beyond the output, at any number of points.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from earshed.model.coverage import off_axis_map
from earshed.model.geometry import unit
from earshed.model.listening_plane import ListeningPlane

SPEAKERS = 11
MEGABYTE = 1e6
WIDTH, LENGTH, CEILING, EARS = 4.2, 6.6, 2.6, 1.0


def square_plane(side: int) -> ListeningPlane:
    """A plane of side x side points over the room, the rear left corner of it outside the room's air."""
    x = (np.arange(side) + 0.5) * WIDTH / side
    y = (np.arange(side) + 0.5) * LENGTH / side - LENGTH
    height = np.full((side, side), EARS)
    inside = ~((x < 1.0) & (y[:, None] < 1.0 - LENGTH))
    return ListeningPlane(x, y, height, inside, WIDTH / side)


def overhead_speakers(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Positions (S, 3) under the ceiling and unit axes (S, 3) up to 30 degrees off straight down."""
    rng = np.random.default_rng(2051)
    xy = rng.uniform([0.3, 0.3 - LENGTH], [WIDTH - 0.3, -0.3], size=(count, 2))
    lean = rng.uniform(-0.4, 0.4, size=(count, 2))
    return np.column_stack([xy, np.full(count, CEILING)]), unit(np.column_stack([lean, np.full(count, -1.0)]))


def plain_map(plane: ListeningPlane, positions: np.ndarray, axes: np.ndarray) -> np.ndarray:
    """The same output in the plainest numpy: float64 throughout, all speakers and points at once."""
    lines = plane.points - positions[:, None, None]
    lines /= np.linalg.norm(lines, axis=-1, keepdims=True)
    cosine = np.clip(np.sum(lines * axes[:, None, None], axis=-1), -1.0, 1.0)
    angles = np.degrees(np.arccos(cosine)).astype(np.float32)
    angles[:, ~plane.inside] = np.nan
    return angles


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def interleaved(variants: Sequence[Callable[[], object]], runs: int) -> list[list[float]]:
    """Seconds of each run of each variant, in turns, after one run of each to warm up."""
    for work in variants:
        work()
    rounds = [[seconds(work) for work in variants] for _ in range(runs)]
    return [list(column) for column in zip(*rounds, strict=True)]


def extra_megabytes(work: Callable[[], np.ndarray]) -> float:
    """Peak memory during a call beyond its output."""
    tracemalloc.start()
    output = work()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return (peak - output.nbytes) / MEGABYTE


def compare_with_plain() -> None:
    plane, (positions, axes) = square_plane(500), overhead_speakers(SPEAKERS)
    kernel = partial(off_axis_map, plane, positions, axes)
    plain = partial(plain_map, plane, positions, axes)
    apart = float(np.nanmax(np.abs(kernel() - plain())))
    fast, slow = (statistics.median(times) for times in interleaved([kernel, plain], 9))
    print(f"{SPEAKERS} speakers x {plane.height.size:,} points, medians of 9 interleaved runs")
    print(f"  off_axis_map        {fast * 1e3:8.1f} ms   {extra_megabytes(kernel):8.1f} MB beyond its output")
    print(f"  plain float64       {slow * 1e3:8.1f} ms   {extra_megabytes(plain):8.1f} MB beyond its output")
    print(f"  ratio               {slow / fast:8.1f}      (aim 10; largest difference {apart:.1e} degrees)")


def growth() -> None:
    positions, axes = overhead_speakers(SPEAKERS)
    print(f"growth with the number of points, {SPEAKERS} speakers")
    per_point: dict[int, float] = {}
    for side in (100, 250, 500, 1000, 2000):
        plane = square_plane(side)
        kernel = partial(off_axis_map, plane, positions, axes)
        (times,) = interleaved([kernel], 7 if side < 2000 else 3)
        per_point[side] = statistics.median(times) / side**2
        ratio = per_point[side] / per_point[100]
        extra = extra_megabytes(kernel)
        print(f"  {side**2:9,} points  {per_point[side] * 1e9:7.1f} ns a point  x {ratio:4.2f}  {extra:6.1f} MB beyond")


def help_time() -> None:
    bare = [sys.executable, "-c", "pass"]
    asked = [sys.executable, "-m", "earshed.viewer.cli", "--help"]
    first = subprocess.run(asked, capture_output=True, text=True, check=False)
    if first.returncode:
        print(f"earshed --help: does not run here ({first.stderr.strip().splitlines()[-1]})")
        return
    commands = [partial(subprocess.run, command, capture_output=True, check=True) for command in (bare, asked)]
    nothing, shown = (statistics.median(times) for times in interleaved(commands, 15))
    print("earshed --help, medians of 15 interleaved runs")
    print(f"  python -c pass      {nothing * 1e3:8.1f} ms")
    print(f"  earshed --help      {shown * 1e3:8.1f} ms   ratio {shown / nothing:.1f}  (aim: under 300 ms)")


if __name__ == "__main__":
    compare_with_plain()
    growth()
    help_time()
