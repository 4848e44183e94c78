"""What is wrong with the wiring of a scene: runs without a way, past a spool or a loss, and what they cross."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from earshed.model.finding import Finding
from earshed.model.hidden import CAUTIONS
from earshed.model.scene import Scene
from earshed.model.units import format_about, format_length
from earshed.model.wiring.bores import Holes
from earshed.model.wiring.conductor import usual_sizes
from earshed.model.wiring.panel import ASSUMED_SPACING
from earshed.model.wiring.schedule import CableTotal, Run, Schedule, wire
from earshed.model.wiring.spec import USUAL_IMPEDANCE, Cable

MOST_NAMED = 6


def wiring_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on a scene's wiring; none on a scene that says nothing of it."""
    if scene.wiring is None:
        return
    schedule = wire(scene)
    if schedule is None:
        text = "the wiring says nothing of where cables end: add rack, a place on a wall or in the room"
        yield Finding("note", "no-rack", scene.title, text)
        return
    yield from schedule_findings(schedule)


def schedule_findings(schedule: Schedule) -> Iterator[Finding]:
    """Findings on a schedule, and notes on what it takes for granted."""
    for run in schedule.runs:
        yield from _of_run(schedule, run)
    for holes in schedule.holes:
        if holes.is_too_wide:
            yield _too_wide(schedule, holes)
    for total in schedule.totals:
        if total.short:
            yield _short(total)
    yield from _assumed(schedule)


def _of_run(schedule: Schedule, run: Run) -> Iterator[Finding]:
    name, units = run.pull.name, schedule.scene.print_units
    inches = partial(format_about, units=units)
    if run.route is None:
        text = f"there is no way for its cable to {run.start.name}: every way is cut off by openings, or the faces do "
        text += "not meet; give its points under wiring, routes"
        yield Finding("error", "no-route", name, text)
        return
    lying: dict[str, float] = {}
    for leg in run.route.legs:
        if leg.panel is not None and leg.how == "surface":
            lying[leg.panel.face.called] = lying.get(leg.panel.face.called, 0.0) + leg.length
    if lying:
        parts = " and ".join(f"{inches(length)} on {face}" for face, length in lying.items())
        text = f"its cable lies in sight for {parts}, behind which there is no cavity: it needs a channel or a cover"
        yield Finding("warning", "cable-in-sight", name, text)
    for passed in dict.fromkeys(one for leg in run.route.legs for one in leg.passes):
        yield _passed(name, passed)
    if run.is_past_spool and run.cut is not None:
        text = (
            f"it is cut {inches(run.cut)} long, and a spool of {run.cable.name} holds {inches(run.cable.spool)}: get a "
        )
        text += "longer spool, or bring the rack nearer; a run is never spliced"
        yield Finding("error", "past-spool", name, text)
    if run.loss is not None and not run.loss.is_within:
        yield Finding("warning", "loss-past-limit", name, _loss_words(schedule, run))


def _passed(name: str, passed: str) -> Finding:
    """What is said of a cable past something that was found, or, by points that the scene gives, through an opening."""
    kind = passed[passed.rindex("(") + 1 : -1]
    if kind in ("opening", "fireplace"):
        text = f"the way that is given for its cable goes through {passed}, or too near to it: give points round it"
        return Finding("warning", "through-opening", name, text)
    caution = f"; {CAUTIONS[kind]}" if kind in CAUTIONS else ""
    text = f"its cable would pass where {passed} was found: look first, or give another way{caution}"
    return Finding("warning", "past-hidden", name, text)


