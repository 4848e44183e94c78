"""The coverage of a scene's speakers over its listening plane, and their shares of the seating area."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from earshed.model.coverage import Map, Mask, SetCoverage, off_axis_map, set_coverage, shares, verdict_map
from earshed.model.listening_plane import ListeningPlane
from earshed.model.seating import Seat, seating_area
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict

Shares = dict[Verdict, float]


@dataclass(frozen=True, eq=False)
class CoverageMap:
    """Off-axis `angles` (S, ny, nx), degrees, of `speakers` on a plane; `seating` (ny, nx) marks the seating area."""

    plane: ListeningPlane
    speakers: tuple[Speaker, ...]
    angles: Map
    seating: Mask

    @cached_property
    def of_set(self) -> SetCoverage:
        return set_coverage(self.speakers, self.angles)

    @property
    def set_shares(self) -> Shares:
        """Share of the seating area with each verdict, the worst channel's at each point."""
        return shares(self.of_set.verdict, self.seating)

    @cached_property
    def speaker_shares(self) -> dict[str, Shares]:
        """Share of the seating area with each verdict, by speaker."""
        verdicts = zip(self.speakers, self.angles, strict=True)
        return {speaker.name: shares(verdict_map(speaker, angles), self.seating) for speaker, angles in verdicts}


def map_coverage(plane: ListeningPlane, speakers: Sequence[Speaker], seats: Sequence[Seat]) -> CoverageMap:
    """The map of some speakers, at least one, each with a coverage angle."""
    positions = np.array([speaker.position for speaker in speakers])
    axes = np.array([speaker.axis for speaker in speakers])
    nowhere = np.zeros(plane.inside.shape, dtype=bool)
    seating = seating_area(seats).holds(plane.xy) if seats else nowhere
    return CoverageMap(plane, tuple(speakers), off_axis_map(plane, positions, axes), seating)
