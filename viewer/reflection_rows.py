"""First reflections and reverberation as rows of words, for tables in a terminal and on paper alike."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from earshed.model.scene import Scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.early import SOON, STRONG, Early
from earshed.model.sound.reflectors import Facing
from earshed.model.sound.reverberation import Reverberation
from earshed.model.speaker import Speaker
from earshed.model.taped_words import point_words
from earshed.model.units import FOOT, PrintUnits, format_about
from earshed.viewer.wire_rows import Rows
from earshed.viewer.wording import called, counted

SHOWN = tuple(range(OCTAVES.index(4000) + 1))
"""The octaves that are printed, those that every material states."""
LEVEL_REMARK = (
    f"Those within {1000 * SOON:g} ms of the direct sound and {-STRONG:g} dB under it. Level: against the direct sound "
    "of the same speaker at the same seat, were nothing in its way; for the longer way, for what the face absorbs, "
    "and for how the speaker radiates, averaged from 1 to 8 kHz."
)
TREAT_REMARK = (
    "To check a point, hold a mirror flat on the face there: from the seat one sees the speaker in it. An absorber in "
    "its place, some 3 ft (0.9 m) across, takes the reflection away from about 1 kHz up."
)
EMPTY_REMARK = (
    "Estimates from the areas and shares below, of the room empty of seats and people, who shorten it. Both formulas "
    "take sound to come from everywhere alike, which in a room this small it does not, least of all below 200 Hz."
)


def reflection_rows(scene: Scene, early: Sequence[Early]) -> Iterator[tuple[Speaker, Rows]]:
    """A table for each speaker that has any, a row for each reflection, numbered from 1."""
    for speaker in dict.fromkeys(one.speaker for one in early):
        rows = [_row(scene, number, one) for number, one in enumerate(of_speaker(early, speaker), start=1)]
        heads = ("no.", "at seat", "off", "point", "after", "longer", "level", "off axis")
        yield speaker, Rows(called(speaker), heads, tuple(rows))


def of_speaker(early: Sequence[Early], speaker: Speaker) -> list[Early]:
    return [one for one in early if one.speaker is speaker]


def _row(scene: Scene, number: int, one: Early) -> tuple[str, ...]:
    return (
        str(number),
        one.seat.name,
        f"{one.facing.name}, {one.facing.material.name}",
        point_words(scene, one.point, one.face),
        f"{1000 * one.delay:.1f} ms",
        format_about(one.extra, scene.print_units),
        f"{one.level:.1f} dB",
        f"{math.degrees(one.off_axis):.0f}°",
    )


def time_rows(found: Reverberation) -> Rows:
    """The times octave by octave."""
    heads = ("by", *(OCTAVES.names[band] for band in SHOWN))
    times = [("Sabine", found.sabine), ("Eyring", found.eyring)]
    rows = [(name, *(_time(float(seconds[band])) for band in SHOWN)) for name, seconds in times]
    return Rows("Reverberation, seconds to fall by 60 dB", heads, tuple(rows), EMPTY_REMARK)


def _time(seconds: float) -> str:
    return f"{seconds:.2f}" if math.isfinite(seconds) else "no end"


def face_rows(scene: Scene, found: Reverberation) -> Rows:
    """What the faces are of, how large they are and what they absorb in three octaves."""
    bands = [OCTAVES.index(hz) for hz in (125, 1000, 4000)]
    heads = ("face", "of", "area", *(OCTAVES.names[band] for band in bands))
    rows = []
    for facing, area in _joined(found):
        of = f"{facing.material.name} (assumed)" if facing.assumed else facing.material.name
        absorbed = (f"{facing.material.absorption[band]:.2f}" for band in bands)
        rows.append((facing.name, of, area_words(area, scene.print_units), *absorbed))
    sources = dict.fromkeys(facing.material.source for facing, _ in found.areas)
    remark = f"Shares by random incidence, from: {'; '.join(sources)}."
    if assumed := sum(facing.assumed for facing, _ in found.areas):
        remark += f" Assumed of {counted(assumed, 'face')}: a scene says what faces are of under surfaces, and boxes, "
        remark += "openings and the screen as their material."
    return Rows("Faces, and the share that they absorb", heads, tuple(rows), remark)


def _joined(found: Reverberation) -> list[tuple[Facing, float]]:
    """Faces of one name, as the parts of a beam, once."""
    areas: dict[str, tuple[Facing, float]] = {}
    for facing, area in found.areas:
        areas[facing.name] = facing, area + areas.get(facing.name, (facing, 0.0))[1]
    return [*areas.values()]


def area_words(square_metres: float, units: PrintUnits) -> str:
    return f"{square_metres / FOOT**2:.1f} sq ft" if units == "ft-in" else f"{square_metres:.2f} m²"
