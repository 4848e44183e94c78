"""What a hand can move: speakers and seats."""

from __future__ import annotations

from difflib import get_close_matches

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker

Thing = Speaker | Seat
Named = str | Speaker | Seat
"""A thing, or its name; of a thing only its name counts, so one of an earlier scene will do."""


def all_of(scene: Scene) -> list[Thing]:
    """Every speaker and every seat of a scene, those that recline also as they then are."""
    return [*scene.speakers, *scene.seats]


def the(scene: Scene, thing: Named) -> Thing:
    """The speaker or the seat of that name as the scene has it; of a reclined seat the one that stands in the scene.

    Raises ValueError.
    """
    name = thing if isinstance(thing, str) else thing.name
    seats = {seat.name: seat for seat in scene.seats}
    if name in seats:
        return seats[seats[name].chair]
    return the_speaker(scene, name)


def the_speaker(scene: Scene, speaker: Named) -> Speaker:
    """The speaker of that name as the scene has it. Raises ValueError."""
    name = speaker if isinstance(speaker, str) else speaker.name
    for one in scene.speakers:
        if one.name == name:
            return one
    names = [*(one.name for one in scene.speakers), *(seat.name for seat in scene.seats)]
    near = get_close_matches(name, names, n=1)
    hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(names[:12]) or 'none'}"
    raise ValueError(f"the scene has no speaker or seat called {name[:60]}; {hint}")


def section_of(scene: Scene, thing: Named) -> str:
    """The section of the scene file that holds a thing. Raises ValueError."""
    return "speakers" if isinstance(the(scene, thing), Speaker) else "seats"


def point_of(xyz: ArrayLike) -> Array:
    """A place (3,) that was given from outside. Raises ValueError for what is none."""
    point = np.array(xyz, dtype=np.float64)
    if point.shape != (3,) or not np.all(np.isfinite(point)):
        raise ValueError("a place is three numbers: to the right, to the front, up")
    return point


def place_of(thing: Thing) -> Array:
    """The middle (3,) of a speaker's hole or baffle, or of a head between its ears."""
    return thing.position if isinstance(thing, Speaker) else thing.ear
