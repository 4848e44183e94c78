"""Speakers aimed and turned, within what their types can do, as keys of the scene file."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.aim import AtSeats
from earshed.model.editing.taping import Keys
from earshed.model.editing.things import Named, point_of, the_speaker
from earshed.model.geometry import FRONT, PARALLEL, RIGHT, UP, Array, angle_between, square_to, tilted, unit
from earshed.model.heading import NAMED, heading_text, parse_heading
from earshed.model.scene import Scene
from earshed.model.scene_file.overlay_text import aim_said
from earshed.model.scene_file.tree import Plain
from earshed.model.seating import main_seats, reference_position
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Angled, Fixed, Pivoting
from earshed.model.units import format_angle, parse_angle

FREE = ("stand", "on-surface")
"""Mounts of cabinets, whose baffle faces any way."""
AT_MAIN: Keys = {"aim": {"seats": "main"}}
_LEAST_LEVEL = 1e-6
"""Part of a unit direction off the vertical under which it has no plan direction."""


@dataclass(frozen=True)
class AimState:
    """What can be set of how a speaker is aimed, and what is; radians, headings clockwise from front seen from above.

    `most` is how far its axis may lean from its baffle, or how far it does by its build; `tilt` how far it does.
    `heading` is one that `turned` leans it to as it does, None where it leans nowhere or straight up or down; `faces`
    where the baffle of a cabinet faces, None for a hole, and for one that faces up or down. `seats` are those that it
    is aimed at.
    """

    kind: Literal["fixed", "angled", "pivoting"]
    tilt: float
    most: float
    heading: float | None
    can_face: bool
    faces: float | None
    seats: tuple[str, ...]

    @property
    def can_turn(self) -> bool:
        """Whether the axis can be turned to a heading."""
        return self.kind != "fixed"

    @property
    def can_tilt(self) -> bool:
        """Whether it can lean more or less."""
        return self.kind == "pivoting"


def aim_state(speaker: Speaker) -> AimState:
    """How a speaker is aimed."""
    kind, most = _can(speaker)
    lean = _lean(speaker)
    free = speaker.type.mount in FREE
    return AimState(
        kind,
        speaker.tilt,
        most,
        None if lean is None else _heading_of(lean, speaker.normal),
        free,
        bearing(speaker.normal) if free else None,
        speaker.aim.names if isinstance(speaker.aim, AtSeats) else (),
    )


def bearing(direction: Array) -> float | None:
    """Radians clockwise from front, -pi to pi, of the plan direction of a vector (3,); None for an upright one."""
    if np.hypot(direction[0], direction[1]) < _LEAST_LEVEL * np.linalg.norm(direction):
        return None
    return math.atan2(direction[0], direction[1])


def _heading_of(lean: Array, normal: Array) -> float | None:
    """The heading whose shadow on a face is the way (3,) that an axis leans in it; on an upright face only its side
    counts."""
    level = normal[2] * (lean * normal[2] - normal * lean[2])  # the level one of those that differ by the normal alone
    return bearing(level if abs(normal[2]) > PARALLEL else lean)


def aimed_at_main(scene: Scene, speaker: Named) -> Keys:
    """Keys that aim a speaker at the main seats. Raises ValueError for one that cannot be aimed."""
    found = the_speaker(scene, speaker)
    if not scene.seats:
        raise ValueError("the scene has no seats to aim at")
    if isinstance(found.type.aiming, Fixed):
        return _faced(found, reference_position(scene.seats) - found.position)
    return dict(AT_MAIN)


def aimed_at_all(scene: Scene, speaker: Named) -> Keys:
    """Keys that aim a speaker at all seats. Raises ValueError for one that cannot be aimed."""
    found = the_speaker(scene, speaker)
    if not scene.seats:
        raise ValueError("the scene has no seats to aim at")
    if isinstance(found.type.aiming, Fixed):
        return _faced(found, np.mean([seat.ear for seat in scene.seats], axis=0) - found.position)
    return {"aim": {"seats": "all"}}


def aimed_at(scene: Scene, speaker: Named, seat: str) -> Keys:
    """Keys that aim a speaker at one seat. Raises ValueError for one that cannot be aimed, and where there is no such
    seat."""
    found = the_speaker(scene, speaker)
    ear = next((one.ear for one in scene.seats if one.name == seat), None)
    if ear is None:
        raise ValueError(f"there is no seat called {seat[:60]}; there are {_seat_names(scene)}")
    if not isinstance(found.type.aiming, Fixed):
        return {"aim": {"seat": seat}}
    _need_free(found)
    _need_level(ear - found.position)
    return _faced(found, ear - found.position) if seat.lower() in NAMED else {"faces": seat}


def aimed_at_point(scene: Scene, speaker: Named, xyz: ArrayLike) -> Keys:
    """Keys that turn a speaker to a point (3,), as nearly as its type can. Raises ValueError for one that cannot be
    turned, and for a point in the middle of it."""
    found = the_speaker(scene, speaker)
    way = point_of(xyz) - found.position
    if np.linalg.norm(way) < PARALLEL:
        raise ValueError(f"{found.name} cannot be aimed at where it is")
    way = unit(way)
    kind, most = _can(found)
    if kind == "fixed":
        return _faced(found, way)
    lean = square_to(way, found.normal)
    if lean is None:
        return straight(scene, found) if kind == "pivoting" and way @ found.normal > 0 else _turned(found, None, most)
    off = float(angle_between(found.normal, way))
    return _turned(found, lean, most if kind == "angled" else min(off, most))


def straight(scene: Scene, speaker: Named) -> Keys:
    """Keys with which the axis is square to the baffle. Raises ValueError for a type that leans by its build."""
    found = the_speaker(scene, speaker)
    if isinstance(found.type.aiming, Angled):
        leans = format_angle(found.type.aiming.angle)
        raise ValueError(f"{found.type.name} leans {leans} by its build; it can be turned, but not made straight")
    return {"aim": "none"}


def turned(scene: Scene, speaker: Named, tilt: float | str | None = None, heading: float | str | None = None) -> Keys:
    """Keys with which a speaker leans by `tilt` to `heading`; what is None stays as it is.

    A tilt in radians is taken to what the type can do, one as text must be so, as in the scene file. A heading is in
    radians clockwise from front seen from above, or in the scene file's words, a seat's name among them. Of a cabinet
    that is fixed the heading is where it faces. Raises ValueError for what is not of that form, or cannot be.
    """
    found = the_speaker(scene, speaker)
    kind, most = _can(found)
    if kind == "fixed":
        if tilt is not None and (parse_angle(tilt) if isinstance(tilt, str) else tilt) != 0.0:
            raise ValueError(f"{found.type.name} is fixed: it cannot be tilted")
        return _faced(found, _direction(scene, found, heading)) if heading is not None else {}
    if kind == "angled" and isinstance(tilt, str) and abs(_tilt_of(found, tilt) - most) > _LEAST_LEVEL:
        raise ValueError(f"{found.type.name} leans {format_angle(most)} by its build, no more and no less")
    leans = most if kind == "angled" else found.tilt if tilt is None else _tilt_of(found, tilt)
    if heading is None:
        return _turned(found, _lean(found), leans)
    lean = square_to(_direction(scene, found, heading), found.normal)
    if lean is None:
        raise ValueError(f"{found.name} already faces that way, or straight away from it; give a heading to its side")
    return _turned(found, lean, most if tilt is None and leans < _LEAST_LEVEL else leans)


def faced(scene: Scene, speaker: Named, heading: float | str) -> Keys:
    """Keys with which the baffle of a cabinet faces a heading, as `turned` takes it. Raises ValueError for a hole."""
    found = the_speaker(scene, speaker)
    _need_free(found)
    return _faced(found, _direction(scene, found, heading))


def aim_along(speaker: Speaker, axis: Array) -> Plain:
    """The `aim` that gives a speaker an axis (3,) that its type can have."""
    said = aim_said(speaker.type.aiming, speaker.normal, axis)
    return said if isinstance(said, str) else dict(said)


def sideways(normal: Array) -> Array:
    """A direction (3,) in a face to lean to where nothing says which: to the front, else to the right."""
    for way in (FRONT, RIGHT, -UP):
        lean = square_to(way, normal)
        if lean is not None:
            return lean
    raise AssertionError("a face is square to one of them at the most")


def _turned(speaker: Speaker, lean: Array | None, tilt: float) -> Keys:
    if lean is None:
        lean = sideways(speaker.normal)
    if tilt < _LEAST_LEVEL:
        return {"aim": "none"}
    return {"aim": aim_along(speaker, tilted(speaker.normal, lean, tilt))}


def _can(speaker: Speaker) -> tuple[Literal["fixed", "angled", "pivoting"], float]:
    """What a type can do, and how far it leans at the most."""
    match speaker.type.aiming:
        case Angled(angle):
            return "angled", angle
        case Pivoting(limit):
            return "pivoting", limit
        case Fixed():
            return "fixed", 0.0


def _lean(speaker: Speaker) -> Array | None:
    """Which way (3,) in its face a speaker leans; None where it leans nowhere."""
    return square_to(speaker.axis, speaker.normal) if speaker.tilt > _LEAST_LEVEL else None


def _tilt_of(speaker: Speaker, tilt: float | str) -> float:
    _, most = _can(speaker)
    if not isinstance(tilt, str):
        return min(max(0.0, float(tilt)), most) if math.isfinite(tilt) else 0.0
    angle = parse_angle(tilt)
    if not -_LEAST_LEVEL <= angle <= most + _LEAST_LEVEL:
        raise ValueError(f"{tilt.strip()} is past what {speaker.type.name} can do: 0 to {format_angle(most)}")
    return min(max(0.0, angle), most)


def _direction(scene: Scene, speaker: Speaker, heading: float | str) -> Array:
    """Direction (3,) of a heading. Raises ValueError for words that name none."""
    if not isinstance(heading, str):
        if not math.isfinite(heading):
            raise ValueError("a heading is an angle from front")
        direction: Array = math.cos(heading) * FRONT + math.sin(heading) * RIGHT
        return direction
    if heading.strip().lower() not in NAMED:
        for seat in scene.seats:
            if seat.name == heading.strip():
                return seat.ear - speaker.position
    return parse_heading(heading)


def _faced(speaker: Speaker, way: Array) -> Keys:
    """The heading that a cabinet's baffle faces. Raises ValueError for a hole, which faces as its face does."""
    _need_free(speaker)
    for name in ("up", "down"):
        if float(angle_between(NAMED[name], way)) < _LEAST_LEVEL:
            return {"faces": name}
    _need_level(way)
    return {"faces": heading_text(way)}


def _need_free(speaker: Speaker) -> None:
    if speaker.type.mount not in FREE:
        words = f"{speaker.type.name} is fixed, square to its face: it can be moved, or be of another type"
        raise ValueError(words if isinstance(speaker.type.aiming, Fixed) else f"{speaker.name} faces as its face does")


def _need_level(way: Array) -> None:
    if bearing(way) is None:
        raise ValueError("that is straight above or below it; let it face down or up")


def _seat_names(scene: Scene) -> str:
    return ", ".join(seat.name for seat in main_seats(scene.seats)[:8]) or "none"
