"""Which cable runs two scenes have, where both, or one of them, say how they are wired."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.as_built import SpeakerChange
from earshed.model.geometry import TOUCHING
from earshed.model.scene import Scene
from earshed.model.wiring.schedule import Run, wire

CableChange = Literal["same", "new", "gone", "longer", "shorter", "other"]


@dataclass(frozen=True, eq=False)
class RunChange:
    """A cable run before and after; None where one of the scenes pulls none of that name."""

    name: str
    before: Run | None
    after: Run | None

    @property
    def longer(self) -> float:
        """Metres by which more has to be cut; 0 where there are not two lengths."""
        if self.before is None or self.after is None or self.before.cut is None or self.after.cut is None:
            return 0.0
        return self.after.cut - self.before.cut

    @property
    def change(self) -> CableChange:
        """What became of it; `other` is another cable of the same length, or a way found or lost."""
        if self.before is None or self.after is None:
            return "new" if self.before is None else "gone"
        if abs(self.longer) > TOUCHING:
            return "longer" if self.longer > 0 else "shorter"
        alike = self.before.cable.name == self.after.cable.name and (self.before.cut is None) == (
            self.after.cut is None
        )
        return "same" if alike else "other"


def run_changes(before: Scene, after: Scene, speakers: Sequence[SpeakerChange]) -> tuple[RunChange, ...]:
    """Every run that either scene asks for, those of the second first; none where neither says where the rack is.

    `speakers` say under which name the second scene has a speaker of the first.
    """
    renamed = {one.before.name: one.name for one in speakers if one.before and one.after}
    now = _runs(after)
    then = {renamed.get(name, name): run for name, run in _runs(before).items()}
    return tuple(RunChange(name, then.get(name), now.get(name)) for name in dict.fromkeys([*now, *then]))


def _runs(scene: Scene) -> dict[str, Run]:
    schedule = wire(scene)
    return {} if schedule is None else {run.pull.name: run for run in schedule.runs}
