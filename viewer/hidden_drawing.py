"""What is behind the board, on a plan or a wall: framing, what a scan found, holes of a former owner."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.colors import to_rgba
from matplotlib.patches import Polygon

from earshed.model.face_shape import FaceShape
from earshed.model.framing import Framing, Member, member_parts, members_on
from earshed.model.geometry import Array
from earshed.model.hidden import HiddenKind
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.hatching import KIND_WORDS, OLD_HOLE_WORDS, hatch_lines

Look = Literal["counted", "found", "strapping", "grid", "keep-out", "old hole"]
Flat = Callable[[Array], Array]
"""Points (..., 3) as they lie on the axes (..., 2)."""
Shows = Callable[[Surface], bool]
"""Whether the axes show a face."""
Sign = tuple[Look, HiddenKind | None, str]
"""How something looks, with what pattern, and what that means."""

_STYLES: dict[Look, dict[str, object]] = {
    "counted": {"fc": to_rgba(palette.INK, 0.07), "ec": "none"},
    "found": {"fc": to_rgba(palette.INK, 0.16), "ec": palette.SOFT_INK, "lw": 0.8},
    "strapping": {"fc": to_rgba(palette.INK, 0.03), "ec": palette.SOFT_INK, "lw": 0.7, "ls": (0, (1, 1.6))},
    "grid": {"fc": to_rgba(palette.INK, 0.07), "ec": "none"},
    "keep-out": {"fc": to_rgba(palette.PAPER, 0.55), "ec": palette.INK, "lw": 0.9},
    "old hole": {"fc": "none", "ec": palette.INK, "lw": 1.3, "ls": (0, (3, 2))},
}
_LOOK_WORDS: dict[Look, str] = {
    "counted": "framing, counted",
    "found": "member found",
    "strapping": "strapping",
    "grid": "grid of tiles",
    "old hole": OLD_HOLE_WORDS,
}
SWATCH = (0.27, 0.10)
"""Metres across and up that a swatch of the legend shows."""
_PLAIN_SWATCH = ((0.005, 0.005), (0.265, 0.005), (0.265, 0.095), (0.005, 0.095))
_BAND_SWATCH = ((0.005, 0.03), (0.265, 0.03), (0.265, 0.07), (0.005, 0.07))
_TEE_SWATCHES = (
    ((0.005, 0.045), (0.265, 0.045), (0.265, 0.055), (0.005, 0.055)),
    ((0.13, 0.005), (0.14, 0.005), (0.14, 0.095), (0.13, 0.095)),
)
_HOLE_SWATCH = ((0.06, 0.01), (0.21, 0.01), (0.21, 0.09), (0.06, 0.09))


def in_plan(points: Array) -> Array:
    """Points (..., 3) from above (..., 2)."""
    return points[..., :2]


def overhead(surface: Surface) -> bool:
    """Whether the plan shows a face's back."""
    return surface.kind in ("ceiling", "soffit")


def draw_framing(axes: Axes, scene: Scene, flat: Flat = in_plan, shows: Shows = overhead) -> None:
    """Members behind the faces shown, at their true width: faint where counted, with a firm edge where found."""
    for framing, surface in framing_on(scene, shows):
        for member, corners in member_parts(framing, surface):
            _draw(axes, flat(corners), member_look(framing, member), zorder=2)


def member_look(framing: Framing, member: Member) -> Look:
    """One that was found looks so, whatever run it is of."""
    if framing.is_grid:
        return "grid"
    if member.mark.found:
        return "found"
    return "counted" if framing.under is None else "strapping"


def draw_hidden(axes: Axes, scene: Scene, flat: Flat = in_plan, shows: Shows = overhead) -> None:
    """What a scan or a test hole found behind the faces that are shown, each kind with its pattern; and holes that are
    there."""
    for found in scene.keep_outs:
        if shows(found.surface):
            strokes = [flat(found.surface.to_room(line)) for line in hatch_lines(found.kind, found.shape)]
            _draw(axes, flat(found.shape.edge_on(found.surface)), "keep-out", zorder=5.5, strokes=strokes)
    for hole in scene.existing_holes:
        if shows(hole.surface):
            _draw(axes, flat(hole.shape.edge_on(hole.surface)), "old hole", zorder=11)


def hidden_signs(scene: Scene, shows: Shows = overhead) -> list[Sign]:
    """The signs of this file that the faces shown of a scene have, for a legend."""
    members = [(framing, one) for framing, face in framing_on(scene, shows) for one in members_on(framing, face)]
    looks = {member_look(framing, one) for framing, one in members}
    looks |= {"old hole"} if any(shows(hole.surface) for hole in scene.existing_holes) else set()
    kinds = {found.kind for found in scene.keep_outs if shows(found.surface)}
    signs: list[Sign] = [(look, None, words) for look, words in _LOOK_WORDS.items() if look in looks]
    return signs + [("keep-out", kind, words) for kind, words in KIND_WORDS.items() if kind in kinds]


def draw_sign(axes: Axes, sign: Sign) -> None:
    """A sign as a swatch, on axes of the size of SWATCH; bands on a color of the map, on which they show."""
    look, kind, _ = sign
    if look in ("keep-out", "old hole"):
        corners = _PLAIN_SWATCH if kind else _HOLE_SWATCH
        strokes = hatch_lines(kind, FaceShape(shapely.Polygon(corners))) if kind else []
        _draw(axes, np.array(corners), look, zorder=2, strokes=strokes)
        return
    axes.add_patch(Polygon(_PLAIN_SWATCH, closed=True, fc=palette.OFF_AXIS_COLORS[2], ec="none", zorder=1))
    for corners in _TEE_SWATCHES if look == "grid" else (_BAND_SWATCH,):
        _draw(axes, np.array(corners), look, zorder=2)


def _draw(axes: Axes, ring: Array, look: Look, *, zorder: float, strokes: Sequence[Array] = ()) -> None:
    """A shape (N, 2) in plan, and the strokes of its pattern."""
    axes.add_patch(Polygon(ring, closed=True, zorder=zorder, **_STYLES[look]))
    if strokes:
        axes.add_collection(LineCollection(strokes, colors=palette.INK, linewidths=0.7, zorder=zorder))


def framing_on(scene: Scene, shows: Shows) -> Iterator[tuple[Framing, Surface]]:
    """Each run of framing with each face it is behind, as far as that is shown."""
    for framing in scene.framing:
        for surface in framing.surfaces:
            if shows(surface):
                yield framing, surface
