"""Which runs a scene has: of its speakers, of what it links to the rack, and spares; and how each is labeled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from earshed.model.geometry import UP
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.units import INCH
from earshed.model.wiring.spec import USUAL_IMPEDANCE, CableEnd, CableKind, Wiring

PLATE = 16 * INCH
"""Height of a plate in a wall from which a cable goes to what stands on the floor. Common practice, no source."""
LONGEST_INITIALS = 4


@dataclass(frozen=True, eq=False)
class Pull:
    """A run that is wanted: from its far end to `start`, the rack where None. `load` is in ohm, None where there is
    none to lose anything to; `load_is_known` whether the scene says it."""

    label: str
    name: str
    signal: str
    kind: CableKind
    end: CableEnd
    start: CableEnd | None = None
    load: float | None = None
    load_is_known: bool = True
    is_spare: bool = False
    speaker: Speaker | None = None


def pulls_of(scene: Scene, wiring: Wiring) -> tuple[Pull, ...]:
    """Every run, speakers first, in the order of the scene, each with a label of its own.

    A subwoofer gets a line-level run, since most have an amplifier of their own; a cable chosen by `use` decides.
    """
    runs = []
    for speaker in scene.speakers:
        kind: CableKind = "line" if speaker.type.subwoofer else "speaker"
        signal = speaker.channel.words if speaker.channel else speaker.name
        load, known = speaker.type.impedance or USUAL_IMPEDANCE, speaker.type.impedance is not None
        runs.append(Pull("", speaker.name, signal, kind, end_of(speaker), None, load, known, speaker=speaker))
    for one in wiring.wanted:
        load, known = one.impedance or USUAL_IMPEDANCE, one.impedance is not None
        runs.append(Pull("", one.name, one.name, one.kind, one.end, one.start, load, known, is_spare=one.is_spare))
    return tuple(_labeled([_with_cable(run, wiring) for run in runs]))


def end_of(speaker: Speaker) -> CableEnd:
    """Where a speaker's cable ends: in its hole, or at a cabinet, which is fed from a plate in a wall near it or, where
    it hangs, from the ceiling."""
    if speaker.surface is not None:
        return CableEnd(speaker.name, speaker.position, speaker.surface)
    stands = speaker.type.mount == "stand"
    hangs = not stands and float(speaker.normal @ UP) < 0
    return CableEnd(speaker.name, speaker.position, None, PLATE if stands else None, hangs)


def _with_cable(run: Pull, wiring: Wiring) -> Pull:
    """The run with the kind of the cable that the scene chooses for it; only a speaker run has a load."""
    chosen = wiring.cable_called(wiring.use[run.name]) if run.name in wiring.use else None
    kind = chosen.kind if chosen else run.kind
    if kind == "speaker":
        return replace(run, kind=kind)
    return replace(run, kind=kind, load=None, load_is_known=True)


def _labeled(runs: Sequence[Pull]) -> list[Pull]:
    """Labels of initials and a number, such as UFL-1, each used once."""
    numbers: Counter[str] = Counter()
    labeled = []
    for run in runs:
        initials = initials_of(run.signal)
        numbers[initials] += 1
        labeled.append(replace(run, label=f"{initials}-{numbers[initials]}"))
    return labeled


def initials_of(words: str) -> str:
    """The first letters of some words, in capitals; numbers stay whole. One word gives its first three letters."""
    parts = "".join(char if char.isalnum() else " " for char in words).split()
    if len(parts) == 1:
        return parts[0][:3].upper()
    initials = "".join(part if part.isdigit() else part[0] for part in parts)[:LONGEST_INITIALS]
    return initials.upper() or "RUN"
