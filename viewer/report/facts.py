"""All that a report tells, as the model worked it out, found once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from earshed.model.as_built import Comparison, compare
from earshed.model.checks.run import find_all
from earshed.model.compare.compare import BeforeAfter, before_after
from earshed.model.compare.holes import HoleWork
from earshed.model.compare.maps import MapChange, RoomsDiffer, map_change
from earshed.model.compare.seats import SeatChange, together
from earshed.model.compare.signals import Signal
from earshed.model.finding import Finding
from earshed.model.listening_plane import PlaneTooFine
from earshed.model.mark_out.hung import Wish
from earshed.model.mark_out.mark_out import MarkOut, mark_out
from earshed.model.mark_out.second import second_choices
from earshed.model.pairs import Pair, seat_pairs
from earshed.model.ruler import ruler_of
from earshed.model.scene import Scene
from earshed.model.scene_file.read import is_laid_over, read_design, read_scene
from earshed.model.search.place import Place
from earshed.model.sound.balance import Balance, balances
from earshed.model.sound.level import Drive
from earshed.model.speaker import Speaker
from earshed.model.wiring.schedule import Schedule, wire
from earshed.viewer.compare.shown import shown_signals
from earshed.viewer.plane import plane_of
from earshed.viewer.wording import shortened

TO_CUT: tuple[HoleWork, ...] = ("cut", "shrink", "recut", "widen")
"""Work at which a saw goes through a board."""
AS_BUILT = "as built"


@dataclass(frozen=True, eq=False)
class Facts:
    """A scene and what was found in it; `before` is what it is held against, None for nothing, and `change` then holds
    it against itself.

    `maps` is None where no speaker has a coverage angle; `mapped` are the scenes that they are of, which is the one
    against itself where both cannot be laid over each other. `seconds` are of
    the holes that are still to be cut. `built` is a room as built against the design, where the scene tells of one.
    """

    path: Path
    scene: Scene
    before: Scene | None
    date: str
    change: BeforeAfter
    pairs: tuple[Pair, ...]
    findings: tuple[Finding, ...]
    maps: MapChange | None
    mapped: BeforeAfter
    made: MarkOut | None
    seconds: Mapping[str, Place]
    schedule: Schedule | None
    settings: tuple[Balance, ...]
    built: tuple[Comparison, BeforeAfter] | None

    @property
    def shown(self) -> list[Signal]:
        """The signals that it is all about: those that change, or those overhead."""
        return shown_signals(self.change)

    @property
    def seats(self) -> tuple[SeatChange, ...]:
        """Each seat over the shown signals alone."""
        shown = self.shown
        return together([one for one in self.change.given if any(one.signal is signal for signal in shown)])

    @property
    def to_cut(self) -> list[Speaker]:
        return holes_to_cut(self.scene, self.before, self.change)


def facts_of(path: Path, scene: Scene, before: Scene | None, date: str, advance: Callable[[], object]) -> Facts:
    """Everything about a scene of a file; `advance` is called as parts are done. Raises SceneError."""
    scene = replace(scene, title=shortened(scene.title))
    before = None if before is None else replace(before, title=shortened(before.title))
    pairs = tuple(seat_pairs(scene))
    earlier = (scene, pairs) if before is None else (before, seat_pairs(before))
    change = before_after(earlier, (scene, pairs))
    findings = tuple(find_all(scene, pairs))
    advance()
    maps, mapped = _maps(path, change, (scene, pairs))
    cut_in = [one for one in scene.speakers if one.surface is not None]
    made = mark_out(scene, ruler_of(None, scene.print_units), Wish(None, None)) if cut_in else None
    seconds: dict[str, Place] = {}
    for _, found in second_choices(scene, holes_to_cut(scene, before, change)):
        seconds |= found
    advance()
    return Facts(
        path,
        scene,
        before,
        date,
        change,
        pairs,
        findings,
        maps,
        mapped,
        made,
        seconds,
        wire(scene),
        tuple(balances(scene, Drive())) if scene.seats and scene.judged else (),
        _as_built(path, scene),
    )


def holes_to_cut(scene: Scene, before: Scene | None, change: BeforeAfter) -> list[Speaker]:
    """The speakers at whose holes a saw goes through a board; with nothing before, all that are cut in."""
    cut_in = [one for one in scene.speakers if one.surface is not None]
    if before is None:
        return cut_in
    names = {hole.after.name for hole in change.holes if hole.after and hole.work in TO_CUT}
    return [one for one in cut_in if one.name in names]


def _maps(path: Path, change: BeforeAfter, now: tuple[Scene, Sequence[Pair]]) -> tuple[MapChange | None, BeforeAfter]:
    """The maps of both scenes, or of the later alone where they cannot be laid over each other; and what of."""
    before, scene = change.before, change.after
    if not scene.judged:
        return None, change
    plane_of(scene, path)  # which says what step would do
    try:
        return map_change(before, scene, change.signals), change
    except (RoomsDiffer, PlaneTooFine):
        pass
    alone = before_after(now, now)
    return map_change(scene, scene, alone.signals), alone


def _as_built(path: Path, scene: Scene) -> tuple[Comparison, BeforeAfter] | None:
    """The scene as built against its design, or the scheme as built that is laid over the scene."""
    if scene.builds_on is not None:
        return _built(read_design(path, scene.builds_on), scene)
    if AS_BUILT in scene.schemes and not is_laid_over(path):
        built = read_scene(path, AS_BUILT)
        if built.builds_on == scene.scheme:
            return _built(scene, built)
    return None


def _built(design: Scene, built: Scene) -> tuple[Comparison, BeforeAfter]:
    pairs = seat_pairs(built)
    return compare(design, built, pairs), before_after((design, seat_pairs(design)), (built, pairs))
