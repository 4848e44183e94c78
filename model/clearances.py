"""The distances that holes and rims keep, each with where it comes from; a scene may set its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from earshed.model.member_marks import USUAL_WITHIN
from earshed.model.units import INCH

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Usual:
    """A usual distance, metres, and its source."""

    distance: float
    source: str = PRACTICE


USUAL: Mapping[str, Usual] = {
    "saw": Usual(0.75 * INCH, "common practice, no source: 3/4 to 1-1/4 in from a cut to framing"),
    "clamp": Usual(1.25 * INCH, "an installation manual prints 1-1/4 in each side for swing-out clamps"),
    "edge": Usual(1 * INCH, "an installation manual keeps 1 in clear all round a hole"),
    "opening": Usual(1 * INCH),
    "screen": Usual(1 * INCH),
    "box": Usual(1 * INCH),
    "beam": Usual(1 * INCH),
    "column": Usual(1 * INCH),
    "half wall": Usual(1 * INCH),
    "counter": Usual(1 * INCH),
    "speaker": Usual(1 * INCH),
    "old hole": Usual(2 * INCH, "common practice, no source: board enough between two holes not to break"),
    "can light": Usual(2 * INCH),
    "vent": Usual(6 * INCH),
    "detector": Usual(12 * INCH),
    "sprinkler": Usual(12 * INCH),
    "fan": Usual(6 * INCH),
    "pendant": Usual(6 * INCH),
    "fireplace": Usual(12 * INCH),
    "blocking": Usual(0.75 * INCH, "as framing"),
    "pipe": Usual(1 * INCH),
    "cable": Usual(2 * INCH),
    "duct": Usual(1 * INCH),
    "driver box": Usual(1 * INCH),
    "unknown": Usual(3 * INCH),
    "tolerance": Usual(USUAL_WITHIN, "common practice, no source: what a tape, a finder and a saw leave"),
}
"""From the edge of a cut to framing (saw, clamp) and to what is hidden behind the board; from the rim of a speaker to
all that shows. Local codes, and the makers of detectors, sprinklers and fireplaces, may ask for more."""


@dataclass(frozen=True)
class Clearances:
    """The distances of a scene, metres: its own, else the usual ones."""

    own: Mapping[str, float] = field(default_factory=dict)

    def of(self, kind: str) -> float:
        """Metres to keep from a kind of thing; nothing from what has no usual distance."""
        if kind in self.own:
            return self.own[kind]
        return USUAL[kind].distance if kind in USUAL else 0.0

    @property
    def tolerance(self) -> float:
        return self.of("tolerance")
