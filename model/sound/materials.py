"""Materials: what share of the sound that meets a face does not come back, octave by octave.

The coefficients are of random incidence, as measured in reverberation rooms. Another sample of the same name may differ
by a third of the figure, at 125 Hz by half (common practice, no source), so what is made of them is an estimate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.geometry import Array, frozen
from earshed.model.sound.bands import OCTAVES

NOTHING_BACK = 1e-6
"""Least share of the energy that is taken to come back, 60 dB down, so that no level is infinite."""
VORLANDER = "M. Vorländer, Auralization (Springer, 2008), annex, as an open table quotes it"
EGAN = "value from memory: the table of M. D. Egan, Architectural Acoustics (McGraw-Hill, 1988)"


@dataclass(frozen=True, eq=False)
class Material:
    """A material's absorption coefficients (B,), 0 to 1, in the octaves of OCTAVES; `source` says whose they are.

    `stated` of them, from 125 Hz up, are the source's; above, the last one goes on (common practice, no source).
    """

    name: str
    absorption: Array
    source: str
    stated: int

    @property
    def loss_db(self) -> Array:
        """What a reflection off it loses (B,), dB, at most 0: 10 lg(1 - absorption), no less than -60."""
        loss: Array = 10 * np.log10(np.maximum(1 - self.absorption, NOTHING_BACK))
        return loss


def material(name: str, coefficients: Sequence[float], source: str) -> Material:
    """A material from the coefficients of the octaves from 125 Hz up, one to as many as OCTAVES has.

    Raises ValueError where there are none or too many, or one is outside 0 to 1.
    """
    count = len(coefficients)
    if not 1 <= count <= len(OCTAVES):
        raise ValueError(f"{name} needs from 1 to {len(OCTAVES)} coefficients, not {count}")
    if not all(0 <= value <= 1 for value in coefficients):
        raise ValueError(f"{name} has a coefficient outside 0 to 1")
    return Material(name, frozen([*coefficients, *[coefficients[-1]] * (len(OCTAVES) - count)]), source, count)


_KNOWN: Mapping[str, tuple[str, tuple[float, ...]]] = {
    # --- board and boards
    "plasterboard": (EGAN, (0.29, 0.10, 0.05, 0.04, 0.07, 0.09)),  # 1/2 in on 2x4 studs 16 in apart
    "double plasterboard": (VORLANDER, (0.15, 0.10, 0.06, 0.04, 0.04, 0.05, 0.05)),  # 2 x 13 mm, wool behind
    "plaster on lath": (EGAN, (0.14, 0.10, 0.06, 0.04, 0.04, 0.03)),
    "wood boards": (VORLANDER, (0.27, 0.23, 0.22, 0.15, 0.10, 0.07, 0.06)),  # 12 mm on a frame
    "thin plywood": (VORLANDER, (0.42, 0.21, 0.10, 0.08, 0.06, 0.06)),
    "wood door": (VORLANDER, (0.14, 0.10, 0.06, 0.08, 0.10, 0.10, 0.10)),  # solid
    # --- masonry and glass
    "brick": (VORLANDER, (0.03, 0.03, 0.03, 0.04, 0.05, 0.07, 0.07)),  # with a rough face
    "concrete": (VORLANDER, (0.01, 0.01, 0.02, 0.02, 0.02, 0.05, 0.05)),  # smooth, not painted
    "concrete block, painted": (EGAN, (0.10, 0.05, 0.06, 0.07, 0.09, 0.08)),
    "window glass": (EGAN, (0.35, 0.25, 0.18, 0.12, 0.07, 0.04)),
    "double glazing": (VORLANDER, (0.10, 0.07, 0.05, 0.03, 0.02, 0.02, 0.02)),  # 10 mm gap
    "plate glass": (EGAN, (0.18, 0.06, 0.04, 0.03, 0.02, 0.02)),
    # --- floors
    "carpet on pad": (VORLANDER, (0.08, 0.24, 0.57, 0.69, 0.71, 0.73)),  # 1.35 kg/m2 on felt or foam
    "thin carpet": (VORLANDER, (0.02, 0.04, 0.08, 0.20, 0.35, 0.40)),  # cemented to concrete
    "wood floor": (EGAN, (0.15, 0.11, 0.10, 0.07, 0.06, 0.07)),  # on joists
    "ceramic tile": (VORLANDER, (0.01, 0.01, 0.01, 0.02, 0.02, 0.02, 0.02)),
    "linoleum": (VORLANDER, (0.02, 0.03, 0.03, 0.03, 0.03, 0.02)),  # or vinyl or cork tile, on concrete
    # --- soft
    "light curtain": (EGAN, (0.03, 0.04, 0.11, 0.17, 0.24, 0.35)),  # 10 oz/sq yd, hung flat
    "heavy curtain": (EGAN, (0.14, 0.35, 0.55, 0.72, 0.70, 0.65)),  # 18 oz/sq yd, draped to half its width
    "cloth upholstery": (VORLANDER, (0.44, 0.60, 0.77, 0.89, 0.82, 0.70, 0.70)),  # of empty seats, over their area
    "mineral wool 2 in": (VORLANDER, (0.22, 0.60, 0.92, 0.90, 0.88, 0.88, 0.88)),  # 80 kg/m3, on the wall
    "acoustic ceiling tile": (VORLANDER, (0.49, 0.53, 0.53, 0.75, 0.92, 0.99)),  # hung, fissured
}
MATERIALS: Mapping[str, Material] = {name: material(name, values, source) for name, (source, values) in _KNOWN.items()}
"""The materials that every scene knows, by name."""

ASSUMED: Mapping[str, str] = {
    "floor": "carpet on pad", "riser": "carpet on pad", "wall": "plasterboard", "ceiling": "plasterboard",
    "side": "plasterboard", "soffit": "plasterboard", "deck": "wood boards", "tiles": "acoustic ceiling tile",
    "box": "wood boards", "beam": "wood boards", "column": "plasterboard", "half wall": "plasterboard",
    "counter": "wood boards", "fireplace": "brick", "door": "wood door", "window": "window glass",
    "ceiling opening": "window glass", "screen": "plate glass",
}  # fmt: skip
"""What is taken where a scene does not say, by what it is of. Common practice, no source."""
