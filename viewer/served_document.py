"""How a speaker serves some seats, and what hides how much from it, as plain documents."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from earshed.model.sound.served import TONE_HZ, Served, tone_of
from earshed.viewer.documents import numbers


def served_document(served: Served) -> dict[str, Any]:
    """Levels in dB at 2.83 V: where speech is softest, how far it spreads, and by octave."""
    bands, worst = served.reference.bands, served.worst_band
    return {
        "softest_seat": served.softest.seat.name,
        "softest_db": served.softest.speech,
        "softest_re_reference_db": served.re_reference,
        "speech_spread_db": served.spread,
        "spread_db": numbers(served.spreads),
        "bands_hz": list(bands.nominal),
        "worst_band": {"hz": bands.nominal[worst], "spread_db": float(served.spreads[worst])},
        "tone": {"hz": TONE_HZ, "seat": served.dullest.seat.name, "db": tone_of(served.dullest) + 0.0},
    }


def shadow_document(shares: Mapping[str, float]) -> dict[str, Any]:
    """Which share of the seating area a speaker does not see, 0 to 1, and what hides it."""
    return {"share": sum(shares.values()), "by": [{"name": name, "share": share} for name, share in shares.items()]}
