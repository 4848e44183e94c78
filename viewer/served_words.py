"""How a speaker serves some seats, and what hides how much from it, in words."""

from __future__ import annotations

from collections.abc import Mapping

from earshed.model.sound.level import RATED_VOLTS
from earshed.model.sound.served import Served, tone_of

SERVED_LEGEND = (
    f"softest seat, spread: the direct sound with nothing in its way, 500 Hz to 4 kHz, at {RATED_VOLTS} V; "
    "4 kHz: against the axis, at the seat that loses most"
)


def served_words(served: Served) -> str:
    """All in a line: "softest sofa left 78.3 dB at 2.83 V, 0.8 dB under the reference position; spread 2.1 dB; ..."."""
    apart = decibels(abs(served.re_reference))
    side = "under" if served.re_reference < 0 else "over"
    at = "as at the reference position" if apart == decibels(0.0) else f"{apart} {side} the reference position"
    tone = f"4 kHz {decibels(-tone_of(served.dullest))} down at {served.dullest.seat.name}"
    softest = f"{served.softest.seat.name} {decibels(served.softest.speech)} at {RATED_VOLTS} V"
    if len(served.seats) == 1:
        return f"{softest}; {tone}"
    return f"softest {softest}, {at}; spread {decibels(served.spread)}; {tone}"


def shadow_words(shares: Mapping[str, float]) -> str:
    """How much of the seating area it does not see, and past what, the most first."""
    if not shares:
        return "none of the seating area"
    told = [f"{name} ({_percent(share)})" if len(shares) > 1 else name for name, share in shares.items()]
    return f"{_percent(sum(shares.values()))} of the seating area, behind {', '.join(told)}"


def decibels(level: float) -> str:
    """To a tenth, with no negative zero."""
    return f"{round(level, 1) + 0.0:.1f} dB"


def _percent(share: float) -> str:
    return "under 1%" if 0 < share < 0.01 else f"{share:.0%}"
