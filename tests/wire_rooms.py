"""Rooms with wiring for the tests, written as scene files."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.wiring.joints import joints_between
from earshed.model.wiring.net import build_net, end_node
from earshed.model.wiring.panels import panels_of
from earshed.model.wiring.pulls import Pull
from earshed.model.wiring.schedule import Schedule, wire
from earshed.model.wiring.spec import Wiring
from earshed.model.wiring.weave import UNIT

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))

# A flat room of 5 by 6 m, joists side to side at 0.3, 0.7, ... m from the front; speakers taped in metres.
FLAT = """\
format: 1
title: Flat
print_units: m
bare_lengths: m
room: {width: 5, length: 6, ceiling: {shape: flat, height: 2.5}}
framing:
  - {name: joists, surface: ceiling, member: 2x8, spacing: 0.4, direction: side-to-side, first_center: 0.3}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2}
  known: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2, impedance: 4ohm}
  cube: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: top, type: flush, channel: U+045, at: {from_left: 2, from_front: 3.3}}
"""


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "room.yaml"), scheme)


def schedule_of(text: str, scheme: str | None = None) -> Schedule:
    schedule = wire(read(text, scheme))
    assert schedule is not None
    return schedule


def cost_of(scene: Scene, wiring: Wiring, pull: Pull) -> float:
    """What the way of one run to the rack costs, with what is priced in it, as metres of cable; inf where is none."""
    assert wiring.rack is not None
    ends = [wiring.rack, pull.end]
    panels = panels_of(scene, wiring, ends)
    best = build_net(panels, joints_between(panels), ends).from_end(0).best
    return best[end_node(1)][0] * UNIT if end_node(1) in best else float("inf")


def flat(wiring: str, *more: str) -> str:
    """The flat room with lines under wiring, and more lines after the speakers."""
    lines = "".join(f"  {line}\n" for line in wiring.strip().splitlines())
    return FLAT + "".join(f"{line}\n" for line in more) + "wiring:\n" + lines


def with_wiring(path: Path) -> str:
    """A shipped scene's text with a plain rack, if it has no wiring of its own."""
    text = path.read_text(encoding="utf-8")
    if "\nwiring:" in text:
        return text
    wall = "wall: 1, along: 2'" if "outline:" in text or "walk:" in text else "wall: left, from_front: 2'"
    return text.replace("\nschemes:\n", f"\nwiring:\n  rack: {{{wall}, height: 2'}}\nschemes:\n", 1)


@dataclass(frozen=True)
class Plan:
    """A rectangular room in whole centimetres, with speakers in its ceiling and a rack on its left or right wall.

    Rafters and joists run so that they are the same seen in a mirror on the left wall.
    """

    width: int
    length: int
    ridge_at: int | None
    low: int
    far_low: int
    peak: int
    spacing: int
    first: int
    speakers: tuple[tuple[int, int], ...]
    rack_side: str
    rack_from_front: int
    rack_height: int
    framed: bool
    door: tuple[str, int] | None
    access: tuple[tuple[str, str], ...] = ()

    @property
    def mirrored(self) -> Plan:
        sides = {"left": "right", "right": "left", "front": "front", "rear": "rear"}
        ridge = None if self.ridge_at is None else self.width - self.ridge_at
        door = None
        if self.door is not None:
            wall, at = self.door
            door = (sides[wall], self.width - at - 80 if wall in ("front", "rear") else at)
        low, far_low = (self.far_low, self.low) if ridge is not None else (self.low, self.far_low)
        speakers = tuple((self.width - x, y) for x, y in self.speakers)
        rack = sides[self.rack_side]
        return replace(self, ridge_at=ridge, low=low, far_low=far_low, speakers=speakers, rack_side=rack, door=door)

    @property
    def text(self) -> str:
        if self.ridge_at is None:
            ceiling = f"{{shape: flat, height: {self.low}}}"
            direction = "side-to-side"
        else:
            ceiling = (
                f"{{shape: gable, ridge: front-to-back, ridge_at: {self.ridge_at}, low: {self.low}, "
                f"far_low: {self.far_low}, peak: {self.peak}}}"
            )
            direction = "up-slope"
        lines = ["format: 1", "title: Room", "print_units: cm", "bare_lengths: cm"]
        lines.append(f"room: {{width: {self.width}, length: {self.length}, ceiling: {ceiling}}}")
        if self.framed:
            lines.append(
                f"framing: [{{name: members, surface: ceiling, member: 2x8, spacing: {self.spacing}, direction: "
                f"{direction}, first_center: {self.first}}}]"
            )
        if self.door is not None:
            wall, at = self.door
            key = "from_left" if wall in ("front", "rear") else "from_front"
            lines.append(f"openings: [{{name: door, wall: {wall}, {key}: {at}, sill: 0, width: 80, height: 190}}]")
        lines.append("speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 20}}")
        lines.append("speakers:")
        for number, (x, y) in enumerate(self.speakers):
            lines.append(f"  - {{name: s{number}, type: flush, at: {{from_left: {x}, from_front: {y}}}}}")
        access = ", ".join(f"{face}: {how}" for face, how in self.access)
        lines.append("wiring:")
        place = f"wall: {self.rack_side}, from_front: {self.rack_from_front}, height: {self.rack_height}"
        lines.append(f"  rack: {{{place}}}")
        lines.append(f"  access: {{{access}}}")
        return "\n".join(lines) + "\n"


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    width, length = draw(st.integers(300, 600)), draw(st.integers(300, 600))
    ridge = draw(st.none() | st.integers(100, width - 100))
    low, far_low = draw(st.integers(210, 260)), draw(st.integers(210, 260))
    spots = st.tuples(st.integers(20, width - 20), st.integers(20, length - 20))
    walls = st.sampled_from(["front", "rear", "left", "right"])
    return Plan(
        width,
        length,
        ridge,
        low,
        far_low,
        draw(st.integers(300, 400)),
        draw(st.integers(30, 61)),
        draw(st.integers(5, 29)),
        tuple(draw(st.lists(spots, min_size=1, max_size=3, unique=True))),
        draw(st.sampled_from(["left", "right"])),
        draw(st.integers(20, length - 20)),
        draw(st.integers(20, 180)),
        draw(st.booleans()),
        draw(st.none() | st.tuples(walls, st.integers(10, 200))),
    )
