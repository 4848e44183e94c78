"""What a hole runs into or crowds on its face, by how much, and the nearest move that clears it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from earshed.model.checks.elsewhere import TOO_LARGE, Places
from earshed.model.clear_area import gap_of, wanted_of
from earshed.model.cut_fit import covers
from earshed.model.finding import SEVERITIES, Finding, Severity
from earshed.model.geometry import TOUCHING
from earshed.model.hole import Hole, HoleShape
from earshed.model.moves import MARKS
from earshed.model.obstacle import Level, Obstacle
from earshed.model.old_cut import is_cut, nothing_to_saw
from earshed.model.scene import Scene
from earshed.model.units import format_length


@dataclass(frozen=True, eq=False)
class Conflict:
    """A distance that a hole does not keep: the gap there is and the one that is wanted, metres."""

    obstacle: Obstacle
    level: Level
    gap: float
    wanted: float

    @property
    def is_certain(self) -> bool:
        """Whether it is short even where the thing is just where it was taped."""
        return self.gap < self.wanted - TOUCHING

    @property
    def severity(self) -> Severity:
        """Of its level; a distance that is short only if the thing is not quite where it was taped is a warning."""
        return self.level.severity if self.is_certain else "warning"


def conflict_findings(scene: Scene, places: Sequence[Places]) -> Iterator[Finding]:
    """Findings on holes and what is on or behind their faces; of two speakers the first is told."""
    owners = {place.hole.owner for place in places}
    earlier: set[str] = set()
    for place in places:
        found = _conflicts(place, earlier)
        for conflict in found:
            if conflict.level.words:
                text = f"{_told(scene, place.hole, conflict)}; {_remedy(place, conflict)}"
                other = conflict.obstacle.name if conflict.obstacle.name in owners else ""
                yield Finding(conflict.severity, conflict.level.rule, place.hole.owner, text, other)
        yield from _at_once(place, list(dict.fromkeys(conflict.obstacle.name for conflict in found)))
        earlier.add(place.hole.owner)


def _conflicts(place: Places, earlier: Collection[str]) -> list[Conflict]:
    """The worst of what a hole has with each thing by name, in the order of things."""
    worst: dict[tuple[str, bool], Conflict] = {}
    is_there = any(is_cut(place.hole, old) for old in place.scene.existing_holes)
    for obstacle in map(nothing_to_saw, place.near) if is_there else place.near:
        found = None if obstacle.name in earlier else conflict_with(obstacle, place.hole.shape)
        if found is not None:
            key = obstacle.name, bool(found.level.words)
            if key not in worst or _gravity(found) < _gravity(worst[key]):
                worst[key] = found
    return list(worst.values())


def conflict_with(obstacle: Obstacle, shape: HoleShape) -> Conflict | None:
    """The gravest of the distances that a hole does not keep from an obstacle, those that are sure before others."""
    if obstacle.taken_in is not None and covers(shape.cut, obstacle.taken_in):
        return None
    found = [Conflict(obstacle, level, gap_of(level, shape), wanted_of(level, shape)) for level in obstacle.levels]
    short = [one for one in found if one.gap < one.wanted + one.level.within - TOUCHING]
    return next((one for one in short if one.is_certain), short[0] if short else None)


def _gravity(conflict: Conflict) -> tuple[int, float]:
    return SEVERITIES.index(conflict.severity), conflict.gap - conflict.wanted


def _told(scene: Scene, hole: Hole, conflict: Conflict) -> str:
    """What is wrong, with its numbers."""
    level, gap, wanted = conflict.level, conflict.gap, conflict.wanted
    inches = partial(format_length, units=scene.print_units)
    sure = f"where that lies is known only to {inches(level.within)}"
    if level.rule == "behind-screen":
        return level.words
    old = conflict.obstacle.taken_in
    if old is not None and level.distance == 0.0 and covers(old, hole.cut):
        return f"its cut-out lies in the larger old hole {conflict.obstacle.name}, so that its clamps find no board"
    if level.part == "clamps" and wanted == 0.0:
        if conflict.is_certain:
            return f"a clamp would land on {level.words} by {inches(-gap)}"
        return f"a clamp lands {inches(gap)} from {level.words}, but {sure}"
    if wanted == 0.0 and conflict.is_certain:
        return f"{level.words} by {inches(-gap)}"
    part = "its bezel" if level.part == "rim" else "its cut-out"
    touch = MARKS[scene.print_units] / 2
    where = f"{part} is {inches(gap)} from" if gap > touch else f"{part} {'touches' if gap > -touch else 'is within'}"
    kept = f"where {inches(wanted)} is wanted {level.need}" if level.need else f"to be kept {inches(wanted)} clear"
    told = f"{where} {level.words}" + (f", {kept}" if wanted > 0.0 else "")
    return f"{told}: {inches(wanted - gap)} short" if conflict.is_certain else f"{told}, but {sure}"


def _remedy(place: Places, conflict: Conflict) -> str:
    name, note = conflict.obstacle.name, conflict.obstacle.note
    if conflict.obstacle.group == "framing" and place.clear_of(name) is None:
        fits = place.cut_clear_of(name) is not None
        return "no bay leaves that on both sides" if fits else f"no bay between them is wide enough for it: {TOO_LARGE}"
    probe = "" if conflict.is_certain else "probe for its edge before you cut, or "
    return f"{probe}{place.remedy(name)}{f' ({note})' if note else ''}"


def _at_once(place: Places, names: Sequence[str]) -> Iterator[Finding]:
    """A note where what clears one thing does not clear all: one move that does, or where it can be cut at all."""
    if not names:
        return
    clear, face = place.clear_of_all, place.hole.surface.called
    if clear is not None:
        words = place.words(clear)
        if any(place.alone_words(name) != words for name in names):
            text = f"slide it {words} to clear {', '.join(names)} and run into nothing else"
            yield Finding("note", "clear-of-all", place.hole.owner, text)
        return
    text = f"no place on {face} is clear of everything"
    cut = place.cut_at_all
    if cut is None:
        if any(place.clear_of(name) is None for name in names):
            return  # which says so
        text += f", nor is there one where it can be cut: {TOO_LARGE}"
    elif cut.any():
        text += f"; slide it {place.words(cut)} to where it can at least be cut"
    else:
        text += "; where it is, it can at least be cut"
    yield Finding("note", "clear-of-all", place.hole.owner, text)
