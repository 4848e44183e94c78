"""From a scene to asks: which speakers are placed together, and what each asks by itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from earshed.model.scene import Scene
from earshed.model.search.ask import Ask, Mirror, faces_for, offers_of
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker, speaker_holes
from earshed.model.speaker_type import SpeakerType
from earshed.model.speaker_window import partner_of, window_of


def ask_of(
    scene: Scene,
    speaker: Speaker,
    *,
    moving: Collection[Speaker],
    seats: Sequence[Seat],
    types: Sequence[SpeakerType] | None = None,
    mirror: Mirror | None = None,
) -> Ask:
    """What one speaker asks: any type of its mount, or of `types`; its window, and all holes but those that move.

    A partner that moves too is not one to match; the search for both sees to it.
    """
    partner = partner_of(scene, speaker)
    return Ask(
        scene,
        speaker,
        offers_of(scene.speaker_types.values() if types is None else types, speaker.type.mount),
        tuple(seats),
        faces_for(scene, speaker),
        window_of(scene, speaker),
        speaker_holes((one for one in scene.speakers if one not in moving), scene.ahead),
        partner if partner is not None and partner not in moving else None,
        mirror,
    )


def asks_of(
    scene: Scene,
    units: Sequence[Sequence[Speaker]],
    *,
    seats: Sequence[Seat],
    types: Sequence[SpeakerType] | None = None,
    mirror: Mirror | None = None,
) -> list[list[Ask]]:
    """What each of several speakers asks that are all to be placed; what they have in common is worked out once."""
    moving = [speaker for unit in units for speaker in unit]
    asks = [[ask_of(scene, one, moving=moving, seats=seats, types=types, mirror=mirror) for one in u] for u in units]
    first = asks[0][0]
    offers = {ask.speaker.type.mount: ask.offers for unit in asks for ask in unit}
    return [
        [replace(ask, others=first.others, offers=offers[ask.speaker.type.mount], known=first.known) for ask in unit]
        for unit in asks
    ]


def units_of(scene: Scene, speakers: Sequence[Speaker]) -> list[tuple[Speaker, ...]]:
    """Speakers that are placed together: partners in one, the left one first; in the scene's order."""
    units: list[tuple[Speaker, ...]] = []
    placed: set[str] = set()
    for speaker in speakers:
        if speaker.name in placed:
            continue
        partner = partner_of(scene, speaker)
        both = (speaker, partner) if partner is not None and partner in speakers else (speaker,)
        units.append(in_order(both))
        placed |= {one.name for one in both}
    return units


def in_order(speakers: Sequence[Speaker]) -> tuple[Speaker, ...]:
    """Partners so that the one of the left channel comes first, and where channels do not tell, the one on the left, so
    that the order in which they are named counts for nothing."""
    return tuple(sorted(speakers, key=lambda one: (-nominal_side(one), float(one.position[0]), one.name)))


def nominal_side(speaker: Speaker) -> int:
    """The azimuth that its channel states, degrees, positive to the left; 0 without one."""
    return (speaker.channel.azimuth_deg or 0) if speaker.channel is not None else 0
