"""Holes that may be bored in a member, and what a bundle of cables needs.

The model code's usual limits (International Residential Code); codes are adopted and changed locally, so what counts is
the local authority's word.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.framing import DRESSED
from earshed.model.geometry import TOUCHING
from earshed.model.units import INCH

MemberKind = Literal["joist", "stud"]

EDGE_OF_JOIST = 2 * INCH
"""From a hole in a joist or rafter to its edges and to the next hole: IRC R502.8.1, R802.7.1."""
SHARE_OF_JOIST = 1 / 3
"""Of the depth of a joist or rafter that a hole may take: IRC R502.8.1, R802.7.1."""
EDGE_OF_STUD = 5 / 8 * INCH
SHARE_OF_STUD = 0.40
"""Of the width of a bearing stud that a hole may take, and its distance to the edge: IRC R602.6. Whether a wall bears
is not known, so the stricter limit is taken."""
AS_TAPED = 0.15 * INCH
"""By how much a member found on site may be thicker or thinner than its dressed size. Common practice, no source."""
FILL = 0.40
"""Share of a hole that cables may fill, so that they can be pulled. As for three cables and more in a conduit; value
from memory."""


@dataclass(frozen=True)
class Permitted:
    """The largest hole in a member, metres; 0 where none is allowed, None where the model code has no figure."""

    diameter: float | None
    rule: str


def is_sawn(thickness: float, depth: float) -> bool:
    """Whether a member of that section (metres) is a dressed size of sawn lumber, of any thickness in plies."""
    plies = max(1, round(thickness / (1.5 * INCH)))
    as_thick = any(abs(thickness - size) < AS_TAPED for size in (0.75 * INCH, plies * 1.5 * INCH))
    return as_thick and any(abs(depth - size) < TOUCHING for _, size in DRESSED.values())


def largest_hole(part: MemberKind, thickness: float, depth: float) -> Permitted:
    """The largest hole that may be bored across a member of a section, metres."""
    if not is_sawn(thickness, depth):
        return Permitted(
            None,
            "no dressed size: ask the local authority; in an I-joist, an LVL or a truss, only what its maker allows",
        )
    if part == "stud":
        most = min(SHARE_OF_STUD * depth, depth - 2 * EDGE_OF_STUD)
        return Permitted(max(0.0, most), "R602.6, as of a bearing wall: 40 % of the width, 5/8 in to the edges")
    most = min(SHARE_OF_JOIST * depth, depth - 2 * EDGE_OF_JOIST)
    rule = "R502.8.1 and R802.7.1: a third of the depth, 2 in to the edges and to other holes"
    return Permitted(most if most > TOUCHING else 0.0, rule)


def hole_for(diameters: Sequence[float | None], bit: float) -> float | None:
    """Metres across the hole that a bundle of cables needs, up to the next whole `bit`; None where one is not known."""
    known = [diameter for diameter in diameters if diameter is not None]
    if len(known) < len(diameters) or not known:
        return None
    exact = math.sqrt(sum(diameter**2 for diameter in known) / FILL)
    return math.ceil(exact / bit - 1e-9) * bit
