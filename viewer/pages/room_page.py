"""A page with one room on it: a single HTML file that works from a mail attachment."""

from __future__ import annotations

from earshed.model.units import format_length
from earshed.viewer.pages.assets import assets, templates
from earshed.viewer.pages.room_view import RoomView, room_figure
from earshed.viewer.wording import scheme_words, shortened


def room_page(view: RoomView, date: str) -> bytes:
    """The page, in UTF-8."""
    scene = view.scene
    plan, units = scene.room.plan, scene.print_units
    size = f"{format_length(plan.width, units)} by {format_length(plan.length, units)}"
    page = templates().get_template("room_page.html")
    text = page.render(
        title=shortened(scene.title, 200),
        scheme=scheme_words(scene),
        size=size,
        date=date,
        figure=room_figure(view),
        assets=assets(),
        kind="",
    )
    return text.encode("utf-8")
