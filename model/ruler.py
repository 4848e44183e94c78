"""The marks of a tape to which measurements are printed."""

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

    def bare(self, metres: float) -> str:
        """The same, of a metric length without its unit, as where the foot of a sheet says it."""
        return self.text(metres).removesuffix(f" {self.units}")


STEPS: Mapping[str, float] = {
    "1/4in": INCH / 4, "1/8in": INCH / 8, "1/16in": INCH / 16, "1mm": 0.001, "5mm": 0.005,
}  # fmt: skip
"""Metres of the marks that can be asked for, as they are written."""


def ruler_of(step: str | None, units: PrintUnits) -> Ruler:
    """The ruler of a step that is asked for; without one to 1/8 in or 1 mm, since a pencil line is no finer (common
    practice, no source). Where the step is none of the units, it is in feet and inches, or in mm."""
    if step is None:
        step = "1/8in" if units == "ft-in" else "1mm"
    if step.endswith("in"):
        return Ruler("ft-in", STEPS[step])
    return Ruler("mm" if units == "ft-in" else units, STEPS[step])
