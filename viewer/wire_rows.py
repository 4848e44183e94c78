"""The wiring schedule as rows of words, for tables in a terminal and on paper alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.units import format_about
from earshed.model.wiring.legs import Leg
from earshed.model.wiring.schedule import Run, Schedule
from earshed.viewer.wire_words import (
    CROSSED_WORDS,
    allowed_words,
    cable_words,
    end_words,
    face_words,
    hole_words,
    how_words,
    loss_words,
    member_words,
    passed_words,
    spot_words,
    way_words,
    work_words,
)
from earshed.viewer.wording import counted

SAME = 0.002
"""Metres within which two runs pass one place."""


@dataclass(frozen=True)
class Rows:
    """A table: its title, heads of its columns, rows of as many cells, and a remark below it, perhaps empty."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    remark: str = ""


def run_rows(schedule: Schedule) -> Rows:
    """A row for each run: label, name, cable, lengths and loss."""
    units = schedule.scene.print_units
    rows = []
    for run in schedule.runs:
        name = f"{run.pull.name} (spare)" if run.pull.is_spare else run.pull.name
        if run.route is None or run.cut is None:
            rows.append((run.pull.label, name, cable_words(run), "no way", "", "", ""))
            continue
        lengths = (
            format_about(run.route.length, units),
            format_about(run.beyond + run.loops, units),
            format_about(run.cut, units),
        )
        rows.append((run.pull.label, name, cable_words(run), *lengths, loss_words(run.loss)))
    wiring = schedule.wiring
    loops = format_about(wiring.loop_at_speaker, units), format_about(wiring.loop_at_rack, units)
    remark = f"slack: {loops[0]} at the speaker, {loops[1]} at the rack"
    remark += f", {format_about(wiring.beyond, units)} on from its place; cut: " if wiring.beyond else "; cut: "
    remark += f"{wiring.waste:.0%} more, rounded up; loss: loop over load at {wiring.celsius:g} °C, limit "
    remark += f"{wiring.loss_limit:.1%}"
    return Rows("Runs", ("label", "run", "cable", "way", "slack", "cut", "loss"), tuple(rows), remark)


def route_rows(schedule: Schedule) -> Iterator[Rows]:
    """A table for each run that has a way: leg by leg from its far end, until it goes on as a run before it does."""
    scene, units = schedule.scene, schedule.scene.print_units
    before: list[Run] = []
    for run in schedule.runs:
        if run.route is None:
            continue
        last, goes_on = _shared_tail(run, before)
        rows = []
        for number, leg in enumerate(run.route.legs[:last], start=1):
            done = how_words(leg)
            if leg.entered is not None:
                done = f"{passed_words(leg.entered)}; {done}"
            rows.append(
                (
                    str(number),
                    way_words(leg),
                    format_about(leg.length, units),
                    done,
                    spot_words(scene, leg.end, leg.panel),
                )
            )
            if leg.passes:
                rows.append(("", f"past {', '.join(leg.passes)}", "", "look first", ""))
        given = ", as the scene gives it" if run.route.is_given else ""
        title = f"{run.pull.label}  {run.pull.name}: {format_about(run.route.length, units)}, "
        title += f"{work_words(run.route)}{given}"
        remark = f"from {end_words(scene, run.pull.end)}"
        remark += "" if run.start is schedule.rack else f" to {end_words(scene, run.start)}"
        if goes_on:
            rows.append(("", "", "", goes_on, ""))
        yield Rows(title, ("", "on", "length", "do", "to"), tuple(rows), remark)
        before.append(run)


def _shared_tail(run: Run, before: Sequence[Run]) -> tuple[int, str]:
    """How many legs come before a run goes on as one of those before it does, and words for that; all of them, and
    none, where it has less than two legs in common with any."""
    assert run.route is not None
    legs = run.route.legs
    for other in before:
        assert other.route is not None
        same = 0
        for mine, its in zip(reversed(legs), reversed(other.route.legs), strict=False):
            if not _same(mine, its):
                break
            same += 1
        if same >= 2:
            first = len(other.route.legs) - same + 1
            return len(legs) - same, f"then as {other.pull.label}, from its leg {first} on"
    return len(legs), ""


