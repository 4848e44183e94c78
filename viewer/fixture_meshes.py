"""Shapes of what sits on and hangs from the faces of the room, as meshes for drawing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pyvista as pv
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.fixture import FaceOpening, Fixture
from earshed.model.geometry import UP, Array
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.meshes import PROUD, facing, polygon_mesh
from earshed.viewer.slats import slats

BLADES = 4
BLADE_WIDTH = 0.14
"""Metres. Common practice, no source."""
SLAT_WIDTH = 0.008
"""Metres. Common practice, no source."""
RIM_WIDTH = 0.014
"""Metres of the rim of a grille. Common practice, no source."""
SMALL_DEPTH = {"detector": 0.04, "sprinkler": 0.03}
"""Metres by which each stands off its face. Common practice, no source."""

Part = tuple[pv.PolyData, str]


def shape_mesh(shape: FaceShape, surface: Surface, proud: float = PROUD) -> pv.PolyData:
    """A shape on a face, a little proud of it, turned into the room."""
    ring = surface.to_room(shapely.get_coordinates(shapely.orient_polygons(shape.outline))[:-1])
    return facing(polygon_mesh(ring, proud * surface.normal), surface.normal)


def ring_mesh(shape: FaceShape, surface: Surface, width: float, proud: float) -> pv.PolyData:
    """The edge of a shape on a face as a band of some width, inwards."""
    outer = shapely.get_coordinates(shapely.orient_polygons(shape.outline))
    middle = shapely.get_coordinates(shape.core.centroid)[0]
    reach = np.linalg.norm(outer - middle, axis=1, keepdims=True)
    inner = middle + (outer - middle) * (1 - np.minimum(width / reach, 1.0))
    points = surface.to_room(np.concatenate([outer, inner])) + proud * surface.normal
    count = len(outer)
    here = np.arange(count - 1)
    quads = np.column_stack([np.full(count - 1, 4), here, here + 1, here + 1 + count, here + count])
    return facing(pv.PolyData(points, faces=quads.ravel()), surface.normal)


def fixture_parts(fixture: Fixture) -> Iterator[Part]:
    """The meshes of a fixture, each with its color."""
    match fixture.kind:
        case "can light":
            yield shape_mesh(fixture.seen, fixture.surface), palette.LAMP
            yield from _edged(fixture.seen, fixture.surface)
        case "vent":
            yield shape_mesh(fixture.shape, fixture.surface), palette.PLASTIC
            yield from ((slat, palette.SOFT_INK) for slat in _slats(fixture))
            yield from _edged(fixture.shape, fixture.surface)
        case "detector" | "sprinkler":
            depth = SMALL_DEPTH[fixture.kind]
            middle = fixture.position + depth / 2 * fixture.normal
            yield _cylinder(middle, fixture.normal, fixture.shape.radius, depth), palette.PLASTIC
            yield ring_mesh(fixture.shape, fixture.surface, 0.012, depth + PROUD), palette.SOFT_INK
        case "fan":
            yield from _fan(fixture)
        case "pendant":
            yield from _pendant(fixture)


def opening_parts(opening: FaceOpening) -> Iterator[Part]:
    yield shape_mesh(opening.shape, opening.surface), palette.GLASS
    yield ring_mesh(opening.shape, opening.surface, 0.02, 2 * PROUD), palette.SOFT_INK


def _edged(shape: FaceShape, surface: Surface) -> Iterator[Part]:
    """A rim on either side, since one looks at a ceiling from above as well."""
    for proud in (0.0, 2 * PROUD):
        yield ring_mesh(shape, surface, 0.012, proud), palette.SOFT_INK


def _cylinder(center: Array, direction: Array, radius: float, height: float) -> pv.PolyData:
    return pv.Cylinder(center=center, direction=direction, radius=radius, height=height, resolution=48)


def _slats(fixture: Fixture) -> Iterator[pv.PolyData]:
    for line in slats(fixture):
        band = shapely.LineString(line).buffer(SLAT_WIDTH / 2, cap_style="flat").intersection(fixture.shape.outline)
        if isinstance(band, shapely.Polygon) and not band.is_empty:
            yield from (shape_mesh(FaceShape(band), fixture.surface, proud) for proud in (0.0, 2 * PROUD))


def _canopy(fixture: Fixture, depth: float) -> pv.PolyData:
    """A plumb canopy, as low as a slope asks so that it clears the ceiling all round."""
    radius = fixture.shape.radius
    top = fixture.position - radius * np.tan(fixture.surface.slope) * UP
    return _cylinder(top - depth / 2 * UP, UP, radius, depth)


def _fan(fixture: Fixture) -> Iterator[Part]:
    """A canopy, a rod, a motor and its blades."""
    assert fixture.hanging is not None
    hub = np.append(fixture.hanging.center, fixture.hanging.bottom)
    drop = float(fixture.position[2]) - hub[2]
    yield _cylinder(hub + UP * drop / 2, UP, 0.013, drop), palette.SOFT_INK
    yield _canopy(fixture, 0.06), palette.GRILLE
    motor = min(0.10, fixture.hanging.radius / 3)
    yield _cylinder(hub, UP, motor, 0.12), palette.GRILLE
    for turn in 2 * np.pi * np.arange(BLADES) / BLADES + np.pi / 8:
        reach = fixture.hanging.radius
        way = np.array([np.cos(turn), np.sin(turn), 0.0])
        blade = pv.Cube(
            center=hub + way * (motor + reach) / 2, x_length=reach - motor, y_length=BLADE_WIDTH, z_length=0.012
        )
        yield blade.rotate_z(np.degrees(turn), point=blade.center), palette.WOOD


def _pendant(fixture: Fixture) -> Iterator[Part]:
    """A canopy, a cord and a shade."""
    assert fixture.hanging is not None
    hanging = fixture.hanging
    cord = float(fixture.position[2]) - hanging.top
    foot = np.append(hanging.center, hanging.top)
    if cord > 0.01:
        yield _cylinder(foot + UP * cord / 2, UP, 0.006, cord), palette.INK
    yield _canopy(fixture, 0.03), palette.GRILLE
    tall = hanging.top - hanging.bottom
    yield _cylinder(foot - UP * tall / 2, UP, hanging.radius, tall), palette.LAMP
