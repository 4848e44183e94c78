"""Whether the holes that are there can be kept: what each takes, what in them can stay flush, what is left to patch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from earshed.model.coverage import VERDICTS
from earshed.model.hidden import ExistingHole
from earshed.model.pairs import pair
from earshed.model.search.ask import Ask
from earshed.model.search.old_holes import Fit, fit, fits_of, patches
from earshed.model.search.place import Instead, Place, aimed
from earshed.model.speaker import speaker_holes
from earshed.model.speaker_type import Fixed


@dataclass(frozen=True, eq=False)
class Kept:
    """A hole that a speaker goes into, and what the flush type that serves best from it would give the seat served
    worst; None where no flush type goes in."""

    hole: ExistingHole
    place: Place
    flush: Instead | None

    @property
    def stays_flush(self) -> bool:
        """Whether a flush type in it reaches every seat that was asked for."""
        return self.flush is not None and self.flush.verdict != "outside"


@dataclass(frozen=True, eq=False)
class KeptHoles:
    """How each type goes into each hole, which holes are used, and which are left to patch."""

    fits: tuple[Fit, ...]
    kept: tuple[Kept, ...]
    patches: tuple[ExistingHole, ...]


def kept_holes(units: Sequence[Sequence[Ask]], places: Sequence[Place]) -> KeptHoles:
    """The holes of a scene once the speakers that are asked for are at some places, if they find any; the others of the
    scene stay where they are."""
    asks = [ask for unit in units for ask in unit]
    scene = asks[0].scene
    fits = {(one.hole.name, one.offer.type.name, one.offer.way): one for ask in asks for one in fits_of(ask)}
    by_name = {ask.speaker.name: ask for ask in asks}
    kept = [
        Kept(place.fit.hole, place, _flush(by_name[place.speaker.name], place.fit.hole))
        for place in places
        if place.fit is not None
    ]
    staying = [speaker for speaker in scene.speakers if speaker.name not in by_name]
    taken = speaker_holes([*staying, *(place.speaker for place in places)], scene.ahead)
    return KeptHoles(tuple(fits.values()), tuple(kept), tuple(patches(scene, taken)))


def _flush(ask: Ask, hole: ExistingHole) -> Instead | None:
    """The flush type that goes into a hole and serves best from it."""
    found = []
    for offer in ask.offers:
        if isinstance(offer.type.aiming, Fixed) and fit(ask, hole, offer).fits:
            speaker = aimed(ask, offer, hole.surface, hole.position)
            worst = max((pair(ask.scene, seat, speaker) for seat in ask.seats), key=lambda one: one.off_axis)
            found.append(Instead(offer.type.name, worst.off_axis, worst.verdict))
    return min(found, key=lambda one: (VERDICTS.index(one.verdict), one.worst), default=None)
