"""What a scene's speakers do not reach of its listening plane, and what hides it from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from earshed.model.coverage import Mask
from earshed.model.furniture import furniture
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane_over
from earshed.model.scene import Scene
from earshed.model.seating import seating_area
from earshed.model.shadow import Hider, faces_of, shadow_maps
from earshed.model.shell_blocks import shell_blocks
from earshed.model.sight import shell_between
from earshed.model.speaker import Speaker
from earshed.model.units import INCH

STEP = 1 * INCH
MOST_STEPS = 200
"""Points across the seating area that are looked at: an inch apart, or as far as that takes."""


@dataclass(frozen=True, eq=False)
class Shadows:
    """Which of the things in `names` hides each plane point from each speaker, `hider` (S, ny, nx); -1 where none does.

    Of several it is a box or riser before furniture, and that before the shell, as `sight.obstacle_between` has it.
    """

    names: tuple[str, ...]
    hider: Hider

    @property
    def visible(self) -> Mask:
        """Which points (S, ny, nx) see which speaker."""
        seen: Mask = self.hider < 0
        return seen

    def shares(self, number: int, area: Mask) -> dict[str, float]:
        """Which share (0 to 1) of an area (ny, nx) each thing hides from one of the speakers, the largest first."""
        hider, total = self.hider[number][area], max(1, int(area.sum()))
        counts = np.bincount(hider[hider >= 0], minlength=len(self.names))
        found: dict[str, int] = {}
        for name, count in zip(self.names, counts, strict=True):
            if count:
                found[name] = found.get(name, 0) + int(count)
        return {name: count / total for name, count in sorted(found.items(), key=lambda item: (-item[1], item[0]))}


def shadows(scene: Scene, plane: ListeningPlane, speakers: Sequence[Speaker]) -> Shadows:
    """The shadows of all that may stand in the way of some speakers: blocks, furniture and the shell itself."""
    room = scene.room
    blocks = (*room.boxes, *room.risers, *furniture(scene), *shell_blocks(room))
    faces, names = faces_of(blocks), [block.name for block in blocks]
    hider = shadow_maps(plane, np.array([speaker.position for speaker in speakers]), faces)
    for mine, speaker in zip(hider, speakers, strict=True):
        beyond = shell_between(speaker.position, speaker.position, room)
        if beyond is not None:
            mine[mine < 0] = len(names)
            names.append(beyond)
    return Shadows(tuple(names), hider)


def seating_shadows(scene: Scene, speakers: Sequence[Speaker]) -> list[dict[str, float]]:
    """For each of some speakers which share (0 to 1) of the seating area each thing hides from it, the largest first.
    The scene has seats."""
    plane, within = _seating_plane(scene)
    cast = shadows(scene, plane, speakers)
    return [cast.shares(number, within) for number in range(len(speakers))]


@lru_cache(maxsize=1)
def _seating_plane(scene: Scene) -> tuple[ListeningPlane, Mask]:
    """The listening plane over the seating area, and which of its points (ny, nx) lie in that and in the room."""
    area = seating_area(scene.seats)
    step = max(STEP, float(np.ptp(area.bounds, axis=0).max()) / MOST_STEPS)
    plane = lay_plane_over(scene.room, area.bounds, PlaneSpec(scene.plane.height, step))
    return plane, area.holds(plane.xy) & plane.inside
