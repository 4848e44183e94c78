"""Keys of what is in the room already: fixtures of every kind, and openings."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, model_validator

from earshed.model.scene_file.fields import Count, Height, Length, Name, Part, Size, TwoSizes
from earshed.model.scene_file.schema_places import FROM_END, FROM_SIDE, PlanPlace, PlanPoint, WallPlace, given_center
from earshed.model.scene_file.templates import template_of
from earshed.model.units import INCH

USUAL_ACROSS = {"detector": 5.5 * INCH, "sprinkler": 3 * INCH}


class BoxFile(PlanPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "from_left")

    name: Name
    kind: Literal["box"]
    bottom: Height
    width: Size
    length: Size
    height: Size
    keep_clear: Height | None = None
    material: Name | None = None


class CanLightFile(Part):
    name: Name
    kind: Literal["can light"]
    at: PlanPlace
    cutout: Size
    body: Size | None = None
    keep_clear: Height | None = None


class BuiltInFile(PlanPlace):
    """What stands on the floor; a fireplace goes up to the ceiling where no height is given."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "from_left")

    name: Name
    kind: Literal["fireplace", "half wall", "counter"]
    width: Size
    length: Size
    height: Size | None = None
    keep_clear: Height | None = None
    material: Name | None = None

    @model_validator(mode="after")
    def _has_height(self) -> BuiltInFile:
        if self.height is None and self.kind != "fireplace":
            raise ValueError("needs `height`")
        return self


class ColumnFile(Part):
    """A column round its center; it goes up to the ceiling where no height is given."""

    name: Name
    kind: Literal["column"]
    at: PlanPlace
    diameter: Size | None = None
    width: Size | None = None
    length: Size | None = None
    height: Size | None = None
    keep_clear: Height | None = None
    material: Name | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> ColumnFile:
        sides = (self.width is not None, self.length is not None)
        if (self.diameter is not None) == all(sides) or (self.diameter is not None and any(sides)):
            raise ValueError("needs diameter, or width and length")
        return self


class BeamFile(Part):
    """A beam by its center line: level where `bottom` is given, else following the ceiling it hangs under."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "runs", "center_from_left")

    name: Name
    kind: Literal["beam"]
    runs: Literal["front-to-back", "side-to-side"] | None = None
    center_from_left: Length | None = None
    center_from_right: Length | None = None
    center_from_center: Length | None = None
    center_from_front: Length | None = None
    center_from_rear: Length | None = None
    between: Annotated[list[PlanPoint], Field(min_length=2, max_length=2)] | None = None
    width: Size
    depth: Size | None = None
    bottom: Height | None = None
    spacing: Size | None = None
    count: Count = 1
    keep_clear: Height | None = None
    material: Name | None = None

    @model_validator(mode="after")
    def _placed_once(self) -> BeamFile:
        said = given_center(self)
        if (self.between is not None) == (self.runs is not None):
            raise ValueError("needs runs, or between: [[left, front], [left, front]] for its two ends, and not both")
        keys = FROM_SIDE if self.runs == "front-to-back" else FROM_END
        if self.runs and (len(said) != 1 or not set(said) <= set(keys)):
            named = ", ".join(f"center_{key}" for key in keys)
            raise ValueError(f"a beam that runs {self.runs} needs one of {named}, and nothing else")
        if self.between is not None and (said or self.count > 1):
            raise ValueError("between gives its place; leave out center_from_left, count and the like")
        if self.depth is None and self.bottom is None:
            raise ValueError("needs depth (it then follows the ceiling) or bottom (it is then level), or both")
        if (self.spacing is None) != (self.count == 1):
            raise ValueError("needs spacing and count together")
        if self.spacing is not None and self.spacing <= self.width:
            raise ValueError("the spacing must be more than the width of a beam")
        return self


class MountedFile(WallPlace):
    """What is set into or on a ceiling (`at`) or a wall (`wall`, a distance along it, `height` of its center)."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "at")

    name: Name
    kind: Literal["vent", "detector", "sprinkler"]
    at: PlanPlace | None = None
    height: Height | None = None
    size: TwoSizes | None = None
    diameter: Size | None = None
    keep_clear: Height | None = None

    @property
    def across(self) -> float:
        """Its diameter; that of an ordinary one where none is given. Common practice, no source."""
        return self.diameter or USUAL_ACROSS.get(self.kind, 0.0)

    @model_validator(mode="after")
    def _one_place_one_size(self) -> MountedFile:
        on_wall = [key for key in WallPlace.model_fields if getattr(self, key) is not None]
        if self.at is not None and (on_wall or self.height is not None):
            raise ValueError("needs at: {...} in a ceiling, or wall, one distance along it and height, and not both")
        if self.at is None and (self.wall is None or self.height is None):
            raise ValueError("needs at: {from_left: ..., from_front: ...}; on a wall, wall, one distance and height")
        if self.size is not None and self.kind != "vent":
            raise ValueError(f"a {self.kind} is round: give its diameter, or leave it out")
        if self.size is not None and self.diameter is not None:
            raise ValueError("give size or diameter, not both")
        if self.size is None and self.across == 0:
            raise ValueError("needs size, such as 6in x 12in, or diameter")
        return self


class FanFile(Part):
    """A ceiling fan: `blades` across, and `drop` from the ceiling down to them."""

    name: Name
    kind: Literal["fan"]
    at: PlanPlace
    blades: Size
    drop: Size
    canopy: Size = 6 * INCH
    keep_clear: Height | None = None


class PendantFile(Part):
    """A hanging light: `drop` from the ceiling to the bottom of its shade."""

    name: Name
    kind: Literal["pendant"]
    at: PlanPlace
    drop: Size
    diameter: Size
    height: Size
    canopy: Size = 5 * INCH
    keep_clear: Height | None = None


FixtureFile = Annotated[
    BoxFile | CanLightFile | BuiltInFile | ColumnFile | BeamFile | MountedFile | FanFile | PendantFile,
    Field(discriminator="kind"),
]


class OpeningFile(WallPlace):
    """A door or window in a wall; with `wall: ceiling`, a hatch or a flush skylight, its sizes taped on the ceiling."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "wall", "from_left")

    name: Name
    wall: Name
    width: Size
    sill: Height | None = None
    height: Size | None = None
    length: Size | None = None
    material: Name | None = None

    @model_validator(mode="after")
    def _in_wall_or_ceiling(self) -> OpeningFile:
        in_ceiling = self.wall == "ceiling"
        needed, unfit = (("length",), ("sill", "height", "along")) if in_ceiling else (("sill", "height"), ("length",))
        for key in needed:
            if getattr(self, key) is None:
                raise ValueError(f"needs `{key}`")
        for key in unfit:
            if getattr(self, key) is not None:
                raise ValueError(f"`{key}` means nothing in a {'ceiling' if in_ceiling else 'wall'}; leave it out")
        return self


PLACE_KEYS = (*WallPlace.model_fields, *(f"center_{key}" for key in (*FROM_SIDE, *FROM_END, "along")), "between")
"""Keys that say where something is, wherever they stand."""


FixtureTypeFile = Annotated[dict[str, Any], template_of(FixtureFile, place=PlanPlace, place_keys=PLACE_KEYS)]
