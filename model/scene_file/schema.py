"""The scene file's keys: what may stand where, and of what kind. Lengths come out in metres, angles in radians."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from earshed.model.scene_file.fields import (
    AimingField,
    Angle,
    Aspect,
    Band,
    CoverageAngle,
    Flag,
    Height,
    Length,
    Member,
    Name,
    Part,
    Pitch,
    Size,
    Words,
)
from earshed.model.units import BareUnit, PrintUnits

MOST_CORNERS = 100
MOST_PLANES = 40
MOST_THINGS = 1000
MOST_SEATS = 200

FROM_SIDE = ("from_left", "from_right", "from_center")
FROM_END = ("from_front", "from_rear")


class PlanPlace(Part):
    """A place on the plan: one distance from a side and one from an end, or from a datum."""

    usual_keys: ClassVar[tuple[str, ...]] = ("from_left", "from_front")

    from_left: Length | None = None
    from_right: Length | None = None
    from_center: Length | None = None
    from_front: Length | None = None
    from_rear: Length | None = None
    datum: Name | None = None
    right: Length | None = None
    back: Length | None = None


class WallPlace(PlanPlace):
    """A place along a wall: one distance from a side, an end or, in an outline, the wall's first corner."""

    wall: Name | None = None
    along: Length | None = None


class FlatFile(Part):
    shape: Literal["flat"]
    height: Size


class ShedFile(Part):
    shape: Literal["shed"]
    low: Height
    high: Size | None = None
    pitch: Pitch | None = None
    rises: Literal["left", "right", "front", "rear"]

    @model_validator(mode="after")
    def _one_height(self) -> ShedFile:
        _either(self.high, self.pitch, "high", "pitch")
        return self


class GableFile(Part):
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


class HipFile(Part):
    shape: Literal["hip"]
    low: Height
    peak: Size | None = None
    pitch: Pitch | None = None

    @model_validator(mode="after")
    def _one_height(self) -> HipFile:
        _either(self.peak, self.pitch, "peak", "pitch")
        return self


class TrayFile(Part):
    shape: Literal["tray"]
    height: Size
    rise: Size
    inset: Size
    run: Height = 0.0


def _either(first: object, second: object, first_key: str, second_key: str) -> None:
    """Raises ValueError unless one of two keys is given, and not both."""
    if (first is None) == (second is None):
        raise ValueError(f"needs `{first_key}` or `{second_key}`, and not both")


PlanPoint = Annotated[list[Length], Field(min_length=2, max_length=2)]
SpacePoint = Annotated[list[Length], Field(min_length=3, max_length=3)]


class PlanesFile(Part):
    shape: Literal["planes"]
    planes: Annotated[
        list[Annotated[list[SpacePoint], Field(min_length=3, max_length=3)]],
        Field(min_length=1, max_length=MOST_PLANES),
    ]


CeilingFile = Annotated[FlatFile | ShedFile | GableFile | HipFile | TrayFile | PlanesFile, Field(discriminator="shape")]


class ZoneFile(PlanPlace):
    """A part of the plan under a ceiling of its own: a rectangle by its left, front corner, or an outline."""

    usual_keys: ClassVar[tuple[str, ...]] = ("name", "from_left", "ceiling")

    name: Name
    width: Size | None = None
    length: Size | None = None
    outline: Annotated[list[PlanPoint], Field(min_length=3, max_length=MOST_CORNERS)] | None = None
    ceiling: CeilingFile

    @model_validator(mode="after")
    def _rectangle_or_outline(self) -> ZoneFile:
        _rectangle_or_outline(self.width, self.length, self.outline)
        return self


class RoomFile(Part):
    width: Size | None = None
    length: Size | None = None
    outline: Annotated[list[PlanPoint], Field(min_length=3, max_length=MOST_CORNERS)] | None = None
    ceiling: CeilingFile

    zones: Annotated[list[ZoneFile], Field(max_length=MOST_PLANES)] = Field(default_factory=list)

    @model_validator(mode="after")
    def _rectangle_or_outline(self) -> RoomFile:
        _rectangle_or_outline(self.width, self.length, self.outline)
        return self


def _rectangle_or_outline(width: float | None, length: float | None, outline: object) -> None:
    """Raises ValueError unless a plan is given as two sizes or as corners, and not both."""
    sizes = (width is not None, length is not None)
    if outline is not None and any(sizes):
        raise ValueError("give either width and length, or outline, not both")
    if outline is None and not all(sizes):
        raise ValueError("needs width and length, or an outline")


