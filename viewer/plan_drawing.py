"""The room in plan, as seen from above with the screen at the top: walls, creases, fixtures, seats, speakers.

Draws on a matplotlib axes whose units are metres of the model's x and y.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Circle, PathPatch, Polygon, Wedge
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array, unit
from earshed.model.pairs import Pair
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.seating import Seat, upright_seats
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.fixture_drawing import FACE_SHOWS, draw_fixtures
from earshed.viewer.palette import Mark
from earshed.viewer.wording import shortened

SEAT_SIZE = 0.56
"""Metres across a seat as drawn. Common practice, no source."""
RECLINED_MARK = 0.075
"""Metres: radius of the mark of a reclined seat as drawn."""
HALO = [withStroke(linewidth=3.2, foreground="white")]
LineStyle = str | tuple[int, tuple[int, ...]]
CREASE_DASHES = (0, (8, 3, 2, 3))
IN_WALL_SHOWN = 0.07
"""Metres of a wall's thickness over which an in-wall speaker is drawn."""
ARROW_FROM = 0.02
"""Share of an axis that lies flat, from which it has an arrow."""
CHARACTER_PIXELS = 6.4
"""Width of a character of a seat's name, about, at 100 dots to the inch."""


def draw_room(axes: Axes, scene: Scene, *, boxes: str = palette.PANEL) -> None:
    """Walls, creases, boxes, risers, openings, the picture and lights; `boxes` is what boxes on the floor are filled
    with."""
    room = scene.room
    _draw_blocks(axes, room, boxes)
    for crease in room.creases:
        axes.plot(crease[:, 0], crease[:, 1], color=palette.SOFT_INK, lw=1.0, ls=CREASE_DASHES, zorder=4)
    axes.add_patch(
        Polygon(room.plan.outer_corners, closed=True, fill=False, ec=palette.INK, lw=3.2, joinstyle="miter", zorder=8)
    )
    for opening in scene.openings:
        ends = np.array([opening.point(opening.start, 0.0), opening.point(opening.end, 0.0)])
        axes.plot(ends[:, 0], ends[:, 1], color=palette.PAPER, lw=2.2, solid_capstyle="butt", zorder=9)
    if scene.screen:
        ends = np.array([scene.screen.point(scene.screen.start, 0.0), scene.screen.point(scene.screen.end, 0.0)])
        inward = scene.screen.wall.inward * 0.05
        axes.plot(
            ends[:, 0] + inward[0], ends[:, 1] + inward[1], color=palette.SCREEN, lw=5, solid_capstyle="butt", zorder=10
        )
    draw_fixtures(axes, scene)


def _draw_blocks(axes: Axes, room: Room, standing: str) -> None:
    hanging = {soffit.name for soffit in room.soffits}
    for riser in room.risers:
        axes.add_patch(Polygon(riser.corners, closed=True, fill=False, ec=palette.SOFT_INK, lw=1.2, zorder=5))
    apart = {box.footprint.wkb: box for box in room.boxes}  # a beam may follow two slopes over one footprint
    for box in apart.values():
        shape = box.footprint.intersection(room.plan.polygon)
        dashes = (0, (5, 3)) if box.name in hanging else "-"
        for part in shapely.get_parts(shape):
            if isinstance(part, shapely.Polygon):
                fill = "none" if box.name in hanging else standing
                corners = np.array(part.exterior.coords)
                axes.add_patch(Polygon(corners, closed=True, fc=fill, ec=palette.SOFT_INK, lw=1.1, ls=dashes, zorder=5))


def draw_polygon(axes: Axes, shape: shapely.geometry.base.BaseGeometry, **style: object) -> None:
    """The outline of a plan area, holes and all."""
    for part in shapely.get_parts(shape):
        if isinstance(part, shapely.Polygon) and not part.is_empty:
            rings = [np.array(ring.coords) for ring in (part.exterior, *part.interiors)]
            path = Path.make_compound_path(*(Path(ring, closed=True) for ring in rings))
            axes.add_patch(PathPatch(path, **style))


def draw_speaker(axes: Axes, speaker: Speaker, *, strong: bool) -> None:
    """A speaker at its true size, with an arrow the way its axis goes in plan."""
    x, y = speaker.position[:2]
    color, weight = (palette.INK, 2.0) if strong else (palette.SOFT_INK, 1.0)
    if abs(speaker.normal[2]) > FACE_SHOWS:
        rim, hole = plan_outline(speaker, speaker.rim), plan_outline(speaker, speaker.hole)
        axes.add_patch(Polygon(rim, closed=True, fc="white", ec=color, lw=weight, zorder=12))
        if speaker.type.cutout:
            axes.add_patch(Polygon(hole, closed=True, fc="none", ec=color, lw=0.7, ls=(0, (3, 2)), zorder=12))
        axes.plot([x], [y], marker="o", ms=2.2, color=color, zorder=13)
    else:
        axes.add_patch(Polygon(_cabinet(speaker), closed=True, fc="white", ec=color, lw=weight, zorder=12))
    draw_axis(axes, speaker, color, weight)


