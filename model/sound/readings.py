"""What was read of the speakers on site against what was expected of them.

Settings are held against those that were worked out, levels against each other: neither the meter nor what the
speakers were driven with is known, so only how each differs from the others says something.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from earshed.model.geometry import Array
from earshed.model.measured import Measured
from earshed.model.sound.commissioning import Expected
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT

What = Literal["resistance", "polarity", "distance", "delay", "trim", "level"]
Flag = Literal["short", "open", "reversed", "soft", "loud", "differs"]

LEVEL_WITHIN = 3.0
"""dB by which a level may differ from what the others lead one to expect. Common practice, no source."""
WITHIN: Mapping[What, float] = {"distance": 0.5 * FOOT, "delay": 0.0005, "trim": 0.5}
"""How far a setting may be off: half of the coarsest step in which processors take it, 1 ft, 1 ms and 1 dB. Common
practice, no source."""
SWAP_WITHIN = 1.0
"""dB to which levels must fit to tell that two speakers may be swapped; meters are read no better."""
HAIR = 1e-9
_NOTHING = Measured()


@dataclass(frozen=True)
class Reading:
    """One figure as it was read: ohm, metres, seconds or dB; of polarity 1 for normal and -1 for reversed.

    `expected` is None for a level that is the only one of its place, which nothing can be held against. `seat` is where
    a level was read, None for the reference position.
    """

    what: What
    expected: float | None
    measured: float
    flag: Flag | None = None
    seat: str | None = None

    @property
    def difference(self) -> float | None:
        """By how much more was read than expected."""
        return None if self.expected is None else self.measured - self.expected


@dataclass(frozen=True, eq=False)
class Compared:
    """A speaker as it should measure and as it does: `level` is what a meter should read at the reference position, dB,
    with the trim that is set, once a level of others was read there. `swapped` names the speaker with which it may be
    swapped."""

    expected: Expected
    level: float
    readings: tuple[Reading, ...]
    swapped: str | None = None

    @property
    def speaker(self) -> Speaker:
        return self.expected.balance.speaker

    @property
    def measured(self) -> Measured:
        return self.speaker.measured or _NOTHING

    def of(self, what: What) -> Reading | None:
        """The reading of one kind; of levels the one at the reference position."""
        return next((one for one in self.readings if one.what == what and one.seat is None), None)

    @property
    def at_seats(self) -> tuple[Reading, ...]:
        return tuple(one for one in self.readings if one.seat is not None)


def compared(told: Sequence[Expected]) -> list[Compared]:
    """Every speaker of a scene against what is expected of it."""
    settings = [_settings(what, told) for what in WITHIN]
    places = dict.fromkeys(seat for one in told for seat in _measured(one).levels)
    reference, at_seats = _levels(told, None), [_levels(told, place) for place in places]
    moved = shared(np.array([*_apart(told, None).values()])) if any(reference) else 0.0
    swapped = _swapped(told, reference, moved)
    made = []
    for index, one in enumerate(told):
        here = reference[index]
        level = _level(one, None) + moved if here is None or here.expected is None else here.expected
        found = (_resistance(one), _polarity(one), *(of[index] for of in (*settings, reference, *at_seats)))
        made.append(Compared(one, level, tuple(each for each in found if each is not None), swapped.get(index)))
    return made


def shared(apart: Array) -> float:
    """dB by which all of some levels (N,) are over what is expected, which is the meter's and the drive's.

    It is their median: of three and more, one that is far off moves it no farther than to where another one is, where
    it would move the mean by its share.
    """
    return float(np.median(apart))


def beyond_others(apart: Array) -> Array:
    """By how much each of some levels (N,) is more than the others lead one to expect, dB (N,), of two and more.

    Of two each is held against the other, since neither can be told to be the one that is right.
    """
    difference: Array = apart - (apart[::-1] if len(apart) == 2 else shared(apart))
    return difference


def _measured(one: Expected) -> Measured:
    return one.balance.speaker.measured or _NOTHING


def _resistance(one: Expected) -> Reading | None:
    ohm = _measured(one).ohm
    if ohm is None:
        return None
    flag: Flag | None = "short" if ohm < one.short else "open" if ohm > one.open else None
    return Reading("resistance", one.ohm, ohm, flag)


def _polarity(one: Expected) -> Reading | None:
    match _measured(one).polarity:
        case None:
            return None
        case "normal":
            return Reading("polarity", 1.0, 1.0)
        case "reversed":
            return Reading("polarity", 1.0, -1.0, "reversed")


def _settings(what: What, told: Sequence[Expected]) -> list[Reading | None]:
    """What was set of one kind. Where all are off by the same, as where a processor adds something to every channel,
    nothing is to be mended."""
    wanted = [_wanted(what, one) for one in told]
    found = [getattr(_measured(one), what) for one in told]
    within = WITHIN[what] + HAIR
    apart = [each - want for each, want in zip(found, wanted, strict=True) if each is not None]
    alike = bool(apart) and len(apart) == len(told) and np.ptp(apart) <= within
    return [
        None if each is None else Reading(what, want, each, None if alike or abs(each - want) <= within else "differs")
        for each, want in zip(found, wanted, strict=True)
    ]


def _wanted(what: What, one: Expected) -> float:
    arrival = one.balance.arrival
    return {"distance": arrival.distance, "delay": arrival.delay, "trim": one.balance.trim}[what]


def _level(one: Expected, place: str | None) -> float:
    """dB at the reference position (None) or a seat as it is predicted, with the trim that is set, else the proposed
    one."""
    balance, trim = one.balance, _measured(one).trim
    heard = balance.reference if place is None else next(at for at in balance.seats if at.seat.name == place)
    return heard.speech + (balance.trim if trim is None else trim)


def _read_at(one: Expected, place: str | None) -> float | None:
    return _measured(one).level if place is None else _measured(one).levels.get(place)


def _apart(told: Sequence[Expected], place: str | None) -> dict[int, float]:
    """By how much each level that was read at a place is over the predicted one, dB, by its place in the list."""
    read = {index: _read_at(one, place) for index, one in enumerate(told)}
    return {index: level - _level(told[index], place) for index, level in read.items() if level is not None}


def _levels(told: Sequence[Expected], place: str | None) -> list[Reading | None]:
    """Levels at one place. Each place by itself, since somebody may have turned a knob on the way."""
    apart = _apart(told, place)
    beyond = beyond_others(np.array([*apart.values()])).tolist() if len(apart) > 1 else [None] * len(apart)
    more = dict(zip(apart, beyond, strict=True))
    return [_level_reading(one, place, more.get(index)) for index, one in enumerate(told)]


def _level_reading(one: Expected, place: str | None, more: float | None) -> Reading | None:
    read = _read_at(one, place)
    if read is None or more is None:
        return None if read is None else Reading("level", None, read, seat=place)
    flag: Flag | None = None if abs(more) <= LEVEL_WITHIN + HAIR else "loud" if more > 0 else "soft"
    return Reading("level", read - more, read, flag, place)


def _swapped(told: Sequence[Expected], levels: Sequence[Reading | None], moved: float) -> dict[int, str]:
    """Names of speakers with which others, by their place in the list, may be swapped: where both are off, and both
    levels fit once each is taken for the other; of three and more that were read, and of one other alone."""
    if sum(one is not None for one in levels) < 3:
        return {}
    off = {index: one for index, one in enumerate(levels) if one is not None and one.flag is not None}

    def fits(channel: int, speaker: int) -> bool:
        heard = told[speaker].balance.reference.speech - told[channel].balance.reference.speech
        return abs(off[channel].measured - (_level(told[channel], None) + heard + moved)) <= SWAP_WITHIN

    partners = {one: [two for two in off if two != one and fits(one, two) and fits(two, one)] for one in off}
    only = {one: two[0] for one, two in partners.items() if len(two) == 1}
    return {one: told[two].balance.speaker.name for one, two in only.items() if only.get(two) == one}
