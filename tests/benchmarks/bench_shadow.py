"""Speed of the shadows on the listening plane. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_shadow.py

Against following a ray from every speaker to every point: by embree where embreex is installed (`pip install embreex`),
else by trimesh's own rays, which take minutes. Every figure is a ratio of medians taken in one run
with the variants interleaved. The aims: 20 times as fast as embree at 15 blocks or fewer, 4 times at 165.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np
import trimesh
from trimesh.ray.ray_triangle import RayMeshIntersector

try:
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene
except ImportError:
    EmbreeScene = None

from earshed.model.block import Block
from earshed.model.listening_plane import ListeningPlane
from earshed.model.shadow import faces_of, shadow_maps

SPEAKERS, SIDE, RUNS = 11, 500, 7
WIDTH, LENGTH, CEILING, EARS = 4.2, 6.6, 2.6, 1.0


def some_blocks(count: int, rng: np.random.Generator) -> list[Block]:
    """Blocks between the ears and the ceiling, or on the floor, smaller where there are more of them."""
    sizes = rng.uniform(0.2, 0.8, (count, 3)) * min(1.0, (8 / count) ** 0.5)
    lower = rng.uniform([0.0, -LENGTH, 0.0], [WIDTH, 0.0, CEILING - 0.8], (count, 3))
    return [Block.box("block", low, low + size) for low, size in zip(lower, sizes, strict=True)]


def bare_plane() -> ListeningPlane:
    x = (np.arange(SIDE) + 0.5) * WIDTH / SIDE
    y = (np.arange(SIDE) + 0.5) * LENGTH / SIDE - LENGTH
    level = np.full((SIDE, SIDE), EARS)
    return ListeningPlane(x, y, level, np.ones((SIDE, SIDE), dtype=bool), WIDTH / SIDE)


def painted(plane: ListeningPlane, speakers: np.ndarray, blocks: list[Block]) -> np.ndarray:
    return shadow_maps(plane, speakers, faces_of(blocks)) >= 0


def traced_by_embree(plane: ListeningPlane, speakers: np.ndarray, mesh: trimesh.Trimesh) -> np.ndarray:
    """A ray from each speaker to each point, in single precision; in shadow where the first hit is before the point."""
    scene = EmbreeScene()
    TriangleMesh(scene, mesh.triangles.astype(np.float32))
    points, found = plane.points.reshape(-1, 3), []
    for position in speakers:
        ways = (points - position).astype(np.float32)
        starts = np.broadcast_to(position.astype(np.float32), ways.shape).copy()
        hit = scene.run(starts, ways, np.ones(len(ways), dtype=np.float32), query="OCCLUDED") >= 0
        found.append(hit.reshape(plane.height.shape))
    return np.stack(found)


def traced_plainly(plane: ListeningPlane, speakers: np.ndarray, mesh: trimesh.Trimesh) -> np.ndarray:
    """The same by trimesh's own rays."""
    points, found = plane.points.reshape(-1, 3), []
    for position in speakers:
        ways = points - position
        places, rays, _ = RayMeshIntersector(mesh).intersects_location(np.broadcast_to(position, ways.shape), ways)
        before = np.linalg.norm(places - position, axis=1) < np.linalg.norm(ways[rays], axis=1)
        hidden = np.zeros(len(points), dtype=bool)
        hidden[rays[before]] = True
        found.append(hidden.reshape(plane.height.shape))
    return np.stack(found)


def seconds(work: Callable[[], object]) -> float:
    """Of the processor's time, which other programs on the machine change less; all variants run in one thread."""
    start = time.process_time()
    work()
    return time.process_time() - start


def compare(count: int, rng: np.random.Generator) -> None:
    plane, blocks = bare_plane(), some_blocks(count, rng)
    spots = rng.uniform([0.3, 0.3 - LENGTH], [WIDTH - 0.3, -0.3], (SPEAKERS, 2))
    speakers = np.column_stack([spots, np.full(SPEAKERS, CEILING)])
    mesh = trimesh.util.concatenate([trimesh.creation.box(bounds=[block.lower, block.upper]) for block in blocks])
    traced = traced_by_embree if EmbreeScene else traced_plainly
    variants = [partial(painted, plane, speakers, blocks), partial(traced, plane, speakers, mesh)]
    one, other = (work() for work in variants)
    rounds = [[seconds(work) for work in variants] for _ in range(RUNS)]
    fast, slow = (statistics.median(times) for times in zip(*rounds, strict=True))
    print(f"{count:4} blocks, {one.mean():6.1%} in shadow", end="")
    print(f"  shadow_maps {fast * 1e3:8.1f} ms   rays {slow * 1e3:8.1f} ms   ratio {slow / fast:6.1f}", end="")
    print(f"   points that differ {np.mean(one != other):.1e}")


if __name__ == "__main__":
    kind = "embree" if EmbreeScene else "trimesh's own"
    print(f"{SPEAKERS} speakers x {SIDE**2:,} points, medians of {RUNS} interleaved runs; rays: {kind}")
    for number in (2, 15, 165):
        compare(number, np.random.default_rng(number))
