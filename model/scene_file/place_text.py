"""Where something is, as the text of a scene file says it."""

from __future__ import annotations

from earshed.model.geometry import Array
from earshed.model.moves import MARKS
from earshed.model.plan import Plan
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits, format_length

ON_THE_MARK = 1e-6
"""Metres from a mark of the tape within which a length is one."""


def place_text(plan: Plan, face: Surface, point: Array, units: PrintUnits) -> dict[str, str]:
    """Keys of a speaker at a point (3,) of a face, as YAML flow text: `at` in a ceiling, distances in a wall."""
    x, y, z = (float(value) for value in point)
    left, front = length_text(x, units), length_text(-y, units)
    if face.kind != "wall":
        return {"at": f"{{from_left: {left}, from_front: {front}}}"}
    wall = next(wall for wall in plan.walls if wall.name == face.name)
    height = length_text(z, units)
    if plan.kind == "outline" or min(abs(float(part)) for part in wall.along) > ON_THE_MARK:
        return {"along": length_text(float((point[:2] - wall.start) @ wall.along), units), "height": height}
    across = abs(wall.along[0]) > abs(wall.along[1])
    return {("from_left" if across else "from_front"): left if across else front, "height": height}


def length_text(metres: float, units: PrintUnits) -> str:
    """A length as it is printed where it is on a mark of the tape, else to the thousandth of a millimetre."""
    mark = MARKS[units]
    if abs(metres / mark - round(metres / mark)) * mark < ON_THE_MARK:
        return format_length(metres, units)
    return f"{metres * 1000:.3f}mm"
