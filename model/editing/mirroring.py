"""A speaker's partner put where it mirrors it."""

from __future__ import annotations

import numpy as np
import shapely

from earshed.model.aim import AtSeats, Straight, Tilt
from earshed.model.editing.aiming import FREE, sideways
from earshed.model.editing.ground import OFF_THE_EDGE
from earshed.model.editing.moving import moved
from earshed.model.editing.retyping import hole_way, is_rectangular
from earshed.model.editing.taping import Keys
from earshed.model.editing.things import Named, the_speaker
from earshed.model.geometry import TOUCHING, Array, angle_between, square_to, tilted
from earshed.model.heading import NAMED, heading_text
from earshed.model.moves import MARKS
from earshed.model.scene import Scene
from earshed.model.scene_file.overlay_text import aim_said
from earshed.model.scene_file.tree import Plain
from earshed.model.search.ask import Mirror, picture_mirror
from earshed.model.seating import main_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Fixed
from earshed.model.speaker_window import partner_of
from earshed.model.units import format_length

NEAR_A_WALL = 0.02
"""Metres from a wall within which a mirror image still belongs on it."""
SAME_SEAT = 0.15
"""Metres within which a seat stands where the mirror image of another one is. Common practice, no source."""
_UPRIGHT = 1e-6


def mirrored(scene: Scene, speaker: Named, mirror: Mirror | None = None) -> tuple[str, Keys]:
    """A speaker's partner, and the keys with which that is its mirror image: of its type, in the mirrored place to the
    marks of the tape, with the mirrored aim.

    The mirror is the picture's center line, the room's where there is no picture, or the one given. A partner that is
    already there to half a mark keeps its figures, so that to mirror back changes nothing. A seat that an aim names is
    mirrored too, where one stands there; the main ones stay the main ones. Raises ValueError where there is no partner,
    or nothing to hold it there.
    """
    found = the_speaker(scene, speaker)
    partner = partner_of(scene, found)
    if partner is None:
        raise ValueError(f"{found.name} has no partner: {_why_none(found)}")
    mine, its = found.type.mount, partner.type.mount
    if mine != its and not (mine in FREE and its in FREE):
        raise ValueError(f"{partner.name} is {its}, and {found.name} {mine}: a mirror image is mounted in the same way")
    line = mirror or picture_mirror(scene)
    spot, normal = _image(scene, found, line)
    keys: Keys = {"type": found.type.name} if partner.type != found.type else {}
    mark = MARKS[scene.print_units]
    if float(np.abs(spot - partner.position)[: 2 if mine == "in-ceiling" else 3].max()) > mark / 2 + TOUCHING:
        keys |= moved(scene, partner, spot)
    if is_rectangular(found.type):
        keys["long_axis"] = hole_way(found) or "up-slope"
    elif partner.long_axis is not None:
        keys["long_axis"] = "none"
    if mine in FREE:
        keys["faces"] = _faces(normal)
    keys["aim"] = _aim(scene, found, normal, line)
    return partner.name, keys


def mirrored_place(scene: Scene, speaker: Named, mirror: Mirror | None = None) -> Array:
    """Where (3,) the mirror image of a speaker is, on the face that is there. Raises ValueError where there is none."""
    return _image(scene, the_speaker(scene, speaker), mirror or picture_mirror(scene))[0]


def _image(scene: Scene, speaker: Speaker, mirror: Mirror) -> tuple[Array, Array]:
    """The mirrored place (3,) of a speaker and the way (3,) that its baffle faces there. Raises ValueError."""
    room, image = scene.room, mirror.image(np.array(speaker.position))
    if speaker.type.mount == "in-wall":
        for face in room.surfaces:
            off = abs(float((image - face.origin) @ face.normal))
            place = face.to_face(image)
            if face.kind == "wall" and off < NEAR_A_WALL and shapely.intersects_xy(face.outline, *place):
                return face.to_room(place), face.normal
        raise ValueError(f"the mirror image of {speaker.name} is on no wall")
    out = float(room.plan.polygon.distance(shapely.Point(image[:2])))
    if out > OFF_THE_EDGE:
        raise ValueError(
            f"the mirror image of {speaker.name} is {format_length(out, scene.print_units)} outside the room"
        )
    if speaker.type.mount == "in-ceiling":
        spot, face = room.overhead(image[:2])
        return spot, face.normal
    return image, _turned_over(speaker.normal, mirror)


def _turned_over(direction: Array, mirror: Mirror) -> Array:
    """A direction (3,) as the mirror shows it."""
    aside = np.append(mirror.aside, 0.0)
    turned: Array = direction - 2 * float(direction @ aside) * aside
    return turned


def _aim(scene: Scene, speaker: Speaker, normal: Array, mirror: Mirror) -> Plain:
    match speaker.aim:
        case Straight():
            return "none"
        case AtSeats(names):
            for said, seats in (("main", main_seats(scene.seats)), ("all", scene.seats)):
                if set(names) == {seat.name for seat in seats}:
                    return {"seats": said}
            there = _seat_at(scene, names[0], mirror)
            if there is not None:
                return {"seat": there}
    if isinstance(speaker.type.aiming, Fixed):
        return "none"
    toward = speaker.aim.toward if isinstance(speaker.aim, Tilt) else speaker.axis
    lean = square_to(_turned_over(toward, mirror), normal)
    said_so = aim_said(
        speaker.type.aiming, normal, tilted(normal, lean if lean is not None else sideways(normal), speaker.tilt)
    )
    return said_so if isinstance(said_so, str) else dict(said_so)


def _seat_at(scene: Scene, name: str, mirror: Mirror) -> str | None:
    """The seat that stands at the mirror image of another one, upright."""
    seats = {seat.name: seat for seat in scene.seats}
    image = mirror.image(seats[seats[name].chair].ear)
    near = [seat for seat in seats.values() if seat.reclined_from is None]
    apart = {seat.name: float(np.linalg.norm(seat.ear - image)) for seat in near}
    nearest = min(apart, key=lambda one: apart[one])
    return nearest if apart[nearest] <= SAME_SEAT else None


def _faces(normal: Array) -> str:
    """The heading that a baffle faces."""
    for name in ("up", "down"):
        if float(angle_between(NAMED[name], normal)) < _UPRIGHT:
            return name
    return heading_text(normal)


def _why_none(speaker: Speaker) -> str:
    if speaker.channel is None:
        return "it has no channel that says which other one mirrors it"
    if speaker.channel == speaker.channel.mirrored:
        return f"{speaker.channel.words} is its own mirror image"
    return f"there is not one speaker of {speaker.channel.words} and one of {speaker.channel.mirrored.words}"
