"""The cavity behind a face: how deep it is, square to the board, and what of that is taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.finding import Severity
from earshed.model.framing import Framing
from earshed.model.geometry import TOUCHING
from earshed.model.speaker_type import SpeakerType
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
class Short:
    """What a board or the cavity behind it is short of for a type, metres: what is wanted and what there is; a warning
    where it can be made to do."""

    rule: Literal["board-too-thick", "board-too-thin", "too-deep", "insulation"]
    severity: Severity
    wanted: float
    have: float


@dataclass(frozen=True)
class Cavity:
    """What is behind a face, metres: `depth` behind the back of the board, inf where it is open, None where unknown.

    `most` is what it can have at the most where the depth itself is unknown. `parts` are what the depth is the sum of,
    each with its name.
    """

    depth: float | None
    board: float
    board_known: bool
    insulation: Insulation | None
    vent_gap: float
    parts: tuple[tuple[str, float], ...] = ()
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

    @property
    def overfilled(self) -> float:
        """Metres by which insulation and vent gap, as they are stated, are more than the depth; 0 where they go in, or
        where the depth is unknown."""
        filled = self.insulation.thickness if self.insulation else None
        over = 0.0 if self.depth is None else (filled or 0.0) + self.vent_gap - self.depth
        return over if over > TOUCHING else 0.0

    def takes(self, kind: SpeakerType) -> Iterator[Short]:
        """What it and its board are short of for a type, as far as is known; nothing where they take it."""
        if kind.clamps is not None and self.board_known:
            thinnest, thickest = kind.clamps.thinnest, kind.clamps.thickest
            if thickest is not None and self.board > thickest + TOUCHING:
                yield Short("board-too-thick", "error", thickest, self.board)
            if thinnest is not None and self.board < thinnest - TOUCHING:
                yield Short("board-too-thin", "error", thinnest, self.board)
        needed = kind.depth_behind(self.board)
        if needed is None:
            return
        deepest, before = self.most if self.free is None else self.free, self.before_insulation
        if deepest is not None and needed > deepest + TOUCHING:
            yield Short("too-deep", "error", needed, deepest)
        elif before is not None and self.insulation is not None and needed > before + TOUCHING:
            yield Short("insulation", "warning" if self.insulation.gives_way else "error", needed, before)


def cavity_behind(
    surface: Surface, specs: Mapping[str, CavitySpec], framing: Sequence[Framing], *, most: float | None = None
) -> Cavity:
    """The cavity behind a face. The depth that the scene states counts; else the least that a run of members has behind
    it, with the least deep of those that are nailed under it, all measured square to the face.

    `specs` are by the names of faces, or for all of a kind by "ceiling" and "walls".
    """
    group = {"wall": "walls", "ceiling": "ceiling", "side": "ceiling"}.get(surface.kind, "")
    spec = specs.get(surface.name, specs.get(group, CavitySpec()))
    runs = [run for run in framing if not run.is_grid and surface.name in [face.name for face in run.surfaces]]
    depth = spec.depth
    parts: tuple[tuple[str, float], ...] = ()
    if spec.is_open:
        depth, parts = float("inf"), (("open above", float("inf")),)
    elif depth is not None:
        parts = (("as stated", depth),)
    else:
        layers = [_layers(run, runs) for run in runs if run.under is None]
        parts = min(layers, key=_depth_of, default=())
        depth = _depth_of(parts) if parts else None
    board = spec.board if spec.board is not None else USUAL_BOARD
    return Cavity(depth, board, spec.board is not None, spec.insulation, spec.vent_gap, parts, most)


def _layers(base: Framing, runs: Sequence[Framing]) -> tuple[tuple[str, float], ...]:
    """A run and the least deep of those nailed under it, with their depths."""
    straps = [(run.name, run.depth) for run in runs if run.under == base.name]
    least = min(straps, key=lambda strap: strap[1], default=None)
    return ((base.name, base.depth),) if least is None else ((base.name, base.depth), least)


def _depth_of(layers: Sequence[tuple[str, float]]) -> float:
    return sum(depth for _, depth in layers)
