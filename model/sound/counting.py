"""Which speaker of a channel counts at a place: they carry one signal, so one hears the loudest, or the first."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

ALIKE = 3.0
"""dB within which two arrive as loud as each other, so that the first decides where they are heard from: the law of the
first wavefront (L. Cremer, 1948; H. Haas, 1951), which would give the sound to the first even where one that comes 5 to
30 ms later is 10 dB louder (value from memory). But how well a seat is served, the louder says. 3 dB: our choice."""
_TOGETHER, _HAIR = 1e-6, 1e-5
"""Metres, and degrees, that are nothing."""


def that_counts(levels: ArrayLike, distances: ArrayLike, angles: ArrayLike, visible: ArrayLike) -> NDArray[np.intp]:
    """Indices (...) of the speaker that counts at each place, along the first axis of all four (S, ...).

    Those with nothing in their way come before the others. Of them the loudest counts, by `levels` of their direct
    sound, dB; of those within 3 dB of it the first to arrive, by `distances`, metres; of those that arrive together
    the one less off its axis, by `angles`, degrees; and of the rest the first in order.
    """
    levels, distances, angles = (np.asarray(each, dtype=np.float64) for each in (levels, distances, angles))
    seen = np.asarray(visible, dtype=bool)
    left = seen | ~seen.any(axis=0)
    loudness = np.where(left, levels, -np.inf)
    left &= loudness >= loudness.max(axis=0) - ALIKE
    late = np.where(left, distances, np.inf)
    left &= late <= late.min(axis=0) + _TOGETHER
    aside = np.where(left, angles, np.inf)
    return np.asarray(np.argmax(left & (aside <= aside.min(axis=0) + _HAIR), axis=0))
