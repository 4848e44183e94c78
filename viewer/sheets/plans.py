"""The ceiling plan and the elevations of a room as sheets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.ruler import Ruler, ruler_of
from earshed.model.scene import Scene
from earshed.viewer.output import OutputError
from earshed.viewer.sheets.ceiling_sheet import ceiling_subject
from earshed.viewer.sheets.fit import Subject, new_plan, place
from earshed.viewer.sheets.paper_size import PaperSize
from earshed.viewer.sheets.sheet import Sheet
from earshed.viewer.sheets.trade_scale import TradeScale
from earshed.viewer.sheets.wall_sheet import wall_subject, walls_of, walls_with_something

CEILING, WALLS, ALL = "ceiling", "walls", "all"


@dataclass(frozen=True)
class PlanOptions:
    """What is asked of plans; what is None is chosen. `which` is ceiling, walls, all, or the name of a wall."""

    scale: TradeScale | None = None
    paper: PaperSize | None = None
    which: str = ALL
    ruler: Ruler | None = None


def subjects(scene: Scene, options: PlanOptions) -> Iterator[Subject]:
    """The drawings that are asked for. Raises OutputError for a wall that there is none of."""
    ruler = options.ruler or ruler_of(None, scene.print_units)
    which = options.which
    if which in (CEILING, ALL):
        yield ceiling_subject(scene, ruler)
    walls = walls_of(scene)
    asked = [wall for wall in walls if wall.name in (which, f"{which} wall")]
    if which in (WALLS, ALL):
        asked = list(walls_with_something(scene))
    elif which != CEILING and not asked:
        names = ", ".join(wall.name for wall in walls)
        raise OutputError(f"there is no sheet {which}; say {CEILING}, {WALLS}, {ALL}, or a wall: {names}")
    if which == WALLS and not asked:
        raise OutputError("no wall has holes, a picture, openings or fixtures; to draw one all the same, say its name")
    for wall in asked:
        yield wall_subject(scene, wall, ruler)


def plan_sheets(scene: Scene, options: PlanOptions) -> dict[str, Sheet]:
    """The sheets that are asked for, by what each is of, without their feet, which `stamp` draws.

    Raises OutputError for a drawing that does not fit as asked, and for a wall that there is none of.
    """
    placed = [(one, place(one, scene.print_units, options.scale, options.paper)) for one in subjects(scene, options)]
    return {subject.name: new_plan(subject, where) for subject, where in placed}