def draw_axis(axes: Axes, speaker: Speaker, color: str, weight: float, dashes: LineStyle = "-") -> None:
    """An arrow the way a speaker's axis goes in plan; none where it goes straight down, or has no direction."""
    if speaker.has_verdict:
        draw_arrow(axes, speaker.position[:2], speaker.axis[:2], _arrow_start(speaker), color, weight, dashes)


def draw_arrow(
    axes: Axes, at: Array, way: Array, start: float, color: str, weight: float, dashes: LineStyle = "-"
) -> None:
    """An arrow from a point (2,) past `start` metres the way (2,) that a unit axis goes, as long as it lies flat."""
    length = float(np.hypot(*way))
    if length > ARROW_FROM:
        tip = at + way / length * arrow_length(start, length)
        head = "-|>,head_length=0.5,head_width=0.25"
        style = {"arrowstyle": head, "color": color, "lw": weight, "ls": dashes, "shrinkA": 0, "shrinkB": 0}
        axes.annotate("", xy=tuple(tip), xytext=tuple(at), arrowprops=style, zorder=13)


def arrow_length(start: float, length: float) -> float:
    """Metres from the middle of a speaker that reaches `start` to the tip of the arrow of an axis, of which `length`
    lies flat."""
    return start + 0.12 + 0.5 * length


def arrow_tip(speaker: Speaker) -> Array | None:
    """Where the arrow of a speaker's axis ends in plan (2,); None where it has none."""
    way = speaker.axis[:2]
    length = float(np.hypot(*way))
    if length <= ARROW_FROM or not speaker.has_verdict:
        return None
    tip: Array = speaker.position[:2] + way / length * arrow_length(_arrow_start(speaker), length)
    return tip


def _arrow_start(speaker: Speaker) -> float:
    """Metres from the middle of a speaker past which its arrow counts."""
    return _half_across(speaker) if abs(speaker.normal[2]) > FACE_SHOWS else 0.0


def plan_shape(speaker: Speaker) -> Array:
    """Plan corners (N, 2) of a speaker as it is drawn."""
    return plan_outline(speaker, speaker.rim) if abs(speaker.normal[2]) > FACE_SHOWS else _cabinet(speaker)


def _cabinet(speaker: Speaker) -> Array:
    """Plan corners (4, 2) of a speaker whose baffle stands upright."""
    depth = IN_WALL_SHOWN if speaker.surface is not None else speaker.type.size.depth
    ahead = unit(speaker.normal[:2])
    aside = np.array([-ahead[1], ahead[0]]) * _half_across(speaker)
    corners: Array = speaker.position[:2] + np.array([aside, aside - ahead * depth, -aside - ahead * depth, -aside])
    return corners


def plan_outline(speaker: Speaker, shape: FaceShape | None) -> Array:
    """Plan corners (N, 2) of a shape on a speaker's face; of a cabinet, its top."""
    if speaker.surface is not None and shape is not None:
        return shape.edge_on(speaker.surface)[:, :2]
    circle = shapely.Point(speaker.position[:2]).buffer(speaker.type.size.width / 2)
    return shapely.get_coordinates(circle)


def _half_across(speaker: Speaker) -> float:
    """Half of what shows of a speaker in plan, across where it faces, metres."""
    if speaker.surface is None or speaker.rim is None:
        return speaker.type.size.width / 2
    return speaker.rim.reach(np.array([1.0, 0.0]))


def draw_seat(axes: Axes, seat: Seat, ahead: Array, mark: Mark | None) -> None:
    """A seat with its back away from the picture, and at the ears the mark of its verdict; reclined, a smaller mark."""
    x, y = seat.ear[:2]
    if seat.reclined_from is not None:
        disc = Circle((x, y), RECLINED_MARK * 1.35, fc="white", ec=palette.SOFT_INK, lw=0.6, zorder=13)
        axes.add_patch(disc)
        draw_mark(axes, x, y, RECLINED_MARK, mark)
        return
    half = SEAT_SIZE / 2
    turn = np.array([[ahead[1], ahead[0]], [-ahead[0], ahead[1]]])
    back = np.array([[-half, -half], [half, -half], [half, -half * 0.55], [-half, -half * 0.55]]) @ turn.T + (x, y)
    frame = seat_frame(seat, ahead)
    weight = 1.6 if seat.main else 0.9
    axes.add_patch(Polygon(frame, closed=True, fc="#ffffffb0", ec=palette.INK, lw=weight, joinstyle="round", zorder=10))
    axes.add_patch(Polygon(back, closed=True, fc=palette.INK, ec=palette.INK, lw=weight, alpha=0.75, zorder=10))
    draw_mark(axes, x, y, 0.13, mark)


