"""Keys of the wiring: the rack, slack, cables on the truck, where a drill reaches, runs besides speakers', routes."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from earshed.model.scene_file.fields import (
    Celsius,
    Count,
    Height,
    LossLimit,
    Name,
    Ohms,
    Part,
    Percent,
    Size,
    SpoolLength,
    WireSize,
)
from earshed.model.scene_file.schema_places import PlanPlace, WallPlace
from earshed.model.wiring.spec import Access, CableKind

MOST_POINTS = 100


class FacePlaceFile(WallPlace):
    """A place on a face: `at` in the ceiling over it or the floor under it; in a wall a distance along it, `height`."""

    usual_keys: ClassVar[tuple[str, ...]] = ("wall", "from_left", "height")

    at: PlanPlace | None = None
    height: Height | None = None
    surface: Literal["ceiling", "floor"] | None = None

    @model_validator(mode="after")
    def _one_place(self) -> FacePlaceFile:
        if not self._on_wall() and not self._at():
            raise ValueError(
                "needs at: {from_left: ..., from_front: ...}, with surface: floor if it is there; on a wall, wall, one "
                "distance and height"
            )
        return self

    def _on_wall(self) -> bool:
        return self.wall is not None and self.height is not None and self.at is None and self.surface is None

    def _at(self) -> bool:
        taped = [getattr(self, key) for key in (*PlanPlace.model_fields, "wall", "along", "height")]
        return self.at is not None and all(value is None for value in taped)


class RackFile(WallPlace):
    usual_keys: ClassVar[tuple[str, ...]] = ("wall", "from_left", "height")

    at: PlanPlace | None = None
    height: Height
    beyond: Height = 0.0

    @model_validator(mode="after")
    def _one_place(self) -> RackFile:
        taped = [getattr(self, key) for key in (*PlanPlace.model_fields, "wall", "along")]
        if (self.at is None) == (self.wall is None) or (self.at is not None and any(v is not None for v in taped)):
            raise ValueError("needs wall and one distance along it, or at: {from_left: ..., from_front: ...}")
        return self


class LoopsFile(Part):
    speaker: Height | None = None
    rack: Height | None = None


class CableFile(Part):
    usual_keys: ClassVar[tuple[str, ...]] = ("kind", "gauge", "spool")

    kind: CableKind
    gauge: WireSize | None = None
    conductors: Literal["2", "4"] | None = None
    copper: Literal["stranded", "solid"] | None = None
    spool: SpoolLength
    spools: Count | None = None
    diameter: Size | None = None

    @model_validator(mode="after")
    def _of_its_kind(self) -> CableFile:
        if self.kind == "speaker" and self.gauge is None:
            raise ValueError("needs `gauge`, such as 14 AWG or 2.5 mm2")
        if self.kind != "speaker" and (self.gauge, self.conductors, self.copper) != (None, None, None):
            raise ValueError("gauge, conductors and copper are asked of speaker cable alone")
        return self


class RunFile(FacePlaceFile):
    """A run besides those of the speakers, to a place or to a thing that the scene names."""

    usual_keys: ClassVar[tuple[str, ...]] = ("kind", "ends_at")

    kind: CableKind
    ends_at: Name | None = None
    starts_at: FacePlaceFile | None = None
    impedance: Ohms | None = None

    @model_validator(mode="after")
    def _one_place(self) -> RunFile:
        taped = [getattr(self, key) for key in FacePlaceFile.model_fields]
        if self.ends_at is None:
            if not self._on_wall() and not self._at():
                raise ValueError("needs ends_at: NAME, or a place: at: {...}; on a wall, wall, one distance and height")
        elif any(value is not None for value in taped):
            raise ValueError("give ends_at or a place, not both")
        if self.impedance is not None and self.kind != "speaker":
            raise ValueError("impedance is asked of a speaker run alone")
        return self


class WiringFile(Part):
    rack: RackFile | None = None
    loops: LoopsFile = LoopsFile()
    waste: Percent | None = None
    loss_limit: LossLimit | None = None
    temperature: Celsius | None = None
    cables: dict[Name, CableFile] = Field(default_factory=dict)
    access: dict[Name, Access] = Field(default_factory=dict)
    spares: dict[Name, RunFile] = Field(default_factory=dict)
    links: dict[Name, RunFile] = Field(default_factory=dict)
    routes: dict[Name, Annotated[list[FacePlaceFile], Field(min_length=1, max_length=MOST_POINTS)]] = Field(
        default_factory=dict
    )
    use: dict[Name, Name] = Field(default_factory=dict)
