"""Keys of the room: its plan, its ceilings, zones and soffits."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from earshed.model.scene_file.fields import (
    RIGHT_ANGLE,
    Flag,
    Height,
    Name,
    Part,
    Pitch,
    Size,
    Turn,
    TwoSizes,
    read_finish,
)
from earshed.model.scene_file.schema_places import MOST_CORNERS, PlanPlace, PlanPoint, SpacePoint

MOST_PLANES = 40
MOST_DIAGONALS = 200


class TilesFile(Part):
    """Tiles in a grid: their size left to right by front to back, and the first grid lines from the walls."""

    tiles: TwoSizes
    from_left: Height = 0.0
    from_front: Height = 0.0


class CeilingPart(Part):
    finish: Annotated[
        Annotated[Literal["board", "deck"], Tag("word")] | Annotated[TilesFile, Tag("grid")],
        Discriminator(lambda value: "grid" if isinstance(value, dict) else "word"),
        BeforeValidator(read_finish),
    ] = "board"


class FlatFile(CeilingPart):
    shape: Literal["flat"]
    height: Size


class ShedFile(CeilingPart):
    shape: Literal["shed"]
    low: Height
    high: Size | None = None
    pitch: Pitch | None = None
    rises: Literal["left", "right", "front", "rear"]

    @model_validator(mode="after")
    def _one_height(self) -> ShedFile:
        _either(self.high, self.pitch, "high", "pitch")
        return self


class GableFile(CeilingPart):
    shape: Literal["gable"]
    ridge: Literal["front-to-back", "side-to-side"]
    low: Height
    peak: Size | None = None
    pitch: Pitch | None = None
    ridge_at: Size | None = None
    far_low: Height | None = None
    flat_top: Size | None = None

    @model_validator(mode="after")
    def _one_height(self) -> GableFile:
        _either(self.peak, self.pitch, "peak", "pitch")
        return self


class HipFile(CeilingPart):
    shape: Literal["hip"]
    low: Height
    peak: Size | None = None
    pitch: Pitch | None = None

    @model_validator(mode="after")
    def _one_height(self) -> HipFile:
        _either(self.peak, self.pitch, "peak", "pitch")
        return self


class TrayFile(CeilingPart):
    shape: Literal["tray"]
    height: Size
    rise: Size
    inset: Size
    run: Height = 0.0


def _either(first: object, second: object, first_key: str, second_key: str) -> None:
    """Raises ValueError unless one of two keys is given, and not both."""
    if (first is None) == (second is None):
        raise ValueError(f"needs `{first_key}` or `{second_key}`, and not both")


class PlanesFile(CeilingPart):
    shape: Literal["planes"]
    planes: Annotated[
        list[Annotated[list[SpacePoint], Field(min_length=3, max_length=3)]],
        Field(min_length=1, max_length=MOST_PLANES),
    ]


class RaisedFile(CeilingPart):
    """The room's own ceiling lifted, as in a skylight's shaft."""

    shape: Literal["raised"]
    by: Size


CeilingFile = Annotated[
    FlatFile | ShedFile | GableFile | HipFile | TrayFile | PlanesFile | RaisedFile, Field(discriminator="shape")
]


class ZoneFile(PlanPlace):
    """A part of the plan under a ceiling of its own: a rectangle by its left, front corner, or an outline."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "from_left", "ceiling")

    name: Name
    width: Size | None = None
    length: Size | None = None
    outline: Annotated[list[PlanPoint], Field(min_length=3, max_length=MOST_CORNERS)] | None = None
    ceiling: CeilingFile
    projects: Flag = False

    @model_validator(mode="after")
    def _rectangle_or_outline(self) -> ZoneFile:
        _rectangle_or_outline(self.width, self.length, self.outline)
        return self


class SoffitFile(Part):
    """A dropped band along walls, or all round the room without `walls`."""

    name: Name
    walls: Annotated[list[Name], Field(min_length=1, max_length=MOST_CORNERS)] | None = None
    width: Size
    bottom: Size


class WalkedWallFile(Part):
    """One wall of a walk round the room, and the turn at its end."""

    usual_keys: ClassVar[tuple[str, ...]] = ("wall", "turn")

    wall: Size
    turn: Turn = RIGHT_ANGLE


class DiagonalFile(Part):
    """A distance taped across the room between two corners."""

    usual_keys: ClassVar[tuple[str, ...]] = ("from", "to", "length")

    start: Name = Field(alias="from")
    to: Name
    length: Size


class RoomFile(Part):
    width: Size | None = None
    length: Size | None = None
    outline: Annotated[list[PlanPoint], Field(min_length=3, max_length=MOST_CORNERS)] | None = None
    walk: Annotated[list[WalkedWallFile], Field(min_length=3, max_length=MOST_CORNERS)] | None = None
    diagonals: Annotated[list[DiagonalFile], Field(max_length=MOST_DIAGONALS)] = Field(default_factory=list)
    ceiling: CeilingFile

    zones: Annotated[list[ZoneFile], Field(max_length=MOST_PLANES)] = Field(default_factory=list)
    soffits: Annotated[list[SoffitFile], Field(max_length=MOST_PLANES)] = Field(default_factory=list)

    @model_validator(mode="after")
    def _some_plan(self) -> RoomFile:
        if self.walk is None and (self.width, self.length, self.outline) == (None, None, None):
            raise ValueError("needs width and length, an outline, or a walk")
        if self.walk is None:
            _rectangle_or_outline(self.width, self.length, self.outline)
        return self


def _rectangle_or_outline(width: float | None, length: float | None, outline: object) -> None:
    """Raises ValueError unless a plan is given as two sizes or as corners, and not both."""
    sizes = (width is not None, length is not None)
    if outline is not None and any(sizes):
        raise ValueError("give either width and length, or outline, not both")
    if outline is None and not all(sizes):
        raise ValueError("needs width and length, or an outline")
