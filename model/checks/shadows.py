"""Whether much of the seating area lies in a speaker's shadow, and what casts it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from earshed.model.finding import Finding
from earshed.model.listening_plane import PlaneSpec, lay_plane_over
from earshed.model.scene import Scene
from earshed.model.seating import seating_area
from earshed.model.shadows import shadows
from earshed.model.units import INCH

MUCH = 0.05
"""Share of the seating area that is worth a word. Common practice, no source."""
STEP = 1 * INCH
MOST_STEPS = 200
"""Points across the seating area that are looked at: an inch apart, or as far as that takes."""


def shadow_findings(scene: Scene) -> Iterator[Finding]:
    """Notes on speakers that do not see some of the seating area; seats that they do not see have findings of their
    own."""
    if not scene.seats or not scene.judged:
        return
    area = seating_area(scene.seats)
    step = max(STEP, float(np.ptp(area.bounds, axis=0).max()) / MOST_STEPS)
    plane = lay_plane_over(scene.room, area.bounds, PlaneSpec(scene.plane.height, step))
    cast, within = shadows(scene, plane, scene.judged), area.holds(plane.xy) & plane.inside
    for number, speaker in enumerate(scene.judged):
        hidden = cast.shares(number, within)
        total = sum(hidden.values())
        if total > MUCH:
            text = f"{total:.0%} of the seating area lies in the shadow of {_told(hidden)}"
            yield Finding("note", "area-in-shadow", speaker.name, text)


def _told(hidden: Mapping[str, float]) -> str:
    """What hides how much, the most first."""
    if len(hidden) == 1:
        return next(iter(hidden))
    return ", ".join(f"{name} ({share:.0%})" for name, share in hidden.items())
