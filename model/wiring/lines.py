"""The lines on each panel along which a cable may run: through its ends, the bays, and past what is in the way.

A shortest way along two square directions past rectangles keeps to lines through its ends and their corners (M. Hanan,
1966); here they are carried over every edge that two panels share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.geometry import Array
from earshed.model.units import INCH
from earshed.model.wiring.joints import Joint
from earshed.model.wiring.panel import Panel

FROM_EDGE = 3 * INCH
"""From the edges of a face, where plates and doubled studs are, to a cable that follows them. Common practice, no
source."""
FROM_CORNER = 0.4 * INCH
"""From the ends of an edge that two faces share to a cable that passes it."""
MERGED = 1e-5
"""Metres within which two lines are one."""
CARRIED = 2
"""How often lines are carried on from one face to the next."""
MOST_LINES = 150
"""Each way on a panel, past which none are carried on to it."""


@dataclass(frozen=True, eq=False)
class Lines:
    """On one panel, in its grid: the first coordinates of the lines across the members, the second of those along."""

    across: Array
    along: Array

    def ports(self, panel: Panel, edge: Array) -> Array:
        """Where its lines meet a straight edge (2, 3), but for its ends: points (N, 3)."""
        start, end = panel.to_grid(edge)
        shares = [np.empty(0)]
        for axis, values in ((0, self.across), (1, self.along)):
            run = end[axis] - start[axis]
            if abs(run) > MERGED:
                shares.append((values - start[axis]) / run)
        share = np.concatenate(shares)
        end = FROM_CORNER / float(np.linalg.norm(edge[1] - edge[0]))
        share = share[(share >= end) & (share <= 1 - end)]
        points: Array = edge[0] + share[:, None] * (edge[1] - edge[0])
        return points


def lay_lines(panels: Sequence[Panel], joints: Sequence[Joint], ends: Sequence[tuple[int, Array]]) -> tuple[Lines, ...]:
    """The lines of every panel; `ends` are panels by number with points (2,) of their grids."""
    laid = [_own_lines(panel, [spot for number, spot in ends if number == index]) for index, panel in enumerate(panels)]
    for _ in range(CARRIED):
        before = list(laid)
        for joint in joints:
            for here, there in ((joint.first, joint.second), (joint.second, joint.first)):
                ports = before[here].ports(panels[here], joint.edge)
                laid[there] = _carried(laid[there], panels[there], joint.edge, ports)
    return tuple(laid)


def _own_lines(panel: Panel, ends: Sequence[Array]) -> Lines:
    """Through ends first, so that these keep their places to the last bit."""
    corners = _inner_corners(panel)
    across = [*(spot[0] for spot in ends), *corners[:, 0], *panel.blocked[:, 0], *panel.blocked[:, 2]]
    along = [spot[1] for spot in ends]
    if panel.members is None:
        along += [*corners[:, 1], *panel.blocked[:, 1], *panel.blocked[:, 3]]
    else:
        along += [*_bay_middles(panel)]
    return Lines(_merged(np.empty(0), np.array(across)), _merged(np.empty(0), np.array(along)))


def _inner_corners(panel: Panel) -> Array:
    """Corners (N, 2) of the outline, drawn in from its edges; the middle of a face that is too narrow for that."""
    inner = panel.outline.buffer(-FROM_EDGE, join_style="mitre")
    return shapely.get_coordinates(inner if not inner.is_empty else panel.outline.centroid)


def _bay_middles(panel: Panel) -> list[float]:
    """Middles of the bays, between members and from the last ones to the edges."""
    assert panel.members is not None
    reach = shapely.get_coordinates(panel.outline)[:, 1]
    sides = [(float(reach.min()), float(reach.min()))]
    sides += [(one.at - one.thickness / 2, one.at + one.thickness / 2) for one in panel.members]
    sides.append((float(reach.max()), float(reach.max())))
    return [(before[1] + after[0]) / 2 for before, after in pairwise(sides) if after[0] - before[1] > 1 * INCH]


def _carried(lines: Lines, panel: Panel, edge: Array, ports: Array) -> Lines:
    """With lines through points (N, 3) of an edge (2, 3), but for those that would follow the edge."""
    if not len(ports):
        return lines
    run = np.abs(np.diff(panel.to_grid(edge), axis=0)[0])
    spots = panel.to_grid(ports)
    across, along = lines.across, lines.along
    if run[0] > MERGED and len(across) < MOST_LINES:
        across = _merged(across, _off_plates(spots[:, 0], panel))
    if run[1] > MERGED and len(along) < MOST_LINES:
        along = _merged(along, spots[:, 1])
    return Lines(across, along)


def _off_plates(values: Array, panel: Panel) -> Array:
    """Of the first coordinates of lines those that, in a wall, stay off its plates; all of them elsewhere."""
    if not panel.is_upright:
        return values
    low, _, high, _ = panel.outline.bounds
    return values[(values > low + FROM_EDGE - MERGED) & (values < high - FROM_EDGE + MERGED)]


def _merged(values: Array, more: Array) -> Array:
    """Sorted values with those of `more` that are not there yet."""
    kept = list(values)
    for value in more:
        if not kept or np.abs(np.array(kept) - value).min() > MERGED:
            kept.append(float(value))
    return np.sort(np.array(kept, dtype=np.float64))
