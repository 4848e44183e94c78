"""When sound arrives at the reference position, and what to set so that all of it arrives together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import Array
from earshed.model.sound.air import USUAL_CELSIUS, speed_of_sound
from earshed.model.speaker import Speaker


@dataclass(frozen=True, eq=False)
class Arrival:
    """A speaker as it is heard from a place: metres, the seconds that its sound is on its way, and those that it is to
    be held back so that it arrives with the one farthest away."""

    speaker: Speaker
    distance: float
    time: float
    delay: float


def arrivals(speakers: Sequence[Speaker], ear: Array, celsius: float = USUAL_CELSIUS) -> list[Arrival]:
    """When the sound of some speakers arrives at a place (3,)."""
    distances = [float(np.linalg.norm(one.position - ear)) for one in speakers]
    speed, farthest = speed_of_sound(celsius), max(distances, default=0.0)
    return [
        Arrival(one, distance, distance / speed, (farthest - distance) / speed)
        for one, distance in zip(speakers, distances, strict=True)
    ]
