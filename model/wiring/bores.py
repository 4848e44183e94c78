"""What has to be bored, or opened and patched: members by face, and what stands between faces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from earshed.model.framing import Framing
from earshed.model.units import INCH
from earshed.model.wiring.bored import EDGE_OF_JOIST, MemberKind, Permitted, hole_for, largest_hole
from earshed.model.wiring.joints import Crossed
from earshed.model.wiring.legs import Route
from earshed.model.wiring.panel import Panel
from earshed.model.wiring.spec import Cable

Work = Literal["bore", "open and patch"]
USUAL_HOLE = 1 * INCH
"""Of a hole, to tell whether runs that cross a member near to each other share one. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Holes:
    """Holes through one run of members behind a face, all made in one way.

    `most` is how many cables share the fullest hole and `needed` how wide that must be, metres; None where the
    diameter of one is not known.
    """

    face: str
    framing: Framing
    part: MemberKind
    thickness: float
    how: Work
    count: int
    most: int
    needed: float | None
    permitted: Permitted

    @property
    def is_too_wide(self) -> bool:
        """Whether the model code's usual limit does not allow what is needed, or nothing at all."""
        most = self.permitted.diameter
        return most is not None and (most == 0.0 or (self.needed is not None and self.needed > most))


@dataclass(frozen=True)
class PlatesPassed:
    """How often runs pass what stands between two faces (their names), in one way; runs that pass it in one place count
    once. `most` is how many cables share the fullest hole, `needed` how wide that is, metres, None where not known."""

    crossed: Crossed
    faces: tuple[str, str]
    how: Work
    count: int
    most: int
    needed: float | None


@dataclass(frozen=True)
class Unseen:
    """Members behind a face that runs cross where the scene gives none, so that nobody knows how many.

    `most` is how many cables do, at the most through one hole, and `needed` how wide that is, metres, None where not
    known.
    """

    face: str
    part: MemberKind
    how: Work
    most: int
    needed: float | None


def holes_of(routes: Sequence[tuple[Route, Cable]], bit: float) -> tuple[Holes, ...]:
    """Holes in members, by face and run of members, each up to a whole `bit` (metres). Runs that cross one member
    nearer to each other than two holes may stand share one."""
    crossed: dict[tuple[Panel, int], list[tuple[float, Cable, Work]]] = {}
    for route, cable in routes:
        for leg in route.legs:
            if leg.panel is not None and leg.members and leg.how in ("bore", "open and patch"):
                how: Work = "bore" if leg.how == "bore" else "open and patch"
                for number, along in leg.members:
                    crossed.setdefault((leg.panel, number), []).append((along, cable, how))
    groups: dict[tuple[str, str, float, Work], list[tuple[Panel, Framing, list[Cable]]]] = {}
    for (panel, number), passing in crossed.items():
        assert panel.members is not None
        member = panel.members[number]
        for how, cables in _shared(passing):
            key = (panel.face.name, member.run.name, member.thickness, how)
            groups.setdefault(key, []).append((panel, member.run, cables))
    return tuple(_holes(key, found, bit) for key, found in groups.items())


def _shared(passing: Sequence[tuple[float, Cable, Work]]) -> Iterator[tuple[Work, list[Cable]]]:
    """The cables of each hole in one member, from where they cross it."""
    together: list[Cable] = []
    last = 0.0
    work: Work = "bore"
    for along, cable, how in sorted(passing, key=lambda one: one[0]):
        if together and along - last >= EDGE_OF_JOIST + USUAL_HOLE:
            yield work, together
            together = []
        together.append(cable)
        last, work = along, how
    yield work, together


def _holes(key: tuple[str, str, float, Work], found: Sequence[tuple[Panel, Framing, list[Cable]]], bit: float) -> Holes:
    face, _, thickness, how = key
    panel, framing, _ = found[0]
    needed = _widest([cables for _, _, cables in found], bit)
    return Holes(
        face, framing, panel.part, thickness, how, len(found), max(len(cables) for *_, cables in found), needed,
        largest_hole(panel.part, thickness, framing.depth),
    )  # fmt: skip


def unseen_of(routes: Sequence[tuple[Route, Cable]], bit: float) -> tuple[Unseen, ...]:
    """What is crossed of members that are not in the scene, by face."""
    crossing: dict[tuple[str, MemberKind, Work], list[Cable]] = {}
    for route, cable in routes:
        mine: dict[tuple[str, MemberKind, Work], None] = {}
        for leg in route.legs:
            if leg.panel is not None and leg.crossings is None:
                mine[leg.panel.face.name, leg.panel.part, "bore" if leg.how == "bore" else "open and patch"] = None
        for key in mine:
            crossing.setdefault(key, []).append(cable)
    return tuple(Unseen(*key, len(cables), _widest([cables], bit)) for key, cables in crossing.items())


def plates_of(routes: Sequence[tuple[Route, Cable]], bit: float) -> tuple[PlatesPassed, ...]:
    """What is passed between faces."""
    places: dict[tuple[Crossed, tuple[str, str], Work], dict[tuple[float, ...], list[Cable]]] = {}
    for route, cable in routes:
        for leg in route.legs:
            if leg.entered is not None and leg.entered.how != "surface":
                key = (leg.entered.crossed, leg.entered.faces, leg.entered.how)
                at = tuple(round(float(value), 3) + 0.0 for value in leg.entered.at)
                places.setdefault(key, {}).setdefault(at, []).append(cable)
    return tuple(
        PlatesPassed(*key, len(found), max(map(len, found.values())), _widest(found.values(), bit))
        for key, found in places.items()
    )


def _widest(holes: Iterable[Sequence[Cable]], bit: float) -> float | None:
    """Metres of the widest hole that is needed; None where one is not known."""
    needs = [hole_for([cable.diameter for cable in cables], bit) for cables in holes]
    return None if None in needs else max(need for need in needs if need is not None)
