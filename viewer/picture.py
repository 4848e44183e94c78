"""A picture of the room: sets the stage, takes the shot at twice the size, and writes on it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyvista as pv
from PIL import Image

from earshed.model.coverage_map import map_coverage
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, format_angle, format_length
from earshed.viewer import palette
from earshed.viewer.annotate import KeyRow, Label, Sheet
from earshed.viewer.camera import View, find_view
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.key_rows import band_rows, cone_rows, hidden_rows
from earshed.viewer.stage import add_cone, add_heat, add_limit, light_stage, set_stage
from earshed.viewer.wording import counted, scheme_words, shortened

OVERSAMPLING = 2
MOST_FILLED = 2
"""Cones that can be seen through one another in a view without perspective."""


@dataclass(frozen=True, eq=False)
class Shot:
    """What to draw: the speakers whose coverage shows, as cones or, with a plane, as a heat map on it.

    `view` names a view or a seat; `size` is in pixels.
    """

    scene: Scene
    view: str
    speakers: Sequence[Speaker]
    plane: ListeningPlane | None
    size: tuple[int, int]
    date: str


def take(shot: Shot) -> bytes:
    """The picture as PNG. Raises KeyError for a view that is neither one of VIEWS nor a seat."""
    scene, units = shot.scene, shot.scene.print_units
    sheet = Sheet(shot.size, [*_key(shot), *hidden_rows(scene)], _key_title(shot))
    width, height = sheet.picture_size
    view = find_view(scene, shot.view, width / height)
    sheet.paste(_render(shot, view, (width, height)))
    size = f"{format_length(scene.room.plan.width, units)} by {format_length(scene.room.plan.length, units)}"
    under = f"{scheme_words(scene)} · {size} · seen from {shortened(view.words, 60)} · {_shows(shot)}"
    if len(upright_seats(scene.seats)) < len(scene.seats):
        under += " · paler heads: reclined"
    sheet.heading(shortened(scene.title, 64), shortened(under, 240))
    sheet.key()
    sheet.labels(_labels(shot, view, (width, height), sheet.top), _nameless(scene, view, (width, height), sheet.top))
    scale = "in perspective, not to scale"
    if view.half_height is not None:
        scale = "scale by the bar"
        feet = units == "ft-in"
        sheet.scale_bar((4 * FOOT if feet else 1.0) / view.half_height * height / 2, "4 ft" if feet else "1 m")
    sheet.footer(shot.date, f"{scale} · predictions, not measurements")
    buffer = io.BytesIO()
    sheet.page.save(buffer, "PNG", optimize=True)
    return buffer.getvalue()


def _render(shot: Shot, view: View, size: tuple[int, int]) -> Image.Image:
    """The room alone, drawn at twice the size and brought down, which smooths every edge."""
    window = [OVERSAMPLING * size[0], OVERSAMPLING * size[1]]
    plotter = pv.Plotter(off_screen=True, window_size=window, lighting="none")
    try:
        plotter.set_background(palette.PAPER)
        plotter.disable_anti_aliasing()  # with it, peeling would make what is translucent vanish
        plotter.enable_depth_peeling(10)
        set_stage(plotter, shot.scene, seen_from=view.seat)
        light_stage(plotter, shot.scene)
        if shot.plane is not None:
            add_heat(plotter, shot.plane, _heat(shot, shot.plane))
            if len(shot.speakers) == 1:
                add_limit(plotter, shot.scene, shot.speakers[0])
        else:
            colors = cone_colors(shot.speakers)
            for speaker in shot.speakers:
                add_cone(plotter, shot.scene, speaker, colors[speaker.name], filled=_fills(shot, view))
        plotter.enable_ssao(radius=0.3, bias=0.01, kernel_size=64, blur=True)
        view.apply(plotter)
        pixels = plotter.screenshot(None, return_img=True)
    finally:
        plotter.close()
    return Image.fromarray(pixels).resize(size, Image.Resampling.LANCZOS)


def _fills(shot: Shot, view: View) -> bool:
    """Whether cones are filled: not from inside one, nor where many lie over one another."""
    return view.seat is None and (view.half_height is None or len(shot.speakers) <= MOST_FILLED)


def _heat(shot: Shot, plane: ListeningPlane) -> np.ndarray:
    return map_coverage(shot.scene, plane, shot.speakers).of_set.worst


def _shows(shot: Shot) -> str:
    if shot.plane is not None:
        if len(shot.speakers) == 1:
            return f"off-axis angle of {shot.speakers[0].name} at ear height, degrees; the line is its coverage limit"
        return f"worst off-axis angle among {counted(len(shot.speakers), 'speaker')} at ear height, degrees"
    if not shot.speakers:
        return "no speakers yet"
    limits = sorted({format_angle(speaker.coverage.limit) for speaker in shot.speakers})
    return f"cones to the coverage limit, {' and '.join(limits)} off axis (-6 dB)"


def _key_title(shot: Shot) -> str:
    if shot.plane is None:
        return "worst main seat:" if shot.scene.seats and shot.speakers else ""
    return "worst off-axis angle:" if len(shot.speakers) > 1 else "off-axis angle:"


def _key(shot: Shot) -> list[KeyRow]:
    return band_rows() if shot.plane is not None else cone_rows(shot.scene, shot.speakers)


def _nameless(scene: Scene, view: View, size: tuple[int, int], top: int) -> list[tuple[float, float]]:
    """Where the heads of reclined seats are, which stand beside a name already."""
    heads = [seat.ear for seat in scene.seats if seat.reclined_from is not None]
    return [(float(x), float(y) + top) for x, y in view.pixels(np.array(heads), size)] if heads else []


def _labels(shot: Shot, view: View, size: tuple[int, int], top: int) -> list[Label]:
    colors = cone_colors(shot.speakers)
    scene = shot.scene
    things = [(s.name, s.position, colors.get(s.name, palette.SOFT_INK)) for s in scene.speakers]
    seats = [seat for seat in upright_seats(scene.seats) if view.seat is None or seat.chair != view.seat.chair]
    things += [(seat.name, seat.ear, palette.FABRIC_MAIN if seat.main else palette.FABRIC) for seat in seats]
    if scene.screen and view.faces(scene.screen.wall.inward):
        things.append(("screen", scene.screen.center, palette.SCREEN))
    if not things:
        return []
    spots = view.pixels(np.array([place for _, place, _ in things]), size)
    return [
        Label(shortened(name, 28), float(x), float(y) + top, color)
        for (name, _, color), (x, y) in zip(things, spots, strict=True)
    ]
