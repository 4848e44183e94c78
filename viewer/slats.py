"""The slats of a vent, as every picture of it shows them."""

from __future__ import annotations

import numpy as np
import shapely

from earshed.model.fixture import Fixture
from earshed.model.geometry import Array

SLATS = 4


def slats(fixture: Fixture) -> list[Array]:
    """Lines (2, 2) along the longer side of a vent, evenly apart within its shape; in its face's coordinates."""
    x0, y0, x1, y1 = fixture.shape.outline.bounds
    flat = x1 - x0 >= y1 - y0
    low, high = (y0, y1) if flat else (x0, x1)
    lines = [
        shapely.LineString([(x0, at), (x1, at)] if flat else [(at, y0), (at, y1)])
        for at in np.linspace(low, high, SLATS + 2)[1:-1]
    ]
    return [shapely.get_coordinates(line.intersection(fixture.shape.outline)) for line in lines]
