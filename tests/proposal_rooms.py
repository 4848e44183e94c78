"""Rooms to propose speakers in, read from a scene's text, and speaker types to propose."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker_type import Aiming, Angled, Coverage, Fixed, Mount, Pivoting, Round, SpeakerType
from earshed.model.units import INCH


def _round(name: str, mount: Mount, aiming: Aiming, degrees: float, cutout: float, bezel: float) -> SpeakerType:
    return SpeakerType(
        name, mount, aiming, Coverage(math.radians(degrees), 4000.0), Round(cutout * INCH), Round(bezel * INCH)
    )


TYPES: Mapping[str, SpeakerType] = {
    kind.name: kind
    for kind in (
        _round("flush 6 in", "in-ceiling", Fixed(), 100, 8.375, 9.5),
        _round("pivot 6 in", "in-ceiling", Pivoting(math.radians(18)), 100, 8.375, 9.5),
        _round("angled 6 in", "in-ceiling", Angled(math.radians(25)), 100, 8.375, 9.5),
        _round("wall 6 in", "in-wall", Fixed(), 100, 8.375, 9.5),
        _round("wall 8 in", "in-wall", Pivoting(math.radians(10)), 90, 9.5, 10.75),
    )
}


@dataclass(frozen=True)
class Plain:
    """A room in metres: its sizes, the flow table of its ceiling, a picture or none, and the ears of its main seats."""

    width: float
    length: float
    ceiling: Mapping[str, str | float]
    picture: tuple[float, float] | None
    seats: tuple[tuple[float, float, float], ...]

    @property
    def scene(self) -> Scene:
        ceiling = ", ".join(f"{key}: {value}" for key, value in self.ceiling.items())
        lines = [
            "{format: 1, title: A room, bare_lengths: m, print_units: mm,",
            f"room: {{width: {self.width}, length: {self.length}, ceiling: {{{ceiling}}}}},",
        ]
        if self.picture:
            lines.append(f"screen: {{wall: front, width: {self.picture[0]}, bottom: {self.picture[1]}}},")
        seats = (
            f"{{name: s{number}, at: {{from_center: {x}, from_front: {y}}}, ear_height: {z}, main: true}}"
            for number, (x, y, z) in enumerate(self.seats)
        )
        lines.append(f"seats: [{', '.join(seats)}]}}")
        return scene_from_tree(parse_tree("\n".join(lines), "room.yaml"))

    @property
    def mirrored(self) -> Plain:
        """The room as seen in a mirror on its left wall."""
        ceiling = dict(self.ceiling)
        if ceiling.get("rises") in ("left", "right"):
            ceiling["rises"] = "left" if ceiling["rises"] == "right" else "right"
        if ceiling.get("ridge") == "front-to-back":
            ceiling["ridge_at"] = round(self.width - float(ceiling["ridge_at"]), 6)
            ceiling["low"], ceiling["far_low"] = ceiling["far_low"], ceiling["low"]
        seats = tuple((-x, y, z) for x, y, z in self.seats[::-1])
        return Plain(self.width, self.length, ceiling, self.picture, seats)


def metres(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda n: n / 1000)


@st.composite
def ceilings(draw: st.DrawFn, width: float, length: float) -> dict[str, str | float]:
    shape = draw(st.sampled_from(["flat", "shed", "gable", "hip", "tray"]))
    low = draw(metres(1.7, 2.8))
    if shape == "flat":
        return {"shape": shape, "height": low + 0.3}
    if shape == "shed":
        rises = draw(st.sampled_from(["left", "right", "front", "rear"]))
        return {"shape": shape, "low": low, "high": round(low + draw(metres(0.1, 2)), 3), "rises": rises}
    if shape == "gable":
        ridge = draw(st.sampled_from(["front-to-back", "side-to-side"]))
        span = width if ridge == "front-to-back" else length
        at = round(span * draw(st.integers(20, 80)) / 100, 3)
        far_low = draw(metres(1.7, 2.8))
        peak = round(max(low, far_low) + draw(metres(0.2, 2)), 3)
        return {"shape": shape, "ridge": ridge, "low": low, "far_low": far_low, "peak": peak, "ridge_at": at}
    if shape == "hip":
        return {"shape": shape, "low": low, "peak": round(low + draw(metres(0.2, 2)), 3)}
    inset = round(min(width, length) * draw(st.integers(5, 35)) / 100, 3)
    return {"shape": shape, "height": low + 0.3, "rise": draw(metres(0.05, 0.6)), "inset": inset}


@st.composite
def plain_rooms(draw: st.DrawFn) -> Plain:
    """Rooms in which people can sit: seats in a row somewhere in the middle of the plan, level or not."""
    width, length = draw(metres(2, 8)), draw(metres(2.5, 10))
    count = draw(st.integers(1, 3))
    from_front = round(length * draw(st.integers(35, 90)) / 100, 3)
    shift = round(width * draw(st.integers(-15, 15)) / 100, 3)
    apart = min(0.65, width / 5)
    ear = draw(metres(0.9, 1.2))
    seats = tuple((round(shift + (n - (count - 1) / 2) * apart, 3), from_front, ear) for n in range(count))
    picture = (round(width * draw(st.integers(30, 95)) / 100, 3), 0.5) if draw(st.booleans()) else None
    return Plain(width, length, draw(ceilings(width, length)), picture, seats)
