"""Keys of what is behind the board: framing, members found on site, cavities, hidden things, old holes, clearances."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import BeforeValidator, Field, model_validator

from earshed.model.cavity import InsulationKind
from earshed.model.framing import Direction
from earshed.model.hidden import HiddenKind
from earshed.model.scene_file.fields import CutoutField, Flag, Height, Member, Name, OpenDepth, Part, Size, Sure
from earshed.model.scene_file.schema_places import PlanPlace, PlanPoint, WallPlace
from earshed.model.units import INCH

MOST_MEMBERS = 200
THICKEST_MEMBER = 10 * INCH
"""Metres between the edges of what is still one member, plies and all. Common practice, no source."""


class FoundMemberFile(Part):
    """A member found on site, taped like the first center of its run: by its middle, or by one edge or both."""

    usual_keys: ClassVar[tuple[str, ...]] = ("center", "sure")

    center: Height | None = None
    near_edge: Height | None = None
    far_edge: Height | None = None
    member: Member | None = None
    sure: Sure | None = None
    surface: Name | None = None

    @model_validator(mode="after")
    def _placed(self) -> FoundMemberFile:
        edges = (self.near_edge, self.far_edge)
        if (self.center is None) == (edges == (None, None)):
            raise ValueError("needs center, or near_edge, far_edge or both")
        if self.near_edge is not None and self.far_edge is not None:
            if self.far_edge <= self.near_edge:
                raise ValueError("the far edge must be past the near edge")
            if self.far_edge - self.near_edge > THICKEST_MEMBER:
                raise ValueError("its edges are more than 10 in apart, which is no member; check the tape")
            if self.member is not None:
                raise ValueError("both edges say how thick it is; leave member out")
        return self


class FramingFile(Part):
    name: Name
    surface: Name
    member: Member
    laid: Literal["on edge", "flat"] = "on edge"
    spacing: Size | None = None
    direction: Direction
    first_center: Height | None = None
    first_edge: Height | None = None
    members: Annotated[list[FoundMemberFile], Field(max_length=MOST_MEMBERS)] = Field(default_factory=list)
    tolerance: Height | None = None
    under: Name | None = None

    @model_validator(mode="after")
    def _placed(self) -> FramingFile:
        first = (self.first_center, self.first_edge)
        if None not in first:
            raise ValueError("give first_center or first_edge, not both")
        if self.spacing is None and not self.members:
            raise ValueError("needs `spacing`, or the members that were found")
        if self.spacing is None and first != (None, None):
            raise ValueError("the first member without a spacing is one that was found: put it under members")
        if self.spacing is not None and first == (None, None) and not self.members:
            raise ValueError("needs `first_center` (or first_edge)")
        return self


class InsulationFile(Part):
    """Insulation of a thickness, infinite where it fills the cavity; the key says of what."""

    batt: Size | None = None
    blown: Size | None = None
    foam: Size | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> InsulationFile:
        if sum(size is not None for size in (self.batt, self.blown, self.foam)) != 1:
            raise ValueError(INSULATION_WORDS)
        return self

    @property
    def kind_and_size(self) -> tuple[InsulationKind, float]:
        ((kind, size),) = ((kind, size) for kind in KINDS if (size := getattr(self, kind)) is not None)
        return kind, size


INSULATION_WORDS = "must be none, batt, blown or foam (filling the cavity), or with a thickness {batt: 3-1/2in}"
KINDS: tuple[InsulationKind, ...] = get_args(InsulationKind)


def _insulation(value: Any) -> Any:
    if value == "none":
        return None
    if value in KINDS:
        return InsulationFile.model_construct({value}, **{value: math.inf})
    if not isinstance(value, Mapping):
        raise ValueError(INSULATION_WORDS)
    return value


class CavityFile(Part):
    """What is behind a face: what is left out comes from the framing, or is not known."""

    usual_keys: ClassVar[tuple[str, ...]] = ("board", "insulation")

    depth: OpenDepth | None = None
    board: Size | None = None
    insulation: Annotated[InsulationFile | None, BeforeValidator(_insulation)] = None
    vent_gap: Height | None = None


class KeepOutFile(WallPlace):
    """Something behind the board: round (`at`, diameter), a run (between, width), or a patch by its near corner."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "at", "diameter")

    name: Name
    kind: HiddenKind
    at: PlanPlace | None = None
    diameter: Size | None = None
    between: Annotated[list[PlanPoint], Field(min_length=2, max_length=2)] | None = None
    width: Size | None = None
    length: Size | None = None
    height: Height | None = None
    bottom: Height | None = None
    whole_bay: Flag = False
    keep_clear: Height | None = None
    sure: Sure | None = None
    behind: Size | None = None

    @model_validator(mode="after")
    def _one_shape(self) -> KeepOutFile:
        on_wall = self.wall is not None
        corner = any(getattr(self, key) is not None for key in PlanPlace.model_fields)
        if self.between is not None:
            if self.width is None or self.length or self.diameter or self.at or corner or on_wall:
                raise ValueError("between: [[left, front], [left, front]] needs width, and nothing else of its place")
        elif self.diameter is not None:
            if self.width or self.length or (not on_wall and (self.at is None or corner)):
                raise ValueError("a round one needs at and diameter; on a wall, wall, one distance along it and height")
        elif on_wall:
            if self.width is None or self.height is None or self.bottom is None or self.length:
                raise ValueError("a patch of a wall needs wall, one distance along it, bottom, width and height")
        elif self.width is None or self.length is None or self.at is not None:
            raise ValueError(
                "needs at and diameter, or between and width, or from_left, from_front, width and length of a patch"
            )
        return self


class ExistingHoleFile(WallPlace):
    """A hole that is there already, by its middle: in a ceiling (`at`), or a wall (a distance along it, `height`)."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "at", "cutout")

    name: Name
    at: PlanPlace | None = None
    height: Height | None = None
    cutout: CutoutField
    long_axis: Direction | None = None

    @model_validator(mode="after")
    def _one_place(self) -> ExistingHoleFile:
        if (self.at is None) != (self.wall is not None and self.height is not None):
            raise ValueError("needs at: {from_left: ..., from_front: ...}; on a wall, wall, one distance and height")
        return self
