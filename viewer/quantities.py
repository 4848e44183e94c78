"""What can be mapped, and the pictures that `earshed map` makes of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from earshed.model.coverage_map import CoverageMap
from earshed.model.pairs import Pair, best_of_seats
from earshed.model.scene import Scene
from earshed.model.sound.balance import balances
from earshed.model.sound.bands import Bands
from earshed.model.sound.level import Drive
from earshed.model.sound.plane_levels import PlaneLevels, plane_levels
from earshed.model.speaker import Speaker
from earshed.viewer.level_page import level_page, spread_page
from earshed.viewer.map_axes import MapSheet
from earshed.viewer.map_page import set_page, speaker_page
from earshed.viewer.output import OutputError, file_names
from earshed.viewer.shadow_page import shadow_page, shadows_page

Quantity = Literal["off-axis", "level", "spread", "shadow"]
QUANTITIES: tuple[Quantity, ...] = ("off-axis", "level", "spread", "shadow")
MOST_LEVELS = 250_000_000
"""Levels of a map, over all points, speakers and bands: a gigabyte."""


@dataclass(frozen=True)
class Asked:
    """Which quantity is to be drawn, and of level and spread in which of some bands."""

    quantity: Quantity
    bands: Bands
    band: int

    @property
    def of_levels(self) -> bool:
        return self.quantity in ("level", "spread")

    def files(self, speakers: Sequence[Speaker], folder: Path) -> dict[str, Path]:
        """The pictures by speaker, and by "" the one of the set."""
        band = self.bands.names[self.band].replace(" ", "")
        stems = file_names([speaker.name for speaker in speakers])
        match self.quantity:
            case "off-axis":
                return {
                    **{name: folder / f"speaker-{stem}.png" for name, stem in stems.items()},
                    "": folder / "set.png",
                }
            case "level":
                return {name: folder / f"level-{stem}-{band}.png" for name, stem in stems.items()}
            case "spread":
                return {"": folder / f"spread-{band}.png"}
            case "shadow":
                each = {name: folder / f"shadow-{stem}.png" for name, stem in stems.items()}
                return {**each, "": folder / "shadow.png"}


@dataclass(frozen=True, eq=False)
class Found:
    """What maps are drawn of: `pairs` are those of the speakers that are mapped; `levels` are None where there would be
    too many of them."""

    sheet: MapSheet
    cover: CoverageMap
    pairs: Sequence[Pair]
    levels: PlaneLevels | None

    def of(self, speaker: Speaker) -> list[Pair]:
        return [pair for pair in self.pairs if pair.speaker is speaker]


def levels_of(cover: CoverageMap, scene: Scene, asked: Asked) -> PlaneLevels | None:
    """The levels of the speakers of a map at the volts that sensitivities are for; None where the plane has too many
    points for them. Raises OutputError where they are what is asked for."""
    count = cover.plane.inside.size * len(cover.speakers) * len(asked.bands)
    if count <= MOST_LEVELS:
        return plane_levels(scene, cover.plane, cover.speakers, Drive(), asked.bands)
    if asked.of_levels:
        step = cover.plane.step * (count / MOST_LEVELS) ** 0.5
        raise OutputError(
            f"{count:,} levels are too many at once, at most {MOST_LEVELS:,}: say fewer by --speaker, or set "
            f"listening_plane step to {step * 1000:.0f}mm or more"
        )
    return None


def pages(asked: Asked, found: Found) -> Iterator[tuple[str, bytes]]:
    """Each picture by the name that `Asked.files` has for it."""
    sheet, cover = found.sheet, found.cover
    match asked.quantity:
        case "off-axis":
            for speaker in cover.speakers:
                yield speaker.name, speaker_page(sheet, cover, speaker, found.of(speaker))
            yield "", set_page(sheet, cover, best_of_seats(found.pairs))
        case "shadow":
            for speaker in cover.speakers:
                yield speaker.name, shadow_page(sheet, cover, speaker, found.of(speaker))
            yield "", shadows_page(sheet, cover, best_of_seats(found.pairs))
        case "level" | "spread":
            yield from _level_pages(asked, found)


def _level_pages(asked: Asked, found: Found) -> Iterator[tuple[str, bytes]]:
    sheet, cover, levels = found.sheet, found.cover, found.levels
    assert levels is not None
    heard = [one for one in balances(sheet.scene, Drive(), bands=asked.bands) if one.speaker in cover.speakers]
    if asked.quantity == "spread":
        yield "", spread_page(sheet, levels, heard, asked.band)
        return
    for number, (speaker, balance) in enumerate(zip(cover.speakers, heard, strict=True)):
        hidden = cover.plane.inside & ~cover.visible[number]
        yield speaker.name, level_page(sheet, levels, speaker, balance, asked.band, hidden)
