"""Layouts: which channels a set of speakers carries, and from where each is to be heard.

Directions are those of Rec. ITU-R BS.2051-3 (05/2022), seen from the reference position: azimuth 0 towards the middle
of the picture and positive to the LEFT, elevation positive up (section 3). The low-frequency channels have no direction
there. The names in plain words are our own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from earshed.model.bs2051 import SYSTEMS
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
        least, most = self.azimuths
        return Direction(self.channel.mirrored, -self.azimuth, (-most, -least), self.elevation, self.elevations)


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


def _layout(name: str, system: str, labels: str) -> Layout:
    """The layout of some of a system's labels, each as the system has it. Raises KeyError for one it has not."""
    return Layout(name, system, tuple(_direction(system, label) for label in labels.split()))


def _direction(system: str, label: str) -> Direction:
    allowed = SYSTEMS[system].allowed[label]
    if allowed is None:
        raise KeyError(f"{label} has no direction")
    return Direction(parse_channel(label), allowed.azimuth, allowed.azimuths, allowed.elevation, allowed.elevations)


LAYOUTS: Mapping[str, Layout] = {
    layout.name: layout
    for layout in (
        _layout("front three", "B", "M+030 M+000"),  # the front of system B
        _layout("five at ear height", "B", "M+030 M+000 M+110"),
        _layout("five and two above", "C", "M+030 M+000 M+110 U+030"),
        _layout("five and four above", "D", "M+030 M+000 M+110 U+030 U+110"),
        _layout("seven at ear height", "I", "M+030 M+000 M+090 M+135"),
        _layout("seven and four above", "J", "M+030 M+000 M+090 M+135 U+045 U+135"),
    )
}
"""Layouts by their name in plain words."""
