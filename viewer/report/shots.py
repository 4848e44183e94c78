"""The pictures of a report, drawn once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from earshed.model.compare.compare import BeforeAfter
from earshed.viewer.collecting import free_pages
from earshed.viewer.compare.plan_views import set_views, signal_view
from earshed.viewer.compare.room_views import SIZE
from earshed.viewer.compare.views import Difference, ViewPair
from earshed.viewer.gl import trying_gl
from earshed.viewer.output import OutputError
from earshed.viewer.report.blocks import Shot
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.hole_plan import ALONE, BUILT, PLANNED, Told, hole_plan, second_plan
from earshed.viewer.report.room_shots import Rooms, room_shots


@dataclass(frozen=True, eq=False)
class Shots:
    """Every picture; `rooms` is None where nothing here draws in three dimensions, and `no_rooms` says why.

    `signals` are the plans of what each signal gives, by its key; `more` is where more of them reach than before;
    `built` are the holes as they were cut.
    """

    rooms: Rooms | None
    no_rooms: str
    holes: Shot
    second: Shot | None
    built: Shot | None
    set: ViewPair | None
    more: Difference | None
    signals: Mapping[str, ViewPair]


def steps_of(facts: Facts) -> int:
    """How often `take_shots` says that a part is done."""
    return 7 + (0 if facts.maps is None else len(facts.maps.signals))


def take_shots(facts: Facts, advance: Callable[[], object], size: tuple[int, int] = SIZE) -> Shots:
    """Draws all pictures, those of the room in a size in pixels; `advance` is called as parts are done."""
    with trying_gl() as require_gl:
        return _taken(facts, advance, size, require_gl)


def _taken(
    facts: Facts, advance: Callable[[], object], size: tuple[int, int], require_gl: Callable[[], object]
) -> Shots:
    change, maps, mapped = facts.change, facts.maps, facts.mapped
    both, more = (None, None) if maps is None else set_views(mapped, maps)
    advance()
    signals = {}
    for signal in () if maps is None else maps.signals:
        signals[signal.key] = signal_view(mapped, maps, signal, "")  # type: ignore[arg-type]
        advance()
        free_pages()
    shows = "Plan of the ceiling and walls seen from above, with the holes that stay, are new and are patched"
    holes = _holes(change, ALONE if facts.before is None else PLANNED, shows)
    as_built = "Plan of the room as built, seen from above, with its holes"
    built = None if facts.built is None else _holes(facts.built[1], BUILT, as_built)
    second = _second(facts)
    advance()
    try:
        require_gl()
    except OutputError as error:
        return Shots(None, f"Pictures of the room are left out: {error}.", holes, second, built, both, more, signals)
    advance()
    return Shots(room_shots(facts, advance, size), "", holes, second, built, both, more, signals)


def _holes(change: BeforeAfter, told: Told, shows: str) -> Shot:
    picture, key = hole_plan(change, told)
    return Shot(picture, "Seen from above, the screen at the top; holes at their true size and place.", shows, key)


def _second(facts: Facts) -> Shot | None:
    firsts = [one for one in facts.to_cut if one.name in facts.seconds]
    if not firsts:
        return None
    picture, key = second_plan(facts.change, firsts, facts.seconds)
    shows = "Plan seen from above; an arrow leads from each hole to the place it moves to if something is in the way"
    caption = "Seen from above, the screen at the top: an arrow leads from each hole to its second place."
    return Shot(picture, caption, shows, key)
