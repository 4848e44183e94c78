"""A room of which readings were taken, for tests, and speakers with readings of a test's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from earshed.model.measured import Measured
from earshed.model.sound.commissioning import Expected

HALL = """\
format: 1
title: Hall
print_units: mm
room: {width: 6m, length: 8m, ceiling: {shape: flat, height: 3m}}
seats:
  - {name: chair, at: {from_left: 3m, from_front: 5m}, ear_height: 1m, main: true}
  - {name: bench, at: {from_left: 4m, from_front: 7m}, ear_height: 1m}
speaker_types:
  box: {mount: stand, aiming: fixed, coverage: 90deg, impedance: 8ohm}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
"""
PLACES = {"near": ("3m", "4m"), "left": ("1m", "5m"), "right": ("5m", "5m"), "far": ("3m", "1m")}
"""By name, from the left and from the front: 1, 2, 2 and 4 m from the chair, which each faces."""


def hall(subwoofer: str = "", **measured: str) -> str:
    """The text of a scene with four speakers on stands and the readings of some, by their names."""
    lines = [HALL.rstrip()]
    for name, (left, front) in PLACES.items():
        read = f", measured: {{{measured[name]}}}" if name in measured else ""
        place = f"at: {{from_left: {left}, from_front: {front}}}, height: 1m, faces: chair"
        lines.append(f"  - {{name: {name}, type: box, {place}{read}}}")
    if subwoofer:
        lines.append("  - {name: rumble, type: sub, at: {from_left: 1m, from_front: 1m}, height: 300mm, faces: rear, "
                     f"measured: {{{subwoofer}}}}}")  # fmt: skip
    return "\n".join([*lines, ""])


def with_readings(told: Sequence[Expected], read: Sequence[Measured | None]) -> list[Expected]:
    """Speakers of a scene, of which something else was read."""
    return [
        replace(one, balance=replace(one.balance, speaker=replace(one.balance.speaker, measured=measured)))
        for one, measured in zip(told, read, strict=True)
    ]
