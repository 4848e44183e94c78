"""The scene file's keys: what may stand where, and of what kind. Lengths come out in metres, angles in radians."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from earshed.model.framing import Direction
from earshed.model.scene_file.fields import (
    BOOLEANS,
    RIGHT_ANGLE,
    AimingField,
    Angle,
    Aspect,
    Band,
    Count,
    CoverageAngle,
    CutoutField,
    Flag,
    Height,
    Length,
    Member,
    Name,
    Part,
    Pitch,
    Size,
    Turn,
    TwoSizes,
    Words,
    read_finish,
)
from earshed.model.scene_file.templates import template_of
from earshed.model.speaker_type import Cutout, Rectangular, Round
from earshed.model.units import INCH, BareUnit, PrintUnits

MOST_CORNERS = 100
MOST_PLANES = 40
MOST_DIAGONALS = 200
MOST_THINGS = 1000
MOST_SEATS = 200

USUAL_ACROSS = {"detector": 5.5 * INCH, "sprinkler": 3 * INCH}
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


PlanPoint = Annotated[list[Length], Field(min_length=2, max_length=2)]
SpacePoint = Annotated[list[Length], Field(min_length=3, max_length=3)]


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


class FramingFile(Part):
    name: Name
    surface: Name
    member: Member
    spacing: Size
    direction: Direction
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


def given_center(entry: Part) -> dict[str, float]:
    """The distances of a center that were given, without their `center_`."""
    return {
        key.removeprefix("center_"): value for key, value in entry if key.startswith("center_") and value is not None
    }


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


class ReclinedFile(Part):
    """Where the ears of a reclined seat are, and how far back of the upright ones; what is left out is the usual."""

    ear_height: Size | None = None
    back: Height | None = None


def _reclined(value: Any) -> Any:
    if isinstance(value, str):
        if value.lower() not in BOOLEANS:
            said = f"{value} must be" if value else "is empty; it must be"
            raise ValueError(f"{said} true, false or {{ear_height: LENGTH, back: LENGTH}}")
        return {} if BOOLEANS[value.lower()] else None
    return value


class SeatFile(Part):
    name: Name
    at: PlanPlace
    ear_height: Size
    main: Flag = False
    reclined: Annotated[ReclinedFile | None, BeforeValidator(_reclined)] = None


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
    cutout: CutoutField | None = None
    bezel: CutoutField | None = None
    mounting_depth: Size | None = None
    size: CabinetFile | None = None
    subwoofer: Flag = False

    @model_validator(mode="after")
    def _fits_together(self) -> SpeakerTypeFile:
        if self.coverage is None and not self.subwoofer:
            raise ValueError("needs coverage, the full angle between its -6 dB directions (or subwoofer: true)")
        if self.cutout and self.bezel and not _hides(self.bezel, self.cutout):
            raise ValueError("the bezel must be at least as wide as the cutout that it hides, and of its shape")
        return self


def _hides(bezel: Cutout, cutout: Cutout) -> bool:
    if isinstance(bezel, Round) and isinstance(cutout, Round):
        return bezel.diameter >= cutout.diameter
    if isinstance(bezel, Rectangular) and isinstance(cutout, Rectangular):
        return bezel.short >= cutout.short and bezel.long >= cutout.long
    return False


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
    long_axis: Direction | None = None
    aim: Annotated[AimFile | None, BeforeValidator(_aim)] = None


class ListeningPlaneFile(Part):
    height: Size | None = None
    step: Size | None = None


PLACE_KEYS = (*WallPlace.model_fields, *(f"center_{key}" for key in (*FROM_SIDE, *FROM_END, "along")), "between")
"""Keys that say where something is, wherever they stand."""
FixtureTypeFile = Annotated[dict[str, Any], template_of(FixtureFile, place=PlanPlace, place_keys=PLACE_KEYS)]


class SceneFile(Part):
    format: Literal["1"]
    title: Words
    print_units: PrintUnits = "ft-in"
    bare_lengths: BareUnit | None = None
    catalogs: list[Name] = Field(default_factory=list)
    room: RoomFile
    datums: dict[Name, PlanPlace] = Field(default_factory=dict)
    members: dict[Name, Member] = Field(default_factory=dict)
    framing: Annotated[list[FramingFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    fixture_types: dict[Name, FixtureTypeFile] = Field(default_factory=dict)
    fixtures: Annotated[list[FixtureFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    openings: Annotated[list[OpeningFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    screen: ScreenFile | None = None
    seats: Annotated[list[SeatFile], Field(max_length=MOST_SEATS)] = Field(default_factory=list)
    risers: Annotated[list[RiserFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    speaker_types: dict[Name, SpeakerTypeFile] = Field(default_factory=dict)
    speakers: Annotated[list[SpeakerFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    listening_plane: ListeningPlaneFile | None = None
    based_on: None = None  # makes the file an overlay instead; named here for the list of keys
    schemes: None = None  # laid over the rest before it is read; named here for the list of keys
