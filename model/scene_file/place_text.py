"""Where something is, as the text of a scene file says it."""

from __future__ import annotations

from earshed.model.geometry import Array
from earshed.model.moves import MARKS
from earshed.model.plan import Plan
from earshed.model.surface import Surface
from earshed.model.taped import measured
from earshed.model.units import PrintUnits, format_length

ON_THE_MARK = 1e-6
"""Metres from a mark of the tape within which a length is one."""


def place_text(plan: Plan, face: Surface, point: Array, units: PrintUnits) -> dict[str, str]:
    """Keys of a speaker at a point (3,) of a face, as YAML flow text: `at` in a ceiling, distances in a wall, from
    where it is taped when it is printed."""
    taped = measured(point, face, plan, MARKS[units])
    along = {
        "along" if start == "first corner" else f"from_{start}": length_text(distance, units)
        for start, distance in taped.along
    }
    if taped.height is None:
        return {"at": f"{{{', '.join(f'{key}: {text}' for key, text in along.items())}}}"}
    return {**along, "height": length_text(taped.height, units)}


def length_text(metres: float, units: PrintUnits) -> str:
    """A length as it is printed where it is on a mark of the tape, else to the thousandth of a millimetre."""
    mark = MARKS[units]
    if abs(metres / mark - round(metres / mark)) * mark < ON_THE_MARK:
        return format_length(metres, units)
    return f"{metres * 1000:.3f}mm"
