"""What can be done from the page, act by act; each gives what is to be said of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from earshed.model.checks.elsewhere import places_of
from earshed.model.editing import aiming, mirroring, moving, retyping, snapping, tape_fields, taping
from earshed.model.editing.changes import Changes
from earshed.model.editing.things import Thing, section_of, the
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, INCH
from earshed.viewer.live.asked import Asked, Refused
from earshed.viewer.live.desk import Desk

REACH = 3 * INCH
"""Metres within which what is dragged snaps."""
STEPS: Mapping[str, Mapping[str, float]] = {
    "ft-in": {'1/8"': INCH / 8, '1"': INCH, '6"': 6 * INCH, "1'": FOOT},
    "m": {"1 mm": 0.001, "1 cm": 0.01, "10 cm": 0.1, "50 cm": 0.5},
}
"""By print units, how far one press of an arrow moves a thing."""
Keys = Mapping[str, Any]


def do(desk: Desk, asked: Asked) -> str:
    """Does what is asked and gives what to say of it, mostly nothing. Raises Refused, and then nothing has changed."""
    if asked.act not in ACTS:
        raise Refused(f"there is no act called {asked.act[:40]}")
    return ACTS[asked.act](desk, asked)


def steps_of(scene: Scene) -> Mapping[str, float]:
    return STEPS["ft-in" if scene.print_units == "ft-in" else "m"]


def _speaker(scene: Scene, asked: Asked) -> Speaker:
    thing = the(scene, asked.text("thing"))
    if not isinstance(thing, Speaker):
        raise Refused(f"{thing.name} is a seat, and this is for speakers")
    return thing


def _edit(desk: Desk, asked: Asked, label: str, keys: Callable[[Scene, Thing], Keys]) -> None:
    """Changes keys of the thing that is asked for; `label` goes before its name."""

    def edit(scene: Scene, changes: Changes) -> Changes:
        thing = the(scene, asked.text("thing"))
        return changes.with_keys(section_of(scene, thing), thing.name, keys(scene, thing))

    desk.change(edit, f"{label} {asked.text('thing')}", asked.gesture)


def _drag(desk: Desk, asked: Asked) -> str:
    origin, way = asked.point("origin"), asked.point("way")
    said: list[str] = []

    def keys(scene: Scene, thing: Thing) -> Keys:
        spot = moving.along_ray(scene, thing, origin, way)
        if spot is None:
            raise Refused(f"{thing.name} cannot be there")
        if asked.flag("snap"):
            snap = snapping.snapped(scene, thing, spot, REACH)
            said.extend(snap.reasons)
            spot = snap.xyz
        return moving.moved(scene, thing, spot)

    _edit(desk, asked, "move", keys)
    return ", ".join(said)


def _nudge(desk: Desk, asked: Asked) -> str:
    far = steps_of(desk.answer.scene).get(asked.text("far"), INCH)
    right, up = asked.number_of("right", -100, 100) * far, asked.number_of("up", -100, 100) * far

    def keys(scene: Scene, thing: Thing) -> Keys:
        upright = isinstance(thing, Speaker) and thing.surface is not None and thing.surface.kind == "wall"
        return moving.nudged(scene, thing, right=right, **({"up": up} if upright else {"back": -up}))

    _edit(desk, asked, "move", keys)
    return ""


def _tape(desk: Desk, asked: Asked) -> str:
    key, text = asked.text("key"), asked.text("text")
    _edit(desk, asked, "tape", lambda scene, thing: tape_fields.typed(scene, thing, key, text))
    return ""


def _remeasure(desk: Desk, asked: Asked) -> str:
    number = int(asked.number_of("way", 0, 10_000))

    def keys(scene: Scene, thing: Thing) -> Keys:
        ways = taping.ways(scene, thing)
        if number >= len(ways):
            raise Refused("there is no such way to tape it")
        return taping.remeasured(scene, thing, ways[number])

    _edit(desk, asked, "tape otherwise", keys)
    return ""


def _plane(desk: Desk, asked: Asked) -> str:
    height = asked.text("text") if asked.said.get("metres") is None else asked.number_of("metres", 0.0, 100.0)

    def edit(scene: Scene, changes: Changes) -> Changes:
        return changes.with_keys("listening_plane", None, tape_fields.plane_height(scene, height))

    desk.change(edit, "height of the map", asked.gesture)
    return ""


def _aim(desk: Desk, asked: Asked) -> str:
    at = asked.text("at")

    def keys(scene: Scene, thing: Thing) -> Keys:
        speaker = _speaker(scene, asked)
        match at:
            case "main":
                return aiming.aimed_at_main(scene, speaker)
            case "seat":
                return aiming.aimed_at(scene, speaker, asked.text("seat"))
            case "none":
                return aiming.straight(scene, speaker)
        raise Refused("a speaker is aimed at main, at a seat, or at none")

    _edit(desk, asked, "aim", keys)
    return ""


def _turn(desk: Desk, asked: Asked) -> str:
    tilt, heading = asked.number_or_none("tilt", 0, 180), asked.number_or_none("heading", -360, 720)
    radians = [None if one is None else math.radians(one) for one in (tilt, heading)]
    _edit(desk, asked, "turn", lambda scene, thing: aiming.turned(scene, _speaker(scene, asked), *radians))
    return ""


def _face(desk: Desk, asked: Asked) -> str:
    heading = math.radians(asked.number_of("heading", -360, 720))
    _edit(desk, asked, "turn", lambda scene, thing: aiming.faced(scene, _speaker(scene, asked), heading))
    return ""


def _retype(desk: Desk, asked: Asked) -> str:
    kind = asked.text("type")
    _edit(desk, asked, "type of", lambda scene, thing: retyping.retyped(scene, _speaker(scene, asked), kind))
    return ""


def _mirror(desk: Desk, asked: Asked) -> str:
    said = []

    def edit(scene: Scene, changes: Changes) -> Changes:
        partner, keys = mirroring.mirrored(scene, _speaker(scene, asked))
        said.append(f"{partner} now mirrors it")
        return changes.with_keys("speakers", partner, keys)

    desk.change(edit, f"mirror {asked.text('thing')}", asked.gesture)
    return ", ".join(said)


def _clear(desk: Desk, asked: Asked) -> str:
    def keys(scene: Scene, thing: Thing) -> Keys:
        place = next((one for one in places_of(scene) if one.speaker is thing), None)
        if place is None:
            raise Refused(f"{thing.name} is cut into nothing")
        move = place.clear_of_all
        if move is None:
            raise Refused(f"no place on {place.hole.surface.called} is clear of everything")
        return moving.moved(scene, thing, place.hole.surface.to_room(place.hole.middle + move))

    _edit(desk, asked, "slide clear", keys)
    return ""


def _revert(desk: Desk, asked: Asked) -> str:
    first = desk.first_changes

    def edit(scene: Scene, changes: Changes) -> Changes:
        thing = the(scene, asked.text("thing"))
        section = section_of(scene, thing)
        reverted, before = changes.reverted(thing.name), first.keys_of(section, thing.name)
        return reverted.with_keys(section, thing.name, before) if before else reverted

    desk.change(edit, f"take all changes from {asked.text('thing')}", asked.gesture)
    return ""


def _undo(desk: Desk, asked: Asked) -> str:
    desk.undo()
    return ""


def _redo(desk: Desk, asked: Asked) -> str:
    desk.redo()
    return ""


def _scheme(desk: Desk, asked: Asked) -> str:
    desk.turn_to(asked.text_or_none("scheme"))
    return ""


def _drop(desk: Desk, asked: Asked) -> str:
    """The end of a drag: nothing changes, but what is left out while one drags is found now."""
    return ""


ACTS: Mapping[str, Callable[[Desk, Asked], str]] = {
    "drag": _drag,
    "drop": _drop,
    "nudge": _nudge,
    "tape": _tape,
    "remeasure": _remeasure,
    "plane": _plane,
    "aim": _aim,
    "turn": _turn,
    "face": _face,
    "retype": _retype,
    "mirror": _mirror,
    "clear": _clear,
    "revert": _revert,
    "undo": _undo,
    "redo": _redo,
    "scheme": _scheme,
}
