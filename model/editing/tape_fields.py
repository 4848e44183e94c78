"""The lengths that say where a thing is, to be shown and typed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.editing.tape_text import exact_text, marked_text
from earshed.model.editing.taping import Keys, place_keys, way_of, where_is
from earshed.model.editing.things import Named, the
from earshed.model.geometry import TOUCHING
from earshed.model.scene import Scene
from earshed.model.scene_file.fields import LARGEST_LENGTH
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.model.taped_from import TapedFrom
from earshed.model.units import format_length, parse_length

HEIGHT, EARS = "height", "ear_height"


@dataclass(frozen=True)
class TapeField:
    """One length that places a thing: its key in the scene file, from where it is pulled, as printed, and in metres."""

    key: str
    words: str
    text: str
    metres: float


def tape_fields(scene: Scene, thing: Named) -> tuple[TapeField, ...]:
    """The lengths that place a thing, in the way in which the scene tapes it, and its height where it is given one.

    Raises ValueError for a thing that the scene does not have.
    """
    return tuple(TapeField(key, words, format_length(m, scene.print_units), m) for key, words, m in _said(scene, thing))


def typed(scene: Scene, thing: Named, field: str | TapeField, text: str) -> Keys:
    """Keys of a thing with one of its lengths as typed, in any way in which a scene file takes lengths.

    The text that was shown changes nothing. Raises ValueError, in words, for what is no length, and for a field that
    does not place the thing.
    """
    key = field if isinstance(field, str) else field.key
    fields = {one.key: one for one in tape_fields(scene, thing)}
    if key not in fields:
        raise ValueError(f"`{key}` does not place it; what does is {', '.join(fields)}")
    said = (
        _read(scene, text)
        if " ".join(text.split()) != fields[key].text
        else exact_text(fields[key].metres, scene.print_units)
    )
    if key in (HEIGHT, EARS):
        return {key: said}
    way, at = way_of(scene, thing), where_is(scene, thing)
    return place_keys(at, way, lambda one, metres: said if one == key else exact_text(metres, scene.print_units))


def plane_height(scene: Scene, height: str | float) -> Keys:
    """Keys of `listening_plane` with its height as typed, or in metres to the nearest mark of the tape.

    Raises ValueError for what is no length.
    """
    if isinstance(height, str):
        return {"height": _read(scene, height)}
    if not math.isfinite(height):
        raise ValueError("a height is a number of metres, or a length")
    return {"height": marked_text(height, scene.print_units)}


def _read(scene: Scene, text: str) -> str:
    """A length as it was typed, if it is one. Raises ValueError."""
    metres = parse_length(text, bare=scene.bare_lengths)
    if abs(metres) > LARGEST_LENGTH:
        raise ValueError(f"{text.strip()} is past the {LARGEST_LENGTH:g} m (about 197 ft) that a room may measure")
    return " ".join(text.split())


def _said(scene: Scene, thing: Named) -> Iterator[tuple[str, str, float]]:
    """Key, words and metres of each length."""
    found, way = the(scene, thing), way_of(scene, thing)
    for key, metres in where_is(scene, thing).lengths.items():
        yield key, tape_words(scene, key, way), metres
    if isinstance(found, Seat):
        floor = float(scene.room.floor_under(found.ear[:2]))
        over = "the floor" if floor < TOUCHING else "the riser"
        yield EARS, f"ears above {over}", float(found.ear[2]) - floor
    elif has_height(found):
        yield HEIGHT, "above the floor", float(found.position[2])


def has_height(speaker: Speaker) -> bool:
    """Whether the scene file gives a speaker its height; in a ceiling it follows from its place."""
    return speaker.type.mount != "in-ceiling"


def tape_words(scene: Scene, key: str, way: TapedFrom) -> str:
    """From where the length of a key is pulled."""
    match key:
        case "along":
            return "from the wall's first corner"
        case "from_center":
            return "right of the center line"
        case "right":
            return f"right of {way.datum}"
        case "back":
            return f"behind {way.datum}"
    start = key.removeprefix("from_")
    return f"from the {start} wall" if scene.room.plan.kind == "rectangle" else f"from the {start}"
