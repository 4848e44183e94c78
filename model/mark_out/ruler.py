"""The marks of the tape to which measurements are printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from earshed.model.units import INCH, PrintUnits, format_length, to_mark


@dataclass(frozen=True)
class Ruler:
    """Lengths are printed in `units`, to the nearest `mark` (metres)."""

    units: PrintUnits
    mark: float

    def rounded(self, metres: float) -> float:
        return to_mark(metres, self.mark)

    def text(self, metres: float) -> str:
        return format_length(self.rounded(metres), self.units)


STEPS: Mapping[str, Ruler] = {
    "1/4in": Ruler("ft-in", INCH / 4),
    "1/8in": Ruler("ft-in", INCH / 8),
    "1/16in": Ruler("ft-in", INCH / 16),
    "1mm": Ruler("mm", 0.001),
    "5mm": Ruler("mm", 0.005),
}
"""Steps that can be asked for, as they are written."""


def usual_ruler(units: PrintUnits) -> Ruler:
    """To 1/8 in, which a pencil marks on board, or to 1 mm. Common practice, no source."""
    return Ruler(units, INCH / 8 if units == "ft-in" else 0.001)
