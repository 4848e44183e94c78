"""Words of the wiring schedule: where a leg goes, what is done there, what a run loses, and the cautions."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.taped import tape_to
from earshed.model.taped_words import TO_THE, near_words
from earshed.model.units import INCH, PrintUnits, format_about, format_length
from earshed.model.wiring.bores import Holes
from earshed.model.wiring.joints import Crossed
from earshed.model.wiring.legs import Leg, Passed, Route
from earshed.model.wiring.loss import Loss
from earshed.model.wiring.panel import Panel
from earshed.model.wiring.schedule import Run
from earshed.model.wiring.spec import CableEnd
from earshed.viewer.wording import counted

LEVEL = 1e-6
"""Radians under which a face is called level."""
PATCH = "open and patch"
CROSSED_WORDS: Mapping[Crossed, str] = {
    "top plate": "top plate",
    "bottom plate": "bottom plate",
    "corner": "corner studs",
    "crease": "framing at the crease",
    "edge": "framing at the edge",
}


def spot_words(scene: Scene, point: Array, panel: Panel | None) -> str:
    """Where a point (3,) on the way of a cable is, by tape."""
    units = scene.print_units
    if panel is None:
        x, y, z = point
        return ", ".join([
            near_words(scene, point, "left", _to_mark(x, units)),
            near_words(scene, point, "front", _to_mark(-y, units)),
            f"{format_about(float(z), units)} up",
        ])  # fmt: skip
    taped = tape_to(point, panel.face, scene.room.plan, TO_THE[units])
    told = [near_words(scene, point, start, distance) for start, distance in taped.along]
    if panel.is_upright:
        told.append(f"{format_about(float(point[2]), units)} up")
    return ", ".join(told)


def _to_mark(metres: float, units: PrintUnits) -> float:
    return math.floor(metres / TO_THE[units] + 0.5 + 1e-6) * TO_THE[units]


def end_words(scene: Scene, end: CableEnd) -> str:
    """Where a run ends, with the face that it is on."""
    if end.surface is None:
        return spot_words(scene, end.position, None)
    taped = tape_to(end.position, end.surface, scene.room.plan, TO_THE[scene.print_units])
    told = [near_words(scene, end.position, start, distance) for start, distance in taped.along]
    if taped.height is not None:
        told.append(f"{format_about(taped.height, scene.print_units)} up")
    return f"{end.surface.called}, {', '.join(told)}"


def face_words(name: str) -> str:
    """The name of a face, of sides without the numbers that tell them apart: the tape says which one it is."""
    return re.sub(r"^(inner|outer) side \d+ of ", "side of ", name)


def way_words(leg: Leg) -> str:
    """On what a leg runs and which way: "left slope, along the rafters"."""
    if leg.panel is None:
        return "in the room"
    name = face_words(leg.panel.face.name)
    if leg.panel.back != "cavity" and leg.way != "askew":
        return f"{name}, {_slope_words(leg)}"
    run = leg.panel.members[0].run.name if leg.panel.members else ""
    match leg.way:
        case "along":
            steep = {1: "up ", -1: "down ", 0: ""}[_rises(leg)]
            return f"{name}, {steep}along the {run}" if run else f"{name}, {steep}along its bay"
        case "across":
            return f"{name}, across the {run}" if leg.members else f"{name}, within a bay"
        case "upright":
            return f"{name}, {'down' if _rises(leg) < 0 else 'up'}"
        case "up-slope":
            return f"{name}, {_slope_words(leg)}"
        case "askew":
            return f"{name}, askew"
    return f"{name}, {_slope_words(leg)}"


def _slope_words(leg: Leg) -> str:
    """Which way a leg goes on its face."""
    rises = _rises(leg)
    if rises:
        return "up" if rises > 0 else "down"
    run = abs(leg.end - leg.start)
    if leg.panel is not None and not leg.panel.is_upright and leg.panel.face.slope < LEVEL:
        return "front to back" if run[1] > run[0] else "left to right"
    return "level"


def _rises(leg: Leg) -> int:
    """1 where a leg goes up, -1 where it goes down, 0 where it is level."""
    rise = float(leg.end[2] - leg.start[2])
    return 0 if abs(rise) < INCH / 16 else int(math.copysign(1, rise))


def how_words(leg: Leg) -> str:
    """What is done on a leg: "fish", "bore 3", "open and patch perhaps 2 studs"."""
    if leg.how in ("bore", "open and patch"):
        if leg.crossings is None:
            assert leg.panel is not None
            return f"{leg.how} perhaps {counted(leg.perhaps, leg.panel.part)}"
        return f"bore {leg.crossings}" if leg.how == "bore" else f"{PATCH} {leg.crossings}"
    return {"fish": "fish", "over tiles": "over the tiles", "surface": "on the surface", "loose": "loose"}[leg.how]


def passed_words(passed: Passed) -> str:
    """What is passed between two faces: "bore the top plate"."""
    called = CROSSED_WORDS[passed.crossed]
    if passed.how == "surface":
        return f"a hole at the {called}"
    return f"{'bore' if passed.how == 'bore' else PATCH} the {called}"


def work_words(route: Route) -> str:
    """What a route asks for in one line: "8 to bore, 1 to open and patch"."""
    counts = {"bore": 0, "open and patch": 0}
    perhaps = sum(leg.perhaps for leg in route.legs)
    for leg in route.legs:
        if leg.how in counts:
            counts[leg.how] += leg.crossings or 0
        if leg.entered is not None and leg.entered.how in counts:
            counts[leg.entered.how] += 1
    told = [f"{counts['bore']} to bore" if counts["bore"] else ""]
    told += [f"{counts['open and patch']} to open and patch" if counts["open and patch"] else ""]
    told += [f"perhaps {perhaps}{' more' if any(told) else ' to bore or patch'}" if perhaps else ""]
    told += ["some in sight" if any(leg.how == "surface" for leg in route.legs) else ""]
    return ", ".join(filter(None, told)) or "nothing to bore"


def loss_words(loss: Loss | None) -> str:
    """Share of the load and decibels; nothing where there is no load."""
    if loss is None:
        return ""
    return f"{'●' if loss.is_within else '✕'} {loss.share:.1%} {loss.decibels:.2f} dB"


def cable_words(run: Run) -> str:
    """A run's cable by its name, with its size where the name does not say it."""
    wire_size = run.cable.conductor
    said = wire_size is None or str(wire_size.gauge or f"{wire_size.area_mm2:g}") in run.cable.name
    return run.cable.name if said or wire_size is None else f"{run.cable.name} ({wire_size.called})"


def hole_words(needed: float | None, most: int, units: PrintUnits) -> str:
    """The widest hole that is needed, and for how many cables."""
    wide = "not known" if needed is None else format_length(needed, units)
    return f"{wide} ({counted(most, 'cable')})"


def allowed_words(holes: Holes, units: PrintUnits) -> str:
    """The largest hole that the model code allows."""
    most = holes.permitted.diameter
    if most is None:
        return "ask"
    return "none" if most == 0.0 else format_length(_down(most, units), units)


def _down(metres: float, units: PrintUnits) -> float:
    """A limit down to the mark of a tape, so that it is never told as more."""
    step = INCH / 16 if units == "ft-in" else 0.001
    return math.floor(metres / step + 1e-6) * step


def member_words(holes: Holes, units: PrintUnits) -> str:
    """What is bored, with its section."""
    size = f"{format_length(holes.thickness, units)} x {format_length(holes.framing.depth, units)}"
    return f"{holes.framing.name}, {size}"
