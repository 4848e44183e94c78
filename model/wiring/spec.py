"""What a scene says of its wiring: where cables end, what is on the truck, where a drill can reach, what is wanted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from earshed.model.geometry import Array
from earshed.model.surface import Surface
from earshed.model.units import FOOT, INCH
from earshed.model.wiring.conductor import Conductor, of_gauge

CableKind = Literal["speaker", "line", "network", "coax"]
Access = Literal["attic", "knee wall", "below", "none"]
"""From where a drill and a hand can reach what is behind a face."""

USUAL_LOOP_AT_SPEAKER = 2 * FOOT
USUAL_LOOP_AT_RACK = 6 * FOOT
"""Slack left coiled at the ends of a run. Common practice, no source."""
USUAL_WASTE = 0.10
"""Of each run's length, cut longer for what no drawing shows. Common practice, no source."""
USUAL_LOSS_LIMIT = 0.05
"""Loop resistance over the load's impedance. Common practice, no source."""
USUAL_CELSIUS = 20.0
USUAL_IMPEDANCE = 8.0
"""Ohm, of a speaker whose type says none. Common practice, no source."""


@dataclass(frozen=True)
class Cable:
    """A kind of cable as it comes: lengths in metres, None where the scene does not say.

    `conductor` is one of its conductors, known for speaker cable alone; `spools` how many are in stock.
    """

    name: str
    kind: CableKind
    spool: float
    conductor: Conductor | None = None
    conductors: int = 2
    spools: int | None = None
    diameter: float | None = None


USUAL_CABLES = (
    *(
        Cable(f"speaker {gauge}/2", "speaker", 500 * FOOT, of_gauge(gauge), diameter=across * INCH)
        for gauge, across in ((16, 0.25), (14, 0.30), (12, 0.36))
    ),
    Cable("line", "line", 500 * FOOT, diameter=0.25 * INCH),
    Cable("network", "network", 1000 * FOOT, diameter=0.25 * INCH),
    Cable("coax", "coax", 500 * FOOT, diameter=0.28 * INCH),
)
"""Cable where a scene lists none of its kind: stranded, with a jacket rated for walls. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class CableEnd:
    """Where a cable ends, or a point that it passes: a place (3,), metres, and the face that it is on.

    Without a face it is in the room, and its cable comes out of a wall near it, `plate` metres up if that is said.
    """

    name: str
    position: Array
    surface: Surface | None = None
    plate: float | None = None
    may_hang: bool = False
    """Whether it may be fed from the ceiling over it."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A run that a scene asks for besides those of its speakers; it starts at the rack where `start` is None.

    `impedance` is the load in ohm that a spare speaker run is to be good for.
    """

    name: str
    kind: CableKind
    end: CableEnd
    start: CableEnd | None = None
    impedance: float | None = None
    is_spare: bool = False


@dataclass(frozen=True, eq=False)
class Wiring:
    """Everything a scene says of its wiring, metres.

    `beyond` leads on from the rack's place to its terminals. `access` is by the names of faces, "ceiling", "walls" and
    "floor". `ways` are points that a run passes, by its name, from its far end to the rack; `use` the cable it takes.
    """

    rack: CableEnd | None = None
    beyond: float = 0.0
    loop_at_speaker: float = USUAL_LOOP_AT_SPEAKER
    loop_at_rack: float = USUAL_LOOP_AT_RACK
    waste: float = USUAL_WASTE
    loss_limit: float = USUAL_LOSS_LIMIT
    celsius: float = USUAL_CELSIUS
    cables: tuple[Cable, ...] = ()
    access: Mapping[str, Access] = field(default_factory=dict)
    wanted: tuple[Wanted, ...] = ()
    ways: Mapping[str, tuple[CableEnd, ...]] = field(default_factory=dict)
    use: Mapping[str, str] = field(default_factory=dict)

    def offered(self, kind: CableKind) -> tuple[Cable, ...]:
        """The cables of a kind: those that the scene lists, else the usual ones."""
        own = tuple(cable for cable in self.cables if cable.kind == kind)
        return own or tuple(cable for cable in USUAL_CABLES if cable.kind == kind)

    def cable_called(self, name: str) -> Cable | None:
        """A cable by its name, of all that are offered."""
        return next((cable for cable in self.all_offered if cable.name == name), None)

    @property
    def all_offered(self) -> tuple[Cable, ...]:
        """The cables of every kind."""
        kinds: tuple[CableKind, ...] = get_args(CableKind)
        return tuple(cable for kind in kinds for cable in self.offered(kind))
