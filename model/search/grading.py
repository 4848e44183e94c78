"""How good a place is, over an area of a face: cells of a grid, joined by what is first amiss there."""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.search import Search
from earshed.model.search.spots import Spots, joined, judge
from earshed.model.surface import Surface

Grade = Literal["window", "partner", "blocked", "chopped", "outside", "fringe", "covered"]
GRADES: tuple[Grade, ...] = ("window", "partner", "blocked", "chopped", "outside", "fringe", "covered")
"""The first thing amiss at a place, in the order in which places are ranked: heard from outside its window, no mirror
image of its partner, a seat not seen or seen only past what hangs, and the verdict of the seat served worst."""
MOST_CELLS = 40_000
"""Cells of a grid over an area; more are made larger."""


def grades_of(spots: Spots) -> NDArray[np.intp]:
    """The grade of each place (N,), as an index of GRADES."""
    amiss = [
        spots.off > 0.0,
        spots.uneven,
        spots.blocked > 0,
        spots.chopped > 0,
        spots.verdict == 2,
        spots.verdict == 1,
    ]
    grades: NDArray[np.intp] = np.select(amiss, range(len(amiss)), len(amiss))
    return grades


def graded(search: Search, face: Surface, offer: int, area: BaseGeometry, step: float) -> dict[Grade, BaseGeometry]:
    """An area of a face, in its coordinates, in parts by grade."""
    cells, places = _cells(area, step)
    spots = joined(list(judge(search.ask, search.listener, face, face.to_room(places), _only(search, offer, places))))
    return _parts(cells, grades_of(spots), area)


def twin_grades(
    search: PairSearch, face: Surface, offer: int, area: BaseGeometry, step: float
) -> tuple[dict[Grade, BaseGeometry], BaseGeometry]:
    """An area in which partners can be cut, in parts by the grade of both, and that in which they meet each other."""
    one = search.searches[0]
    cells, places = _cells(area, step)
    places, of_cells = np.unique(places, axis=0, return_inverse=True)
    points = face.to_room(places)
    found = np.full(len(points), -1)
    at = {tuple(point): index for index, point in enumerate(points.tolist())}
    for part in judge(one.ask, one.listener, face, points, _only(one, offer, places)):
        for twins in search.twins_of(part):
            found[[at[tuple(point)] for point in twins.first.points.tolist()]] = grades_of(twins.both)
    grades = found[of_cells.ravel()]
    parts = _parts(cells, grades, area)
    met = shapely.coverage_union_all(cells[grades < 0]).intersection(area)
    return parts, met


def _only(search: Search, offer: int, places: Array) -> NDArray[np.bool_]:
    """Flags (N, O) that let one offer alone be judged at places (N, 2)."""
    return np.tile(np.arange(len(search.ask.offers)) == offer, (len(places), 1))


def _cells(area: BaseGeometry, step: float) -> tuple[NDArray[np.object_], Array]:
    """Squares (N,) of a grid that an area reaches into, and a place (N, 2) of the area in each: its middle, or where
    that is not in the area, the nearest that is."""
    if area.is_empty:
        return np.empty(0, dtype=object), np.zeros((0, 2))
    step = max(step, np.sqrt(area.area / MOST_CELLS))
    low_u, low_v, high_u, high_v = area.bounds
    u, v = (low + step * np.arange(int((high - low) / step) + 2) for low, high in ((low_u, high_u), (low_v, high_v)))
    left, below = (grid.ravel() for grid in np.meshgrid(u[:-1], v[:-1]))
    right, above = (grid.ravel() for grid in np.meshgrid(u[1:], v[1:]))
    cells = shapely.box(left, below, right, above)
    shapely.prepare(area)
    cells = cells[shapely.intersects(area, cells)]
    middles = shapely.centroid(cells)
    apart = ~shapely.intersects(area, middles)
    middles[apart] = shapely.get_point(shapely.shortest_line(area, middles[apart]), 0)
    return cells, shapely.get_coordinates(middles)


def _parts(cells: NDArray[np.object_], grades: NDArray[np.intp], area: BaseGeometry) -> dict[Grade, BaseGeometry]:
    return {
        grade: shapely.coverage_union_all(cells[grades == number]).intersection(area)
        for number, grade in enumerate(GRADES)
        if np.any(grades == number)
    }
