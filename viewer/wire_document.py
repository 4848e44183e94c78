"""The wiring schedule as a plain document, for --json, and its runs as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from earshed.model.finding import Finding
from earshed.model.wiring.bores import Holes, PlatesPassed, Unseen
from earshed.model.wiring.legs import Leg, Passed
from earshed.model.wiring.loss import Loss
from earshed.model.wiring.schedule import CableTotal, Run, Schedule
from earshed.model.wiring.spec import Cable, CableEnd
from earshed.viewer.cautions import BEFORE_BORING
from earshed.viewer.documents import finding_documents, numbers

RUN_COLUMNS = (
    "label", "name", "signal", "kind", "spare", "cable", "from", "to", "route_m", "beyond_m", "loops_m", "length_m",
    "cut_m", "load_ohm", "loop_ohm", "loss_percent", "loss_db", "within_limit", "spool",
)  # fmt: skip


def wire_document(schedule: Schedule, findings: Sequence[Finding], files: Sequence[Path]) -> dict[str, Any]:
    """Everything that a schedule says, in metres, ohm and shares."""
    wiring = schedule.wiring
    return {
        "scene": schedule.scene.title,
        "scheme": schedule.scene.scheme,
        "rack": _end(schedule.rack),
        "beyond_m": wiring.beyond,
        "loops_m": {"speaker": wiring.loop_at_speaker, "rack": wiring.loop_at_rack},
        "waste": wiring.waste,
        "loss_limit": wiring.loss_limit,
        "celsius": wiring.celsius,
        "runs": [_run(run) for run in schedule.runs],
        "holes": [_holes(holes) for holes in schedule.holes],
        "plates": [_plates(one) for one in schedule.plates],
        "members_not_known": [_unseen(unseen) for unseen in schedule.unseen],
        "cables": [_total(total) for total in schedule.totals],
        "assumed": {
            "access_of": list(schedule.access_assumed),
            "members_unknown_behind": list(schedule.framing_unknown),
            "impedance_of": [run.pull.name for run in schedule.load_assumed],
        },
        "cautions": list(BEFORE_BORING),
        "findings": finding_documents(findings),
        "files": [str(path) for path in files],
    }


def _end(end: CableEnd) -> dict[str, Any]:
    face = end.surface.name if end.surface is not None else None
    return {"name": end.name, "position_m": numbers(end.position), "face": face}


def _run(run: Run) -> dict[str, Any]:
    return {
        "label": run.pull.label,
        "name": run.pull.name,
        "signal": run.pull.signal,
        "kind": run.pull.kind,
        "spare": run.pull.is_spare,
        "cable": run.cable.name,
        "from": _end(run.pull.end),
        "to": _end(run.start),
        "route_m": None if run.route is None else run.route.length,
        "given": run.route is not None and run.route.is_given,
        "beyond_m": run.beyond,
        "loops_m": run.loops,
        "length_m": run.length,
        "cut_m": run.cut,
        "loss": None if run.loss is None else _loss(run.loss, run),
        "legs": [] if run.route is None else [_leg(leg) for leg in run.route.legs],
    }


def _loss(loss: Loss, run: Run) -> dict[str, Any]:
    return {
        "load_ohm": loss.load,
        "load_stated": run.pull.load_is_known,
        "loop_ohm": loss.loop,
        "share": loss.share,
        "db": loss.decibels,
        "within_limit": loss.is_within,
        "longest_m": loss.reaches,
        "awg_needed": loss.needs.gauge if loss.needs else None,
        "area_needed_mm2": loss.needs.area_mm2 if loss.needs else None,
    }


def _leg(leg: Leg) -> dict[str, Any]:
    return {
        "face": leg.panel.face.name if leg.panel is not None else None,
        "from_m": numbers(leg.start),
        "to_m": numbers(leg.end),
        "length_m": leg.length,
        "way": leg.way,
        "how": leg.how,
        "members_crossed": leg.crossings,
        "past": list(leg.passes),
        "entered": _passed(leg.entered) if leg.entered is not None else None,
    }


def _passed(passed: Passed) -> dict[str, Any]:
    return {"what": passed.crossed, "faces": list(passed.faces), "how": passed.how, "at_m": numbers(passed.at)}


def _holes(holes: Holes) -> dict[str, Any]:
    return {
        "face": holes.face,
        "members": holes.framing.name,
        "member_m": [holes.thickness, holes.framing.depth],
        "how": holes.how,
        "count": holes.count,
        "most_cables": holes.most,
        "hole_m": holes.needed,
        "allowed_m": holes.permitted.diameter,
        "rule": holes.permitted.rule,
        "within_limit": not holes.is_too_wide,
    }


def _unseen(unseen: Unseen) -> dict[str, Any]:
    return {
        "face": unseen.face,
        "part": unseen.part,
        "how": unseen.how,
        "most_cables": unseen.most,
        "hole_m": unseen.needed,
    }


def _plates(plates: PlatesPassed) -> dict[str, Any]:
    return {
        "what": plates.crossed,
        "faces": list(plates.faces),
        "how": plates.how,
        "count": plates.count,
        "most_cables": plates.most,
        "hole_m": plates.needed,
    }


def _cable(cable: Cable) -> dict[str, Any]:
    wire_size = cable.conductor
    return {
        "name": cable.name,
        "kind": cable.kind,
        "awg": wire_size.gauge if wire_size else None,
        "area_mm2": wire_size.area_mm2 if wire_size else None,
        "copper": wire_size.copper if wire_size else None,
        "conductors": cable.conductors if wire_size else None,
        "spool_m": cable.spool,
        "in_stock": cable.spools,
        "diameter_m": cable.diameter,
    }


def _total(total: CableTotal) -> dict[str, Any]:
    return {
        **_cable(total.cable),
        "runs": [run.pull.label for run in total.runs],
        "installed_m": total.installed,
        "cut_m": total.cut,
        "spools_at_least": total.packing.at_least,
        "spools_short": total.short,
        "spools": [
            {"runs": [run.pull.label for run in drum.runs], "used_m": drum.used, "left_m": drum.left}
            for drum in total.drums
        ],
    }


def runs_csv(schedule: Schedule) -> bytes:
    """One row for each run; cells are empty where there is nothing to say."""
    spools = {
        run: f"{drum.cable.name}, spool {drum.number}"
        for total in schedule.totals
        for drum in total.drums
        for run in drum.runs
    }
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(RUN_COLUMNS)
    for run in schedule.runs:
        loss = run.loss
        named = (run.pull.label, run.pull.name, run.pull.signal, run.pull.kind, _yes(run.pull.is_spare), run.cable.name)
        route = None if run.route is None else run.route.length
        lengths = [_metres(value) for value in (route, run.beyond, run.loops, run.length, run.cut)]
        lost = [""] * 5
        if loss is not None:
            figures = (f"{loss.load:g}", f"{loss.loop:.4f}", f"{100 * loss.share:.3f}", f"{loss.decibels:.3f}")
            lost = [*figures, _yes(loss.is_within)]
        rows.writerow((*named, run.pull.end.name, run.start.name, *lengths, *lost, spools.get(run, "")))
    return text.getvalue().encode()


def _metres(value: float | None) -> str:
    return "" if value is None else f"{value:.4f}"


def _yes(answer: bool) -> str:
    return "yes" if answer else "no"