class FramingFile(Part):
    name: Name
    surface: Name
    member: Member
    spacing: Size
    direction: Literal["front-to-back", "side-to-side", "up-slope", "level"]
    first_center: Height


class BoxFile(PlanPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "kind", "from_left")

    name: Name
    kind: Literal["box"]
    bottom: Height
    width: Size
    length: Size
    height: Size


class CanLightFile(Part):
    name: Name
    kind: Literal["can light"]
    at: PlanPlace
    cutout: Size
    body: Size | None = None


FixtureFile = Annotated[BoxFile | CanLightFile, Field(discriminator="kind")]


class OpeningFile(WallPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "wall", "from_left")

    name: Name
    wall: Name
    sill: Height
    width: Size
    height: Size


class ScreenFile(Part):
    wall: Name
    diagonal: Size | None = None
    width: Size | None = None
    aspect: Aspect = 16 / 9
    center_from_left: Length | None = None
    center_from_right: Length | None = None
    center_from_center: Length | None = None
    center_from_front: Length | None = None
    center_from_rear: Length | None = None
    center_along: Length | None = None
    bottom: Height

    @model_validator(mode="after")
    def _one_size(self) -> ScreenFile:
        if (self.diagonal is None) == (self.width is None):
            raise ValueError("needs diagonal or width, and not both")
        return self


class SeatFile(Part):
    name: Name
    at: PlanPlace
    ear_height: Size
    main: Flag = False


class RiserFile(PlanPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "from_left", "from_front")

    name: Name
    width: Size
    length: Size
    height: Size


class CoverageFile(Part):
    angle: CoverageAngle
    band: Band | None = None


class CabinetFile(Part):
    width: Size
    height: Size
    depth: Size


def _coverage(value: Any) -> Any:
    return {"angle": value} if isinstance(value, str) else value


class SpeakerTypeFile(Part):
    mount: Literal["in-ceiling", "in-wall", "stand", "on-surface"]
    aiming: AimingField
    coverage: Annotated[CoverageFile, BeforeValidator(_coverage)] | None = None
    cutout: Size | None = None
    bezel: Size | None = None
    mounting_depth: Size | None = None
    size: CabinetFile | None = None
    subwoofer: Flag = False

    @model_validator(mode="after")
    def _fits_together(self) -> SpeakerTypeFile:
        if self.coverage is None and not self.subwoofer:
            raise ValueError("needs coverage, the full angle between its -6 dB directions (or subwoofer: true)")
        if self.cutout and self.bezel and self.bezel < self.cutout:
            raise ValueError("the bezel must be at least as wide as the cutout that it hides")
        return self


class AimFile(Part):
    tilt: Angle | None = None
    toward: Name | None = None
    seat: Name | None = None
    seats: Literal["main", "all"] | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> AimFile:
        kinds = [self.toward is not None or self.tilt is not None, self.seat is not None, self.seats is not None]
        if sum(kinds) != 1 or (kinds[0] and self.toward is None):
            raise ValueError("must be none, {tilt: ANGLE, toward: HEADING}, {seat: NAME} or {seats: main} (or all)")
        return self


def _aim(value: Any) -> Any:
    if value == "none":
        return None
    if isinstance(value, str):
        raise ValueError(f"{value} must be none, {{tilt: ANGLE, toward: HEADING}}, {{seat: NAME}} or {{seats: main}}")
    return value


class SpeakerFile(WallPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "type", "at")

    name: Name
    type: Name
    channel: Name | None = None
    at: WallPlace | None = None
    height: Length | None = None
    faces: Name | None = None
    aim: Annotated[AimFile | None, BeforeValidator(_aim)] = None


class ListeningPlaneFile(Part):
    height: Size | None = None
    step: Size | None = None


class SceneFile(Part):
    format: Literal["1"]
    title: Words
    print_units: PrintUnits = "ft-in"
    bare_lengths: BareUnit | None = None
    room: RoomFile
    datums: dict[Name, PlanPlace] = Field(default_factory=dict)
    framing: Annotated[list[FramingFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    fixtures: Annotated[list[FixtureFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    openings: Annotated[list[OpeningFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    screen: ScreenFile | None = None
    seats: Annotated[list[SeatFile], Field(max_length=MOST_SEATS)] = Field(default_factory=list)
    risers: Annotated[list[RiserFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    speaker_types: dict[Name, SpeakerTypeFile] = Field(default_factory=dict)
    speakers: Annotated[list[SpeakerFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    listening_plane: ListeningPlaneFile | None = None
    schemes: None = None  # laid over the rest before it is read; named here for the list of keys
