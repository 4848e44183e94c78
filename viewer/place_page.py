"""Feasibility maps as pages: a ceiling or a wall, where a cut is possible, why not elsewhere, and what is best."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import matplotlib as mpl
import shapely
from matplotlib.figure import Figure

from earshed.model.scene import Scene
from earshed.model.search.answer import Answer, Choice, Together
from earshed.model.search.areas import FaceAreas, areas_of, given_up, shared_areas
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.area_styles import STYLES
from earshed.viewer.cautions import BEFORE_CUTTING
from earshed.viewer.face_views import Box, FaceView, ceiling_view, furnish_ceiling, furnish_wall, wall_view
from earshed.viewer.fixture_drawing import fixture_words
from earshed.viewer.hidden_drawing import hidden_signs
from earshed.viewer.hole_words import hole_words
from earshed.viewer.legend import LEFT_EDGE, Column, draw_footer, draw_heading
from earshed.viewer.page import blank_page, page_png
from earshed.viewer.place_column import labeled, write_answer, write_key, write_together
from earshed.viewer.place_marks import Mark, draw_places
from earshed.viewer.place_words import joint_words
from earshed.viewer.plan_drawing import draw_polygon, worst_marks
from earshed.viewer.wording import called, counted, shortened

VIEW_TOP, VIEW_BOTTOM = 0.865, 0.105
VIEW_WIDTH = 0.58
CAUTION_AT = 0.069
ONE_LINE = 148
"""Characters of the line under a title."""
HATCH_LINES = {"hatch.linewidth": 0.7}
CENTER_DASHES = (0, (9, 3, 1, 3))
UNDER_WALL, UNDER_CEILING = "walls seen from inside", "the ceiling as in a mirror on the floor"


def place_page(
    scene: Scene, answers: Sequence[Answer], settled: Together | None, size: tuple[int, int], date: str
) -> bytes:
    """A PNG of what a search found. One speaker or pair has its own areas, split by how good a place would be; of
    several, placed together, the page shows what is in the way of all of them."""
    with mpl.rc_context(HATCH_LINES):
        figure = blank_page(size)
        if len(answers) == 1 or settled is None:
            views = _one(figure, scene, answers[0])
        else:
            views = _several(figure, scene, answers, settled)
        _caution(figure)
        walls = any(view.faces[0].kind == "wall" for view in views)
        ceilings = any(view.faces[0].kind != "wall" for view in views)
        seen = ", ".join(words for words, shown in ((UNDER_CEILING, ceilings), (UNDER_WALL, walls)) if shown)
        draw_footer(figure, scene, date, seen)
        return page_png(figure)


def _one(figure: Figure, scene: Scene, answer: Answer) -> list[FaceView]:
    """The page of one speaker, or of a pair."""
    under = f"where the middle of the hole can be · {_found_words(scene, answer)}"
    draw_heading(figure, _names(answer), shortened(under, ONE_LINE))
    areas = areas_of(answer)
    marks = [
        Mark(place.speaker, label, strong=number == 1)
        for number, choice in enumerate(answer.choices, start=1)
        for label, place in labeled(str(number), choice)
    ]
    views = _views(figure, scene, areas)
    seats = _seat_marks(answer.choices[:1])
    _draw(views, scene, areas, marks, [ask.speaker for ask in answer.asks], seats)
    column = Column(figure, _right_of(views), VIEW_TOP - 0.01, VIEW_BOTTOM)
    _write_keys(column, scene, areas, views)
    column.words(_reading(answer))
    write_answer(column, scene, answer)
    column.entry("signs", _signs(scene, views))
    _more(column)
    return views


def _several(figure: Figure, scene: Scene, answers: Sequence[Answer], settled: Together) -> list[FaceView]:
    """The page of several speakers together: all positions, second choices, and what is in the way of all."""
    speakers = [ask.speaker for answer in answers for ask in answer.asks]
    draw_heading(figure, f"Where to cut for {counted(len(speakers), 'speaker')}", joint_words(settled))
    chosen, second = settled.chosen, settled.second
    areas = shared_areas(answers, chosen)
    marks = [Mark(place.speaker, place.speaker.name, strong=True) for choice in chosen for place in choice]
    marks += [Mark(place.speaker, "2nd", strong=False) for choice in second if choice for place in choice]
    views = _views(figure, scene, areas)
    _draw(views, scene, areas, marks, speakers, _seat_marks(chosen))
    column = Column(figure, _right_of(views), VIEW_TOP - 0.01, VIEW_BOTTOM)
    _write_keys(column, scene, areas, views)
    write_together(column, scene, chosen, second)
    for answer, choice in zip(answers, chosen, strict=True):
        if not choice:
            column.entry("nothing fits", " and ".join(ask.speaker.name for ask in answer.asks))
    column.entry("areas", "What is in the way of all these speakers alike; each has more of its own.")
    column.entry("signs", _signs(scene, views))
    _more(column)
    return views


def _names(answer: Answer) -> str:
    """The speakers that a page is about; of two the labels alone."""
    speakers = [ask.speaker for ask in answer.asks]
    if len(speakers) == 1:
        return called(speakers[0])
    most = 26
    labels = [f" ({one.channel.label})" if one.channel is not None else "" for one in speakers]
    return " and ".join(f"{shortened(one.name, most)}{label}" for one, label in zip(speakers, labels, strict=True))


def _found_words(scene: Scene, answer: Answer) -> str:
    """The type and hole that the areas are for, and how much was tried."""
    seats = counted(len(answer.asks[0].seats), "seat")
    if not answer.choices:
        return f"nothing that is offered fits · for {seats}"
    places = "places" if answer.tried != 1 else "place"
    place = answer.choices[0][0]
    kind = f"{place.offer.type.name}, {hole_words(place.speaker, scene.print_units)}"
    return f"{kind} · best of {answer.tried:,} {places} for {seats}"


def _views(figure: Figure, scene: Scene, areas: Sequence[FaceAreas]) -> list[FaceView]:
    """Axes for the ceilings, in one plan, and for each wall; one over another."""
    ceilings = tuple(one.face for one in areas if one.face.kind != "wall")
    walls = [one.face for one in areas if one.face.kind == "wall"]
    boxes = _boxes(len(walls) + bool(ceilings))
    views = [ceiling_view(figure, scene, ceilings, boxes.pop(0))] if ceilings else []
    return views + [wall_view(figure, scene, wall, box) for wall, box in zip(walls, boxes, strict=True)]


def _boxes(count: int) -> list[Box]:
    height = (VIEW_TOP - VIEW_BOTTOM - 0.045 * (count - 1)) / count
    return [(LEFT_EDGE, VIEW_TOP - height - i * (height + 0.045), VIEW_WIDTH, height) for i in range(count)]


def _right_of(views: Sequence[FaceView]) -> float:
    return max(0.48, *(float(view.axes.get_position().x1) + 0.025 for view in views))


def _draw(
    views: Sequence[FaceView],
    scene: Scene,
    areas: Sequence[FaceAreas],
    marks: Sequence[Mark],
    today: Sequence[Speaker],
    seats: dict[str, palette.Mark],
) -> None:
    others = [one for one in scene.speakers if not any(one is moving for moving in today)]
    for view in views:
        for one in sorted(areas, key=lambda one: one.face.kind == "soffit"):  # what hangs lower covers the rest
            if view.shows(one.face):
                _paint(view, one)
        if view.faces[0].kind == "wall":
            furnish_wall(view, scene)
        else:
            furnish_ceiling(view, scene, seats)
        draw_places(view, marks, today, others, scene.seats)


def _paint(view: FaceView, areas: FaceAreas) -> None:
    """The parts of a face, each with its pattern, and the center line of a pair."""
    over = 0.2 if areas.face.kind == "soffit" else 0.0
    for name, area in areas.parts.items():
        style = STYLES[name]
        shape = view.area(areas.face, area)
        draw_polygon(view.axes, shape, fc=style.fill, ec=style.ink, hatch=style.hatch, lw=0.0, zorder=1.0 + over)
        if style.edged:
            draw_polygon(view.axes, shape, fc="none", ec=style.ink, lw=0.8, zorder=3.0 + over)
    if areas.center is not None and not areas.center.is_empty:
        for line in shapely.get_parts(view.area(areas.face, areas.center)):
            ends = shapely.get_coordinates(line)
            view.axes.plot(*ends.T, color=palette.INK, lw=1.0, ls=CENTER_DASHES, zorder=5)


def _seat_marks(choices: Sequence[Choice]) -> dict[str, palette.Mark]:
    """For each seat the worst that it gets."""
    return worst_marks(pair for choice in choices for place in choice for pair in place.pairs)


def _reading(answer: Answer) -> str:
    """How the areas are to be read, and what they do not ask."""
    given = given_up(answer)
    parts = []
    if "azimuth" in given:
        parts.append("The best place is heard from outside its window, so the areas do not ask for that.")
    if "partner" in given:
        parts.append("The best place does not match its partner, so the areas do not ask for that.")
    parts.append("Where several things are in the way, the one hardest to move is shown.")
    return " ".join(parts)


def _signs(scene: Scene, views: Sequence[FaceView]) -> str:
    """What the smaller signs mean, as far as they occur."""
    ceiling = views[0].faces[0].kind != "wall"
    signs = {
        "broken ring: where it is today": True,
        "arrows: where speakers point": True,
        "broken squares: seats below": ceiling and bool(scene.seats),
        "thick bar: the picture": ceiling and scene.screen is not None,
        **({words: there and ceiling for words, there in fixture_words(scene).items()}),
    }
    shown = "; ".join(words for words, there in signs.items() if there)
    return f"{shown[:1].upper()}{shown[1:]}."


def _write_keys(column: Column, scene: Scene, areas: Sequence[FaceAreas], views: Sequence[FaceView]) -> None:
    """What the areas mean, and what hides behind them."""
    write_key(column, [name for one in areas for name in one.parts])
    column.signs(hidden_signs(scene, lambda face: any(view.shows(face) for view in views)))


def _more(column: Column) -> None:
    """Says so where the column has no room for all."""
    if column.is_full:
        column.figure.text(column.left, VIEW_BOTTOM - 0.018, "The printed table says more.",
                           fontsize=9, color=palette.SOFT_INK)  # fmt: skip


def _caution(figure: Figure) -> None:
    lines = textwrap.wrap(BEFORE_CUTTING, 150)
    figure.text(LEFT_EDGE, CAUTION_AT, "\n".join(lines), fontsize=9.5, color=palette.LIMIT, va="top", linespacing=1.2)
