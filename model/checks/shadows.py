"""Whether much of the seating area lies in a speaker's shadow, and what casts it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.shadows import seating_shadows

MUCH = 0.05
"""Share of the seating area that is worth a word. Common practice, no source."""


def shadow_findings(scene: Scene) -> Iterator[Finding]:
    """Notes on speakers that do not see some of the seating area; seats that they do not see have findings of their
    own."""
    if not scene.seats or not scene.judged:
        return
    for speaker, hidden in zip(scene.judged, seating_shadows(scene, scene.judged), strict=True):
        total = sum(hidden.values())
        if total > MUCH:
            text = f"{total:.0%} of the seating area lies in the shadow of {_told(hidden)}"
            yield Finding("note", "area-in-shadow", speaker.name, text)


def _told(hidden: Mapping[str, float]) -> str:
    """What hides how much, the most first."""
    if len(hidden) == 1:
        return next(iter(hidden))
    return ", ".join(f"{name} ({share:.0%})" for name, share in hidden.items())
