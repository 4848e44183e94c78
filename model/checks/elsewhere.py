"""Where else on its face the hole of a speaker could go, and the nearest moves there in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property, partial

from shapely.geometry.base import BaseGeometry

from earshed.model.behind_board import hidden_before
from earshed.model.clear_area import clear_area, gravest_only
from earshed.model.geometry import Array
from earshed.model.hole import Hole, HoleShape, hole_shape
from earshed.model.moves import move_words
from earshed.model.obstacle import Obstacle
from earshed.model.on_face import speaker_hole
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker, speaker_holes
from earshed.model.surroundings import Around, Surroundings, nearest_clear, obstacles_on, reach_of

EDGES = ""
"""Stands for the edges of a face where the name of a thing is asked for."""
TOO_LARGE = "it needs a smaller type or another face"


@dataclass(frozen=True, eq=False)
class Places:
    """Where else the hole of one speaker could go on its face; `on_face` is what is in the way of any hole there."""

    scene: Scene
    speaker: Speaker
    hole: Hole
    others: tuple[Hole, ...]
    on_face: Surroundings
    _clear_of: dict[str, Array | None] = field(default_factory=dict, repr=False)

    @cached_property
    def _own(self) -> list[Obstacle]:
        """What is in the way of this hole alone: other speakers, and what is too near behind the board for it."""
        face = self.hole.surface
        holes = [speaker_hole(self.scene, other) for other in self.others if other.surface.name == face.name]
        needed = self.hole.type.depth_behind(self.scene.cavity(face).board)
        return holes if needed is None else [*holes, *hidden_before(self.scene, face, needed)]

    @cached_property
    def around(self) -> Around:
        """All that is in the way of this hole."""
        return Around(self.on_face, self._own)

    @cached_property
    def _shape(self) -> HoleShape:
        """Its shape with its middle at the face's origin."""
        origin = self.hole.middle * 0.0
        one = self.speaker
        return hole_shape(one.type, self.hole.surface, origin, self.scene.ahead, long_axis=one.long_axis, axis=one.axis)

    @property
    def near(self) -> list[Obstacle]:
        """What the hole may be too near to where it is."""
        return list(self.around.near(self.hole.middle, reach_of(self._shape)))

    @cached_property
    def clear_of_all(self) -> Array | None:
        """The nearest move (2,) to where it is clear of everything; None where that is nowhere."""
        return self._nearest(_as_it_is, partial(self.everywhere, _as_it_is))

    @cached_property
    def cut_at_all(self) -> Array | None:
        """The nearest move (2,) to where it can at least be cut; None where that is nowhere."""
        return self._nearest(gravest_only, partial(self.everywhere, gravest_only))

    def clear_of(self, name: str) -> Array | None:
        """The nearest move (2,) to where it is clear of one thing, on the board at all."""
        if name not in self._clear_of:
            self._clear_of[name] = self._nearest(lambda one: one if self._is_asked(one, name) else None)
        return self._clear_of[name]

    def cut_clear_of(self, name: str) -> Array | None:
        """The nearest move (2,) to where it can at least be cut, one thing considered."""
        return self._nearest(lambda one: gravest_only(one) if self._is_asked(one, name) else None)

    @staticmethod
    def _is_asked(one: Obstacle, name: str) -> bool:
        return one.name == name or one.group == "edges"

    def _nearest(
        self, counts: Callable[[Obstacle], Obstacle | None], everywhere: Callable[[], BaseGeometry] | None = None
    ) -> Array | None:
        units = self.scene.print_units
        return nearest_clear(self.around, self.hole.middle, self._shape, units, counts, everywhere)

    def everywhere(self, counts: Callable[[Obstacle], Obstacle]) -> BaseGeometry:
        """All of its face where it is clear; for holes of one shape what is in the way of any is taken out once."""
        one = self.speaker
        long_axis = None if one.long_axis is None else one.long_axis.tobytes()
        kind = one.type.name, one.axis.tobytes(), long_axis, counts
        return clear_area(self.on_face.clear_for(kind, self._shape, counts), map(counts, self._own), self._shape)

    @property
    def clear_places(self) -> BaseGeometry:
        """All places of its middle on the face where it is clear of everything."""
        return self.everywhere(_as_it_is)

    def words(self, move: Array) -> str:
        return move_words(self.hole.surface, move, self.scene.print_units)

    def alone_words(self, name: str) -> str | None:
        """The nearest move that clears one thing, in words; None where there is none."""
        alone = self.clear_of(name)
        return None if alone is None else self.words(alone)

    def remedy(self, name: str) -> str:
        """What clears one thing, in words, and whether it clears that alone."""
        alone = self.alone_words(name)
        if alone is None:
            return f"no place on {self.hole.surface.called} is clear of it: {TOO_LARGE}"
        clears_all = self.clear_of_all is not None and self.words(self.clear_of_all) == alone
        return f"slide it {alone} to clear{'' if clears_all else ' it alone'}"


def _as_it_is(one: Obstacle) -> Obstacle:
    return one


def places_of(scene: Scene) -> list[Places]:
    """For each speaker that is cut into a face, where else it could go."""
    cut = [speaker for speaker in scene.speakers if speaker.surface is not None]
    holes = speaker_holes(cut, scene.ahead)
    faces = {hole.surface.name: hole.surface for hole in holes}
    on_faces = {name: Surroundings(face, obstacles_on(scene, face)) for name, face in faces.items()}
    return [
        Places(scene, speaker, hole, tuple(other for other in holes if other is not hole), on_faces[hole.surface.name])
        for speaker, hole in zip(cut, holes, strict=True)
    ]
