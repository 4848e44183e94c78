"""What the page shows of the thing that is chosen: how it is taped, how it is aimed, and what can be done with it."""

from __future__ import annotations

from typing import Any

from earshed.model.editing import aiming, retyping, tape_fields, taping
from earshed.model.editing.aiming import AimState
from earshed.model.editing.things import all_of, section_of, the
from earshed.model.scene import Scene
from earshed.model.seating import Seat, upright_seats
from earshed.model.speaker import Speaker
from earshed.model.speaker_window import partner_of
from earshed.model.taped_from import ALONG_THE_WALL, TapedFrom
from earshed.viewer.aim_words import aiming_words
from earshed.viewer.documents import degrees
from earshed.viewer.live.acts import steps_of
from earshed.viewer.live.desk import Desk
from earshed.viewer.wording import aim_words, called, coverage_words


def chosen_document(desk: Desk, scene: Scene, name: str | None) -> dict[str, Any] | None:
    """What a page shows of a thing by its name; None where nothing is chosen, or the scene has it not."""
    thing = next((one for one in all_of(scene) if one.name == name), None)
    if thing is None:
        return None
    ways, way = taping.ways(scene, thing), taping.way_of(scene, thing)
    said, first = (
        one.keys_of(section_of(scene, thing), the(scene, thing).name) for one in (desk.changes, desk.first_changes)
    )
    document: dict[str, Any] = {
        "name": thing.name,
        "changed": said != first,
        "steps": [{"id": words, "words": words} for words in steps_of(scene)],
        "fields": [
            {"key": one.key, "words": one.words, "text": one.text} for one in tape_fields.tape_fields(scene, thing)
        ],
        "ways": [{"id": number, "words": _way_words(one)} for number, one in enumerate(ways)],
        "way": ways.index(way) if way in ways else -1,
    }
    return document | (_seat(thing) if isinstance(thing, Seat) else _speaker(scene, thing))


def _way_words(way: TapedFrom) -> str:
    """From where a tape is pulled: "from the left and the front"."""
    if way.datum is not None:
        return f"from {way.datum}"
    if way == ALONG_THE_WALL:
        return "along its wall"
    sides = [side for side in (way.side, way.end) if side is not None]
    return f"from the {' and the '.join(sides)}"


def _seat(seat: Seat) -> dict[str, Any]:
    words = "a main seat" if seat.main else "a seat"
    return {"called": seat.name, "words": words, "ways_of_pad": ["to the front", "to the rear"]}


def _speaker(scene: Scene, speaker: Speaker) -> dict[str, Any]:
    face = speaker.surface
    types = [kind.name for kind in retyping.types_for(scene, speaker)]
    partner = partner_of(scene, speaker)
    if face is None:
        pad = ["to the front", "to the rear"]
    else:
        pad = ["up", "down"] if face.kind == "wall" else ["to the front", "to the rear"]
    where = f"{speaker.type.mount}, {face.name}" if face else speaker.type.mount
    words = coverage_words(speaker.coverage) if speaker.has_verdict else "no direction to speak of"
    return {
        "called": called(speaker),
        "words": f"{where}; {aiming_words(speaker.type.aiming)}; {words}",
        "type": speaker.type.name,
        "types": [{"id": name, "words": name} for name in dict.fromkeys([speaker.type.name, *types])],
        "ways_of_pad": pad,
        "aim": _aim(scene, speaker, aiming.aim_state(speaker)) if speaker.has_verdict else None,
        "partner": partner.name if partner else None,
    }


def _aim(scene: Scene, speaker: Speaker, state: AimState) -> dict[str, Any]:
    return {
        "words": aim_words(speaker, scene),
        "tilt": degrees(state.tilt),
        "limit": degrees(state.most) if state.can_tilt else None,
        "heading": None if state.heading is None else degrees(state.heading) % 360.0,
        "turns": state.can_turn,
        "aims": state.can_turn and bool(scene.seats),
        "straightens": state.can_tilt,
        "faces": None if state.faces is None else degrees(state.faces) % 360.0,
        "seats": [seat.name for seat in upright_seats(scene.seats)],
    }
