"""Whether each speaker's depth fits the cavity behind its face, and its clamps the board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from earshed.model.cavity import Cavity
from earshed.model.checks.elsewhere import Places
from earshed.model.finding import Finding
from earshed.model.geometry import TOUCHING
from earshed.model.hole import Hole
from earshed.model.scene import Scene
from earshed.model.units import format_length

LESS_DEEP = "use a type that is less deep"
OTHER_CLAMPS = "use a type whose clamps hold it"


def depth_findings(scene: Scene, places: Sequence[Places]) -> Iterator[Finding]:
    """Findings on depth, measured square to the face, on insulation in the way, and on boards that clamps cannot hold;
    a note for each face of which nothing is known."""
    unknown: dict[str, list[str]] = {}
    for place in places:
        hole = place.hole
        cavity = scene.cavity(hole.surface)
        yield from _board(scene, hole, cavity)
        needed = hole.type.depth_behind(cavity.board)
        if needed is None or hole.surface.finish == "deck":
            continue
        yield from _before_hidden(scene, place, needed)
        if cavity.free is not None:
            yield from _fits(scene, hole, cavity, needed)
        elif cavity.most is not None and needed > cavity.most + TOUCHING:
            yield _too_deep(scene, hole, needed, cavity.most, "at the most", LESS_DEEP)
        else:
            told = f"{hole.owner} {format_length(needed, scene.print_units)}"
            unknown.setdefault(hole.surface.called, []).append(told)
    for face, owners in unknown.items():
        text = f"nothing is said of the cavity behind {face}, so whether it is deep enough is not known; behind the "
        text += f"board are needed: {', '.join(owners)}"
        yield Finding("note", "cavity-unknown", scene.title, text)


def _fits(scene: Scene, hole: Hole, cavity: Cavity, needed: float) -> Iterator[Finding]:
    free, before = cavity.free, cavity.before_insulation
    assert free is not None
    assert before is not None
    if needed > free + TOUCHING:
        parts = " and ".join(cavity.parts)
        vent = f" less a vent gap of {format_length(cavity.vent_gap, scene.print_units)}" if cavity.vent_gap else ""
        yield _too_deep(scene, hole, needed, free, f"({parts}{vent})", LESS_DEEP)
    elif needed > before + TOUCHING and cavity.insulation is not None:
        kind, thickness = cavity.insulation.kind, cavity.insulation.thickness
        into = format_length(min(needed - before, thickness or needed), scene.print_units)
        if cavity.insulation.gives_way:
            text = f"it reaches {into} into the {kind} insulation behind {hole.surface.called}: hold that back with a "
            text += "back box that suits it and the vapor barrier, and ask the local code"
            yield Finding("warning", "insulation", hole.owner, text)
        else:
            text = f"it reaches {into} into the foam behind {hole.surface.called}, which cannot be pushed aside"
            text += f"; {LESS_DEEP}"
            yield Finding("error", "insulation", hole.owner, text)


def _too_deep(scene: Scene, hole: Hole, needed: float, have: float, of_what: str, remedy: str) -> Finding:
    units = scene.print_units
    text = f"it needs {format_length(needed, units)} behind the board of {hole.surface.called}, square to it, and has "
    text += f"{format_length(have, units)} {of_what}: {format_length(needed - have, units)} short; {remedy}"
    return Finding("error", "too-deep", hole.owner, text)


def _before_hidden(scene: Scene, place: Places, needed: float) -> Iterator[Finding]:
    """What begins some way behind the board leaves that much depth before it; a warning where it is too little only if
    the thing is not quite where it was found."""
    hole, inches = place.hole, partial(format_length, units=scene.print_units)
    for found in scene.keep_outs:
        if found.behind is None or found.surface.name != hole.surface.name:
            continue
        gap, spare, called = hole.cut.gap(found.shape), found.behind - needed, f"{found.name} ({found.kind})"
        if gap < -TOUCHING and spare < -TOUCHING:
            yield _too_deep(scene, hole, needed, found.behind, f"before {called}", place.remedy(found.name))
        elif gap < found.within - TOUCHING and spare < found.within - TOUCHING:
            text = f"it needs {inches(needed)} behind the board, and {called} begins at {inches(found.behind)}"
            text += " there" if gap < -TOUCHING else f", {inches(gap)} beside its cut-out"
            text += f", but its place is sure only to {inches(found.within)}; probe before you cut, or "
            yield Finding("warning", "too-deep", hole.owner, text + place.remedy(found.name))


def _board(scene: Scene, hole: Hole, cavity: Cavity) -> Iterator[Finding]:
    clamps, units = hole.type.clamps, scene.print_units
    if clamps is None or not cavity.board_known:
        return
    if clamps.thickest is not None and cavity.board > clamps.thickest + TOUCHING:
        text = f"the board of {hole.surface.called} is {format_length(cavity.board, units)} thick, and its clamps take "
        text += f"{format_length(clamps.thickest, units)} at the most; {OTHER_CLAMPS}"
        yield Finding("error", "board-too-thick", hole.owner, text)
    if clamps.thinnest is not None and cavity.board < clamps.thinnest - TOUCHING:
        text = f"the board of {hole.surface.called} is {format_length(cavity.board, units)} thick, and its clamps need "
        text += f"{format_length(clamps.thinnest, units)} at the least; {OTHER_CLAMPS}"
        yield Finding("error", "board-too-thin", hole.owner, text)
