"""Which reading of a survey is wrong, where its readings do not agree.

W. Baarda's data snooping (1968), as C. D. Ghilani's "Adjustment Computations" has it: each reading in turn is left out
and the rest fitted again. A reading is suspect if the rest agrees without it; the rest then says what it should be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.adjustment import FIRM, FREE, fit
from earshed.model.survey import CRITICAL, FieldNotes, Reading, Survey

MOST_TRIED = 12
"""Readings that are left out in turn: those whose residuals stand out most."""
AS_WELL = 2.5758**2
"""By how much more misfit a reading explains the rest as well as another: chi-square at 0.01, one degree of freedom."""
SHARP = 1 / 6
"""Share of a step, such as a foot, within which an error must be known before it is said to be so many of them."""


@dataclass(frozen=True)
class Suspect:
    """A reading, by its position, without which the rest agrees: what the rest makes of it, metres, and how well.

    `deviation` is that of the difference; `left` the misfit of the rest.
    """

    position: int
    reading: Reading
    implied: float
    deviation: float
    left: float

    @property
    def error(self) -> float:
        """How much too long it was read, metres."""
        return self.reading.length - self.implied

    def is_whole(self, step: float) -> bool:
        """Whether it was misread by a whole number of steps, as far as the noise of tapes can tell."""
        times = round(self.error / step)
        off = abs(self.error - times * step)
        return times != 0 and self.deviation <= SHARP * step and off <= CRITICAL * self.deviation


def suspects(survey: Survey, steps: Sequence[float]) -> tuple[Suspect, ...]:
    """The readings any one of which may be the wrong one, likeliest first; none where no single one explains it.

    Of several that explain it as well, those wrong by a whole number of the largest of `steps` (metres, such as a foot
    and an inch) that any is wrong by are kept alone, for so are tapes misread. Common practice, no source.
    """
    found = _explaining(survey)
    if not found and survey.overdetermined:
        found = _explaining(fit(survey.notes, corner_deviation=FREE))
    if not found:
        return ()
    best = min(suspect.left for suspect in found)
    alike = sorted((s for s in found if s.left <= best + AS_WELL), key=lambda suspect: suspect.left)
    for step in sorted(steps, reverse=True):
        whole = [suspect for suspect in alike if suspect.is_whole(step)]
        if whole:
            return tuple(whole)
    return tuple(alike)


def held_to_corners(notes: FieldNotes) -> Survey:
    """The best fit to the walls alone with corners exactly as stated: whether they close the walk by themselves."""
    walls = notes.readings[: len(notes.turns)]
    return fit(FieldNotes(walls, notes.turns), corner_deviation=FIRM)


def _explaining(survey: Survey) -> list[Suspect]:
    standing_out = np.argsort(-np.abs(survey.standardized), kind="stable")[:MOST_TRIED]
    return [suspect for position in standing_out if (suspect := _without(survey, int(position)))]


def _without(survey: Survey, position: int) -> Suspect | None:
    """What the other readings make of one; None where they disagree without it too, or there are too few to tell."""
    rest = fit(survey.notes, corner_deviation=survey.corner_deviation, left_out=position)
    if not rest.agrees or (survey.corner_deviation == FREE and not rest.overdetermined):
        return None
    share = max(float(survey.checks[position]), 1e-9)
    deviation = float(survey.notes.deviations[position]) / math.sqrt(share)
    return Suspect(position, survey.notes.readings[position], float(rest.fitted[position]), deviation, rest.misfit)
