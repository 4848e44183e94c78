"""Whether each seat sees the picture: large enough, not too high, and past heads and boxes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.direction_words import UNSEEN
from earshed.model.finding import Finding, Severity
from earshed.model.geometry import STAND_OFF, Array
from earshed.model.picture_view import PictureView, heads_in_way, picture_views
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.model.sight import block_between, shell_between
from earshed.model.units import format_angle, format_length

LEAST_ACROSS = math.radians(30)
"""Radians from its left to its right edge under which a picture is small: SMPTE EG 18-1994, as the trade quotes it; its
own text was not read."""
MOST_UP = math.radians(15)
"""Radians up from level to its upper edge from which heads are put back to watch. Common practice, no source."""
SHARES = np.array([0.02, 0.5, 0.98])
"""Parts of the picture's width and height to which a seat's sight is tried: its middle, and just within its edges."""


def picture_findings(scene: Scene) -> Iterator[Finding]:
    screen, seats = scene.screen, scene.seats
    if screen is None or not seats:
        return
    yield from _size(scene, screen, picture_views(screen, main_seats(seats)))
    for seat in upright_seats(seats):
        yield from _blocked(scene, screen, seat)
    for found in heads_in_way(screen, seats):
        hidden, rise = (format_length(length, scene.print_units) for length in (found.hidden, found.rise))
        whole = found.hidden >= screen.top - screen.bottom
        part = "all of the picture" if whole else f"the lower {hidden} of the picture"
        remedy = f"raise the eyes there by {rise}, as on a riser" + ("" if whole else f", or the picture by {hidden}")
        text = f"over the head at {found.front.name} it does not see {part}: {remedy}"
        yield Finding(_grade(scene, found.seat), "picture-over-head", found.seat.name, text)


def _size(scene: Scene, screen: WallPatch, views: Sequence[PictureView]) -> Iterator[Finding]:
    """Notes on a picture that is small, or high, as seen from the main seat from which it is most so."""
    units = scene.print_units
    small = min(views, key=lambda view: view.across, default=None)
    if small is not None and small.across < LEAST_ACROSS - UNSEEN:
        text = f"from {small.seat.name} the picture is {format_angle(small.across)} wide; "
        text += f"{format_angle(LEAST_ACROSS)} or more are usual (SMPTE EG 18-1994, as the trade quotes it)"
        yield Finding("note", "picture-small", screen.name, text)
    high = max(views, key=lambda view: view.top, default=None)
    if high is not None and high.top > MOST_UP + UNSEEN:
        eye = float(high.seat.ear[2])
        lower = (screen.top - eye) * (1 - math.tan(MOST_UP) / math.tan(high.top))
        text = f"from {high.seat.name} the upper edge of the picture is {format_angle(high.top)} up; "
        text += f"{format_angle(MOST_UP)} or less are easy on the neck (common practice): "
        yield Finding(
            "note", "picture-high", screen.name, f"{text}lower it by {format_length(lower, units)}, or recline"
        )


def _blocked(scene: Scene, screen: WallPatch, seat: Seat) -> Iterator[Finding]:
    """What of the room stands between a seat and the picture."""
    points, room = _points(screen), scene.room
    boxes = _in_view(room.boxes, np.vstack([points, seat.ear]))
    met = [block_between(seat.ear, point, boxes) or shell_between(seat.ear, point, room) for point in points]
    for name in dict.fromkeys(name for name in met if name is not None):
        count = met.count(name)
        part = "the picture" if count == len(met) else "part of the picture"
        text = f"{name} stands between it and {part}"
        yield Finding(_grade(scene, seat), "picture-blocked", seat.name, text)


def _in_view(boxes: Sequence[Block], view: Array) -> list[Block]:
    """The boxes that reach into the box round some points (N, 3) and, on the plan, into their hull."""
    low, high = float(view[:, 2].min()), float(view[:, 2].max())
    level = [box for box in boxes if box.top > low and box.lower[2] < high]
    hull = shapely.MultiPoint(view[:, :2]).convex_hull
    reached = shapely.intersects([box.footprint for box in level], hull)
    return [box for box, is_in in zip(level, reached, strict=True) if is_in]


def _points(screen: WallPatch) -> Array:
    """Points (9, 3) just before the picture."""
    wide, high = screen.end - screen.start, screen.top - screen.bottom
    out = STAND_OFF * np.append(screen.wall.inward, 0.0)
    points: Array = np.array([
        screen.point(screen.start + across * wide, screen.bottom + up * high) + out
        for up in SHARES for across in SHARES
    ])  # fmt: skip
    return points


def _grade(scene: Scene, seat: Seat) -> Severity:
    return "warning" if seat.name in {main.name for main in main_seats(scene.seats)} else "note"
