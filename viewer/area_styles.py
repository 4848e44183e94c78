"""How the parts of a feasibility map look, and what they are called: each has a pattern of its own beside its color."""

from __future__ import annotations

from dataclasses import dataclass

from earshed.model.search.areas import PartName
from earshed.viewer import palette


@dataclass(frozen=True)
class AreaStyle:
    """A fill, a pattern in `ink`, words for the key, and whether it has an edge, which makes strips stand out."""

    fill: str
    ink: str
    hatch: str
    words: str
    edged: bool = False


STYLES: dict[PartName, AreaStyle] = {
    "covered": AreaStyle(
        palette.VERDICT_FILL["covered"], palette.MARK_INK["covered"], "", "possible: all seats covered", edged=True
    ),
    "fringe": AreaStyle(
        palette.VERDICT_FILL["fringe"], "#7d6100", "////", "possible: a seat on the fringe", edged=True
    ),
    "outside": AreaStyle("#dd9784", palette.LIMIT, "xxxx", "possible: a seat outside", edged=True),
    "blocked": AreaStyle("#dd9784", palette.LIMIT, "----", "possible: a seat is blocked", edged=True),
    "chopped": AreaStyle("#e6b3a0", palette.LIMIT, "--..", "possible: past blades or a shade", edged=True),
    "partner": AreaStyle("#dcefe7", "#8cb3a3", "||..", "possible: unlike its partner"),
    "window": AreaStyle("#eaf4ef", "#9dbdb0", "..", "possible: outside its window"),
    "free": AreaStyle("#dcefe7", palette.INK, "", "clear for at least one of them"),
    "edges": AreaStyle("#d3d8db", palette.SOFT_INK, "", "edges, creases, corners"),
    "framing": AreaStyle("#f3eadb", "#cbb692", "\\\\", "framing behind"),
    "hidden": AreaStyle("#e3dcea", "#6b5b95", "\\\\\\\\--", "found by a scan or test hole"),
    "openings": AreaStyle("#dbe7ef", "#4d6a94", "||", "hatch, door, window"),
    "boxes": AreaStyle("#e6ded6", "#a68471", "xx", "box, beam or soffit"),
    "screen": AreaStyle("#dfe3e5", "#98a2a9", "++", "screen"),
    "fixtures": AreaStyle("#f5ecc4", "#8a7a2e", "oo", "light, vent or other fixture"),
    "old holes": AreaStyle("#eedfe4", "#a34a6b", "OO", "old hole"),
    "speakers": AreaStyle("#e3e8eb", "#7b93a1", "**", "other speaker"),
    "depth": AreaStyle("#e6e6e4", "#b4b7b9", "\\\\..", "too shallow behind, or none"),
    "alignment": AreaStyle("#eef0f4", "#8590a6", "--", "not in line"),
    "new hole": AreaStyle("#f6f2f6", "#a79aa7", "//..", "no hole there yet"),
    "mirror": AreaStyle("#ece9f3", "#9a8fb8", "//", "its mirror image cannot be cut"),
}
"""In the order of the key: where a hole can be first, then the reasons why not."""
