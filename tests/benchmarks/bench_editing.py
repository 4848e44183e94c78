"""How long each step of an edit takes beside building the scene anew. Run by hand, on a quiet machine:

    python tests/benchmarks/bench_editing.py [SCENE ...]

Every figure is the ratio of a median to that of `Draft.scene`, taken in one run; milliseconds stand beside it.
The aim: no step by a hand takes a third of it, so that a drag costs what its scene costs.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from earshed.model.editing.aiming import aimed_at_point, turned
from earshed.model.editing.changes import NO_CHANGES
from earshed.model.editing.draft import Draft
from earshed.model.editing.mirroring import mirrored
from earshed.model.editing.moving import along_ray, moved, nudged
from earshed.model.editing.overlay import overlay_of
from earshed.model.editing.retyping import retyped, types_for
from earshed.model.editing.scheme_file import with_scheme
from earshed.model.editing.snapping import snapped
from earshed.model.editing.summary import changes_in_words
from earshed.model.editing.tape_fields import tape_fields, typed
from earshed.model.editing.taping import remeasured, ways

SCENES = Path(__file__).resolve().parents[2] / "scenes"
TIMES = 31


def milliseconds(step: Callable[[], object]) -> float:
    taken = []
    for _ in range(TIMES):
        start = time.perf_counter()
        step()
        taken.append(time.perf_counter() - start)
    return 1000 * statistics.median(taken)


def bench(name: str) -> None:
    path = SCENES / f"{name}.yaml"
    draft, scheme = Draft.open(path), "proposed"
    scene = draft.scene(scheme)
    one = next(speaker for speaker in scene.speakers if speaker.name.startswith("upper"))
    eye = np.array([2.0, -4.0, 1.2])
    spot = along_ray(scene, one, eye, one.position + np.array([0.1, 0.1, 0.0]) - eye)
    assert spot is not None
    keys = moved(scene, one, spot)
    changes = NO_CHANGES.with_keys("speakers", one.name, keys)
    after, text, field = draft.scene(scheme, changes), path.read_text(encoding="utf-8"), tape_fields(scene, one)[0]
    steps: dict[str, Callable[[], object]] = {
        "along_ray": lambda: along_ray(scene, one, eye, spot - eye),
        "along_ray, beside": lambda: along_ray(scene, one, eye, [0.0, 0.0, -1.0]),
        "moved": lambda: moved(scene, one, spot),
        "nudged": lambda: nudged(scene, one, right=0.0254),
        "snapped": lambda: snapped(scene, one, spot, 0.05),
        "tape_fields": lambda: tape_fields(scene, one),
        "typed": lambda: typed(scene, one, field, "1.2m"),
        "remeasured": lambda: remeasured(scene, one, ways(scene, one)[1]),
        "turned": lambda: turned(scene, one, 0.2, 1.0),
        "aimed_at_point": lambda: aimed_at_point(scene, one, eye),
        "mirrored": lambda: mirrored(scene, one),
        "retyped": lambda: retyped(scene, one, types_for(scene, one)[0].name),
        "with_keys": lambda: NO_CHANGES.with_keys("speakers", one.name, keys),
        "changes_in_words": lambda: changes_in_words(scene, after, changes),
        "overlay_of": lambda: overlay_of(draft, scheme, changes),
        "with_scheme": lambda: with_scheme(text, "tried", scheme, changes),
        "Draft.open": lambda: Draft.open(path),
    }
    whole = milliseconds(lambda: draft.scene(scheme, changes))
    print(f"{name}: Draft.scene {whole:.1f} ms")
    for step, run in steps.items():
        taken = milliseconds(run)
        print(f"  {step:18} {taken / whole:7.3f}   ({taken:.2f} ms)")


if __name__ == "__main__":
    for scene_name in sys.argv[1:] or ["bonus-room", "office"]:
        bench(scene_name)
