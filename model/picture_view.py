"""How each seat sees the picture: how large, how far up and aside, and what of it a head in front hides.

Eyes are taken at the height of the ears: with the head held level the two are (the Frankfurt plane of anatomy runs
through the openings of the ears and the lower rims of the eye sockets).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from earshed.model.geometry import TOUCHING, Array
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat, upright_seats
from earshed.model.units import INCH

HEAD = 5 * INCH
"""Metres from the eyes to the top of the head. Common practice, no source: 4 to 5 in are allowed for."""
HALF_A_HEAD = 3 * INCH
"""Half of the width of a head, metres. Common practice, no source."""


@dataclass(frozen=True)
class PictureView:
    """How one seat sees the picture; radians.

    `distance` is square to the picture, metres. `across` is the angle between its left and right edges, in plan,
    `upright` the one between the middles of its upper and lower edges; those are seen `top` and `bottom` up from level.
    `aside` is how far the seat is from square before the picture's middle.
    """

    seat: Seat
    distance: float
    across: float
    upright: float
    top: float
    bottom: float
    aside: float


@dataclass(frozen=True)
class HeadInWay:
    """What the head of a seat in front hides from one behind, metres.

    `hidden` is the height of picture that is hidden, from its lower edge up, `rise` how much higher the eyes behind
    would have to be to see all of it.
    """

    seat: Seat
    front: Seat
    hidden: float
    rise: float


def picture_view(screen: WallPatch, seat: Seat) -> PictureView | None:
    """How a seat sees the picture; None from beside or behind its plane."""
    along, away = _before(screen, seat)
    if away <= TOUCHING:
        return None
    middle = (screen.start + screen.end) / 2
    across = math.atan2(screen.end - along, away) - math.atan2(screen.start - along, away)
    level = math.hypot(away, middle - along)
    eye = float(seat.ear[2])
    top, bottom = (math.atan2(edge - eye, level) for edge in (screen.top, screen.bottom))
    return PictureView(seat, away, across, top - bottom, top, bottom, abs(math.atan2(along - middle, away)))


def picture_views(screen: WallPatch, seats: Sequence[Seat]) -> list[PictureView]:
    """How each upright seat before the picture sees it."""
    views = (picture_view(screen, seat) for seat in upright_seats(seats))
    return [view for view in views if view is not None]


def heads_in_way(screen: WallPatch, seats: Sequence[Seat]) -> Iterator[HeadInWay]:
    """For each upright seat the head before it that hides most of the picture, where one hides any.

    A line from the lower edge of the picture, of height y at a distance of 0, over a head of height h at the distance D
    meets the eyes behind it, at D + T, at y + (h - y)(D + T) / D: similar triangles.
    """
    upright = upright_seats(seats)
    for seat in upright:
        found = [each for front in upright if (each := head_in_way(screen, seat, front)) is not None]
        if found:
            yield max(found, key=lambda each: each.hidden)


def head_in_way(screen: WallPatch, seat: Seat, front: Seat) -> HeadInWay | None:
    """What the head at another seat hides of the picture from this one; None where it is not in the way."""
    _, behind = _before(screen, seat)
    _, before = _before(screen, front)
    if not TOUCHING < before < behind - TOUCHING:
        return None
    head, eye = float(front.ear[2]) + HEAD, float(seat.ear[2])
    rise = screen.bottom + (head - screen.bottom) * behind / before - eye
    if rise <= TOUCHING or not _crosses(screen, seat, front):
        return None
    seen_from = eye + (head - eye) * behind / (behind - before)
    return HeadInWay(seat, front, min(seen_from, screen.top) - screen.bottom, rise)


def _crosses(screen: WallPatch, seat: Seat, front: Seat) -> bool:
    """Whether on the plan a head comes between a seat and the picture."""
    ends = [screen.wall.start + edge * screen.wall.along for edge in (screen.start, screen.end)]
    seen = shapely.Polygon([seat.ear[:2], *ends])
    return bool(seen.distance(shapely.Point(front.ear[:2])) < HALF_A_HEAD - TOUCHING)


def _before(screen: WallPatch, seat: Seat) -> tuple[float, float]:
    """Metres along the screen's wall, and out from it, of a seat."""
    out: Array = seat.ear[:2] - screen.wall.start
    return float(out @ screen.wall.along), float(out @ screen.wall.inward)
