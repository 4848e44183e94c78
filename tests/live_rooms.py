"""A small room for the tests of the live room: a gable, a pair overhead, a pair in the walls, lights, and a scheme."""

from __future__ import annotations

from pathlib import Path

LIVE_ROOM = """\
# The client's loft. This comment stays.
format: 1
title: Loft
print_units: ft-in
room: {width: 14ft, length: 16ft, ceiling: {shape: gable, ridge: front-to-back, low: 6ft, peak: 10ft}}
datums: {post: {from_left: 3ft, from_front: 2ft}}
framing:
  - {name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}
screen: {wall: front, diagonal: 90in, aspect: 16:9, bottom: 30in}
seats:
  - {name: left seat, at: {from_center: -1ft, from_front: 10ft}, ear_height: 40in, main: true}
  - {name: right seat, at: {from_center: 1ft, from_front: 10ft}, ear_height: 40in, main: true}
  - {name: bench, at: {from_left: 2ft, from_front: 13ft}, ear_height: 36in}
fixtures:
  - {name: can, kind: can light, at: {from_left: 5ft, from_front: 5ft}, cutout: 6in}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, mounting_depth: 4in}
  pivot: {mount: in-ceiling, aiming: {pivoting: 20deg}, coverage: 90deg, cutout: 8in, bezel: 9in, mounting_depth: 4in}
  wall: {mount: in-wall, aiming: {pivoting: 15deg}, coverage: 100deg, cutout: 7in, bezel: 8in, mounting_depth: 3in}
speakers:
  - {name: top left, type: pivot, channel: U+045, at: {from_left: 4ft, from_front: 80in},
     aim: {tilt: 10deg, toward: rear}}
  - {name: top right, type: pivot, channel: U-045, at: {from_right: 4ft, from_front: 80in},
     aim: {tilt: 10deg, toward: rear}}
  - {name: side left, type: wall, channel: M+090, wall: left, from_front: 10ft, height: 4ft}
  - {name: side right, type: wall, channel: M-090, wall: right, from_front: 10ft, height: 4ft}
schemes:
  flush ones: {speakers: {top left: {type: flush, aim: none}, top right: {type: flush, aim: none}}}
"""


def live_room(folder: Path, name: str = "loft.yaml") -> Path:
    path = folder / name
    path.write_text(LIVE_ROOM, encoding="utf-8")
    return path


def many_room(folder: Path, speakers: int = 60, seats: int = 40) -> Path:
    """A hall with so many speakers over the seats, each on a channel of its own, and seats in rows of eight."""
    lines = ["format: 1", "title: Hall", "print_units: m", "bare_lengths: m",
             "room: {width: 16, length: 22, ceiling: {shape: gable, ridge: front-to-back, low: 4, peak: 7}}",
             "screen: {wall: front, diagonal: 5, aspect: 16:9, bottom: 1}", "seats:"]  # fmt: skip
    lines += [
        f"  - {{name: seat {number + 1}, at: {{from_left: {4 + number % 8}, from_front: {8 + 1.5 * (number // 8)}}}, "
        f"ear_height: 1.1, main: {'true' if number < 16 else 'false'}}}"
        for number in range(seats)
    ]
    lines += [
        "speaker_types:",
        "  pivot: {mount: in-ceiling, aiming: {pivoting: 20deg}, coverage: 90deg, cutout: 0.2, bezel: 0.23}",
    ]
    lines += ["speakers:"]
    lines += [
        f"  - {{name: speaker {number + 1}, type: pivot, at: {{from_left: {1.3 + 1.45 * (number % 10)}, "
        f"from_front: {2 + 3.1 * (number // 10)}}}, aim: {{seats: main}}}}"
        for number in range(speakers)
    ]
    path = folder / "hall.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
