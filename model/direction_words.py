"""Directions in words, as they are heard: how far to the left or right of the picture, how far up or down.

Angles are radians, azimuth positive to the left and elevation up; in words no angle has a sign.
"""

from __future__ import annotations

import math

from earshed.model.units import format_angle
from earshed.model.window import Window

UNSEEN = math.radians(0.05)
"""Less than is printed."""


def azimuth_words(azimuth: float) -> str:
    """One azimuth, -pi to pi: "24.1° to the left"."""
    if abs(azimuth) < UNSEEN:
        return "straight ahead"
    if abs(azimuth) > math.pi - UNSEEN:
        return "straight behind"
    return f"{format_angle(abs(azimuth))} to the {side_words(azimuth)}"


def elevation_words(elevation: float) -> str:
    """One elevation: "61.0° up"."""
    if abs(elevation) < UNSEEN:
        return "at the height of the ears"
    return f"{format_angle(abs(elevation))} {_way(elevation)}"


def azimuth_range(azimuths: tuple[float, float]) -> str:
    """Azimuths from their right end to their left one, which may be past pi: "30° to 45° to the left"."""
    least, most = azimuths
    if most - least < UNSEEN:
        return azimuth_words(least) if abs(least) in (0, math.pi) else f"{_degrees(least)} to the {side_words(least)}"
    if most > math.pi + UNSEEN:
        return f"{_degrees(least)} to the left to {_degrees(2 * math.pi - most)} to the right, round the rear"
    if least < -UNSEEN and most > UNSEEN:
        return f"{_degrees(least)} to the right to {_degrees(most)} to the left"
    near, far = sorted((abs(least), abs(most)))
    return f"{_degrees(near)} to {_degrees(far)} to the {side_words(least + most)}"


def elevation_range(elevations: tuple[float, float]) -> str:
    """Elevations from the least to the most: "30° to 55° up"."""
    low, high = elevations
    if high - low < UNSEEN:
        return "the height of the ears" if abs(low) < UNSEEN else f"{_degrees(low)} {_way(low)}"
    if low < -UNSEEN and high > UNSEEN:
        return f"{_degrees(low)} down to {_degrees(high)} up"
    near, far = sorted((abs(low), abs(high)))
    return f"{_degrees(near)} to {_degrees(far)} {_way(low + high)}"


def window_words(window: Window) -> str:
    """What a window asks for: "30° to 45° to the left and 30° to 55° up"; an angle that is free is not told."""
    asked = [] if window.any_azimuth else [azimuth_range(window.azimuths)]
    asked += [] if window.any_elevation else [elevation_range(window.elevations)]
    return " and ".join(asked) or "any direction"


def side_words(azimuth: float) -> str:
    return "left" if azimuth > 0 else "right"


def _way(elevation: float) -> str:
    return "up" if elevation > 0 else "down"


def _degrees(radians: float) -> str:
    """Without a sign, to a tenth where it is not whole."""
    return f"{round(math.degrees(abs(radians)), 1):g}°"
