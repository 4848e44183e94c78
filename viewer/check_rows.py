"""What `check` finds of directions, the picture and seats, as rows of words: for tables and sheets alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from earshed.model.direction_words import azimuth_range, azimuth_words, elevation_range, elevation_words
from earshed.model.directions import Directions
from earshed.model.picture_view import PictureView
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.speaker_window import fitting_system
from earshed.model.units import PrintUnits, format_angle, format_length
from earshed.viewer.wording import starred

PICTURE_HEADS = ("", "away", "wide", "high", "upper edge", "lower edge", "aside")


@dataclass(frozen=True)
class HeardRow:
    """From where a speaker is heard in the middle of the main seats, what is asked, and at how many of those seats it
    is inside."""

    name: str
    aside: str
    up: str
    asked_aside: str
    asked_up: str
    inside: bool
    seats: str

    @property
    def verdict(self) -> str:
        return "● inside" if self.inside else "✕ outside"


def heard_row(one: Directions) -> HeardRow:
    window = one.window
    return HeardRow(
        one.speaker.name,
        _in_few(azimuth_words(one.heard.azimuth)),
        _in_few(elevation_words(one.heard.elevation)),
        _in_few("any" if window.any_azimuth else azimuth_range(window.azimuths)),
        _in_few("any" if window.any_elevation else elevation_range(window.elevations)),
        one.heard.inside,
        f"{one.seats_inside} of {len(one.at_seats)}",
    )


def system_words(scene: Scene, heard: Sequence[Directions]) -> str:
    """Which system asks for the directions, and why that; empty where each speaker asks for its own."""
    system = fitting_system(scene)
    if system is None or all(one.speaker.window is not None for one in heard):
        return ""
    why = "" if scene.system else ", the smallest that has every channel here"
    return f"asked by system {system.letter} of Rec. ITU-R BS.2051-3{why}"


def picture_title(screen: WallPatch, units: PrintUnits) -> str:
    sides = (screen.end - screen.start, screen.top - screen.bottom, screen.bottom)
    wide, high, up = (format_length(side, units) for side in sides)
    return f"Picture, {wide} by {high}, its lower edge {up} up"


def picture_row(view: PictureView, units: PrintUnits) -> tuple[str, ...]:
    """How a seat sees the picture, under PICTURE_HEADS."""
    edges = (elevation_words(view.top), elevation_words(view.bottom))
    angles = (format_angle(view.across), format_angle(view.upright), *edges, format_angle(view.aside))
    return starred(view.seat), format_length(view.distance, units), *angles


def _in_few(words: str) -> str:
    """A direction in fewer letters: "30° to 45° left", "level"."""
    return words.removeprefix("at ").replace("the height of the ears", "level").replace(" to the ", " ")
