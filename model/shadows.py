"""What a scene's speakers do not reach of its listening plane, and what hides it from them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.coverage import Mask
from earshed.model.furniture import furniture
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.shadow import Hider, faces_of, shadow_map
from earshed.model.shell_blocks import shell_blocks
from earshed.model.sight import shell_between
from earshed.model.speaker import Speaker


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
    hider = np.empty((len(speakers), *plane.height.shape), dtype=np.int16)
    for mine, speaker in zip(hider, speakers, strict=True):
        mine[:] = shadow_map(plane, speaker.position, faces)
        beyond = shell_between(speaker.position, speaker.position, room)
        if beyond is not None:
            mine[mine < 0] = len(names)
            names.append(beyond)
    return Shadows(tuple(names), hider)
