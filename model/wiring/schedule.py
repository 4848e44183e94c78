"""The wiring schedule of a scene: every run with its route, cable, length, loss and spool."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from earshed.model.geometry import TOUCHING
from earshed.model.scene import Scene
from earshed.model.units import FOOT, INCH, PrintUnits
from earshed.model.wiring.bores import Holes, PlatesPassed, Unseen, holes_of, plates_of, unseen_of
from earshed.model.wiring.legs import Leg, Route
from earshed.model.wiring.loss import Loss, loss_of
from earshed.model.wiring.pulls import Pull, pulls_of
from earshed.model.wiring.route import faces_used, find_routes
from earshed.model.wiring.spec import Cable, CableEnd, Wiring
from earshed.model.wiring.spools import Packing, pack

CUT_TO = {"ft-in": FOOT, "mm": 0.1, "cm": 0.1, "m": 0.1}
"""Metres to whose next multiple runs are cut, by the units that are printed."""
BITS = {"ft-in": INCH / 8, "mm": 0.002, "cm": 0.002, "m": 0.002}
"""Metres from one drill bit to the next wider, likewise. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Run:
    """One run, lengths in metres: along its route, on to the terminals (`beyond`) and in the loops at its ends.

    `route` is None where there is no way, and so are what is cut and lost.
    """

    pull: Pull
    cable: Cable
    start: CableEnd
    route: Route | None
    beyond: float
    loops: float
    cut: float | None
    loss: Loss | None

    @property
    def length(self) -> float | None:
        """What is installed, loops and all."""
        return None if self.route is None else self.route.length + self.beyond + self.loops

    @property
    def is_past_spool(self) -> bool:
        return self.cut is not None and self.cut > self.cable.spool + TOUCHING


@dataclass(frozen=True, eq=False)
class Drum:
    """One spool and what is cut from it, in metres."""

    cable: Cable
    number: int
    runs: tuple[Run, ...]

    @property
    def used(self) -> float:
        return sum(run.cut for run in self.runs if run.cut is not None)

    @property
    def left(self) -> float:
        return self.cable.spool - self.used


@dataclass(frozen=True, eq=False)
class CableTotal:
    """All of one cable, metres: what is installed, what is cut, and the spools that takes."""

    cable: Cable
    runs: tuple[Run, ...]
    packing: Packing
    drums: tuple[Drum, ...]

    @property
    def installed(self) -> float:
        return sum(run.length for run in self.runs if run.length is not None)

    @property
    def cut(self) -> float:
        return sum(run.cut for run in self.runs if run.cut is not None)

    @property
    def short(self) -> int:
        """Spools that are missing from stock; none where the stock is not stated."""
        return 0 if self.cable.spools is None else max(0, len(self.drums) - self.cable.spools)


@dataclass(frozen=True, eq=False)
class Schedule:
    """Everything that a page, a table or a document of the wiring says."""

    scene: Scene
    wiring: Wiring
    rack: CableEnd
    runs: tuple[Run, ...]
    holes: tuple[Holes, ...]
    plates: tuple[PlatesPassed, ...]
    unseen: tuple[Unseen, ...]
    totals: tuple[CableTotal, ...]

    @property
    def routes(self) -> tuple[Route, ...]:
        return tuple(run.route for run in self.runs if run.route is not None)

    @property
    def legs(self) -> tuple[Leg, ...]:
        return tuple(leg for route in self.routes for leg in route.legs)

    @property
    def access_assumed(self) -> tuple[str, ...]:
        """Faces that runs go behind without a word in the scene on how they are reached."""
        return tuple(name for name, stated in faces_used(self.routes).items() if not stated)

    @property
    def framing_unknown(self) -> tuple[str, ...]:
        """Faces that runs cross without framing in the scene, so that members to pass are not known."""
        return tuple(dict.fromkeys(unseen.face for unseen in self.unseen))

    @property
    def load_assumed(self) -> tuple[Run, ...]:
        return tuple(run for run in self.runs if not run.pull.load_is_known)


