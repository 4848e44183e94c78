"""Plans of holes: which stay, which are new, which are patched, and where one goes if something is in the way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from PIL import Image

from earshed.model.compare.compare import BeforeAfter
from earshed.model.compare.holes import HoleChange, HoleWork, Opened
from earshed.model.compare.maps import common_bounds
from earshed.model.geometry import Array
from earshed.model.search.place import Place
from earshed.model.seating import upright_seats
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.compare.plan_views import blank_plan, image_of
from earshed.viewer.compare.views import Key, Swatch
from earshed.viewer.plan_drawing import HALO, draw_room, draw_seat_below, plan_outline, seat_labels
from earshed.viewer.wording import shortened

NEW = palette.INK
COLORS = {"new": NEW, "kept": palette.PAPER, "gone": "#e9d2b4"}
DRAWN: Mapping[HoleWork, tuple[str, ...]] = {
    "stays": ("kept",), "widen": ("new", "kept"), "shrink": ("gone", "new"), "recut": ("gone", "new"), "cut": ("new",),
    "patch": ("gone",), "open": ("gone",),
}  # fmt: skip
"""What is drawn of a hole, by what is done to it."""
ARROW = {
    "arrowstyle": "-|>,head_length=0.5,head_width=0.25",
    "color": palette.INK,
    "lw": 1.4,
    "shrinkA": 0,
    "shrinkB": 0,
}
LEAST = 0.11
"""Metres to which a hole in a wall is drawn across the wall, which in plan has no width."""
Told = tuple[str, str, str]
PLANNED: Told = ("new hole, or one cut wider", "stays as it is", "old hole, patched")
ALONE: Told = ("", "hole for a speaker", "")
BUILT: Told = ("cut elsewhere than designed", "cut as designed", "designed here, not cut")
"""What is said of holes that are new, that stay and that are gone, of a plan, of one with nothing before, and of
a room as built."""
PLACES = (Swatch(NEW, "first choice"), Swatch(palette.LAMP, "second choice"))


def hole_plan(change: BeforeAfter, told: Told = PLANNED) -> tuple[Image.Image, Key]:
    """Every hole of two scenes on the plan, and the key."""
    figure, axes = _plan(change)
    for hole in change.holes:
        for kind in DRAWN[hole.work]:
            if (drawn := _drawn(hole, kind)) is not None:
                _hole(axes, drawn, kind)
    kinds = {kind for hole in change.holes for kind in DRAWN[hole.work]}
    swatches = [
        Swatch(color, words, struck=kind == "gone")
        for (kind, color), words in zip(COLORS.items(), told, strict=True)
        if kind in kinds
    ]
    return image_of(figure), Key("holes:", tuple(swatches))


def second_plan(
    change: BeforeAfter, firsts: Sequence[Speaker], seconds: Mapping[str, Place]
) -> tuple[Image.Image, Key]:
    """Where holes are planned, and where they go if something is in the way."""
    figure, axes = _plan(change)
    for first in firsts:
        place = seconds.get(first.name)
        if place is None:
            continue
        axes.annotate(
            "", xy=tuple(place.speaker.position[:2]), xytext=tuple(first.position[:2]), arrowprops=ARROW, zorder=14
        )
        for speaker, color in ((first, NEW), (place.speaker, palette.LAMP)):
            corners = _with_width(plan_outline(speaker, speaker.hole))
            axes.add_patch(Polygon(corners, closed=True, fc=color, ec=palette.INK, lw=1.4, zorder=13))
    return image_of(figure), Key("holes:", PLACES)


def _plan(change: BeforeAfter) -> tuple[Figure, Axes]:
    scene = change.after
    figure, axes = blank_plan(common_bounds(change.before, scene), scene.print_units)
    draw_room(axes, scene)
    for seat in upright_seats(scene.seats):
        draw_seat_below(axes, seat, scene.ahead, None)
    seat_labels(axes, scene.seats, {})
    return figure, axes


def _drawn(hole: HoleChange, kind: str) -> Opened | None:
    return hole.after if kind == "new" else hole.before if kind == "gone" else hole.before or hole.after


def _hole(axes: Axes, hole: Opened, kind: str) -> None:
    corners = _with_width(hole.shape.edge_on(hole.surface)[:, :2])
    hatch = {"gone": "////"}.get(kind, "")
    axes.add_patch(Polygon(corners, closed=True, fc=COLORS[kind], ec=palette.INK, lw=1.6, hatch=hatch, zorder=12))
    if kind != "gone":
        x = corners[:, 0].mean()
        low = corners[:, 1].min()
        axes.annotate(shortened(hole.name, 24), (x, low), (0, -4), textcoords="offset points", ha="center", va="top",
                      fontsize=8.5, color=palette.INK, path_effects=HALO, zorder=14)  # fmt: skip


def _with_width(corners: Array) -> Array:
    """Plan corners (N, 2) of a hole; of one in a wall, as wide as shows."""
    spread = np.ptp(corners, axis=0)
    if spread.min() >= LEAST / 2:
        return corners
    middle, half = (corners.min(axis=0) + corners.max(axis=0)) / 2, np.maximum(spread, LEAST) / 2
    box: Array = middle + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return box


def holes_named(holes: Sequence[HoleChange], *work: HoleWork) -> Iterator[str]:
    """The holes to which some work is done, by name."""
    for hole in holes:
        one = hole.after or hole.before
        if hole.work in work and one is not None:
            yield one.name
