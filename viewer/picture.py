"""A picture of the room: sets the stage, takes the shot, and writes on it."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
import pyvista as pv
from PIL import Image

from earshed.model.coverage_map import map_coverage
from earshed.model.geometry import UP, Array
from earshed.model.listening_plane import ListeningPlane
from earshed.model.pairs import Pair, best_of_seats, seat_pairs
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, format_angle, format_length
from earshed.viewer import palette
from earshed.viewer.annotate import Box, KeyRow, Label, Sheet
from earshed.viewer.camera import View, find_view, seat_named, up_view
from earshed.viewer.chair_meshes import chair_box
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.key_rows import band_rows, cone_rows, hidden_rows
from earshed.viewer.light import light_colors, light_map, light_rows
from earshed.viewer.palette import Mark
from earshed.viewer.rendering import render
from earshed.viewer.stage import add_cone, add_heat, add_light, add_limit, light_stage, set_stage, show_room
from earshed.viewer.wording import counted, scheme_words, shortened

MOST_FILLED = 2
"""Cones that can be seen through one another in a view without perspective."""
DUSK = 0.60
"""The light of a room in which coverage is shown as light, in parts of daylight."""
Show = Literal["cones", "heat", "light", "room"]
SHOWS: tuple[Show, ...] = get_args(Show)
Look = Literal["screen", "up"]
LOOKS: tuple[Look, ...] = get_args(Look)


@dataclass(frozen=True, eq=False)
class Shot:
    """What to draw: the speakers whose coverage shows, as cones or, with a plane, as a heat map or light on it.

    `view` names a view or a seat, from which one looks at the screen or up; `size` is in pixels. Where `show` is None
    it is "heat" with a plane and "cones" without; "room" is the room as one will see it. Without `names` nothing is
    named in the picture.
    """

    scene: Scene
    view: str
    speakers: Sequence[Speaker]
    plane: ListeningPlane | None
    size: tuple[int, int]
    date: str
    show: Show | None = None
    look: Look = "screen"
    names: bool = True

    @property
    def shown(self) -> Show:
        return self.show or ("cones" if self.plane is None else "heat")


def take(shot: Shot) -> bytes:
    """The picture as PNG. Raises KeyError for a view that is neither one of VIEWS nor a seat."""
    scene, units = shot.scene, shot.scene.print_units
    sheet = Sheet(shot.size, _key(shot), _key_title(shot))
    width, height = sheet.picture_size
    view = _view(shot, width / height)
    sheet.paste(_render(shot, view, (width, height)))
    size = f"{format_length(scene.room.plan.width, units)} by {format_length(scene.room.plan.length, units)}"
    under = f"{scheme_words(scene)} · {size} · seen from {shortened(view.words, 60)} · {_shows(shot)}"
    if len(upright_seats(scene.seats)) < len(scene.seats) and not view.is_level_cut:
        under += " · paler heads: reclined"
    if view.section is not None and shot.names:
        under += " · heights are over the floor"
    sheet.heading(shortened(scene.title, 64), shortened(under, 240))
    sheet.key()
    if shot.names:
        _name(sheet, shot, view, (width, height))
    scale = "in perspective, not to scale"
    if view.half_height is not None:
        scale = "scale by the bar"
        feet = units == "ft-in"
        sheet.scale_bar((4 * FOOT if feet else 1.0) / view.half_height * height / 2, "4 ft" if feet else "1 m")
    sheet.footer(shot.date, f"{scale} · predictions, not measurements")
    buffer = io.BytesIO()
    sheet.page.save(buffer, "PNG")
    return buffer.getvalue()


def _view(shot: Shot, aspect: float) -> View:
    if shot.look == "up":
        return up_view(shot.scene, seat_named(shot.scene, shot.view))
    return find_view(shot.scene, shot.view, aspect)


def _render(shot: Shot, view: View, size: tuple[int, int]) -> Image.Image:
    """The room alone."""
    return render(shot.scene, view, size, lambda plotter: _furnish(plotter, shot, view))


def _furnish(plotter: pv.Plotter, shot: Shot, view: View) -> None:
    scene, colors = shot.scene, cone_colors(shot.speakers)
    if shot.shown in ("room", "light"):
        show_room(plotter, scene, view)
    else:
        set_stage(plotter, scene, view)
    light_stage(plotter, DUSK if shot.shown == "light" else 1.0)
    if shot.shown == "cones":
        coned = _coned(shot, view)
        for speaker in coned:
            add_cone(plotter, scene, speaker, colors[speaker.name], view, filled=_fills(coned, view))
    elif shot.plane is not None:
        cover = map_coverage(scene, shot.plane, shot.speakers)
        if shot.shown == "heat":
            add_heat(plotter, shot.plane, cover.of_set.worst)
        else:
            add_light(plotter, shot.plane, light_colors(light_map(cover)))
        if len(shot.speakers) == 1:
            add_limit(plotter, scene, shot.speakers[0])
        elif shot.shown == "light":
            for speaker in shot.speakers:
                add_limit(plotter, scene, speaker, colors[speaker.name])


def _coned(shot: Shot, view: View) -> list[Speaker]:
    """Whose cones show: in a section of those beyond the cut."""
    return [speaker for speaker in shot.speakers if view.section is None or view.shows(speaker.position)]


def _fills(speakers: Sequence[Speaker], view: View) -> bool:
    """Whether cones are filled: not from inside one, nor where many lie over one another."""
    few = view.half_height is None or view.section is not None or len(speakers) <= MOST_FILLED
    return view.seat is None and few


def _shows(shot: Shot) -> str:
    one = shot.speakers[0].name if len(shot.speakers) == 1 else ""
    if not shot.speakers and shot.shown != "room":
        return "no speakers yet"
    match shot.shown:
        case "heat" if one:
            return f"off-axis angle of {one} at ear height, degrees; the line is its coverage limit"
        case "heat":
            return f"worst off-axis angle among {counted(len(shot.speakers), 'speaker')} at ear height, degrees"
        case "light" if one:
            return f"{one} as if it were a lamp, at ear height; the line is its coverage limit"
        case "light":
            return "speakers as if they were lamps, at ear height; lines are their coverage limits"
        case "room":
            return "as it will look"
    limits = sorted({format_angle(speaker.coverage.limit) for speaker in shot.speakers})
    return f"cones to the coverage limit, {' and '.join(limits)} off axis (-6 dB)"


def _key_title(shot: Shot) -> str:
    if not shot.speakers or shot.shown == "room":
        return ""
    match shot.shown:
        case "heat":
            return "worst off-axis angle:" if len(shot.speakers) > 1 else "off-axis angle:"
        case "light":
            return "in the light of:" if len(shot.speakers) > 1 else "light:"
    return "worst main seat:" if shot.scene.seats else ""


def _key(shot: Shot) -> list[KeyRow]:
    match shot.shown:
        case "room":
            return []
        case "light":
            lines = cone_rows(shot.scene, shot.speakers) if len(shot.speakers) > 1 else []
            return [*light_rows(len(shot.speakers)), *lines]
        case "heat":
            return [*band_rows(), *hidden_rows(shot.scene)]
    return [*cone_rows(shot.scene, shot.speakers), *hidden_rows(shot.scene)]


def _name(sheet: Sheet, shot: Shot, view: View, size: tuple[int, int]) -> None:
    """Names beside things, and in a section their heights over the floor."""
    things = [thing for thing in _things(shot, view) if view.shows(thing.place)]
    if not things:
        return
    spots = view.pixels(np.array([thing.place for thing in things]), size) + np.array([0, sheet.top])
    if view.section is not None:
        feet = view.pixels(np.array([thing.place * (1 - UP) for thing in things]), size) + np.array([0, sheet.top])
        for thing, (x, y), (_, foot) in zip(things, spots, feet, strict=True):
            if thing.is_measured:
                sheet.height_line((float(x), float(y)), float(foot), thing.color)
    labels, gets = [], _gets(shot)
    for thing, (x, y) in zip(things, spots, strict=True):
        told = thing.name
        if view.section is not None and thing.is_measured:
            told += f"  {format_length(float(thing.place[2]), shot.scene.print_units)}"
        mark, words = gets.get(thing.seat, (None, ""))
        color = palette.MARK_INK[mark] if mark else thing.color
        labels.append(Label(f"{told}  {words}".rstrip(), float(x), float(y), color))
    sheet.labels(labels, _nameless(shot.scene, view, size, sheet.top), list(_chairs(shot.scene, view, size, sheet.top)))


@dataclass(frozen=True, eq=False)
class _Named:
    """A thing with a name at a place (3,); of one that `is_measured` a section says the height. `seat` names a seat."""

    name: str
    place: Array
    color: str
    is_measured: bool = True
    seat: str = ""


def _gets(shot: Shot) -> Mapping[str, tuple[Mark, str]]:
    """What each seat, by its name, gets at worst of the speakers whose map or light shows."""
    if shot.shown not in ("heat", "light"):
        return {}
    told: dict[str, tuple[Mark, str]] = {}
    pairs = best_of_seats([pair for pair in seat_pairs(shot.scene) if pair.speaker in shot.speakers])
    marked: list[tuple[Mark, Pair]] = [(pair.verdict if pair.visible else "blocked", pair) for pair in pairs]
    order: list[Mark] = ["covered", "fringe", "blocked", "outside"]  # the worst comes last, and stays
    for mark, pair in sorted(marked, key=lambda one: (order.index(one[0]), one[1].off_axis)):
        told[pair.seat.name] = mark, f"{format_angle(pair.off_axis)} {mark}"
    return told


def _things(shot: Shot, view: View) -> Iterator[_Named]:
    scene, colors = shot.scene, cone_colors(shot.speakers)
    for speaker in scene.speakers:
        overhead = speaker.type.mount == "in-ceiling"
        color = colors.get(speaker.name, palette.SOFT_INK)
        yield _Named(shortened(speaker.name, 28), speaker.position, color, overhead)
    for seat in upright_seats(scene.seats):
        if view.seat is None or seat.chair != view.seat.chair:
            color = palette.FABRIC_MAIN if seat.main else palette.FABRIC
            yield _Named(shortened(seat.name, 28), seat.ear, color, seat=seat.name)
    screen = scene.screen
    if screen and view.faces(screen.wall.inward):
        top = screen.point((screen.start + screen.end) / 2, screen.top)
        yield _Named("screen", top if view.is_level_cut else screen.center, palette.SCREEN, is_measured=False)


def _nameless(scene: Scene, view: View, size: tuple[int, int], top: int) -> list[tuple[float, float]]:
    """Where the heads of reclined seats are, which stand beside a name already."""
    heads = [seat.ear for seat in scene.seats if seat.reclined_from is not None and view.shows(seat.ear)]
    return [(float(x), float(y) + top) for x, y in view.pixels(np.array(heads), size)] if heads else []


def _chairs(scene: Scene, view: View, size: tuple[int, int], top: int) -> Iterator[Box]:
    """The boxes round chairs on the picture, pixels."""
    for seat in upright_seats(scene.seats):
        if view.shows(seat.ear) and (view.seat is None or seat.chair != view.seat.chair):
            corners = chair_box(seat, float(scene.room.floor_under(seat.ear[:2])), scene.ahead)
            (left, high), (right, low) = (reach(view.pixels(corners, size), axis=0) for reach in (np.min, np.max))
            if np.isfinite([left, high, right, low]).all():
                yield float(left), float(high) + top, float(right), float(low) + top
