"""Which holes of one scene are holes of another: what stays, what is to be cut, cut wider or patched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from earshed.model.cut_fit import covers, wider
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import ExistingHole
from earshed.model.hole import cut_shape
from earshed.model.old_cut import takes_in
from earshed.model.scene import Scene
from earshed.model.speaker import speaker_holes
from earshed.model.speaker_type import Cutout
from earshed.model.surface import Surface

HoleWork = Literal["stays", "widen", "shrink", "recut", "cut", "patch", "open"]


@dataclass(frozen=True, eq=False)
class Opened:
    """A hole in a face: of the speaker of that name, or an old one that no speaker fills; `position` (3,) metres."""

    name: str
    filled: bool
    surface: Surface
    position: Array
    cut: Cutout
    shape: FaceShape
    long_axis: Array | None


@dataclass(frozen=True, eq=False)
class HoleChange:
    """A hole before and after; None where there was, or is to be, none that it meets."""

    before: Opened | None
    after: Opened | None

    @property
    def work(self) -> HoleWork:
        """What has to be done, were the room as the first scene has it.

        `stays`: a speaker in a hole that is there; `widen`: the same, cut wider for it; `shrink`: the hole is too large
        for it, so that a smaller one has to be made; `recut`: one that runs into it is to be cut; `cut` and `patch` a
        hole; `open`: an old hole that no speaker of the second scene fills, and none of the first did.
        """
        then, now = self.before, self.after
        if now is None or not now.filled:
            return "patch" if then is not None and then.filled else "open"
        if then is None:
            return "cut"
        old = _on_face_of(now, then)
        if covers(now.shape, old):
            return "stays" if wider(now.shape, old) == 0.0 else "widen"
        return "shrink" if covers(old, now.shape) else "recut"

    @property
    def wider(self) -> float:
        """Metres across by which a hole is to be cut wider; 0 for other work."""
        if self.work != "widen" or self.before is None or self.after is None:
            return 0.0
        return wider(self.after.shape, _on_face_of(self.after, self.before))


def hole_changes(before: Scene, after: Scene) -> tuple[HoleChange, ...]:
    """What becomes of each hole: those of the second scene in its order, then those that are gone."""
    then, now = list(_opened(before)), list(_opened(after))
    meets = {(i, j) for i, one in enumerate(then) for j, other in enumerate(now) if _meet(one, other)}
    changes = []
    for j, hole in enumerate(now):
        olds = [then[i] for i, k in sorted(meets) if k == j]
        changes += [HoleChange(old, hole) for old in olds] or [HoleChange(None, hole)]
    met = {i for i, _ in meets}
    return (*changes, *(HoleChange(hole, None) for i, hole in enumerate(then) if i not in met))


def count_of(changes: Sequence[HoleChange], *work: HoleWork) -> int:
    """How many holes have some work done to them."""
    return sum(change.work in work for change in changes)


def _opened(scene: Scene) -> Iterator[Opened]:
    """The holes of a scene's speakers, and the old ones that none of those takes in."""
    holes = speaker_holes(scene.speakers, scene.ahead)
    axes = {one.name: one.long_axis for one in scene.speakers}
    for hole in holes:
        cut = hole.type.cutout or hole.type.rim
        yield Opened(hole.owner, True, hole.surface, hole.center, cut, hole.cut, axes[hole.owner])
    for old in scene.existing_holes:
        if not any(takes_in(hole, old) for hole in holes):
            yield _old(old)


def _old(hole: ExistingHole) -> Opened:
    return Opened(hole.name, False, hole.surface, hole.position, hole.cut, hole.shape, hole.long_axis)


def _meet(one: Opened, other: Opened) -> bool:
    """Whether two holes are on one plane and lie over each other."""
    if not np.allclose(one.surface.normal, other.surface.normal, atol=TOUCHING):
        return False
    if abs(float((one.position - other.position) @ other.surface.normal)) > TOUCHING:
        return False
    return other.shape.gap(_on_face_of(other, one)) < 0.0


def _on_face_of(hole: Opened, other: Opened) -> FaceShape:
    """The shape of another hole in the coordinates of a hole's face, of which it lies in the plane."""
    return cut_shape(other.cut, hole.surface, hole.surface.to_face(other.position), other.long_axis)
