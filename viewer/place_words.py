"""Phrases of a place that a search found: where it is by tape, what is near it, how it is heard."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from earshed.model.direction_words import azimuth_words, elevation_words, window_words
from earshed.model.moves import MARKS, way_words
from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Together
from earshed.model.search.ask import Ask
from earshed.model.search.old_holes import Fit
from earshed.model.search.place import Place
from earshed.model.search.relax import Relaxed
from earshed.model.search.twins import Missed
from earshed.model.speaker_type import Fixed
from earshed.model.taped import measured
from earshed.model.taped_words import from_words
from earshed.model.units import FOOT, PrintUnits, format_angle, format_length
from earshed.viewer.aim_words import turning_words

CONDITION_WORDS = {
    "framing": "framing: to cut where a member is (it would have to be headed off by a licensed carpenter)",
    "hidden": "what a test hole found, if it can be moved",
    "openings": "the hatches, doors and windows",
    "screen": "the screen: to sit behind it",
    "boxes": "the boxes and beams: their distances",
    "fixtures": "the lights and other fixtures: to move them",
    "speakers": "the other speakers: to move them too",
    "old holes": "the old holes: to patch them first",
    "clamps": "what clamps want: turn them away from the wood, or take a type without them",
    "tolerance": "the tolerance: to probe every edge first, and cut exactly to the line",
    "new hole": "the old holes: to cut a new one",
    "depth": "depth: a shallower type, or a deeper cavity",
    "azimuth": "the azimuth that its channel asks for",
    "elevation": "the elevation that its channel asks for",
    "partner": "the mirror image: to let partners differ by up to 6 in (--slack 6in)",
    "alignment": "the alignment",
}
PREFERRED_WORDS = {
    "angle": "",
    "evenness": "; of places as well covered, the most even first",
    "level": "; of places as well covered, the loudest at its softest seat first",
}
"""What comes before the angle of the seat served worst."""
AWRY = math.radians(0.5)
"""Less than this of a difference is not told."""


def where_words(scene: Scene, place: Place) -> str:
    """Where its middle is, by tape: on the plan; in a wall along it, and up."""
    units, face = scene.print_units, place.speaker.surface
    assert face is not None
    taped = measured(place.speaker.position, face, scene.room.plan, MARKS[units])
    told = [from_words(scene, start, distance) for start, distance in taped.along]
    told += [f"{format_length(taped.height, units)} high"] if taped.height is not None else []
    return f"{', '.join(told)}, in {face.called}"


def wood_words(place: Place, units: PrintUnits) -> str:
    """How far the cut is from wood and hidden things, and its rim from the nearest thing that shows."""
    face = place.speaker.surface
    assert face is not None
    told = [f"{format_length(near.gap, units)} {way_words(face, near.way)} to {near.name}" for near in place.wood]
    if place.nearest is not None:
        near = place.nearest
        told.append(f"bezel {format_length(near.gap, units)} {way_words(face, near.way)} to {near.name}")
    return "; ".join(told) or "nothing near"


def slide_words(place: Place, units: PrintUnits) -> str:
    """How far it can be slid and stay clear, each way along its face."""
    face = place.speaker.surface
    assert face is not None
    told = [
        f"{length} {way_words(face, slide.way)}"
        for slide in place.slides
        if (length := _slide_length(slide.distance, units)) != format_length(0.0, units)
    ]
    return ", ".join(told) or "none"


def _slide_length(metres: float, units: PrintUnits) -> str:
    """A slide; past a foot it no longer matters how far."""
    return f"over {format_length(FOOT, units)}" if metres > FOOT else format_length(metres, units)


def heard_words(ask: Ask, place: Place) -> str:
    """From where it is heard, and whether that is where its channel may be."""
    heard = f"{azimuth_words(place.azimuth)}, {elevation_words(place.elevation)}"
    if place.uneven is not None and max(place.uneven) >= AWRY:
        aside, up = (format_angle(angle) for angle in place.uneven)
        heard += f" (apart from a mirror image of its partner by {aside} sideways, {up} in height)"
    if ask.window is None:
        return heard
    asked = f"{window_words(ask.window)} ({ask.window.source})"
    if place.off == 0.0:
        edge = float(ask.window.off(place.azimuth, place.elevation)) > 0.0
        return f"{heard}: within {'half a degree of ' if edge else ''}{asked}"
    return f"{heard}: {format_angle(place.off)} outside {asked}"


def relaxed_words(relaxed: Relaxed, answer: Answer) -> str:
    """A condition to give up, and what it buys."""
    group = relaxed.kind == "group"
    said = CONDITION_WORDS[relaxed.condition] if group else f"{relaxed.condition}: to move it"
    offer = answer.asks[0].offers[int(relaxed.best.offers[0])]
    verdict = ("covered", "fringe", "outside")[int(relaxed.best.verdict[0])]
    return f"{said}: {offer.type.name}, worst seat {format_angle(relaxed.worst)}, {verdict}"


def kept_words(fit: Fit, units: PrintUnits) -> str:
    """That a place is a hole that is there already, and what has to be done to it."""
    return f"keeps {fit.hole.name}" + (f", cut {format_length(fit.larger, units)} wider" if fit.larger else "")


def missed_words(answer: Answer, missed: Missed) -> str:
    """Why two partners find no places."""
    one, other = (ask.speaker.name for ask in answer.asks)
    units = answer.asks[0].scene.print_units
    if missed.places == 0:
        return f"there is no place for {one} by itself"
    start = f"{one} has {missed.places:,} places by itself; the mirror image of"
    if missed.outside == missed.places:
        return f"{start} each lies outside the room, by {format_length(missed.least, units)} at the least"
    out = f"{start} {missed.outside:,} lies outside the room, and of the others" if missed.outside else f"{start}"
    return f"{out} none is a place for {other}"


def joint_words(together: Together) -> str:
    """How far the joint answer is from the best of each alone."""
    joint = together.joint
    without, blocked, off, uneven, chopped, verdict, wanting, total = joint.cost
    count = len(joint.chosen)
    none = f"{without:.0f} of {count} find no place, or none that keeps clear of the others. " if without else ""
    if count - without < 2:
        return none.strip()
    given = [
        words
        for words, more in (
            (f"{blocked - joint.alone[1]:.0f} more seats not seen", blocked > joint.alone[1]),
            ("farther out of their windows", off > joint.alone[2]),
            (f"{uneven - joint.alone[3]:.0f} more unlike its partner", uneven > joint.alone[3]),
            (f"{chopped - joint.alone[4]:.0f} more seats past blades or a shade", chopped > joint.alone[4]),
            ("a worse verdict", verdict > joint.alone[5]),
            (f"{wanting - joint.alone[6]:.1f} dB farther behind in what is preferred", wanting > joint.alone[6] + 1e-9),
        )
        if more
    ]
    loss = format_angle(joint.loss)
    if given:
        than = f"to keep clear of each other, {', '.join(given)} than the best place of each by itself"
    elif loss == format_angle(0.0):
        than = "each has its own best place"
    else:
        than = f"{loss} more than the best place of each by itself"
    short = "" if joint.proven else " The search for what goes together was cut short: there may be better."
    return f"{none}Together: the worst angles add up to {format_angle(total)}; {than}.{short}"


def complaints(ask: Ask, place: Place) -> Iterator[str]:
    """What is not as it should be at a place."""
    if place.off > 0.0:
        yield "outside its window"
    if place.matched is False:
        yield "neither the mirror image of its partner nor heard as that"
    if place.worst.verdict == "outside":
        limit = place.speaker.coverage.limit
        yield f"{place.worst.seat.name} is {format_angle(place.worst.off_axis - limit)} outside its coverage"
    units = ask.scene.print_units
    for short in place.short:
        gap, wanted = format_length(short.gap, units), format_length(short.wanted, units)
        yield f"{gap} from {short.name}, where {wanted} is wanted"
    for pair in place.blocked:
        yield f"{pair.obstacle} stands between it and {pair.seat.name}"
    for seat, fixture in place.chopped:
        if fixture.kind == "fan":
            yield f"its way to {seat.name} goes through the blades of {fixture.name}: chopped when it turns"
        else:
            yield f"{fixture.name} hangs between it and {seat.name}"


def note_words(scene: Scene, place: Place) -> str:
    """A place in a line or two, as a comment over it."""
    worst = place.worst
    seen = f"worst seat {worst.seat.name} {format_angle(worst.off_axis)}, {worst.verdict}"
    turned = "" if isinstance(place.offer.type.aiming, Fixed) else f"; {turning_words(place.speaker)}"
    return f"{where_words(scene, place)}\n{seen}{turned}"


def lost_words(answer: Answer, places: Sequence[Place]) -> str:
    """What is lost against the best place that there would be with nothing in the way."""
    if answer.ideal is None or not places:
        return ""
    worst = max(place.worst.off_axis for place in places)
    if worst <= answer.ideal + math.radians(0.05):
        return "as good as with nothing in the way"
    lost = format_angle(worst - answer.ideal)
    return f"{lost} more than with nothing in the way, where the worst seat would get {format_angle(answer.ideal)}"
