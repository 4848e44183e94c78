"""Keys of speaker types, and of speakers in their places."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, model_validator

from earshed.model.framing import Direction
from earshed.model.scene_file.fields import (
    AimingField,
    Angle,
    Azimuths,
    Band,
    Count,
    CoverageAngle,
    CutoutField,
    Elevations,
    Flag,
    Length,
    Name,
    Ohms,
    Part,
    Size,
)
from earshed.model.scene_file.schema_measured import MeasuredFile
from earshed.model.scene_file.schema_places import WallPlace
from earshed.model.scene_file.schema_sound import (
    Crossover,
    DirectivityFile,
    MaxLevel,
    Power,
    SensitivityFile,
    read_directivity,
    read_sensitivity,
)
from earshed.model.speaker_type import Cutout, Fixed, Rectangular, Round
from earshed.model.units import INCH


class CoverageFile(Part):
    angle: CoverageAngle
    band: Band | None = None


class CabinetFile(Part):
    width: Size
    height: Size
    depth: Size


LONGEST_REACH = 6 * INCH
"""Metres past the edge of a cut-out. Common practice, no source."""


class ClampsFile(Part):
    """Clamps round a hole: how many, how far past its edge, and where the first one stands; or only what they hold."""

    count: Count | None = None
    reach: Size | None = None
    first: Angle = 0.0
    thinnest: Size | None = None
    thickest: Size | None = None

    @model_validator(mode="after")
    def _fits_together(self) -> ClampsFile:
        if (self.count is None) != (self.reach is None):
            raise ValueError("count and reach go together, since where clamps land takes both")
        if self.count is None and (self.first or (self.thinnest is None and self.thickest is None)):
            raise ValueError("needs count and reach, or thinnest or thickest, the boards that they hold")
        if self.reach is not None and self.reach > LONGEST_REACH:
            raise ValueError("a reach of more than 6 in is no clamp's; it is from the edge of the cut-out")
        if self.thinnest is not None and self.thickest is not None and self.thinnest > self.thickest:
            raise ValueError("the thinnest board must be at most as thick as thickest says")
        return self


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
    depth_from: Literal["face", "back"] | None = None
    clamps: ClampsFile | None = None
    impedance: Ohms | None = None
    directivity: Annotated[DirectivityFile | None, BeforeValidator(read_directivity)] = None
    steers: Literal["whole", "tweeter"] = "whole"
    crossover: Crossover | None = None
    sensitivity: Annotated[SensitivityFile, BeforeValidator(read_sensitivity)] | None = None
    max_level: MaxLevel | None = None
    power: Power | None = None

    @model_validator(mode="after")
    def _fits_together(self) -> SpeakerTypeFile:
        if self.coverage is None and not self.subwoofer:
            raise ValueError("needs coverage, the full angle between its -6 dB directions (or subwoofer: true)")
        if self.cutout and self.bezel and not _hides(self.bezel, self.cutout):
            raise ValueError("the bezel must be at least as wide as the cutout that it hides, and of its shape")
        self._hands_over()
        return self

    def _hands_over(self) -> None:
        """Raises ValueError where what is steered, and from which frequency up, does not fit together."""
        piston = self.directivity.piston if self.directivity else None
        inside = piston.crossover if piston else None
        if piston is not None and self.crossover is not None:
            raise ValueError("crossover stands under piston, with tweeter, where the drivers' sizes are said")
        if self.steers == "whole":
            return
        if isinstance(self.aiming, Fixed):
            raise ValueError("steers: tweeter is for an angled or a pivoting type; a fixed one steers nothing")
        if self.crossover is None and inside is None:
            raise ValueError("steers: tweeter needs crossover, from where up the tweeter plays, such as 2.5kHz")


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


class WindowFile(Part):
    azimuth: Azimuths | None = None
    elevation: Elevations | None = None

    @model_validator(mode="after")
    def _says_something(self) -> WindowFile:
        if self.azimuth is None and self.elevation is None:
            raise ValueError("needs azimuth, elevation or both, such as {azimuth: 30..45, elevation: 30..55}")
        return self


def _aim(value: Any) -> Any:
    if value == "none":
        return None
    if isinstance(value, str):
        raise ValueError(f"{value} must be none, {{tilt: ANGLE, toward: HEADING}}, {{seat: NAME}} or {{seats: main}}")
    return value


def _no_axis(value: Any) -> Any:
    return None if value == "none" else value


class SpeakerFile(WallPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("name", "type", "at")

    name: Name
    type: Name
    channel: Name | None = None
    at: WallPlace | None = None
    height: Length | None = None
    faces: Name | None = None
    long_axis: Annotated[Direction | None, BeforeValidator(_no_axis)] = None
    aim: Annotated[AimFile | None, BeforeValidator(_aim)] = None
    window: WindowFile | None = None
    measured: MeasuredFile | None = None
