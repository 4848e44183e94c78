"""Speakers of another type in the same place."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import get_args

from earshed.model.aim import Straight, Tilt
from earshed.model.editing.aiming import AT_MAIN, FREE, sideways
from earshed.model.editing.tape_text import exact_text
from earshed.model.editing.taping import Keys
from earshed.model.editing.things import Named, the_speaker
from earshed.model.framing import Direction, runs_along
from earshed.model.geometry import PARALLEL, Array, square_to, tilted
from earshed.model.scene import Scene
from earshed.model.scene_file.overlay_text import aim_said
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Angled, Fixed, Mount, Pivoting, Rectangular, SpeakerType

_INSTEAD: Mapping[Mount, tuple[Mount, ...]] = {
    "in-ceiling": ("on-surface",), "in-wall": (), "stand": ("on-surface",), "on-surface": ("stand",),
}  # fmt: skip
"""By how a speaker is mounted, other mounts that its place allows."""


def types_for(scene: Scene, speaker: Named) -> tuple[SpeakerType, ...]:
    """The scene's types that a speaker may become where it is: those of its mount first. Raises ValueError."""
    found = the_speaker(scene, speaker)
    mounts = (found.type.mount, *_INSTEAD[found.type.mount])
    fitting = [kind for kind in scene.speaker_types.values() if kind.mount in mounts]
    return tuple(sorted(fitting, key=lambda kind: mounts.index(kind.mount)))


def retyped(scene: Scene, speaker: Named, name: str) -> Keys:
    """Keys with which a speaker is of another type, where it is and aimed as it is, as far as that type can.

    One that can be aimed in place of one that could not is aimed at the main seats. A rectangular hole lies along the
    members behind it. Raises ValueError for a type that is not there, or that its place does not allow.
    """
    found = the_speaker(scene, speaker)
    kind = scene.speaker_types.get(name)
    if kind is None:
        near = get_close_matches(name, scene.speaker_types, n=1)
        hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(scene.speaker_types)}"
        raise ValueError(f"there is no speaker type called {name[:60]}; {hint}")
    return {"type": name, **_mounted(scene, found, kind), **_hole(scene, found, kind), **_aimed(scene, found, kind)}


def hole_way(speaker: Speaker) -> Direction | None:
    """How a scene file says which way a rectangular hole lies; None for any other."""
    if speaker.long_axis is None:
        return None
    return next((way for way in get_args(Direction) if _runs(way, speaker.normal, speaker.long_axis)), None)


def is_rectangular(kind: SpeakerType) -> bool:
    return kind.mount in ("in-ceiling", "in-wall") and isinstance(kind.cutout or kind.rim, Rectangular)


def _runs(way: Direction, normal: Array, long_axis: Array) -> bool:
    try:
        return abs(float(runs_along(way, normal) @ long_axis)) > 1 - PARALLEL
    except ValueError:
        return False


def _mounted(scene: Scene, speaker: Speaker, kind: SpeakerType) -> Keys:
    """What another mount needs besides. Raises ValueError where the place does not allow it."""
    now = speaker.type.mount
    if kind.mount == now or (kind.mount in FREE and now in FREE):
        return {}
    if kind.mount not in _INSTEAD[now]:
        fitting = ", ".join(one.name for one in types_for(scene, speaker))
        raise ValueError(f"{kind.name} is {kind.mount}, and {speaker.name} {now}: there it can be {fitting}")
    return {"height": exact_text(float(speaker.position[2]), scene.print_units), "faces": "down"}


def _hole(scene: Scene, speaker: Speaker, kind: SpeakerType) -> Keys:
    """Which way a rectangular hole lies, where that must be said, or must no more be."""
    if not is_rectangular(kind):
        return {"long_axis": "none"} if speaker.long_axis is not None else {}
    if kind.mount == "in-wall" or speaker.long_axis is not None:
        return {}
    assert speaker.surface is not None
    name = speaker.surface.name
    behind = (run.direction for run in scene.framing if name in [face.name for face in run.surfaces])
    return {"long_axis": next(behind, "up-slope")}


def _aimed(scene: Scene, speaker: Speaker, kind: SpeakerType) -> Keys:
    """The aim, where it cannot stay as it is said. A type that cannot aim keeps what seats it would be aimed at."""
    before, now = speaker.type.aiming, kind.aiming
    match speaker.aim:
        case Straight():
            if isinstance(now, Angled) or (isinstance(before, Fixed) and not isinstance(now, Fixed)):
                return dict(AT_MAIN) if scene.seats else _leaning(kind, speaker, sideways(speaker.normal))
        case Tilt():
            lean = square_to(speaker.axis, speaker.normal)
            return _leaning(kind, speaker, lean if lean is not None else sideways(speaker.normal))
    return {}


def _leaning(kind: SpeakerType, speaker: Speaker, lean: Array) -> Keys:
    """The aim that leans to a direction (3,) in the face, as far as the speaker does now, or as its type can."""
    match kind.aiming:
        case Fixed():
            return {"aim": "none"}
        case Angled(angle):
            leans = angle
        case Pivoting(limit):
            leans = min(speaker.tilt, limit)
    said = aim_said(kind.aiming, speaker.normal, tilted(speaker.normal, lean, leans))
    return {"aim": said if isinstance(said, str) else dict(said)}
