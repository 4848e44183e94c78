"""Speed and memory of the search for places. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_place.py

Prints seconds, places and the peak of memory for: one speaker over the whole ceiling of a large room, all seven types
of the generic catalog, no window; the same with a thousand fixtures, a thousand keep-outs and many members; the largest
room that a scene may have; and a joint answer of twelve that crowd one spot. And how many times as long it would take
to work the same places out one by one, from a sample of them.
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from earshed.model.aim import best_axis
from earshed.model.pairs import pair
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.search.answer import explained_one, found_one
from earshed.model.search.ask import Ask
from earshed.model.search.asking import ask_of
from earshed.model.search.joint import together, unit_of_one
from earshed.model.search.place import aimed
from earshed.model.search.search import Search

SAMPLE = 200
"""Places that are worked out one by one."""


def room(width: float, length: float, *, rows: int = 2, more: Sequence[str] = (), spacing: str = "16in") -> Scene:
    """A flat room in feet, two rows of four seats."""
    seats = [
        f"{{name: s{row}{n}, at: {{from_center: {n * 2.2 - 3.3:.2f}, from_front: {length * 0.5 + 4 * row}}}, "
        "ear_height: 3.4, main: true}"
        for row in range(rows)
        for n in range(4)
    ]
    lines = [
        "{format: 1, title: A large room, bare_lengths: ft, print_units: ft-in, catalogs: [generic],",
        f"room: {{width: {width}, length: {length}, ceiling: {{shape: flat, height: 10}}}},",
        "screen: {wall: front, width: 8, bottom: 2},",
        f"framing: [{{name: joists, surface: ceiling, member: 2x10, spacing: {spacing}, direction: side-to-side, "
        "first_center: 8in}],",
        f"seats: [{', '.join(seats)}],",
        *more,
        "speakers: [{name: one, type: flush 6 in, at: {from_center: 0, from_front: 6}}]}",
    ]
    return scene_from_tree(parse_tree("\n".join(lines), "room.yaml"))


def crowded(width: float, length: float, count: int) -> Scene:
    """The same with many fixtures and keep-outs over its left two thirds, and many members."""
    rng = np.random.default_rng(1)
    spots = rng.uniform([1, 1], [width * 2 / 3, length - 1], (2 * count, 2))
    fixtures = ", ".join(
        f"{{name: f{n}, kind: can light, at: {{from_left: {x:.3f}, from_front: {y:.3f}}}, cutout: 2in, body: 2in}}"
        for n, (x, y) in enumerate(spots[:count])
    )
    found = ", ".join(
        f"{{name: k{n}, kind: pipe, at: {{from_left: {x:.3f}, from_front: {y:.3f}}}, diameter: 2in}}"
        for n, (x, y) in enumerate(spots[count:])
    )
    return room(width, length, more=[f"fixtures: [{fixtures}],", f"keep_outs: [{found}],"], spacing="16in")


def asked(scene: Scene) -> Ask:
    speaker = scene.speakers[0]
    return replace(ask_of(scene, speaker, moving=[speaker], seats=scene.seats), window=None, partner=None)


def measured(name: str, work: Callable[[], Any]) -> Any:
    tracemalloc.start()
    start = time.perf_counter()
    result = work()
    took = time.perf_counter() - start
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    print(f"{name:46} {took:7.2f} s   {peak / 2**20:7.0f} MB at the peak", flush=True)
    return result


def main() -> None:
    large = room(30, 40)
    search = Search(asked(large))
    start = time.perf_counter()
    spots = measured("30 x 40 ft, 7 types, no window: search", search.finish)
    took = time.perf_counter() - start
    print(f"    {len(spots):,} places")
    measured("    its answer", lambda: explained_one(found_one(search, 3), search))
    ask = search.ask
    some = np.random.default_rng(2).choice(len(spots), SAMPLE)
    start = time.perf_counter()
    for index in some:
        offer = ask.offers[spots.offers[index]]
        speaker = aimed(ask, offer, ask.faces[spots.faces[index]], spots.points[index])
        max(pair(large, seat, speaker).off_axis for seat in ask.seats)
        best_axis(offer.type.aiming, speaker.normal, ask.ears - speaker.position)
    one_by_one = (time.perf_counter() - start) / SAMPLE * len(spots)
    print(f"    one place at a time: {one_by_one / took:,.0f} times as long")
    full = measured("30 x 40 ft, 1000 fixtures, 1000 keep-outs: read", lambda: crowded(30, 40, 1000))
    busy = Search(asked(full))
    print(f"    {len(measured('    search', busy.finish)):,} places")
    measured("    its answer", lambda: explained_one(found_one(busy, 3), busy))
    huge = Search(asked(room(196, 196)))
    print(
        f"    {len(measured('196 x 196 ft (60 m): search', huge.finish)):,} places, step {huge.used_step * 1000:.1f} mm"
    )
    units = [unit_of_one(ask, spots) for _ in range(12)]
    measured("twelve that crowd one spot, together", lambda: together(units))


if __name__ == "__main__":
    main()
