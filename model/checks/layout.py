"""Whether each channel is carried once, and on the side of the room that its name says."""

from __future__ import annotations

import math
from collections.abc import Iterator

from earshed.model.aim import Straight
from earshed.model.finding import Finding
from earshed.model.listener import listener_of
from earshed.model.scene import Scene
from earshed.model.speaker_type import Fixed

CLEARLY_ASIDE = math.radians(5.0)


def layout_findings(scene: Scene) -> Iterator[Finding]:
    yield from _shared_channels(scene)
    yield from _unused_aims(scene)
    if scene.seats:
        yield from _wrong_sides(scene)


def _unused_aims(scene: Scene) -> Iterator[Finding]:
    """Notes on fixed speakers that are given an aim."""
    for speaker in scene.judged:
        if isinstance(speaker.type.aiming, Fixed) and not isinstance(speaker.aim, Straight):
            yield Finding(
                "note", "aim-unused", speaker.name, f"{speaker.type.name} is fixed, so its aim changes nothing"
            )


def _shared_channels(scene: Scene) -> Iterator[Finding]:
    for channel in dict.fromkeys(speaker.channel for speaker in scene.judged if speaker.channel):
        names = [speaker.name for speaker in scene.judged if speaker.channel == channel]
        if len(names) > 1:
            text = f"{' and '.join(names)} both carry {channel}: one signal, so at each seat the louder of them counts"
            yield Finding("note", "shared-channel", names[0], text.replace("both", "all") if len(names) > 2 else text)


def _wrong_sides(scene: Scene) -> Iterator[Finding]:
    listener = listener_of(scene)
    for speaker in scene.speakers:
        nominal = speaker.channel.azimuth_deg if speaker.channel else None
        if not nominal or abs(nominal) == 180:
            continue
        azimuth, _ = listener.sees(speaker.position)
        if azimuth * nominal < 0 and abs(math.sin(azimuth)) > math.sin(CLEARLY_ASIDE):
            side, other = ("left", "right") if nominal > 0 else ("right", "left")
            yield Finding(
                "warning",
                "channel-side",
                speaker.name,
                f"its channel {speaker.channel} belongs on the {side} of the main seats, but it hangs on the {other} "
                "(plus in a label is LEFT)",
            )
