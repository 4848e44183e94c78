"""Positions on a page of places: those found at their true size, each with a word, and where the speaker is today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke

from earshed.model.geometry import Array
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.face_views import FaceView
from earshed.viewer.plan_drawing import ARROW_FROM, HALO, SEAT_SIZE, arrow_length, draw_arrow
from earshed.viewer.wording import shortened

OVER_WORDS = 20.5
"""Above the names of seats, below the words at positions."""
TODAY = "today"
TODAY_DASHES = (0, (3, 2))
RIM_HALO = [withStroke(linewidth=3.0, foreground="white")]
WAYS_ROUND = np.radians([90, 270, 0, 180, 45, 135, 225, 315])
OUTWARDS = (0.02, 0.14, 0.3, 0.5)
"""Ways from the middle of a position, and metres out from its rim, in which its word is tried, best liked first."""
ROOM_ROUND = 0.07
"""Metres from a word to all else that is marked, which are enough."""
SEAM = 0.005
"""Metres by which faces are grown so that they join."""
SEAT_POINTS = ((0, 0), (-0.5, 0), (0.5, 0), (0, 0.5), (-0.4, -0.75), (0, -0.75), (0.4, -0.75))
"""Points of a seat and of its name, in sizes of a seat."""
LINE_POINTS, CHARACTER_POINTS = 11.0, 6.3
"""Height of a line and width of a character of a word, in points."""


@dataclass(frozen=True, eq=False)
class Mark:
    """A speaker to be drawn, the word beside it, and whether it is a best choice or another one."""

    speaker: Speaker
    word: str
    strong: bool


def draw_places(
    view: FaceView,
    marks: Sequence[Mark],
    today: Sequence[Speaker],
    others: Sequence[Speaker],
    seats: Sequence[Seat],
) -> None:
    """Positions found, over those of today and of speakers that stay, each with its word where nothing else stands."""
    shown = [mark for mark in marks if view.shows(mark.speaker.surface)]
    for speaker in others:
        if view.shows(speaker.surface):
            _draw_hole(view, speaker, palette.SOFT_INK, 1.0)
    for mark in sorted(shown, key=lambda mark: mark.strong):
        color, weight = (palette.INK, 2.2) if mark.strong else (palette.SOFT_INK, 1.2)
        start = _draw_hole(view, mark.speaker, color, weight, over=OVER_WORDS if mark.strong else 12.0)
        draw_arrow(view.axes, view.flat(mark.speaker.position), view.flat(mark.speaker.axis), start, color, weight)
    here = [speaker for speaker in today if view.shows(speaker.surface)]
    for speaker in here:
        _draw_today(view, speaker)
    words = [(mark.speaker, mark.word, mark.strong) for mark in shown]
    words += [(speaker, TODAY, False) for speaker in here if not _found_again(speaker, shown)]
    _place_words(view, words, seats)


def _draw_hole(view: FaceView, speaker: Speaker, color: str, weight: float, over: float = 12.0) -> float:
    """A rim and its hole at their true size, `over` what lies lower; gives how far it reaches on the axes, metres."""
    face, rim, hole = speaker.surface, speaker.rim, speaker.hole
    assert face is not None
    assert rim is not None
    ring = view.outline(face, rim)
    view.axes.add_patch(Polygon(ring, closed=True, fill=False, ec=color, lw=weight, zorder=over, path_effects=RIM_HALO))
    if speaker.type.cutout and hole is not None:
        edge = view.outline(face, hole)
        view.axes.add_patch(
            Polygon(edge, closed=True, fill=False, ec=color, lw=0.8, ls=TODAY_DASHES, zorder=over + 0.1)
        )
    middle = view.flat(speaker.position)
    view.axes.plot(*middle, marker="o", ms=2.2, color=color, zorder=13)
    return float(np.linalg.norm(ring - middle, axis=1).max())


def _draw_today(view: FaceView, speaker: Speaker) -> None:
    assert speaker.surface is not None
    assert speaker.rim is not None
    ring = view.outline(speaker.surface, speaker.rim)
    view.axes.add_patch(Polygon(ring, closed=True, fill=False, ec=palette.LIMIT, lw=1.6, ls=TODAY_DASHES, zorder=14,
                                path_effects=RIM_HALO))  # fmt: skip


def _found_again(speaker: Speaker, marks: Sequence[Mark]) -> bool:
    """Whether a position of today is so near one that was found that their words would be one on the other."""
    assert speaker.rim is not None
    near = speaker.rim.reach(np.array([1.0, 0.0])) / 2
    return any(float(np.linalg.norm(mark.speaker.position - speaker.position)) < near for mark in marks)


def _place_words(view: FaceView, words: Sequence[tuple[Speaker, str, bool]], seats: Sequence[Seat]) -> None:
    """Each word beside its position, nearer to that than to any other, where nothing else is marked or little is."""
    points = _per_point(view.axes)
    within = shapely.union_all([view.area(face, face.outline).buffer(SEAM) for face in view.faces])
    taken = [point for speaker, word, _ in words for point in _arrow_points(view, speaker, drawn=word != TODAY)]
    middles = [view.flat(speaker.position) for speaker, _, _ in words]
    if view.faces[0].kind != "wall":
        taken += [seat.ear[:2] + SEAT_SIZE * np.array(off) for seat in seats for off in SEAT_POINTS]
    for speaker, word, strong in words:
        size = 10.0 if strong else 9.0
        word = shortened(word, 26)
        half = np.array([len(word) * CHARACTER_POINTS * size / 10, LINE_POINTS]) / 2 * points
        spots = [_beside(view, speaker, way, out, half) for out in OUTWARDS for way in WAYS_ROUND]
        spots = [spot for spot in spots if within.contains(shapely.box(*(spot - half), *(spot + half)))] or spots
        mine = view.flat(speaker.position)
        spots = [
            one for one in spots if all(_gap(one, half, mine) <= _gap(one, half, other) for other in middles)
        ] or spots
        rooms = [min((_gap(spot, half, other) for other in taken), default=1.0) for spot in spots]
        best = next((i for i, room in enumerate(rooms) if room > ROOM_ROUND), int(np.argmax(rooms)))
        x, y = spots[best]
        taken += [spots[best] + np.array([dx, 0.0]) * half for dx in (-1, -0.5, 0, 0.5, 1)]
        _lead(view, speaker, spots[best], half)
        view.axes.text(x, y, word, ha="center", va="center", fontsize=size, fontweight="bold" if strong else "normal",
                       color=palette.LIMIT if word == TODAY else palette.INK, path_effects=HALO, zorder=21,
                       parse_math=False)  # fmt: skip


def _arrow_points(view: FaceView, speaker: Speaker, *, drawn: bool) -> list[Array]:
    """The middle of a position, and where its arrow is `drawn`, points (2,) along that."""
    middle, way = view.flat(speaker.position), view.flat(speaker.axis)
    length = float(np.hypot(*way))
    if not drawn or length <= ARROW_FROM:
        return [middle]
    assert speaker.surface is not None
    assert speaker.rim is not None
    reach = float(np.linalg.norm(view.outline(speaker.surface, speaker.rim) - middle, axis=1).max())
    return [middle + share * arrow_length(reach, length) * way / length for share in (0.0, 0.3, 0.5, 0.7, 0.85, 1.0)]


def _lead(view: FaceView, speaker: Speaker, spot: Array, half: Array) -> None:
    """A thin line to a position from a word that does not stand close to it."""
    assert speaker.surface is not None
    assert speaker.rim is not None
    ring = shapely.Polygon(view.outline(speaker.surface, speaker.rim))
    word = shapely.box(*(spot - half), *(spot + half))
    ends = shapely.get_coordinates(shapely.shortest_line(ring, word))
    if len(ends) and np.linalg.norm(ends[1] - ends[0]) > OUTWARDS[0] + SEAM:
        view.axes.plot(*ends.T, color=palette.SOFT_INK, lw=0.7, zorder=20, path_effects=RIM_HALO)


def _beside(view: FaceView, speaker: Speaker, way: float, away: float, half: Array) -> Array:
    """The middle (2,) of a word of that half size, `away` metres beside a position's rim."""
    assert speaker.surface is not None
    assert speaker.rim is not None
    middle = view.flat(speaker.position)
    out = np.array([np.cos(way), np.sin(way)])
    reach = float(((view.outline(speaker.surface, speaker.rim) - middle) @ out).max())
    spot: Array = middle + out * (reach + away + float(np.abs(out) @ half))
    return spot


def _gap(spot: Array, half: Array, other: Array) -> float:
    """Metres between a word's box and a point."""
    return float(np.hypot(*np.maximum(np.abs(other - spot) - half, 0.0)))


def _per_point(axes: Axes) -> float:
    """Metres of the axes in a point of type."""
    (x0, _), (x1, _) = axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])
    figure = axes.figure
    assert figure is not None
    return float(figure.dpi / 72 / (x1 - x0))
