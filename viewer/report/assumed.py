"""What a report rests on that nobody has measured, what was found, and what words mean."""

from __future__ import annotations

from collections.abc import Iterator

from earshed.model.finding import Finding
from earshed.model.sound.bands import band_name
from earshed.model.sound.level import RATED_VOLTS, USUAL_OHM, USUAL_SENSITIVITY
from earshed.model.sound.nominal import USUAL_BAND_HZ
from earshed.model.speaker_type import SpeakerType
from earshed.viewer.cautions import CAUTIONS
from earshed.viewer.report.blocks import Block, Lines, Section, Table, Terms, Words
from earshed.viewer.report.facts import Facts
from earshed.viewer.report.questions import SHORT
from earshed.viewer.type_words import known_words, types_used
from earshed.viewer.wording import counted, shortened

ASSUMING = ("access-assumed", "framing-unknown", "load-assumed", "cable-assumed", "cavity-unknown", "no-main-seat")
"""Rules of findings that tell what had to be taken for want of a word."""
GLOSSARY = (
    (
        "covered",
        "within the angle off the axis at which the level is down by 3 dB: the clear, full sound of the speaker",
    ),
    ("fringe", "from there to the edge of coverage, where the level is down by 6 dB: high notes begin to fade"),
    ("outside", "past the edge of coverage: high notes and clear speech are missing"),
    ("axis", "the way in which a speaker sounds strongest; a seat is so many degrees off it"),
    ("coverage angle", "how wide a speaker plays from one edge to the other, as its data sheet has it, at one pitch"),
    (
        "tilted",
        "of a speaker whose axis is not square to the face that it is set in; its grille lies flat all the same",
    ),
    ("main seat", "a seat for which the room is laid out; it has a star in tables"),
    ("ear height", "the height at which maps are made, that of the ears of people who sit"),
)


def assumed(facts: Facts) -> Section:
    """What was taken for granted, each in a sentence."""
    told = tuple(dict.fromkeys(_assumptions(facts)))
    blocks: list[Block] = [
        Words("All of this is predicted from the measurements of the room and the data sheets; it is not measured.")
    ]
    if told:
        blocks.append(Lines("What had to be assumed", told))
    return Section("assumed", "What this rests on", tuple(blocks))


def _assumptions(facts: Facts) -> Iterator[str]:
    scene = facts.scene
    for sound in types_used(scene):
        kind = sound.kind
        name = shortened(kind.name, SHORT)
        if kind.subwoofer:
            continue
        told = [*_type_assumed(kind, in_catalog=kind.name in scene.catalog_types)]
        if "guess" in known_words(sound):
            told.append("how wide it plays at other pitches than stated is a rule of thumb")
        told += _levels_assumed(kind)
        if told:
            yield f"{name}: {'; '.join(told)}."
    for finding in facts.findings:
        if finding.rule in ASSUMING:
            whose = "" if finding.subject == scene.title else f"{shortened(finding.subject, SHORT)}: "
            words = f"{whose}{finding.message}"
            yield f"{words[:1].upper()}{words[1:]}."


def _type_assumed(kind: SpeakerType, *, in_catalog: bool) -> Iterator[str]:
    if in_catalog:
        yield "its figures come from a catalog of types and may be typical ones, so its data sheet counts"
    if kind.coverage is not None and kind.coverage.band_hz is None:
        yield f"its coverage angle has no pitch to it, and is taken to hold at {band_name(USUAL_BAND_HZ)}"


def _levels_assumed(kind: SpeakerType) -> Iterator[str]:
    if kind.sensitivity_db is None:
        yield f"no sensitivity is stated, and {USUAL_SENSITIVITY:g} dB at {RATED_VOLTS} V and 1 m is taken"
    if kind.impedance is None:
        yield f"no impedance is stated, and {USUAL_OHM:g} ohm is taken"


def checked(facts: Facts) -> Section:
    """Every finding, the gravest first."""
    told = [one for one in facts.findings if one.rule not in ASSUMING]
    grave = sum(one.severity == "error" for one in told)
    short = sum(one.severity == "warning" for one in told)
    first = f"{counted(grave, 'error')} that cannot be built as drawn, {counted(short, 'warning')}, "
    first += f"{counted(len(told) - grave - short, 'note')}."
    blocks: list[Block] = [Words(first.replace("0 errors that", "Nothing that").replace("0 warnings", "no warnings"))]
    if told:
        rows = tuple(map(_row, told))
        blocks.append(Table("", ("what", "of", "in words"), rows, (0.7, 1.3, 4.0)))
    return Section("checked", "What was checked", tuple(blocks))


def _row(finding: Finding) -> tuple[str, ...]:
    return finding.severity, shortened(finding.subject, SHORT), finding.message


def cautions() -> Section:
    return Section("cautions", "Before anyone cuts", (Lines("", CAUTIONS),))


def glossary() -> Section:
    return Section("words", "Words", (Terms(GLOSSARY),))
