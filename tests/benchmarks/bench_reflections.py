"""Speed and memory of first reflections. Run by hand, on a quiet machine, with pyroomacoustics installed:

    python tests/benchmarks/bench_reflections.py

Every figure is a ratio of medians taken in one run with the variants interleaved: 11 speakers and 12 seats 10 times as
fast as pyroomacoustics' general room finds its images. Of other rooms, what each costs against the empty convex one.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pyroomacoustics as pra

from earshed.model.block import Block
from earshed.model.ceiling import flat, gable
from earshed.model.plan import outline, rectangle
from earshed.model.room import Room
from earshed.model.sound.reflections import first_reflections

SPEAKERS, ROUNDS = 11, 15
GABLE = Room(
    rectangle(4.5, 6.0),
    gable(width=4.5, length=6.0, ridge="front-to-back", low=2.4, peak=3.6, ridge_at=None, far_low=None),
)
CONVEX = {
    "shoebox": Room(rectangle(4.5, 6.0), flat(2.6)),
    "gable": GABLE,
    "chamfered": Room(outline([[1.2, 0], [3.5, 0], [4.5, 0.9], [4.5, 6], [0, 6], [0, 1.5]]), flat(2.6)),
}
ELL = Room(outline([[0, 0], [6, 0], [6, 3], [3.2, 3], [3.2, 7], [0, 7]]), flat(2.5))


def points_in(room: Room, count: int) -> np.ndarray:
    """Points (N, 3) of the air."""
    (left, rear), (right, front) = room.plan.bounds
    spots = np.random.default_rng(3).uniform([left, rear, 0.3], [right, front, 2.3], (20 * count, 3))
    return spots[room.holds(spots)][:count]


def their_room(room: Room, sources: np.ndarray, ears: np.ndarray) -> pra.Room:
    """The same room there, with sources and ears."""
    walls = []
    for face in room.surfaces:
        corners = face.rings()[0][:-1]
        turn = np.cross(corners[1] - corners[0], corners[2] - corners[1]) @ face.normal
        walls.append(pra.wall_factory((corners[::-1] if turn > 0 else corners).T, [0.1], [0.0]))
    held = pra.Room(walls, fs=16000, max_order=1)
    for source in sources:
        held.add_source(source)
    held.add_microphone_array(ears.T)
    return held


def medians(works: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Milliseconds of each, taken in turn."""
    taken: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(ROUNDS):
        for name, work in works.items():
            start = time.perf_counter()
            work()
            taken[name].append(1000 * (time.perf_counter() - start))
    return {name: statistics.median(times) for name, times in taken.items()}


def against_theirs(name: str, room: Room, seats: int) -> None:
    points = points_in(room, SPEAKERS + seats)
    sources, ears = points[:SPEAKERS], points[SPEAKERS:]
    times = medians({
        "mine": lambda: first_reflections(sources, ears, room.surfaces, room),
        "their images": their_room(room, sources, ears).image_source_model,
        "all of theirs": lambda: their_room(room, sources, ears).image_source_model(),
    })  # fmt: skip
    count = len(first_reflections(sources, ears, room.surfaces, room))
    ratios = [times[name] / times["mine"] for name in ("their images", "all of theirs")]
    print(f"{name}, {len(room.surfaces)} faces, {seats} seats: {count} paths, {times['mine']:.2f} ms, "
          f"{ratios[0]:.1f} times as fast; with their room to be built {ratios[1]:.1f}")  # fmt: skip


def main() -> None:
    for name, room in CONVEX.items():
        against_theirs(name, room, 12)
    against_theirs("gable", GABLE, 200)
    box = Block.box("case", [0.0, -4.0, 0.0], [0.5, -2.0, 1.0])
    rooms = {"gable": GABLE, "gable with a box": replace(GABLE, boxes=(box,)), "an L": ELL}
    works: dict[str, Callable[[], object]] = {}
    for name, room in rooms.items():
        points = points_in(room, SPEAKERS + 12)

        def work(points: np.ndarray = points, room: Room = room) -> object:
            return first_reflections(points[:SPEAKERS], points[SPEAKERS:], room.surfaces, room)

        works[name] = work
    times = medians(works)
    print(", ".join(f"{name} {time / times['gable']:.1f}" for name, time in times.items()))


if __name__ == "__main__":
    main()
