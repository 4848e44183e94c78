"""What sits on and hangs from the ceiling, in plan: each kind at its true size, with a sign of its own."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from earshed.model.fixture import Fixture
from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.viewer import palette
from earshed.viewer.slats import slats

FACE_SHOWS = 0.5
"""Share of a normal that is up or down, from which what faces that way shows its face in plan."""
SIGNS = {
    "can light": "ring with a cross: a can light",
    "vent": "barred shape: a vent",
    "detector": "ring with a dot: a smoke detector",
    "sprinkler": "ring with a star: a sprinkler",
    "fan": "broken circle with blades: a fan",
    "pendant": "circle in a broken circle: a hanging light",
}


def draw_fixtures(axes: Axes, scene: Scene) -> None:
    """The fixtures and openings of the ceilings."""
    for fixture in scene.fixtures:
        if abs(fixture.normal[2]) > FACE_SHOWS:
            _draw(axes, fixture)
    for opening in scene.ceiling_openings:
        ring = opening.shape.edge_on(opening.surface)[:-1, :2]
        axes.add_patch(Polygon(ring, closed=True, fill=False, ec=palette.SOFT_INK, lw=1.0, zorder=6))
        for one, other in ((0, 2), (1, 3)):
            ends = ring[[one, other]]
            axes.plot(ends[:, 0], ends[:, 1], color=palette.SOFT_INK, lw=0.6, zorder=6)


def fixture_words(scene: Scene) -> dict[str, bool]:
    """What each sign means, and whether the scene has it."""
    kinds = {fixture.kind for fixture in scene.fixtures if abs(fixture.normal[2]) > FACE_SHOWS}
    words = {SIGNS[kind]: kind in kinds for kind in SIGNS}
    return {**words, "crossed-out shape: a hatch or a skylight": bool(scene.ceiling_openings)}


def _draw(axes: Axes, fixture: Fixture) -> None:
    ring = fixture.seen.edge_on(fixture.surface)[:, :2]
    axes.add_patch(Polygon(ring, closed=True, fc="none", ec=palette.SOFT_INK, lw=0.9, zorder=6))
    middle = fixture.position[:2]
    match fixture.kind:
        case "can light":
            _spokes(axes, middle, fixture.seen.radius, 2)
        case "sprinkler":
            _spokes(axes, middle, 1.6 * fixture.seen.radius, 3)
        case "detector":
            axes.add_patch(Circle(tuple(middle), fixture.seen.radius * 0.35, fc=palette.SOFT_INK, ec="none", zorder=6))
        case "vent":
            for line in slats(fixture):
                ends = fixture.surface.to_room(line)
                axes.plot(ends[:, 0], ends[:, 1], color=palette.SOFT_INK, lw=0.6, zorder=6)
        case "fan" | "pendant":
            _hanging(axes, fixture)


def _spokes(axes: Axes, middle: Array, radius: float, count: int) -> None:
    for turn in np.pi * np.arange(count) / count:
        way = radius * np.array([np.cos(turn), np.sin(turn)])
        ends = np.array([middle - way, middle + way])
        axes.plot(ends[:, 0], ends[:, 1], color=palette.SOFT_INK, lw=0.7, zorder=6)


def _hanging(axes: Axes, fixture: Fixture) -> None:
    assert fixture.hanging is not None
    middle, radius = fixture.hanging.center, fixture.hanging.radius
    edge = {"fill": False, "ec": palette.SOFT_INK, "lw": 0.9, "ls": (0, (4, 3)), "zorder": 6}
    axes.add_patch(Circle(tuple(middle), radius, **edge))
    if fixture.kind == "fan":
        _spokes(axes, middle, radius, 2)
