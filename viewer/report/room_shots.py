"""The room of a report in three dimensions, before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from earshed.model.seating import Seat, main_seats, upright_seats
from earshed.viewer.camera import find_view, up_view
from earshed.viewer.compare.room_views import (
    Stage,
    bare,
    ceiling_view,
    corner_view,
    holes_sentence,
    rendered,
    rendered_pair,
)
from earshed.viewer.compare.shown import seat_shown
from earshed.viewer.compare.views import Key, ViewPair
from earshed.viewer.rendering import Studio, studio
from earshed.viewer.report.blocks import Shot
from earshed.viewer.report.facts import Facts
from earshed.viewer.wording import shortened

NO_KEY = Key("", ())


@dataclass(frozen=True, eq=False)
class Rooms:
    """Pictures in three dimensions: the room alone, with what its speakers cover, up from a seat, and its ceiling."""

    room: Shot
    corner: ViewPair
    up: ViewPair | None
    ceiling: ViewPair


def room_shots(facts: Facts, advance: Callable[[], object], size: tuple[int, int]) -> Rooms:
    """All of them; `advance` is called as they are done."""
    change = facts.change
    with studio(size) as opened:
        corner = corner_view(change, opened)
        advance()
        up = _up(facts, opened)
        advance()
        view = find_view(facts.scene, "corner", opened.aspect)
        alone = rendered(Stage(facts.scene), view, opened)
        advance()
    ceiling = ceiling_view(change, size[0])
    if facts.before is None:
        ceiling = replace(ceiling, caption="As you see it looking up, the screen wall at the foot.")
    shows = "The room in three dimensions, seen into from its rear right corner, with all that stands and hangs in it"
    caption = "The room from its rear right corner, the near walls left out."
    advance()
    return Rooms(Shot(alone, caption, shows, NO_KEY, photo=True), corner, up, ceiling)


def _up(facts: Facts, opened: Studio) -> ViewPair | None:
    """The ceiling as one sees it from the main seat that gains most."""
    seat = _seat(facts)
    if seat is None:
        return None
    change, view = facts.change, up_view(facts.scene, seat)
    pictures = rendered_pair(bare(change.before), Stage(change.after), view, opened)
    name = shortened(seat.name, 40)
    caption = "The head let back, the screen wall at the foot: grilles, lights and all that shows on the ceiling."
    caption = caption if facts.before is None else f"{caption} {holes_sentence(change)}"
    shows = f"The ceiling seen from {name}, with its lights and the grilles of its speakers"
    return ViewPair("up", f"Looking up from {name}", caption, shows, pictures, NO_KEY)


def _seat(facts: Facts) -> Seat | None:
    name = seat_shown(facts.change)
    seats = {seat.name: seat for seat in upright_seats(facts.scene.seats)}
    if name in seats:
        return seats[name]
    main = main_seats(upright_seats(facts.scene.seats))
    return main[0] if main else None
