"""Whether each channel is heard from where it may be, and whether pairs are heard from mirrored directions."""

from __future__ import annotations

import math
from collections.abc import Iterator

from earshed.model.bs2051 import SYSTEMS, System
from earshed.model.direction_words import azimuth_words, elevation_words, side_words, window_words
from earshed.model.directions import directions, missing_channels
from earshed.model.finding import Finding
from earshed.model.layout import WITHIN
from earshed.model.listener import Listener, listener_of
from earshed.model.scene import Scene
from earshed.model.speaker_window import partner_of
from earshed.model.units import format_angle
from earshed.model.window import PAIRED_FROM, Window, even, most_uneven, turned, uneven

BESIDE = math.radians(60)
"""Azimuth past which one says forward and back rather than left and right. Our own wording."""
AWRY = math.radians(0.5)
"""Less than this of a difference is not told."""


def window_findings(scene: Scene) -> Iterator[Finding]:
    if scene.seats:
        yield from _outside_windows(scene)
        yield from _uneven_pairs(scene, listener_of(scene))
    if scene.system is not None:
        yield from _other_channels(scene, SYSTEMS[scene.system])


def _outside_windows(scene: Scene) -> Iterator[Finding]:
    """Speakers heard from where their channel, or the scene itself, does not want them."""
    for one in directions(scene):
        if one.heard.inside:
            continue
        speaker, window, heard = one.speaker, one.window, (one.heard.azimuth, one.heard.elevation)
        own = speaker.window is not None
        asks = "the scene" if own else f"its channel ({window.source})"
        by = " and ".join(misses(window, *heard))
        text = f"{_direction(heard)}; {asks} asks for {window_words(window)}: {by}"
        yield Finding("warning" if own else "note", "outside-window", speaker.name, f"heard from {text}")


def _other_channels(scene: Scene, system: System) -> Iterator[Finding]:
    """Channels that the chosen system does not have, and those of it that no speaker carries."""
    for speaker in scene.speakers:
        if speaker.channel is not None and speaker.channel.label not in system.allowed:
            text = f"its channel {speaker.channel} is none of system {system.letter} of Rec. ITU-R BS.2051-3"
            yield Finding("note", "not-in-system", speaker.name, text)
    missing = [str(channel) for channel in missing_channels(scene)]
    if missing:
        text = f"system {system.letter} of Rec. ITU-R BS.2051-3 has channels that no speaker here carries: "
        yield Finding("note", "channels-missing", scene.title, text + ", ".join(missing))


def _direction(heard: tuple[float, float]) -> str:
    return f"{azimuth_words(heard[0])}, {elevation_words(heard[1])}"


def misses(window: Window, azimuth: float, elevation: float) -> Iterator[str]:
    """By how much a direction is past each limit of a window, in words."""
    aside, up = float(window.past_azimuth(azimuth, elevation)), float(window.past_elevation(elevation))
    if abs(aside) > WITHIN:
        yield f"{format_angle(abs(aside))} {_too_far(azimuth, aside)}"
    if abs(up) > WITHIN:
        yield f"{format_angle(abs(up))} too {'high' if up > 0 else 'low'}"


def _too_far(azimuth: float, past: float) -> str:
    """Which way an azimuth is past a limit: to a side before the listener, forward or back beside and behind."""
    limit = float(turned(azimuth - past))
    behind = abs(azimuth) > math.pi / 2
    if azimuth * limit < 0 or (abs(limit) > math.pi - WITHIN and behind):
        return f"too far to the {side_words(azimuth)}"
    if abs(limit) > BESIDE:
        return "too far back" if past * limit > 0 else "too far forward"
    if behind:
        return "too far back"
    return "too near the middle" if past * limit < 0 else f"too far to the {side_words(past)}"


def _uneven_pairs(scene: Scene, listener: Listener) -> Iterator[Finding]:
    """Pairs that are not heard from mirrored directions, each told once, of the first by name."""
    for speaker in scene.judged:
        partner = partner_of(scene, speaker)
        if speaker.channel is None or partner is None or not partner.has_verdict or partner.name < speaker.name:
            continue
        nominal = math.radians(speaker.channel.azimuth_deg or 0)
        here, there = listener.sees(speaker.position), listener.sees(partner.position)
        if even(here, there, nominal):
            continue
        aside, up = uneven(here, there)
        by = [f"{format_angle(angle)} {way}" for angle, way in ((aside, "sideways"), (up, "in height")) if angle > AWRY]
        yield Finding(
            "note",
            "pair-uneven",
            speaker.name,
            f"heard from {_direction(here)}, but {partner.name} from {_direction(there)}: uneven by "
            f"{' and '.join(by)}; {_evenness(nominal)}",
        )


def _evenness(nominal: float) -> str:
    degrees = f"{math.degrees(most_uneven(nominal)):.0f}°"
    if abs(nominal) > PAIRED_FROM:
        return f"such a pair may differ by {degrees} (Rec. ITU-R BS.2051-3, section 3.1)"
    return f"keep a pair in front within {degrees} (common practice; Rec. ITU-R BS.2051-3, section 3.1, wants it exact)"