@lru_cache(maxsize=4)
def wire(scene: Scene) -> Schedule | None:
    """The schedule of a scene; None where it says nothing of its wiring, or not where the rack is.

    Checks, sheets and tables each ask for the one of their scene, which is found once.
    """
    wiring = scene.wiring
    if wiring is None or wiring.rack is None:
        return None
    pulls = pulls_of(scene, wiring)
    routes = find_routes(scene, wiring, pulls)
    runs = _alike(
        [_run(pull, route, wiring, scene.print_units) for pull, route in zip(pulls, routes, strict=True)], wiring
    )
    found = [(run.route, run.cable) for run in runs if run.route is not None]
    bit = BITS[scene.print_units]
    return Schedule(
        scene,
        wiring,
        wiring.rack,
        runs,
        holes_of(found, bit),
        plates_of(found, bit),
        unseen_of(found, bit),
        tuple(_totals(runs)),
    )


def _run(pull: Pull, route: Route | None, wiring: Wiring, units: PrintUnits) -> Run:
    assert wiring.rack is not None
    to_rack = pull.start is None
    loops = wiring.loop_at_speaker + (wiring.loop_at_rack if to_rack else wiring.loop_at_speaker)
    beyond = wiring.beyond if to_rack else 0.0
    length = None if route is None else route.length + beyond + loops
    cut = None if length is None else _rounded_up(length * (1 + wiring.waste), CUT_TO[units])
    cable = _chosen(pull, length, cut, wiring)
    loss = None if length is None or pull.load is None else loss_of(cable, length, pull.load, wiring)
    return Run(pull, cable, pull.start or wiring.rack, route, beyond, loops, cut, loss)


def _chosen(pull: Pull, length: float | None, cut: float | None, wiring: Wiring) -> Cable:
    """The cable that the scene chooses for a run; else the thinnest that loses little enough and comes long enough,
    else the thickest that comes long enough, else the longest."""
    named = wiring.cable_called(wiring.use[pull.name]) if pull.name in wiring.use else None
    if named is not None:
        return named
    offered = wiring.offered(pull.kind)
    long_enough = [cable for cable in offered if cut is None or cable.spool >= cut - TOUCHING]
    if not long_enough:
        return max(offered, key=lambda cable: cable.spool)
    thinnest = sorted(long_enough, key=lambda cable: cable.conductor.area_mm2 if cable.conductor else 0.0)
    if pull.load is None or length is None:
        return thinnest[0]
    for cable in thinnest:
        loss = loss_of(cable, length, pull.load, wiring)
        if loss is None or loss.is_within:
            return cable
    return thinnest[-1]


def _alike(runs: Sequence[Run], wiring: Wiring) -> tuple[Run, ...]:
    """The runs with one cable for two channels that mirror each other, the thicker of what each would take, where it
    comes long enough and the scene chooses no other. Common practice, no source."""
    groups: dict[frozenset[str], list[Run]] = {}
    for run in runs:
        channel = run.pull.speaker.channel if run.pull.speaker else None
        if channel is not None and run.cable.conductor is not None and run.pull.name not in wiring.use:
            groups.setdefault(frozenset({channel.label, channel.mirrored.label}), []).append(run)
    changed: dict[Run, Run] = {}
    for group in groups.values():
        thickest = max(
            (run.cable for run in group), key=lambda cable: cable.conductor.area_mm2 if cable.conductor else 0.0
        )
        if all(run.cut is None or run.cut <= thickest.spool + TOUCHING for run in group):
            changed |= {run: _with(run, thickest, wiring) for run in group}
    return tuple(changed.get(run, run) for run in runs)


def _with(run: Run, cable: Cable, wiring: Wiring) -> Run:
    """A run on another cable."""
    known = run.length is not None and run.pull.load is not None
    loss = loss_of(cable, run.length or 0.0, run.pull.load or 0.0, wiring) if known else None
    return replace(run, cable=cable, loss=loss)


def _rounded_up(metres: float, step: float) -> float:
    return math.ceil(metres / step - 1e-6) * step


def _totals(runs: Sequence[Run]) -> Iterator[CableTotal]:
    """Each cable that is used, in the order of its first run, packed on its spools."""
    for cable in dict.fromkeys(run.cable for run in runs):
        mine = [run for run in runs if run.cable == cable and run.cut is not None]
        if not mine:
            continue
        fitting = [run for run in mine if not run.is_past_spool]
        packing = pack([run.cut for run in fitting if run.cut is not None], cable.spool)
        drums = tuple(
            Drum(cable, number, tuple(fitting[at] for at in spool))
            for number, spool in enumerate(packing.spools, start=1)
        )
        yield CableTotal(cable, tuple(mine), packing, drums)
