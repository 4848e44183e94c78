"""What a hole runs into or crowds on its face, by how much, and the nearest move that clears it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

from shapely.geometry.base import BaseGeometry

from earshed.model.clear_area import clear_area, gap_of, gravest_only, wanted_of
from earshed.model.finding import SEVERITIES, Finding, Severity
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hole import Hole, HoleShape, hole_shape
from earshed.model.moves import move_words, nearest_move
from earshed.model.obstacle import (
    Level,
    Obstacle,
    fixtures_on,
    framing_on,
    hidden_on,
    obstacles_on,
    old_hole,
    openings_in,
    speaker_hole,
    swallows,
)
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker, speaker_holes
from earshed.model.units import format_length

EDGES = ""
"""Stands for the edges of a face where the name of a thing is asked for."""


@dataclass(frozen=True, eq=False)
class Conflict:
    """A distance that a hole does not keep: the gap there is and the one that is wanted, metres."""

    obstacle: Obstacle
    level: Level
    gap: float
    wanted: float

    @property
    def severity(self) -> Severity:
        """Of its level; a distance that is short only if the thing is not quite where it was taped is a warning."""
        return self.level.severity if self.gap < self.wanted - TOUCHING else "warning"


@dataclass(frozen=True, eq=False)
class Places:
    """Where else the hole of one speaker could go on its face."""

    scene: Scene
    speaker: Speaker
    hole: Hole
    others: tuple[Hole, ...]

    @cached_property
    def _obstacles(self) -> tuple[Obstacle, ...]:
        found = obstacles_on(self.scene, self.hole.surface, self.others)
        kept = [old.name for old in self.scene.existing_holes if swallows(self.hole, old)]
        return tuple(one for one in found if not (one.group == "old holes" and one.name in kept))

    @cached_property
    def _shape(self) -> HoleShape:
        """Its shape with its middle at the face's origin."""
        origin = self.hole.middle * 0.0
        one = self.speaker
        return hole_shape(one.type, self.hole.surface, origin, long_axis=one.long_axis, axis=one.axis)

    @cached_property
    def of_everything(self) -> BaseGeometry:
        """Where it is clear of everything; where that is nowhere, where it can at least be cut."""
        all_clear = clear_area(self.hole.surface.outline, self._obstacles, self._shape)
        if not all_clear.is_empty:
            return all_clear
        return clear_area(self.hole.surface.outline, map(gravest_only, self._obstacles), self._shape)

    def of(self, name: str) -> BaseGeometry:
        """Where it is clear of one thing, on the board at all."""
        return clear_area(self.hole.surface.outline, self._with_edges(name), self._shape)

    def cut_clear_of(self, name: str) -> BaseGeometry:
        """Where it can at least be cut, one thing considered."""
        return clear_area(self.hole.surface.outline, map(gravest_only, self._with_edges(name)), self._shape)

    def _with_edges(self, name: str) -> list[Obstacle]:
        return [one for one in self._obstacles if one.name == name or one.group == "edges"]

    def move(self, name: str) -> str:
        """The nearest move that clears one thing, in words, and if it clears not all else, the one that does."""
        units, face = self.scene.print_units, self.hole.surface
        alone, clear = (self._moved(area) for area in (self.of(name), self.of_everything))
        if alone is None:
            return f"no place on {face.called} is clear of it"
        words = move_words(face, alone, units)
        if clear is None:
            return f"slide it {words} to clear it, though no place on {face.called} is clear of everything"
        everything = move_words(face, clear, units)
        if everything == words:
            return f"slide it {words} to clear"
        return f"slide it {words} to clear it, or {everything} to clear everything"

    def _moved(self, area: BaseGeometry) -> Array | None:
        return nearest_move(self.hole.middle, area)


def places_of(scene: Scene) -> list[Places]:
    """For each speaker that is cut into a face, where else it could go."""
    cut = [speaker for speaker in scene.speakers if speaker.surface is not None]
    holes = speaker_holes(cut)
    return [
        Places(scene, speaker, hole, tuple(other for other in holes if other is not hole))
        for speaker, hole in zip(cut, holes, strict=True)
    ]


def conflict_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on holes and what is on or behind their faces."""
    places = places_of(scene)
    for number, place in enumerate(places):
        later = [other.hole for other in places[number + 1 :]]
        for conflict in _conflicts(scene, place.hole, later):
            text = _told(scene, conflict)
            yield Finding(
                conflict.severity, conflict.level.rule, place.hole.owner, f"{text}; {_remedy(place, conflict)}"
            )


def _conflicts(scene: Scene, hole: Hole, others: Sequence[Hole]) -> list[Conflict]:
    """The worst of what a hole has with each thing by name, in the order of things."""
    face = hole.surface
    obstacles = [
        *framing_on(scene, face),
        *hidden_on(scene, face),
        *fixtures_on(scene, face),
        *openings_in(scene, face),
        *(speaker_hole(scene, other) for other in others if other.surface.name == face.name),
        *(
            old_hole(scene, old)
            for old in scene.existing_holes
            if old.surface.name == face.name and not swallows(hole, old)
        ),
    ]
    worst: dict[str, Conflict] = {}
    for obstacle in obstacles:
        found = conflict_with(obstacle, hole.shape)
        if found is not None and (obstacle.name not in worst or _gravity(found) < _gravity(worst[obstacle.name])):
            worst[obstacle.name] = found
    return list(worst.values())


def conflict_with(obstacle: Obstacle, shape: HoleShape) -> Conflict | None:
    """The gravest of the distances that a hole does not keep from an obstacle."""
    for level in obstacle.levels:
        gap, wanted = gap_of(level, shape), wanted_of(level, shape)
        if gap < wanted + level.within - TOUCHING:
            return Conflict(obstacle, level, gap, wanted)
    return None


def _gravity(conflict: Conflict) -> tuple[int, float]:
    return SEVERITIES.index(conflict.severity), conflict.gap - conflict.wanted


def _told(scene: Scene, conflict: Conflict) -> str:
    """What is wrong, with its numbers."""
    level, gap, wanted = conflict.level, conflict.gap, conflict.wanted
    inches = partial(format_length, units=scene.print_units)
    if level.rule in ("in-opening", "behind-screen"):
        return level.words
    if level.distance == 0.0:
        return f"{level.words} by {inches(-gap)}"
    sure = f"which is sure only to {inches(level.within)}"
    if level.part == "clamps" and wanted == 0.0:
        if gap < 0:
            return f"a clamp would land on {level.words} by {inches(-gap)}"
        return f"a clamp lands {inches(gap)} from {level.words}, {sure}"
    part = "its bezel" if level.part == "rim" else "its cut-out"
    where = f"{part} is {inches(gap)} from" if gap > 0 else f"{part} touches"
    kept = (
        f"where {inches(wanted)} is wanted {level.need}"
        if level.need
        else f"which is to be kept {inches(wanted)} clear"
    )
    lacking = f"{inches(wanted - gap)} short" if wanted - gap > TOUCHING else sure
    return f"{where} {level.words}, {kept}: {lacking}"


def _remedy(place: Places, conflict: Conflict) -> str:
    name = conflict.obstacle.name
    if conflict.obstacle.group == "framing" and place.of(name).is_empty:
        fits = not place.cut_clear_of(name).is_empty
        return "no bay leaves that on both sides" if fits else "no bay between them is wide enough for it"
    return place.move(name)
