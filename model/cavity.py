"""The cavity behind a face: how deep it is, square to the board, and what of that is taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.framing import Framing
from earshed.model.surface import Surface
from earshed.model.units import INCH

InsulationKind = Literal["batt", "blown", "foam"]
USUAL_BOARD = 0.5 * INCH
"""Thickness of a board of which nothing is said. Common practice, no source: 1/2 or 5/8 in."""


@dataclass(frozen=True)
class Insulation:
    """What fills part of a cavity, `thickness` metres of it; None where it fills all.

    Batts and what is blown in lie on the board, foam is sprayed on the far side. Common practice, no source.
    """

    kind: InsulationKind
    thickness: float | None = None

    @property
    def gives_way(self) -> bool:
        """Whether it can be pressed or raked aside; foam cannot."""
        return self.kind != "foam"


@dataclass(frozen=True)
class CavitySpec:
    """What a scene says of the cavity behind a face, metres; None where it says nothing."""

    depth: float | None = None
    is_open: bool = False
    board: float | None = None
    insulation: Insulation | None = None
    vent_gap: float = 0.0


@dataclass(frozen=True)
class Cavity:
    """What is behind a face, metres: `depth` behind the back of the board, inf where it is open, None where unknown.

    `most` is what it can have at the most where the depth itself is unknown. `parts` name what the depth is the sum of.
    """

    depth: float | None
    board: float
    board_known: bool
    insulation: Insulation | None
    vent_gap: float
    parts: tuple[str, ...] = ()
    most: float | None = None

    @property
    def free(self) -> float | None:
        """Metres behind the board that a speaker may take, insulation pushed aside; None where unknown."""
        return None if self.depth is None else max(0.0, self.depth - self.vent_gap)

    @property
    def before_insulation(self) -> float | None:
        """Metres behind the board that are free of insulation: none where it lies on the board or fills the cavity."""
        if self.free is None or self.insulation is None:
            return self.free
        if self.insulation.thickness is None or self.insulation.gives_way:
            return 0.0
        return max(0.0, self.free - self.insulation.thickness)


def cavity_behind(
    surface: Surface, specs: Mapping[str, CavitySpec], framing: Sequence[Framing], *, most: float | None = None
) -> Cavity:
    """The cavity behind a face. The depth that the scene states counts; else that of the members behind it, with those
    nailed under them, all measured square to the face.

    `specs` are by the names of faces, or for all of a kind by "ceiling" and "walls".
    """
    group = {"wall": "walls", "ceiling": "ceiling", "side": "ceiling"}.get(surface.kind, "")
    spec = specs.get(surface.name, specs.get(group, CavitySpec()))
    runs = [run for run in framing if not run.is_grid and surface.name in [face.name for face in run.surfaces]]
    base = [run for run in runs if run.under is None]
    depth = spec.depth
    parts: tuple[str, ...] = ("as stated",)
    if spec.is_open:
        depth, parts = float("inf"), ("open above",)
    elif depth is None and base:
        least = min(base, key=lambda run: run.depth)
        straps = [run for run in runs if run.under is not None]
        depth = least.depth + sum(run.depth for run in straps)
        parts = (least.name, *(run.name for run in straps))
    board = spec.board if spec.board is not None else USUAL_BOARD
    return Cavity(
        depth, board, spec.board is not None, spec.insulation, spec.vent_gap, parts if depth is not None else (), most
    )
