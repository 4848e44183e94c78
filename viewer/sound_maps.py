"""Maps of level and of spread: the files that `earshed map` writes of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from earshed.model.coverage_map import CoverageMap
from earshed.model.sound.balance import Balance, balances
from earshed.model.sound.bands import OCTAVES, band_name
from earshed.model.sound.level import Drive
from earshed.model.sound.plane_levels import PlaneLevels, plane_levels
from earshed.viewer.level_page import level_page, spread_page
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.output import OutputError, file_names

Quantity = Literal["off-axis", "level", "spread"]
QUANTITIES: tuple[Quantity, ...] = ("off-axis", "level", "spread")
BANDS = {band_name(hz).replace(" Hz", "").replace(" kHz", "k"): index for index, hz in enumerate(OCTAVES.nominal)}
"""Octaves by what one types: 125 to 16k."""
MOST_LEVELS = 250_000_000
"""Levels of a map, over all points, speakers and bands: a gigabyte."""


@dataclass(frozen=True)
class SoundMap:
    """What is asked of a map of sound."""

    quantity: Quantity
    band: int


def sound_files(asked: SoundMap, cover: CoverageMap, folder: Path) -> dict[str, Path]:
    """The pictures that are asked for, by speaker, or one of the set."""
    band = OCTAVES.names[asked.band].replace(" ", "")
    if asked.quantity == "spread":
        return {"": folder / f"spread-{band}.png"}
    stems = file_names([speaker.name for speaker in cover.speakers])
    return {name: folder / f"level-{stem}-{band}.png" for name, stem in stems.items()}


def levels_of(sheet: MapSheet, cover: CoverageMap) -> tuple[PlaneLevels, list[Balance]]:
    """The levels of the speakers of a map, over the plane and at the seats, at the volts that sensitivities are for.
    Raises OutputError for a plane of too many points."""
    count = cover.plane.inside.size * len(cover.speakers) * len(OCTAVES)
    if count > MOST_LEVELS:
        step = cover.plane.step * (count / MOST_LEVELS) ** 0.5
        raise OutputError(
            f"{count:,} levels are too many at once, at most {MOST_LEVELS:,}: say fewer by --speaker, or set "
            f"listening_plane step to {step * 1000:.0f}mm or more"
        )
    found = plane_levels(sheet.scene, cover.plane, cover.speakers, Drive())
    heard = [one for one in balances(sheet.scene, Drive()) if any(one.speaker is mine for mine in cover.speakers)]
    return found, heard


def sound_pages(
    asked: SoundMap, sheet: MapSheet, cover: CoverageMap, found: PlaneLevels, heard: list[Balance]
) -> Iterator[tuple[str, bytes]]:
    """Each picture by the name that `sound_files` has for it."""
    if asked.quantity == "spread":
        yield "", spread_page(sheet, found, heard, asked.band)
        return
    for number, (speaker, balance) in enumerate(zip(cover.speakers, heard, strict=True)):
        hidden = cover.plane.inside & ~cover.visible[number]
        yield speaker.name, level_page(sheet, found, speaker, balance, asked.band, hidden)
