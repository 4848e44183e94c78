"""Layouts: which channels a set of speakers carries, and from where each is to be heard.

Directions are those of Rec. ITU-R BS.2051-3 (05/2022), seen from the reference position: azimuth 0 towards the middle
of the picture and positive to the LEFT, elevation positive up (section 3); nominal ones from Table 1, what is allowed
from Tables 3 (system A), 4 (B), 5 (C), 6 (D), 11 (I) and 12 (J). The low-frequency channels have no direction there.
The names in plain words are our own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from earshed.model.channel import Channel, parse_channel

WITHIN = math.radians(0.5)
"""Radians by which a place may pass an allowed direction and still count as in it. Common practice, no source: a
tape and a hole saw do no better at the distances of a room."""
SURROUNDS_APART = (math.radians(30), math.radians(60))
"""Radians of azimuth between the two middle-layer surrounds of one side: notes under Tables 11 and 12."""


@dataclass(frozen=True)
class Direction:
    """Where one channel is to be heard from, radians: nominal, and the least and most that are allowed."""

    channel: Channel
    azimuth: float
    azimuths: tuple[float, float]
    elevation: float
    elevations: tuple[float, float]

    @property
    def overhead(self) -> bool:
        """Whether it belongs above, not at the height of the ears."""
        return self.elevation > 0

    def allows_azimuth(self, azimuth: float) -> bool:
        return self.azimuths[0] - WITHIN <= azimuth <= self.azimuths[1] + WITHIN

    def allows_elevation(self, elevation: float) -> bool:
        return self.elevations[0] - WITHIN <= elevation <= self.elevations[1] + WITHIN

    @property
    def mirrored(self) -> Direction:
        """The same on the other side; a label's plus and minus change places."""
        letters = str.maketrans("+-", "-+")
        channel = self.channel if self.azimuth == 0 else parse_channel(self.channel.label.translate(letters))
        least, most = self.azimuths
        return Direction(channel, -self.azimuth, (-most, -least), self.elevation, self.elevations)


@dataclass(frozen=True)
class Layout:
    """A set of channels in plain words, and the system of the Recommendation that it follows.

    `directions` holds a center or the left one of a pair; the right one is its mirror image.
    """

    name: str
    system: str
    directions: tuple[Direction, ...]

    @property
    def all_directions(self) -> tuple[Direction, ...]:
        """Every direction, each right one after its left."""
        return tuple(each for left in self.directions for each in dict.fromkeys((left, left.mirrored)))


def _direction(label: str, azimuths: tuple[float, float], elevations: tuple[float, float] = (0, 0)) -> Direction:
    """One direction from what is allowed, degrees. The label states the nominal azimuth; nominal elevation is the
    least one allowed, 0 in the middle layer and 30 in the upper one."""
    channel = parse_channel(label)
    least, most = math.radians(azimuths[0]), math.radians(azimuths[1])
    low, high = math.radians(elevations[0]), math.radians(elevations[1])
    return Direction(channel, math.radians(channel.azimuth_deg or 0), (least, most), low, (low, high))


_CENTER = _direction("M+000", (0, 0))
_FRONT = _direction("M+030", (30, 30))
_FRONT_OR_WIDER = _direction("M+030", (30, 45))
_NEAR_UPPER_FRONT = _direction("U+030", (30, 45), (30, 55))
_SEVEN = (_FRONT_OR_WIDER, _CENTER, _direction("M+090", (85, 110)), _direction("M+135", (120, 150)))

LAYOUTS: Mapping[str, Layout] = {
    layout.name: layout
    for layout in (
        Layout("front three", "B", (_FRONT, _CENTER)),  # the front of system B
        Layout("five at ear height", "B", (_FRONT, _CENTER, _direction("M+110", (100, 120), (0, 15)))),
        Layout(
            "five and two above",
            "C",
            (_FRONT, _CENTER, _direction("M+110", (100, 120), (0, 15)), _NEAR_UPPER_FRONT),
        ),
        Layout(
            "five and four above",
            "D",
            (
                _FRONT,
                _CENTER,
                _direction("M+110", (100, 120)),
                _NEAR_UPPER_FRONT,
                _direction("U+110", (100, 135), (30, 55)),
            ),
        ),
        Layout("seven at ear height", "I", _SEVEN),
        Layout(
            "seven and four above",
            "J",
            (*_SEVEN, _direction("U+045", (30, 45), (30, 55)), _direction("U+135", (100, 150), (30, 55))),
        ),
    )
}
"""Layouts by their name in plain words."""
