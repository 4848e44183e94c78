"""Proposed speakers as lines of a scene file, with remarks on what each does and where it departs from its layout."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from earshed.model.direction_words import azimuth_range, azimuth_words, elevation_range, elevation_words
from earshed.model.layout import SURROUNDS_APART, WITHIN
from earshed.model.proposal import Proposal, Proposed
from earshed.model.scene import Scene
from earshed.model.scene_file.draft import SpeakerLine, Values, taped
from earshed.model.speaker_type import Fixed
from earshed.model.units import format_angle


def speaker_lines(scene: Scene, proposed: Proposed) -> tuple[SpeakerLine, ...]:
    """The lines of proposed speakers, in their order."""
    azimuths = {proposal.direction.channel.label: proposal.azimuth for proposal in proposed.proposals}
    return tuple(
        SpeakerLine(_values(scene, proposal), (*_remarks(proposal), *_apart(proposal, azimuths)))
        for proposal in proposed.proposals
    )


def _values(scene: Scene, proposal: Proposal) -> Values:
    units, place = scene.print_units, proposal.taped
    along = {f"from_{start}": taped(distance, units) for start, distance in place.along}
    values: dict[str, str | Values] = {
        "name": proposal.speaker.name,
        "type": proposal.speaker.type.name,
        "channel": proposal.direction.channel.words,
    }
    if place.side is None or place.height is None:
        values["at"] = along
    else:
        values |= {"wall": place.side, **along, "height": taped(place.height, units)}
    if not isinstance(proposal.speaker.type.aiming, Fixed):
        values["aim"] = {"seats": "main"}
    return values


def _remarks(proposal: Proposal) -> Iterator[str]:
    """Where it is heard from and what the worst main seat gets; then what its layout would rather have."""
    worst, direction = proposal.worst, proposal.direction
    served = {"covered": "covered", "fringe": "in its fringe", "outside": "outside its coverage"}[worst.verdict]
    heard = f"{azimuth_words(proposal.azimuth)}, {elevation_words(proposal.elevation)}"
    yield f"{heard}; worst main seat: {worst.seat}, {format_angle(worst.off_axis)} off axis, {served}"
    asked = []
    if not direction.allows_azimuth(proposal.azimuth):
        asked.append(azimuth_range(direction.azimuths))
    if not direction.allows_elevation(proposal.elevation):
        asked.append(elevation_range(direction.elevations))
    if asked:
        yield f"the layout asks for {' and '.join(asked)}; this is the nearest clear place that was found"


def _apart(proposal: Proposal, azimuths: Mapping[str, float]) -> Iterator[str]:
    """What to say of a rear surround that is too near the side one, or too far from it."""
    label = proposal.direction.channel.label
    beside = label.replace("135", "090")
    if label not in ("M+135", "M-135") or beside not in azimuths:
        return
    apart = abs(proposal.azimuth - azimuths[beside])
    least, most = SURROUNDS_APART
    if not least - WITHIN <= apart <= most + WITHIN:
        asked = f"{round(math.degrees(least))}° to {round(math.degrees(most))}°"
        yield f"{round(math.degrees(apart))}° from the one at the side; the layout asks for {asked} between them"
