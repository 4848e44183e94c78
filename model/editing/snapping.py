"""Places near where a hand holds a thing that it may be meant for: middles of bays, lines of lights, mirror images."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import ArrayLike

from earshed.model.editing.ground import OFF_THE_EDGE, ground
from earshed.model.editing.mirroring import mirrored_place
from earshed.model.editing.things import Named, Thing, point_of, the
from earshed.model.framing import Framing, members_on
from earshed.model.geometry import PARALLEL, RIGHT, UP, Array
from earshed.model.scene import Scene
from earshed.model.search.ask import picture_mirror
from earshed.model.seating import Seat, upright_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_window import partner_of
from earshed.model.surface import Surface
from earshed.model.units import format_length

CROSSING = 0.3
"""Sine from which two lines cross well enough for a place to be on both."""
ON_THE_FACE = 1e-3
"""Metres off a face within which a place counts as on it."""


@dataclass(frozen=True, eq=False)
class Snap:
    """A place (3,) and what is good about it, in words; nothing where it is the place that was asked for."""

    xyz: Array
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Guide:
    """A line of a face on which a thing may be meant to be: its points `uv` (2,) have uv @ across == at."""

    across: Array
    at: float
    reason: str

    def off(self, uv: Array) -> float:
        """Metres from a point (2,) to the line, with a sign."""
        return self.at - float(uv @ self.across)


def snapped(scene: Scene, thing: Named, xyz: ArrayLike, reach: float) -> Snap:
    """The place that one near `xyz` (3,) may be meant for: on the nearest line of the face that something suggests,
    then along it on the nearest one that crosses it, each no farther than `reach` metres.

    Bays are suggested to holes alone; lights, other speakers, the picture's center line and the mirror image of the
    partner to all speakers; other seats and the center line to seats. Whether it may be there is not asked.
    Raises ValueError for a thing that is not there.
    """
    found, point = the(scene, thing), point_of(xyz)
    face = _face_at(scene, found, point)
    if face is None or not reach > 0:
        return Snap(point)
    start = face.to_face(point)
    guides = list(_guides(scene, found, face))
    first = _nearest(guides, start, reach)
    if first is None:
        return Snap(point)
    on_first = start + first.off(start) * first.across
    crossing = [one for one in guides if abs(float(np.linalg.det([one.across, first.across]))) > CROSSING]
    spots = [(one, _meet(first, one)) for one in crossing]
    near = [(one, spot) for one, spot in spots if np.linalg.norm(spot - on_first) <= reach]
    second, place = min(near, key=lambda pair: float(np.linalg.norm(pair[1] - on_first)), default=(None, on_first))
    if not shapely.intersects_xy(face.outline, *place):
        if second is None or not shapely.intersects_xy(face.outline, *on_first):
            return Snap(point)
        place = on_first
    return Snap(face.to_room(place), _reasons(scene, found, face, guides, place))


def _nearest(guides: list[Guide], spot: Array, reach: float) -> Guide | None:
    near = [one for one in guides if abs(one.off(spot)) <= reach]
    return min(near, key=lambda one: abs(one.off(spot)), default=None)


def _meet(one: Guide, other: Guide) -> Array:
    """Where (2,) two lines cross."""
    return np.asarray(np.linalg.solve([one.across, other.across], [one.at, other.at]), dtype=np.float64)


def _reasons(scene: Scene, thing: Thing, face: Surface, guides: list[Guide], place: Array) -> tuple[str, ...]:
    """All that is true of a place (2,), each once. What mirrors its partner is not also said to be in line with it."""
    told = dict.fromkeys(one.reason for one in guides if abs(one.off(place)) < OFF_THE_EDGE)
    partner = partner_of(scene, thing) if isinstance(thing, Speaker) else None
    image = _image_on(scene, partner, face) if partner is not None else None
    if partner is None or image is None or float(np.linalg.norm(face.to_room(place) - image)) > OFF_THE_EDGE:
        return tuple(told)
    apart = {f"{how} {partner.name}" for how in ("as far from the center line as", "in line with", "level with")}
    return (f"mirrors {partner.name}", *(reason for reason in told if reason not in apart))


def _face_at(scene: Scene, thing: Thing, point: Array) -> Surface | None:
    """The face of its ground that a place (3,) is on."""
    faces = ground(scene, thing)
    on_it = [face for face in faces if abs(float((point - face.origin) @ face.normal)) < ON_THE_FACE]
    spots = [(face, face.outline.distance(shapely.Point(face.to_face(point)))) for face in on_it]
    nearest = min(spots, key=lambda pair: pair[1], default=None)
    return nearest[0] if nearest is not None and nearest[1] < ON_THE_FACE else None


def _guides(scene: Scene, thing: Thing, face: Surface) -> Iterator[Guide]:
    """All lines of a face that something suggests."""
    mirror = picture_mirror(scene)
    if isinstance(thing, Speaker):
        yield from _mirror_guides(scene, thing, face)
    line = "the picture's center line" if scene.screen else "the room's center line"
    yield from _plan_guide(face, mirror.aside, mirror.point, f"on {line}")
    if isinstance(thing, Seat):
        for seat in upright_seats(scene.seats):
            if seat.name != thing.name:
                yield from _in_line(face, seat.ear, seat.name)
        return
    for run in scene.framing:
        yield from _bays(scene, run, face)
    for fixture in scene.fixtures:
        yield from _in_line(face, fixture.position, fixture.name)
    for other in scene.speakers:
        if other.name != thing.name:
            yield from _in_line(face, other.position, other.name)
    if _is_upright(face):
        for other in scene.speakers:
            if other.name != thing.name and other.type.mount != "in-ceiling":
                yield from _guide(face, UP, other.position, f"level with {other.name}")


def _mirror_guides(scene: Scene, speaker: Speaker, face: Surface) -> Iterator[Guide]:
    """The two lines on which the mirror image of the partner lies, each with what is true along it."""
    partner = partner_of(scene, speaker)
    image = _image_on(scene, partner, face) if partner is not None else None
    if partner is None or image is None:
        return
    mirror = picture_mirror(scene)
    aside, along = f"as far from the center line as {partner.name}", f"in line with {partner.name}"
    if _is_upright(face):
        across = abs(float(face.frame[0][:2] @ mirror.aside)) > abs(float(face.frame[0][:2] @ mirror.run))
        yield from _guide(face, face.frame[0], image, aside if across else along)
        yield from _guide(face, UP, image, f"level with {partner.name}")
        return
    yield from _plan_guide(face, mirror.aside, image[:2], aside)
    yield from _plan_guide(face, mirror.run, image[:2], along)


def _image_on(scene: Scene, partner: Speaker, face: Surface) -> Array | None:
    """The mirror image (3,) of a partner on a face; None where it is on no face, or on another wall."""
    try:
        image = mirrored_place(scene, partner)
    except ValueError:
        return None
    if not _is_upright(face):
        return face.over(image[:2])
    return image if abs(float((image - face.origin) @ face.normal)) < ON_THE_FACE else None


def _is_upright(face: Surface) -> bool:
    return abs(float(face.normal @ UP)) < PARALLEL


def _in_line(face: Surface, point: Array, name: str) -> Iterator[Guide]:
    """The lines of a face on which one is as far from the left, or from the front, as a place (3,)."""
    yield from _plan_guide(face, RIGHT[:2], point[:2], f"in line with {name}")
    yield from _plan_guide(face, np.array([0.0, 1.0]), point[:2], f"in line with {name}")


def _plan_guide(face: Surface, across: Array, through: Array, reason: str) -> Iterator[Guide]:
    """The line of a face over the plan line through a point (2,) square to `across` (2,)."""
    yield from _guide(face, np.append(across, 0.0), np.append(through, 0.0), reason)


def _guide(face: Surface, across: Array, through: Array, reason: str) -> Iterator[Guide]:
    """The line in which a face meets the plane through a point (3,) square to `across` (3,); nothing where they run
    alongside each other."""
    slant = face.frame @ across
    length = float(np.linalg.norm(slant))
    if length > CROSSING / 3:
        yield Guide(slant / length, float((through - face.origin) @ across) / length, reason)


def _bays(scene: Scene, run: Framing, face: Surface) -> Iterator[Guide]:
    """The middles between members next to each other behind a face."""
    behind = next((one for one in run.surfaces if one.name == face.name), None)
    if behind is None:
        return
    members = {round(member.mark.at, 9): member for member in members_on(run, behind)}
    cell = "tile" if run.is_grid else "bay"
    for one, other in pairwise(members.values()):
        along = one.line[1] - one.line[0]
        across = np.array([-along[1], along[0]]) / np.linalg.norm(along)
        here, there = float(one.line[0] @ across), float(other.line[0] @ across)
        inner = (one.mark.thickness - other.mark.thickness) / 4  # the middle of what is clear, not of the centers
        middle = (here + there) / 2 + (inner if there > here else -inner)
        first, second = (format_length(each.mark.at, scene.print_units) for each in (one, other))
        yield Guide(across, middle, f"middle of the {cell} between {run.name} at {first} and {second}")
