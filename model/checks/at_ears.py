"""Whether speakers stand where heads are, or so near to them that levels mean little."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from earshed.model.finding import Finding
from earshed.model.scene import Scene
from earshed.model.units import FOOT, INCH, format_length

AT_EARS = 6 * INCH
"""From the middle of a baffle to ears: a cabinet as near as that is where the head is. Common practice, no source."""
CLOSE = 2 * FOOT
"""Within which a speaker is too loud for one seat where it is right for others. Common practice, no source."""


def ear_findings(scene: Scene) -> Iterator[Finding]:
    """An error for a cabinet in a seat, a warning for any speaker within two feet of the ears of one."""
    for speaker in scene.speakers:
        for seat in scene.seats:
            away = float(np.linalg.norm(speaker.position - seat.ear))
            if away > CLOSE:
                continue
            text = f"it is {format_length(away, scene.print_units)} from the ears of {seat.name}"
            if away < AT_EARS and speaker.surface is None:
                yield Finding("error", "speaker-in-seat", speaker.name, f"{text}: nobody could sit there")
            elif speaker.has_verdict:
                text += ": set right for the others it is too loud there"
                yield Finding("warning", "speaker-at-ears", speaker.name, text)
