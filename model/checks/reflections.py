"""What the early reflections of a scene come to at its main seats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.sound.early import SOON, STRONG, Early
from earshed.model.taped_words import point_words


def reflection_findings(scene: Scene, early: Sequence[Early]) -> Iterator[Finding]:
    """A note for each seat that hears early reflections, in the order in which they are given: how many, and of which
    face and point the strongest comes."""
    by_seat: dict[str, list[Early]] = {}
    for one in early:
        by_seat.setdefault(one.seat.name, []).append(one)
    for name, heard in by_seat.items():
        most = max(heard, key=lambda one: one.level)
        count = f"{len(heard)} reflections come" if len(heard) > 1 else "1 reflection comes"
        text = f"{count} within {1000 * SOON:g} ms of the direct sound and {-STRONG:g} dB under it; "
        text += f"the strongest of {most.speaker.name} off {most.facing.name} "
        text += f"({point_words(scene, most.point, most.face)}), {most.level:.1f} dB after {1000 * most.delay:.1f} ms"
        yield Finding("note", "early-reflections", name, text)
