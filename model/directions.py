"""From where each channel is heard, at the reference position and at each main seat, against what its system asks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.bs2051 import SYSTEMS
from earshed.model.channel import Channel, parse_channel
from earshed.model.listener import listener_of
from earshed.model.pairs import direction_from_seat
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_window import window_of
from earshed.model.window import Window


@dataclass(frozen=True)
class Heard:
    """From where a seat hears a speaker, radians, and whether its window allows that; `seat` is None for the reference
    position, the one for which the Recommendation speaks."""

    seat: Seat | None
    azimuth: float
    elevation: float
    inside: bool


@dataclass(frozen=True, eq=False)
class Directions:
    """One speaker with its window: as heard at the reference position, and at each upright main seat."""

    speaker: Speaker
    window: Window
    heard: Heard
    at_seats: tuple[Heard, ...]

    @property
    def seats_inside(self) -> int:
        return sum(heard.inside for heard in self.at_seats)


def directions(scene: Scene) -> list[Directions]:
    """The directions of each speaker that has a window; none without seats."""
    if not scene.seats:
        return []
    listener, seats = listener_of(scene), main_seats(upright_seats(scene.seats))
    found = []
    for speaker in scene.judged:
        window = window_of(scene, speaker)
        if window is not None:
            heard = _heard(window, None, listener.sees(speaker.position))
            each = (_heard(window, seat, direction_from_seat(scene, seat, speaker.position)) for seat in seats)
            found.append(Directions(speaker, window, heard, tuple(each)))
    return found


def missing_channels(scene: Scene) -> Iterator[Channel]:
    """Channels of the system that the scene chooses of which it has no speaker, those without a direction left out."""
    if scene.system is None:
        return
    there = {speaker.channel.label for speaker in scene.speakers if speaker.channel}
    for label, allowed in SYSTEMS[scene.system].allowed.items():
        if allowed is not None and label not in there:
            yield parse_channel(label)


def _heard(window: Window, seat: Seat | None, direction: tuple[float, float]) -> Heard:
    return Heard(seat, *direction, bool(window.contains(*direction)))
