"""Whether each speaker's depth fits the cavity behind its face, and its clamps the board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from earshed.model.behind_board import begins_too_near
from earshed.model.cavity import Cavity, Short
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
    a note for each face of which nothing is known, or too much."""
    unknown: dict[str, list[str]] = {}
    overfilled: dict[str, Cavity] = {}
    for place in places:
        hole = place.hole
        is_deck = hole.surface.finish == "deck" or scene.is_timber(hole.surface)
        cavity = scene.cavity(hole.surface)
        needed = hole.type.depth_behind(cavity.board)
        for short in cavity.takes(hole.type):
            if short.rule.startswith("board"):
                yield _board(scene, hole, short)
            elif not is_deck:
                yield _depth(scene, hole, cavity, short)
        if needed is None or is_deck:
            continue
        yield from _before_hidden(scene, place, needed)
        if cavity.overfilled:
            overfilled[hole.surface.called] = cavity
        if cavity.free is None and (cavity.most is None or needed <= cavity.most + TOUCHING):
            told = f"{hole.owner} {format_length(needed, scene.print_units)}"
            unknown.setdefault(hole.surface.called, []).append(told)
    for face, owners in unknown.items():
        text = f"nothing is said of the cavity behind {face}, so whether it is deep enough is not known; behind the "
        text += f"board are needed: {', '.join(owners)}"
        yield Finding("note", "cavity-unknown", scene.title, text)
    for face, cavity in overfilled.items():
        yield _overfilled(scene, face, cavity)


def _overfilled(scene: Scene, face: str, cavity: Cavity) -> Finding:
    """What is stated of a cavity cannot all be: pressed insulation, or a misreading, and which of them is not known."""
    assert cavity.depth is not None
    inches = partial(format_length, units=scene.print_units)
    filled = cavity.insulation.thickness if cavity.insulation else None
    stated = [f"{inches(filled)} of {cavity.insulation.kind}" if filled and cavity.insulation else ""]
    stated += [f"a vent gap of {inches(cavity.vent_gap)}" if cavity.vent_gap else ""]
    text = f"behind {face} are stated {' and '.join(filter(None, stated))}, {inches(cavity.overfilled)} more than the "
    text += f"{inches(cavity.depth)} that the cavity has: measure again, or say `depth: open` if an attic is there"
    return Finding("note", "cavity-overfilled", scene.title, text)


def _depth(scene: Scene, hole: Hole, cavity: Cavity, short: Short) -> Finding:
    inches = partial(format_length, units=scene.print_units)
    if short.rule == "too-deep":
        parts = " and ".join(name for name, _ in cavity.parts)
        vent = f" less a vent gap of {inches(cavity.vent_gap)}" if cavity.vent_gap else ""
        of_what = f"({parts}{vent})" if cavity.parts else "at the most"
        return _too_deep(scene, hole, short.wanted, short.have, of_what, LESS_DEEP)
    assert cavity.insulation is not None
    kind, thickness = cavity.insulation.kind, cavity.insulation.thickness
    into = inches(min(short.wanted - short.have, thickness or short.wanted))
    if cavity.insulation.gives_way:
        text = f"it reaches {into} into the {kind} insulation behind {hole.surface.called}: hold that back with a "
        text += "back box that suits it and the vapor barrier, and ask the local code"
    else:
        text = (
            f"it reaches {into} into the foam behind {hole.surface.called}, which cannot be pushed aside; {LESS_DEEP}"
        )
    return Finding(short.severity, short.rule, hole.owner, text)


def _too_deep(scene: Scene, hole: Hole, needed: float, have: float, of_what: str, remedy: str) -> Finding:
    units = scene.print_units
    text = f"it needs {format_length(needed, units)} behind the board of {hole.surface.called}, square to it, and has "
    text += f"{format_length(have, units)} {of_what}: {format_length(needed - have, units)} short; {remedy}"
    return Finding("error", "too-deep", hole.owner, text)


def _before_hidden(scene: Scene, place: Places, needed: float) -> Iterator[Finding]:
    """What begins some way behind the board leaves that much depth before it; a warning where it is too little only if
    the thing is not quite where it was found."""
    hole, inches = place.hole, partial(format_length, units=scene.print_units)
    for found, behind, is_sure in begins_too_near(scene, hole.surface, needed):
        gap, called = hole.cut.gap(found.shape), f"{found.name} ({found.kind})"
        if gap < -TOUCHING and is_sure:
            yield _too_deep(scene, hole, needed, behind, f"before {called}", place.remedy(found.name))
        elif gap < found.within - TOUCHING:
            text = f"it needs {inches(needed)} behind the board, and {called} begins at {inches(behind)}"
            text += " there" if gap < -TOUCHING else f", {inches(gap)} beside its cut-out"
            text += f", but where that lies is known only to {inches(found.within)}; probe before you cut, or "
            yield Finding("warning", "too-deep", hole.owner, text + place.remedy(found.name))


def _board(scene: Scene, hole: Hole, short: Short) -> Finding:
    inches = partial(format_length, units=scene.print_units)
    takes, most = ("take", "most") if short.rule == "board-too-thick" else ("need", "least")
    text = f"the board of {hole.surface.called} is {inches(short.have)} thick, and its clamps {takes} "
    return Finding(
        short.severity, short.rule, hole.owner, f"{text}{inches(short.wanted)} at the {most}; {OTHER_CLAMPS}"
    )