def draw_seat_below(axes: Axes, seat: Seat, ahead: Array, mark: Mark | None) -> None:
    """A seat on a plan of the ceiling: its outline broken, and its mark; reclined, a smaller mark."""
    x, y = seat.ear[:2]
    if seat.reclined_from is None:
        weight = 1.4 if seat.main else 0.9
        frame = Polygon(seat_frame(seat, ahead), closed=True, fill=False, ec=palette.INK, lw=weight, ls=(0, (4, 3)))
        frame.set(zorder=10, joinstyle="round")
        axes.add_patch(frame)
    draw_mark(axes, x, y, 0.1 if seat.reclined_from is None else RECLINED_MARK, mark)


def seat_frame(seat: Seat, ahead: Array) -> Array:
    """Corners (4, 2) of a seat as drawn, its back first."""
    half = SEAT_SIZE / 2
    turn = np.array([[ahead[1], ahead[0]], [-ahead[0], ahead[1]]])
    frame: Array = np.array([[-half, -half], [half, -half], [half, half], [-half, half]]) @ turn.T + seat.ear[:2]
    return frame


def worst_marks(pairs: Iterable[Pair]) -> dict[str, Mark]:
    """The worst mark of each seat, by its name, among some pairs; to be outside is worse than to be blocked."""
    order: list[Mark] = ["covered", "fringe", "blocked", "outside"]
    marks: dict[str, Mark] = {}
    for pair in pairs:
        marks[pair.seat.name] = max(mark_of(pair), marks.get(pair.seat.name, "covered"), key=order.index)
    return marks


def mark_of(pair: Pair) -> Mark:
    """What a seat gets from a speaker: its verdict, or that something stands in the way."""
    return pair.verdict if pair.visible else "blocked"


def draw_mark(axes: Axes, x: float, y: float, radius: float, mark: Mark | None) -> None:
    """Full disc: covered; half disc: fringe; cross: outside; ring with a bar: blocked; ring: not asked."""
    ink = palette.MARK_INK[mark] if mark else palette.SOFT_INK
    if mark == "outside":
        for dx, dy in ((1, 1), (1, -1)):
            axes.plot([x - dx * radius * 0.8, x + dx * radius * 0.8], [y - dy * radius * 0.8, y + dy * radius * 0.8],
                      color=ink, lw=2.6, solid_capstyle="round", zorder=15)  # fmt: skip
        return
    axes.add_patch(Circle((x, y), radius, fc="white", ec=ink, lw=1.6, zorder=14))
    if mark == "covered":
        axes.add_patch(Circle((x, y), radius * 0.62, fc=ink, ec="none", zorder=15))
    elif mark == "fringe":
        axes.add_patch(Wedge((x, y), radius * 0.72, 90, 270, fc=ink, ec="none", zorder=15))
    elif mark == "blocked":
        bar = [x - radius * 0.62, x + radius * 0.62]
        axes.plot(bar, [y, y], color=ink, lw=3.0, solid_capstyle="butt", zorder=15)


def seat_labels(axes: Axes, seats: Sequence[Seat], words: Mapping[str, str]) -> None:
    """Each seat's name below it, a word a line where seats stand close, then a line of words about it."""
    figure = axes.get_figure(root=True)
    dots = figure.dpi if figure is not None else 100
    scale = float(np.hypot(*(axes.transData.transform((1.0, 0.0)) - axes.transData.transform((0.0, 0.0)))))
    upright = upright_seats(seats)
    gaps = [abs(a.ear[0] - b.ear[0]) for a, b in combinations(upright, 2) if abs(a.ear[1] - b.ear[1]) < SEAT_SIZE]
    room = min(gaps, default=10.0) * scale / (CHARACTER_PIXELS * dots / 100)
    marks = {seat.chair: seat.ear[1] - RECLINED_MARK * 1.35 for seat in seats if seat.reclined_from is not None}
    for seat in upright:
        lines = [seat.name] if len(seat.name) <= room else seat.name.split()
        lines = [*(shortened(line, 18) for line in lines[:3]), words.get(seat.name, "")]
        y = min(seat.ear[1] - SEAT_SIZE / 2, marks.get(seat.name, np.inf)) - 4 / scale
        axes.text(seat.ear[0], y, "\n".join(filter(None, lines)), ha="center", va="top", fontsize=8.0, linespacing=1.2,
                  color=palette.INK, path_effects=HALO, zorder=20, parse_math=False)  # fmt: skip
