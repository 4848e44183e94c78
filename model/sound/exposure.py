"""How long a level may be heard in a day, as information and not as a ruling."""

from __future__ import annotations

from collections.abc import Iterator

LIMIT, EXCHANGE, DAY = 85.0, 3.0, 480.0
"""dBA for a day of so many minutes, and the dB that halve it: NIOSH, recommended exposure limit (1998)."""


def minutes_a_day(level: float) -> float:
    """Minutes that a level in dBA uses up a day's recommended exposure: 480 / 2^((L - 85) / 3)."""
    return float(DAY / 2 ** ((level - LIMIT) / EXCHANGE))


def exposure_table(loudest: float) -> Iterator[tuple[float, float]]:
    """Levels from the limit up in steps that halve the time, past a level in dBA, each with its minutes a day."""
    level = LIMIT
    while True:
        yield level, minutes_a_day(level)
        if level >= loudest:
            return
        level += EXCHANGE
