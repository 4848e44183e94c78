"""Whether the tapes of a walked room agree, which of them is likely misread, and how far the room is out of square."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from earshed.model.finding import Finding
from earshed.model.misreading import Suspect, held_to_corners, suspects
from earshed.model.scene import Scene
from earshed.model.survey import Survey
from earshed.model.units import FOOT, INCH, PrintUnits, format_angle, format_length

MISREAD_BY = {"ft-in": (FOOT, INCH), "mm": (1.0, 0.1), "cm": (1.0, 0.1), "m": (1.0, 0.1)}
"""Steps in metres by which a tape of each kind is misread. Common practice, no source."""
FINEST = {"ft-in": INCH / 16, "mm": 0.001, "cm": 0.001, "m": 0.001}
"""The least length that is printed, metres."""
AS_STATED = math.radians(0.05)
"""Radians under which a corner is printed as being no degrees out."""
MOST_NAMED = 3


def survey_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on a walked room; none on a room given otherwise."""
    survey = scene.survey
    if survey is None:
        return
    held = survey if survey.rigid else held_to_corners(survey.notes)
    if not survey.agrees:
        yield _misread(scene, survey)
    elif not held.agrees:
        text = f"the walk does not close by {_gap(held, scene.print_units)} with its corners as stated: they are not, "
        text += f"or a wall is misread; {_what_to_tape(scene, held, suspects(held, MISREAD_BY[scene.print_units]))}"
        yield Finding("warning", "walk-does-not-close", "walk", text)
    else:
        yield Finding("note", "out-of-square", "walk", _agreement(scene, survey))


def _misread(scene: Scene, survey: Survey) -> Finding:
    """The reading without which the others agree, or the few that may be it."""
    units = scene.print_units
    found = suspects(survey, MISREAD_BY[units])
    if len(found) != 1:
        text = f"{_disagreement(survey, units)}; {_what_to_tape(scene, survey, found)}"
        return Finding("warning", "tape-misread", "walk", text)
    (suspect,) = found
    by = f"{format_length(abs(suspect.error), units)} {'less' if suspect.error > 0 else 'more'}"
    text = f"taped as {format_length(suspect.reading.length, units)}, where the other readings make it "
    text += f"{format_length(suspect.implied, units)}, {by}; tape it again"
    if not survey.overdetermined and _untaped(survey):
        text += ", and if it stands, another diagonal: the room may be that far out of square"
    return Finding("warning", "tape-misread", reading_name(scene, suspect.position), text)


def _disagreement(survey: Survey, units: PrintUnits) -> str:
    worst = format_angle(float(np.abs(survey.off_corners).max()))
    if not survey.notes.has_diagonals:
        return f"the walk does not close by {_gap(survey, units)}, which would put its corners up to {worst} out"
    if not survey.overdetermined:
        return f"the walls and diagonals agree only with corners up to {worst} out"
    return f"the walls and diagonals disagree by up to {format_length(float(np.abs(survey.residuals).max()), units)}"


def _gap(survey: Survey, units: PrintUnits) -> str:
    return format_length(float(np.hypot(*survey.gap)), units)


def _what_to_tape(scene: Scene, survey: Survey, found: Sequence[Suspect]) -> str:
    """What to tape again: the readings any one of which would mend a survey, were it as the others make it."""
    units, diagonals = scene.print_units, survey.notes.has_diagonals
    another = (", or another diagonal" if diagonals else ", or a diagonal") if _untaped(survey) else ""
    if not found:
        return f"no one reading can be told from the others; tape them all again{another}"
    told = [
        f"with {_with_article(reading_name(scene, suspect.position))} at {format_length(suspect.implied, units)} "
        f"(taped as {format_length(suspect.reading.length, units)})"
        for suspect in found[:MOST_NAMED]
    ]
    more = f", or with one of {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    mend = "they would agree" if diagonals else "it would close"
    return f"{mend} {', or '.join(told)}{more}; tape these again{another}"


def _untaped(survey: Survey) -> bool:
    """Whether there are diagonals left to tape."""
    return len(survey.notes.readings) < math.comb(len(survey.corners), 2)


def _agreement(scene: Scene, survey: Survey) -> str:
    """How well the readings agree, and the corner that is farthest from as stated."""
    units, off = scene.print_units, survey.off_corners
    if survey.notes.has_diagonals:
        within, text = float(np.abs(survey.residuals).max()), "the walls and diagonals agree"
    else:
        within, text = float(np.hypot(*survey.gap)), "the walk closes"
    text += f" within {format_length(max(within, FINEST[units]), units)}"
    if not survey.notes.has_diagonals and not survey.rigid:
        return f"{text}; no diagonal was taped to know whether its corners are as stated"
    few = "" if survey.rigid else ", as far as so few diagonals can tell"
    worst = int(np.abs(off).argmax())
    if abs(off[worst]) < AS_STATED:
        return f"{text}, and every corner is as stated within {format_angle(2 * AS_STATED)}{few}"
    name, angle = scene.room.plan.corner_names[worst], float(survey.inside_angles[worst])
    stated = angle - float(off[worst])
    is_square = abs(abs(math.pi - stated) - math.pi / 2) < 1e-9
    out = "out of square" if is_square else f"off the {format_angle(stated)} stated"
    by = format_angle(abs(float(off[worst])))
    return f"{text}; the worst corner is {by} {out}: {name}, {format_angle(angle)}{few}"


def reading_name(scene: Scene, position: int) -> str:
    """What a wall or a diagonal of a walked room is called, by its position among the readings."""
    assert scene.survey is not None
    plan, reading = scene.room.plan, scene.survey.notes.readings[position]
    if position < len(plan.wall_names):
        return plan.wall_names[position]
    return f"diagonal {plan.corner_names[reading.start]} to {plan.corner_names[reading.end].removeprefix('corner ')}"


def _with_article(name: str) -> str:
    return name if name.startswith("wall ") else f"the {name}"
