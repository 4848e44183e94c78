"""What is known of the cavities behind the faces, as rows of a table."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from earshed.model.cavity import USUAL_BOARD, Cavity
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import format_length

NOT_KNOWN = "not known"


@dataclass(frozen=True)
class CavityTable:
    """Heads and rows of what is known, and a line on what is not; no rows where nothing is known of any face."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    remark: str = ""


def cavity_table(scene: Scene) -> CavityTable:
    """A row for each face that holds speakers or framing or is told of; faces of which the same is known share one.

    Columns of which no row has anything are left out.
    """
    cavities = {face.name: scene.cavity(face) for face in _faces(scene)}
    if not any(map(_is_known, cavities.values())):
        return CavityTable((), ())
    rows: dict[tuple[str, ...], list[str]] = {}
    for face in _faces(scene):
        rows.setdefault(_cells(scene, cavities[face.name]), []).append(face.name)
    heads = ("depth", "board", "insulation", "free")
    kept = [column for column in range(len(heads)) if any(cells[column] for cells in rows)]
    return CavityTable(
        ("", *(heads[column] for column in kept)),
        tuple((", ".join(names), *(cells[column] for column in kept)) for cells, names in rows.items()),
        "; ".join(_remarks(scene, cavities.values())),
    )


def _remarks(scene: Scene, cavities: Collection[Cavity]) -> Iterator[str]:
    if any(cavity.insulation is not None and cavity.insulation.gives_way for cavity in cavities):
        yield "in brackets: free with the insulation held back"
    if not all(cavity.board_known for cavity in cavities):
        yield f"board of which nothing is said is taken as {format_length(USUAL_BOARD, scene.print_units)}"


def _faces(scene: Scene) -> Sequence[Surface]:
    """In the order of the room."""
    wanted = {speaker.surface.name for speaker in scene.speakers if speaker.surface is not None}
    wanted |= {face.name for run in scene.framing if not run.is_grid for face in run.surfaces}
    kinds = [kind for group, kind in (("walls", "wall"), ("ceiling", "ceiling")) if group in scene.cavities]
    return [
        face
        for face in (*scene.room.surfaces, *scene.room.soffits)
        if (face.name in wanted or face.name in scene.cavities or face.kind in kinds) and face.finish != "deck"
    ]


def _is_known(cavity: Cavity) -> bool:
    said = (cavity.depth, cavity.most, cavity.insulation, cavity.vent_gap or None)
    return cavity.board_known or any(part is not None for part in said)


def _cells(scene: Scene, cavity: Cavity) -> tuple[str, ...]:
    board = format_length(cavity.board, scene.print_units) if cavity.board_known else ""
    free = _length(cavity.before_insulation, scene)
    if cavity.insulation is not None and cavity.insulation.gives_way and cavity.depth is not None:
        free += f" ({_length(cavity.free, scene)})"
    return _depth(scene, cavity), board, _insulation(scene, cavity), free


def _depth(scene: Scene, cavity: Cavity) -> str:
    """A depth with what it is made up of, as 7-1/4" (rafters) + 3/4" (strapping) - 1" (vent gap)."""
    units = scene.print_units
    vent = f" - {format_length(cavity.vent_gap, units)} (vent gap)" if cavity.vent_gap else ""
    if cavity.depth is None:
        most = "" if cavity.most is None else f", {format_length(cavity.most, units)} at the most"
        return f"{NOT_KNOWN}{most}{vent}"
    if math.isinf(cavity.depth):
        return "open" + vent
    parts = [f"{format_length(depth, units)} ({name})" for name, depth in cavity.parts]
    return " + ".join(parts) + vent


def _insulation(scene: Scene, cavity: Cavity) -> str:
    if cavity.insulation is None:
        return ""
    kind, thickness = cavity.insulation.kind, cavity.insulation.thickness
    return f"{kind}, full" if thickness is None else f"{kind} {format_length(thickness, scene.print_units)}"


def _length(metres: float | None, scene: Scene) -> str:
    if metres is None:
        return NOT_KNOWN
    return "open" if math.isinf(metres) else format_length(metres, scene.print_units)