def _loss_words(schedule: Schedule, run: Run) -> str:
    assert run.loss is not None
    assert run.length is not None
    assert run.cable.conductor is not None
    loss, wire_size = run.loss, run.cable.conductor.called
    inches = partial(format_about, units=schedule.scene.print_units)
    text = f"{inches(run.length)} of {wire_size} lose {loss.share:.1%} of {loss.load:g} ohm ({loss.decibels:.2f} dB), "
    text += f"past the limit of {loss.limit:.1%}; {wire_size} does for {inches(loss.reaches)}"
    remedies = []
    if loss.needs is not None:
        remedies.append(f"{loss.needs.called} would do")
    if run.cable.conductors == 4 and loss.share / 2 <= loss.limit:
        remedies.append(f"its four conductors in pairs come to {loss.share / 2:.1%}")
    if not remedies:
        thickest = usual_sizes(run.cable.conductor)[-1].called
        remedies.append(f"nothing up to {thickest} would do: bring the rack or the amplifier nearer")
    return f"{text}: {', or '.join(remedies)}"


def _too_wide(schedule: Schedule, holes: Holes) -> Finding:
    inches = partial(format_length, units=schedule.scene.print_units)
    most = holes.permitted.diameter
    member = f"{holes.framing.name}, {inches(holes.thickness)} by {inches(holes.framing.depth)}"
    if most == 0.0:
        text = f"no hole may be bored through these ({member}) by the model code's usual limit ({holes.permitted.rule})"
        text += "; go along them or over them, and ask the local authority"
        return Finding("warning", "no-hole-allowed", holes.face, text)
    assert most is not None
    assert holes.needed is not None
    count = f"{holes.most} cables need" if holes.most > 1 else "a cable needs"
    text = f"{count} a hole of {inches(holes.needed)} through {member}, and the model code's usual limit is "
    least = math.ceil((holes.needed / most) ** 2 - 1e-9)  # holes of one size are filled by area
    remedy = f"part them over {least} holes in each or more" if holes.most > 1 else "take a thinner cable"
    text += f"{inches(most)} ({holes.permitted.rule}): {remedy}, and ask the local authority"
    return Finding("warning", "bundle-too-thick", holes.face, text)


def _short(total: CableTotal) -> Finding:
    stock, needed = total.cable.spools, len(total.drums)
    text = f"{needed} spools are needed and {stock} in stock: get {total.short} more"
    return Finding("warning", "spools-short", total.cable.name, text)


def _assumed(schedule: Schedule) -> Iterator[Finding]:
    """Notes on what the scene does not say and the schedule takes for granted."""
    title = schedule.scene.title
    if schedule.access_assumed:
        faces = _named(schedule.access_assumed)
        text = f"nothing is said of how a drill gets behind {faces}: what is crossed there is counted as to be opened "
        text += "and patched; say it under wiring, access: attic, knee wall, below or none"
        yield Finding("note", "access-assumed", title, text)
    if schedule.framing_unknown:
        faces = _named(schedule.framing_unknown)
        text = f"members behind {faces} are not in the scene, so how many are crossed is not known; ways there are "
        text += f"chosen as if one stood every {format_length(ASSUMED_SPACING, schedule.scene.print_units)}"
        yield Finding("note", "framing-unknown", title, text)
    if schedule.load_assumed:
        types = _named(tuple(dict.fromkeys(_type_of(run) for run in schedule.load_assumed)))
        text = f"{USUAL_IMPEDANCE:g} ohm is taken where no impedance is said: {types}"
        yield Finding("note", "load-assumed", title, text)
    usual = [total.cable for total in schedule.totals if total.cable not in schedule.wiring.cables]
    if usual:
        yield Finding("note", "cable-assumed", title, _usual_words(schedule, usual))


def _type_of(run: Run) -> str:
    return run.pull.name if run.pull.speaker is None else run.pull.speaker.type.name


def _usual_words(schedule: Schedule, cables: list[Cable]) -> str:
    inches = partial(format_about, units=schedule.scene.print_units)
    told = ", ".join(f"{cable.name} on spools of {inches(cable.spool)}" for cable in cables)
    return f"the scene lists no cable of these kinds, so usual ones are taken (common practice, no source): {told}"


def _named(names: tuple[str, ...]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more
