"""How long conflicts take on a face with the most things in the way that a scene may hold: by hand, printing seconds.

python tests/benchmarks/bench_conflicts.py
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from earshed.model.checks.conflicts import conflict_findings
from earshed.model.checks.depth import depth_findings
from earshed.model.checks.elsewhere import places_of
from earshed.model.checks.hanging import hanging_findings
from earshed.model.checks.holes import hole_findings
from earshed.model.clear_area import clear_area
from earshed.model.hole import hole_shape
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.surroundings import obstacles_on

WIDTH, LENGTH = 40.0, 60.0
COUNT, SPEAKERS = 1000, 12


def crowded(seed: int = 1) -> str:
    """A hall with a thousand of each kind of thing in its ceiling, ten thousand constraints and more."""
    rng = np.random.default_rng(seed)

    def at() -> str:
        left, front = rng.uniform(0.5, WIDTH - 0.5), rng.uniform(0.5, LENGTH - 0.5)
        return f"{{from_left: {left:.3f}, from_front: {front:.3f}}}"

    kinds = ("blocking", "pipe", "cable", "duct", "driver box", "unknown")
    hidden = [
        f"  - {{name: k{i}, kind: {kinds[i % 6]}, at: {at()}, diameter: 0.1{', behind: 0.1' if i % 5 == 0 else ''}}}"
        for i in range(COUNT)
    ]
    fixtures = [
        f"  - {{name: f{i}, kind: {('vent', 'detector', 'sprinkler')[i % 3]}, at: {at()}, diameter: 0.1}}"
        for i in range(COUNT)
    ]
    old = [f"  - {{name: o{i}, at: {at()}, cutout: 0.15}}" for i in range(COUNT)]
    run = "surface: ceiling, member: 2x8, spacing: 12in, first_center: 4in"
    speakers = [f"  - {{name: s{i}, type: flush, at: {at()}}}" for i in range(SPEAKERS)]
    return "\n".join(
        [
            "format: 1", "title: Hall", "bare_lengths: m",
            f"room: {{width: {WIDTH}, length: {LENGTH}, ceiling: {{shape: flat, height: 3}}}}",
            "framing:", f"  - {{name: joists, {run}, direction: front-to-back}}",
            f"  - {{name: straps, {run.replace('12in', '4')}, laid: flat, direction: side-to-side, under: joists}}",
            "keep_outs:", *hidden, "fixtures:", *fixtures, "existing_holes:", *old,
            "seats: [{name: chair, at: {from_left: 20, from_front: 30}, ear_height: 1.1, main: true}]",
            "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2, bezel: 0.22,"
            " mounting_depth: 0.12}}",
            "speakers:", *speakers,
        ]
    )  # fmt: skip


def timed(name: str, call: Callable[[], Any]) -> Any:
    start = time.perf_counter()
    made = call()
    print(f"{name:44} {time.perf_counter() - start:8.2f} s")
    return made


def main() -> None:
    tree = timed("text to tree", lambda: parse_tree(crowded(), "hall.yaml"))
    scene: Scene = timed("tree to scene", lambda: scene_from_tree(tree))
    face = scene.room.surface("ceiling")
    obstacles = timed("obstacles of the ceiling", lambda: obstacles_on(scene, face))
    print(f"  {len(obstacles)} of them, {sum(len(one.levels) for one in obstacles)} distances")
    shape = hole_shape(scene.speakers[0].type, face, np.zeros(2), scene.ahead)
    timed("clear area of the ceiling", lambda: clear_area(face.outline, obstacles, shape))
    pairs = timed("what seats get", lambda: seat_pairs(scene))
    places = timed("places", lambda: places_of(scene))
    timed(f"holes and edges, {SPEAKERS} speakers", lambda: list(hole_findings(scene, places)))
    found = timed(f"conflicts, {SPEAKERS} speakers", lambda: list(conflict_findings(scene, places)))
    timed(f"depths, {SPEAKERS} speakers", lambda: list(depth_findings(scene, places)))
    timed(f"hanging, {SPEAKERS} speakers", lambda: list(hanging_findings(scene, pairs)))
    print(f"  {len(found)} conflicts")


if __name__ == "__main__":
    main()
