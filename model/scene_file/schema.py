"""The scene file's keys: what may stand where, and of what kind. Lengths come out in metres, angles in radians."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from earshed.model.scene_file.fields import (
    BOOLEANS,
    Aspect,
    ClearanceKind,
    Flag,
    Height,
    Length,
    Member,
    Name,
    Part,
    Size,
    Words,
)
from earshed.model.scene_file.schema_fixtures import FixtureFile, FixtureTypeFile, OpeningFile
from earshed.model.scene_file.schema_framing import CavityFile, ExistingHoleFile, FramingFile, KeepOutFile
from earshed.model.scene_file.schema_letterhead import LetterheadFile
from earshed.model.scene_file.schema_materials import MaterialFile
from earshed.model.scene_file.schema_places import PlanPlace
from earshed.model.scene_file.schema_room import RoomFile
from earshed.model.scene_file.schema_speakers import SpeakerFile, SpeakerTypeFile
from earshed.model.scene_file.schema_wiring import WiringFile
from earshed.model.units import BareUnit, PrintUnits

MOST_THINGS = 1000
MOST_SEATS = 200


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
    transparent: Flag = False
    material: Name | None = None

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
    back_height: Size | None = None
    main: Flag = False
    reclined: Annotated[ReclinedFile | None, BeforeValidator(_reclined)] = None


class RiserFile(PlanPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "from_left", "from_front")

    name: Name
    width: Size
    length: Size
    height: Size
    material: Name | None = None


class ListeningPlaneFile(Part):
    height: Size | None = None
    step: Size | None = None


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
    cavities: dict[Name, CavityFile] = Field(default_factory=dict)
    materials: dict[Name, MaterialFile] = Field(default_factory=dict)
    surfaces: dict[Name, Name] = Field(default_factory=dict)
    keep_outs: Annotated[list[KeepOutFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    existing_holes: Annotated[list[ExistingHoleFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    clearances: dict[ClearanceKind, Height] = Field(default_factory=dict)
    fixture_types: dict[Name, FixtureTypeFile] = Field(default_factory=dict)
    fixtures: Annotated[list[FixtureFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    openings: Annotated[list[OpeningFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    system: Literal["A", "B", "C", "D", "E", "F", "G", "H", "I", "J"] | None = None
    screen: ScreenFile | None = None
    seats: Annotated[list[SeatFile], Field(max_length=MOST_SEATS)] = Field(default_factory=list)
    risers: Annotated[list[RiserFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    speaker_types: dict[Name, SpeakerTypeFile] = Field(default_factory=dict)
    speakers: Annotated[list[SpeakerFile], Field(max_length=MOST_THINGS)] = Field(default_factory=list)
    listening_plane: ListeningPlaneFile | None = None
    wiring: WiringFile | None = None
    letterhead: LetterheadFile | None = None
    based_on: None = None  # makes the file an overlay instead; named here for the list of keys
    schemes: None = None  # laid over the rest before it is read; named here for the list of keys
