"""What a speaker's channel asks of its place: the window it is to be heard in, and which speaker is its partner."""

from __future__ import annotations

import math

from earshed.model.bs2051 import SYSTEMS, System
from earshed.model.geometry import TOUCHING
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.window import Window

ASIDE, UP_AND_DOWN = math.radians(5), math.radians(10)
"""Radians either way for a direction of which the Recommendation allows no range, as the height of the ears: screen
speakers stand under a picture, surrounds over the heads of a row. Common practice, no source."""
BY_USE = tuple("JDCBIGHFEA")
"""Systems in the order in which they are taken where several would do: first what rooms at home are mostly built as,
seven or five round the seats with some overhead, then the same without, then what studios have. Common practice, no
source."""


def window_of(scene: Scene, speaker: Speaker) -> Window | None:
    """The speaker's own window, else what the scene's system, or the one that fits it, allows its channel.

    None without a channel, and for a channel of which the Recommendation leaves the direction open, or does not know.
    """
    if speaker.window or speaker.channel is None:
        return speaker.window
    label = speaker.channel.label
    system = fitting_system(scene) or next((SYSTEMS[s] for s in BY_USE if label in SYSTEMS[s].allowed), None)
    allowed = system.allowed.get(label) if system else None
    if system is None or allowed is None:
        return None
    source = f"Rec. ITU-R BS.2051-3, system {system.letter}"
    return Window(workable(allowed.azimuths, ASIDE), workable(allowed.elevations, UP_AND_DOWN), source)


def workable(allowed: tuple[float, float], by: float) -> tuple[float, float]:
    """What is allowed, radians; a single direction is given some room either way, which a tape needs. An elevation goes
    no farther than straight up or down."""
    least, most = allowed
    if most - least > TOUCHING:
        return allowed
    wider = (least - by, most + by)
    return wider if abs(least) != math.pi / 2 else (max(wider[0], -math.pi / 2), min(wider[1], math.pi / 2))


def fitting_system(scene: Scene) -> System | None:
    """The system that the scene chooses; else that of the fewest channels that has every one of the scene.

    Low-frequency channels, which have no direction, are not asked after. None where there is one too many for each.
    """
    if scene.system is not None:
        return SYSTEMS[scene.system]
    labels = {speaker.channel.label for speaker in scene.speakers if speaker.channel}
    labels = {label for label in labels if not label.startswith("LFE")}
    able = [SYSTEMS[letter] for letter in BY_USE if labels <= SYSTEMS[letter].allowed.keys()]
    return min(able, key=lambda system: len(system.allowed), default=None)


def partner_of(scene: Scene, speaker: Speaker) -> Speaker | None:
    """The one speaker on the other side that carries the mirrored channel.

    None for a center, for a channel without a direction, and where either channel is carried by several.
    """
    if speaker.channel is None or speaker.channel == speaker.channel.mirrored:
        return None
    same = [other for other in scene.speakers if other.channel == speaker.channel]
    mirrored = [other for other in scene.speakers if other.channel == speaker.channel.mirrored]
    return mirrored[0] if len(same) == len(mirrored) == 1 else None
