"""What is cut for a speaker, in words."""

from __future__ import annotations

from earshed.model.geometry import Array
from earshed.model.moves import LEVEL
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import Cutout, Round
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits, format_length


def hole_words(speaker: Speaker, units: PrintUnits) -> str:
    """What is cut for a speaker: "cut-out 9-1/2", bezel 10-3/4"" and the way a rectangle lies."""
    sizes = (("cut-out", speaker.type.cutout), ("bezel", speaker.type.bezel))
    parts = [f"{name} {size_words(cut, units)}" for name, cut in sizes if cut is not None]
    if speaker.long_axis is not None and speaker.surface is not None:
        parts.append(f"long side {long_side_words(speaker.surface, speaker.long_axis)}")
    return ", ".join(parts)


def long_side_words(face: Surface, way: Array) -> str:
    """How the long side of a rectangle lies on a face, its way (3,) a unit vector."""
    if abs(way[2]) > LEVEL:
        return "upright" if face.kind == "wall" else "up the slope"
    if abs(way[0]) < LEVEL:
        return "front to back"
    return "side to side" if abs(way[1]) < LEVEL else "level"


def size_words(cut: Cutout, units: PrintUnits) -> str:
    """A diameter, or the short and the long side."""
    if isinstance(cut, Round):
        return format_length(cut.diameter, units)
    return f"{format_length(cut.short, units)} x {format_length(cut.long, units)}"