def _same(one: Leg, other: Leg) -> bool:
    """Whether two legs are one stretch, passed in one way."""
    if one.panel is not other.panel or one.how != other.how or (one.entered is None) != (other.entered is None):
        return False
    return bool(np.allclose(one.start, other.start, atol=SAME) and np.allclose(one.end, other.end, atol=SAME))


def work_rows(schedule: Schedule) -> Rows:
    """What is to be bored, and what to be opened and patched, with the size of the holes."""
    units = schedule.scene.print_units
    rows = []
    for holes in schedule.holes:
        hole = hole_words(holes.needed, holes.most, units)
        through, allowed = member_words(holes, units), allowed_words(holes, units)
        rows.append((face_words(holes.face), through, holes.how, str(holes.count), hole, allowed))
    for unseen in schedule.unseen:
        hole = f"up to {hole_words(unseen.needed, unseen.most, units)}"
        rows.append((face_words(unseen.face), f"{unseen.part}s, not in the scene", unseen.how, "?", hole, "ask"))
    for plates in schedule.plates:
        hole = hole_words(plates.needed, plates.most, units)
        between = " / ".join(map(face_words, plates.faces))
        rows.append((between, CROSSED_WORDS[plates.crossed], plates.how, str(plates.count), hole, "ask"))
    remark = "allowed: the model code's usual limit (IRC R502.8.1, R802.7.1, R602.6), which the local authority may "
    remark += "change; in an open attic or behind a knee wall ask it whether cables may lie over the members instead"
    return Rows(
        "To bore and to patch", ("face", "through", "how", "count", "widest hole", "allowed"), tuple(rows), remark
    )


def cable_rows(schedule: Schedule) -> Rows:
    """A row for each cable: its runs, what is installed and cut, and the spools."""
    units = schedule.scene.print_units
    rows = []
    for total in schedule.totals:
        spools = counted(len(total.drums), "spool")
        spools += f" of {format_about(total.cable.spool, units)}"
        spools += "" if total.cable.spools is None else f", {total.cable.spools} in stock"
        if not total.packing.is_best:
            spools += f" (at least {total.packing.at_least})"
        runs, lengths = str(len(total.runs)), (format_about(total.installed, units), format_about(total.cut, units))
        rows.append((total.cable.name, runs, *lengths, spools))
    return Rows("Cable", ("cable", "runs", "installed", "cut", "to have"), tuple(rows))


def spool_rows(schedule: Schedule) -> Rows:
    """A row for each spool: which runs are cut from it, the longest first, and what is left."""
    units = schedule.scene.print_units
    rows = []
    for total in schedule.totals:
        for drum in total.drums:
            runs = sorted(drum.runs, key=lambda run: -(run.cut or 0.0))
            cuts = ", ".join(f"{run.pull.label} {format_about(run.cut or 0.0, units)}" for run in runs)
            rows.append((f"{drum.cable.name}, spool {drum.number}", cuts, format_about(drum.left, units)))
    return Rows("Spools", ("spool", "cut from it, the longest first", "left"), tuple(rows))


def label_rows(schedule: Schedule) -> Rows:
    """What to write on both ends of every cable."""
    rows = []
    for run in schedule.runs:
        what = f"{run.pull.signal}, spare" if run.pull.is_spare else run.pull.signal
        where = "rack" if run.start is schedule.rack or run.start.surface is None else run.start.surface.name
        rows.append((run.pull.label, what, run.cable.name, f"{where} to {run.pull.end.name}"))
    return Rows("Labels, on both ends", ("label", "what", "cable", "between"), tuple(rows))


def cables_at_speakers(schedule: Schedule) -> dict[str, str]:
    """For each speaker by name the cable that is pulled to it: its label, kind and length, and what to leave there."""
    units = schedule.scene.print_units
    loop = format_about(schedule.wiring.loop_at_speaker, units)
    told = {}
    for run in schedule.runs:
        if run.pull.speaker is not None:
            cut = "" if run.cut is None else f", {format_about(run.cut, units)} cut"
            told[run.pull.speaker.name] = f"{run.pull.label}, {cable_words(run)}{cut}; {loop} of slack here"
    return told
