"""What is known of a speaker type, in words and figures for tables, pages and documents."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from earshed.model.scene import Scene
from earshed.model.sound.bands import OCTAVES, Bands, band_name
from earshed.model.sound.beam_width import BeamFigures, beam_figures
from earshed.model.sound.directivity import Directivity, Symmetric
from earshed.model.sound.nominal import USUAL_BAND_HZ, Nominal
from earshed.model.sound.of_type import directivity_of, radiates_within, source_of
from earshed.model.sound.piston import Piston
from earshed.model.sound.response import Response
from earshed.model.speaker_type import Angled, Coverage, Fixed, Pivoting, SpeakerType
from earshed.model.units import PrintUnits, format_angle, format_length
from earshed.viewer.wording import counted, coverage_words

HALF_SPACE = "what is cut into a face plays into half the space, which alone is 3 dB"


@dataclass(frozen=True, eq=False)
class TypeSound:
    """A speaker type with how it radiates by band, its figures, and the names of the speakers that are of it."""

    kind: SpeakerType
    directivity: Directivity
    figures: BeamFigures
    speakers: tuple[str, ...]

    @property
    def planes(self) -> bool:
        """Whether it differs across and upright."""
        return not isinstance(self.directivity, Symmetric)


def types_used(scene: Scene, bands: Bands = OCTAVES) -> list[TypeSound]:
    """The types of the speakers that are placed, in their order."""
    kinds = dict.fromkeys(speaker.type.name for speaker in scene.speakers)
    return [_sound(scene.speaker_types[name], scene, bands) for name in kinds]


def _sound(kind: SpeakerType, scene: Scene, bands: Bands) -> TypeSound:
    directivity = directivity_of(kind, bands)
    figures = beam_figures(directivity, within=radiates_within(kind))
    names = tuple(speaker.name for speaker in scene.speakers if speaker.type.name == kind.name)
    return TypeSound(kind, directivity, figures, names)


def band_rows(sound: TypeSound) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Heads, and a row for each band: its name, beam widths, directivity index, and how they are known."""
    figures = sound.figures
    columns = [("beam width", [width_words(width) for width in figures.across])]
    if sound.planes:
        columns = [("across", columns[0][1]), ("upright", [width_words(width) for width in figures.upright])]
    columns += [("index", [f"{index:.1f} dB" for index in figures.index]), ("known", list(known_words(sound)))]
    heads, cells = zip(*columns, strict=True)
    return ("band", *heads), list(zip(sound.directivity.bands.names, *cells, strict=True))


def width_words(radians: float) -> str:
    return ">180°" if math.isinf(radians) else f"{math.degrees(radians):.0f}°"


def known_words(sound: TypeSound) -> Iterator[str]:
    """For each band, from where its figures are."""
    sure = {Nominal: "stated", Piston: "from sizes", Response: "measured"}[type(source_of(sound.kind))]
    for guessed in sound.directivity.guessed:
        yield "guess" if guessed else sure


def facts(sound: TypeSound, scene: Scene) -> Iterator[tuple[str, str]]:
    """What else is said of a type: a label and a phrase each."""
    kind = sound.kind
    yield "mount", f"{kind.mount}, {_aiming_words(kind)}"
    if kind.coverage is not None and not kind.subwoofer:
        yield "coverage", coverage_words(kind.coverage).removeprefix("coverage ") + _found_words(sound, kind.coverage)
    yield "directivity", directivity_words(kind, scene.print_units)
    if kind.sensitivity_db is not None:
        at = "2.83 V" if kind.sensitivity_watts is None else f"{kind.sensitivity_watts:g} W"
        yield "sensitivity", f"{kind.sensitivity_db:g} dB at 1 m and {at}"
    takes = [(kind.max_level_db, "at most {:g} dB at 1 m"), (kind.power_watts, "{:g} W"), (kind.impedance, "{:g} ohm")]
    if told := [words.format(value) for value, words in takes if value is not None]:
        yield "takes", ", ".join(told)
    yield "placed", f"{counted(len(sound.speakers), 'speaker')}: {', '.join(sound.speakers)}"


def _found_words(sound: TypeSound, coverage: Coverage) -> str:
    """What the directivity says to the coverage angle, where it does not come from it."""
    if isinstance(source_of(sound.kind), Nominal):
        return ""
    bands = sound.directivity.bands
    band = bands.index(coverage.band_hz or USUAL_BAND_HZ)
    return f"; by its directivity {width_words(sound.figures.across[band])} at {bands.names[band]}"


def _aiming_words(kind: SpeakerType) -> str:
    steered = ""
    if kind.steers == "tweeter" and kind.crossover_hz is not None:
        steered = f", its tweeter alone: under {band_name(kind.crossover_hz)} it plays square to its face"
    match kind.aiming:
        case Fixed():
            return "fixed"
        case Angled(angle):
            return f"angled {format_angle(angle)}{steered}"
        case Pivoting(limit):
            return f"pivoting up to {format_angle(limit)}{steered}"


def directivity_words(kind: SpeakerType, units: PrintUnits) -> str:
    """From where it is known how a type radiates."""
    source = source_of(kind)
    match source:
        case Piston(woofer, tweeter, crossover):
            sizes = f"woofer {format_length(2 * woofer, units)} across"
            if tweeter is not None and crossover is not None:
                sizes += f", tweeter {format_length(2 * tweeter, units)}, crossover {band_name(crossover)}"
            return f"worked out for rigid pistons in a wall: {sizes}; each band is averaged in power"
        case Response():
            sides = "all round alike" if source.levels.shape[1] == 1 else "across and upright"
            low, high = (band_name(float(f"{hertz:.3g}")) for hertz in source.frequencies_hz[[0, -1]])
            return f"measured, {sides}, {low} to {high}, from {source.origin}"
        case Nominal(half_angle, band_hz):
            if math.isinf(half_angle):
                return "taken to be even to all sides"
            stated = f"{band_name(USUAL_BAND_HZ)}, taken for want of a band," if band_hz is None else band_name(band_hz)
            return f"from its coverage angle at {stated} alone; other bands are guessed by the wavelength"
    raise TypeError(f"no words for {source}")
