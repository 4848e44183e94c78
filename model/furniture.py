"""What is in a room besides its boxes and stops sound on its straight way: the backs of seats, and the screen."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane
from earshed.model.geometry import STAND_OFF, Array, frozen
from earshed.model.scene import Scene
from earshed.model.screen import Screen
from earshed.model.seating import Seat, upright_seats
from earshed.model.units import INCH

BACK_WIDTH = 24 * INCH
"""Metres: of a seat's back. Common practice, no source: 22 to 26 in."""
BEHIND_EARS = 5 * INCH
"""Metres from the ears to the front of the back: half of a head and some hair. Common practice, no source."""
BACK_DEPTH = 6 * INCH
"""Metres: of a padded back. Common practice, no source: 5 to 8 in."""


def furniture(scene: Scene, seat: Seat | None = None) -> tuple[Block, ...]:
    """The backs of the seats that have one up to the ears, and the screen where sound does not pass it.

    All seats are upright, but for `seat`, whose chair is in that seat's posture.
    """
    seats = upright_seats(scene.seats)
    if seat is not None:
        seats = tuple(seat if one.chair == seat.chair else one for one in seats)
    return (*_backs(seats, scene.ahead), *_screens(scene.screen))


def _backs(seats: tuple[Seat, ...], ahead: Array) -> Iterator[Block]:
    aside = np.array([ahead[1], -ahead[0]])
    for seat in seats:
        if seat.back_top is not None:
            front = seat.ear[:2] - BEHIND_EARS * ahead
            yield _upright(f"the back of {seat.chair}", front, aside, BACK_WIDTH, BACK_DEPTH, 0.0, seat.back_top)


def _screens(screen: Screen | None) -> Iterator[Block]:
    """The screen as a sheet on its wall, before what is cut into the wall behind it."""
    if screen is not None and not screen.transparent:
        out = screen.wall.inward
        front, aside = screen.center[:2] + STAND_OFF * out, np.array([out[1], -out[0]])
        yield _upright("the screen", front, aside, screen.end - screen.start, STAND_OFF, screen.bottom, screen.top)


def _upright(name: str, front: Array, right: Array, width: float, depth: float, bottom: float, top: float) -> Block:
    """A block whose front is seen from ahead: its middle in plan (2,), and the unit direction (2,) to its right."""
    half, back = width / 2 * right, depth * np.array([right[1], -right[0]])
    corners = frozen([front - half + back, front + half + back, front + half, front - half])
    return Block(name, corners, CeilingPlane(name, 0.0, 0.0, bottom), top)
