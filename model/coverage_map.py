"""The coverage of a scene's speakers over its listening plane, and their shares of the seating area."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from earshed.model.coverage import (
    Choice,
    Map,
    Mask,
    SetCoverage,
    channel_groups,
    in_sight,
    off_axis_map,
    set_coverage,
    shares,
    verdict_map,
)
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import seating_area
from earshed.model.shadows import Shadows, shadows
from earshed.model.sound.counting import that_counts
from earshed.model.sound.level import Drive, speech_level
from earshed.model.sound.plane_levels import direct_levels
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Verdict

Shares = dict[Verdict, float]


@dataclass(frozen=True, eq=False)
class CoverageMap:
    """Off-axis `angles` (S, ny, nx), degrees, of `speakers` on a plane, and their `shadows` on it; `seating` (ny, nx)
    marks the seating area.

    In its shares a point in a speaker's shadow counts as outside the coverage of that speaker.
    """

    plane: ListeningPlane
    speakers: tuple[Speaker, ...]
    angles: Map
    shadows: Shadows
    seating: Mask

    @cached_property
    def visible(self) -> Mask:
        """Which points (S, ny, nx) of the room's air see which speaker."""
        return self.shadows.visible & self.plane.inside

    @cached_property
    def of_set(self) -> SetCoverage:
        return set_coverage(self.speakers, self.angles, self.visible, self.counts)

    @cached_property
    def counts(self) -> list[Choice]:
        """Which speaker counts at each point (ny, nx) for each channel, in the order of `channel_groups`, by index."""
        return [self._counts(np.array(group)) for group in channel_groups(self.speakers)]

    def _counts(self, group: Choice) -> Choice:
        if len(group) == 1:
            return np.full(self.plane.inside.shape, group[0])
        inside, mates = self.plane.inside, [self.speakers[number] for number in group]
        levels = speech_level(direct_levels(self.plane, mates, Drive())[:, inside])
        points = self.plane.points[inside]
        distances = [np.linalg.norm(points - mate.position, axis=1) for mate in mates]
        choice = np.full(inside.shape, group[0])
        choice[inside] = group[
            that_counts(levels, distances, self.angles[group][:, inside], self.visible[group][:, inside])
        ]
        return choice

    def of_some(self, speakers: Sequence[Speaker]) -> SetCoverage:
        """What some of the speakers give, of each of their channels all that carry it."""
        numbers = sorted(self.speakers.index(one) for one in speakers)
        mine = zip(channel_groups(self.speakers), self.counts, strict=True)
        counts = [np.searchsorted(numbers, choice) for group, choice in mine if group[0] in numbers]
        some = [self.speakers[number] for number in numbers]
        return set_coverage(some, self.angles[numbers], self.visible[numbers], counts)

    @property
    def set_shares(self) -> Shares:
        """Share of the seating area with each verdict, the worst channel's at each point."""
        return shares(self.of_set.verdict, self.seating)

    @cached_property
    def speaker_shares(self) -> dict[str, Shares]:
        """Share of the seating area with each verdict, by speaker."""
        maps = zip(self.speakers, self.angles, self.visible, strict=True)
        return {
            speaker.name: shares(in_sight(verdict_map(speaker, angles), visible), self.seating)
            for speaker, angles, visible in maps
        }

    @property
    def seen(self) -> NDArray[np.int16]:
        """How many channels each point (ny, nx) sees a speaker of."""
        channels = [self.visible[group].any(axis=0) for group in channel_groups(self.speakers)]
        count: NDArray[np.int16] = np.sum(channels, axis=0, dtype=np.int16)
        return count

    def hiders(self, number: int) -> dict[str, float]:
        """What hides points of the room's air from one of the speakers, and which share (0 to 1), the largest first."""
        return self.shadows.shares(number, self.plane.inside)

    @property
    def set_hiders(self) -> dict[str, float]:
        """What hides speakers where some channel is not seen at all, by the share of those points that it hides from
        any speaker, the largest first."""
        hiders = self.shadows.hider[:, self.of_set.unseen]
        found: dict[str, Mask] = {}
        for index, name in enumerate(self.shadows.names):
            found[name] = found.get(name, np.False_) | (hiders == index).any(axis=0)
        shares = {name: float(hidden.mean()) for name, hidden in found.items() if hidden.any()}
        return dict(sorted(shares.items(), key=lambda item: (-item[1], item[0])))

    @property
    def unseen_share(self) -> float:
        """Share of the seating area that sees no speaker of some channel."""
        area = self.seating & self.plane.inside
        return float(self.of_set.unseen[area].mean()) if area.any() else 0.0

    @cached_property
    def hidden_shares(self) -> dict[str, dict[str, float]]:
        """Share of the seating area that each thing hides from each speaker, by the names of both."""
        area = self.seating & self.plane.inside
        return {speaker.name: self.shadows.shares(number, area) for number, speaker in enumerate(self.speakers)}


def map_coverage(scene: Scene, plane: ListeningPlane, speakers: Sequence[Speaker]) -> CoverageMap:
    """The map of some speakers, each with a coverage angle; of none, the plane alone."""
    positions = np.reshape([speaker.position for speaker in speakers], (-1, 3))
    axes = np.reshape([speaker.axis for speaker in speakers], (-1, 3))
    angles = off_axis_map(plane, positions, axes)
    return CoverageMap(plane, tuple(speakers), angles, shadows(scene, plane, speakers), seating_on(scene, plane))


def seating_on(scene: Scene, plane: ListeningPlane) -> Mask:
    """Which points (ny, nx) of a plane lie in the seating area."""
    nowhere = np.zeros(plane.inside.shape, dtype=bool)
    return seating_area(scene.seats).holds(plane.xy) if scene.seats else nowhere
