"""What a scene file says is what the Scene holds: every key, against numbers worked by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from earshed.model.aim import AtSeats, Straight, Tilt
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker_type import TYPICAL_CABINET, Angled, Coverage, Fixed, Pivoting, Round, Size

FT = 0.3048
IN = 0.0254

ATTIC = """\
format: 1
title: Attic den          # every key that a scene may hold
print_units: mm
bare_lengths: ft
room:
  width: 12'
  length: 18
  ceiling: {shape: gable, ridge: front-to-back, low: 4', peak: 8' 6", ridge_at: 5ft, far_low: 60in}
datums:
  stair post: {from_left: 4', from_front: 9'}
  shelf end: {datum: stair post, right: 2' 6", back: -1'}
framing:
  - {name: rafters, surface: left slope, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}
  - {name: purlins, surface: ceiling, member: 1-3/4in x 9-1/2in, spacing: 2', direction: level, first_center: 0}
fixtures:
  - {name: can 1, kind: can light, at: {from_right: 3', from_rear: 4'}, cutout: 6-1/4in, body: 7-1/2in}
  - {name: can 2, kind: can light, at: {datum: shelf end}, cutout: 6-1/4in}
  - {name: soffit, kind: box, from_right: 2', from_front: 0, bottom: 4' 6", width: 2', length: 18', height: 5'}
openings:
  - {name: door, wall: rear, from_left: 4', sill: 3in, width: 2' 8", height: 6' 8"}
screen: {wall: front, diagonal: 75in, aspect: 4:3, center_from_left: 5' 6", bottom: 2'}
risers:
  - {name: platform, from_left: 1', from_front: 12', width: 8', length: 6', height: 7in}
seats:
  - {name: front chair, at: {from_left: 5', from_front: 10'}, ear_height: 40in, main: true}
  - {name: back chair, at: {from_center: -1', from_rear: 3'}, ear_height: 42in}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 9-1/2in, bezel: 10-3/4in,
    mounting_depth: 4-3/4in}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 80deg}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18°}, coverage: 100}
  wall pivot: {mount: in-wall, aiming: {pivoting: 15}, coverage: {angle: 90}}
  bookshelf: {mount: stand, aiming: fixed, coverage: 90deg, size: {width: 8in, height: 13in, depth: 10in}}
  pod: {mount: on-surface, aiming: {pivoting: 30 degrees}, coverage: 120deg}
  bass box: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: upper left, type: pivot, channel: Upper side left, at: {from_left: 2', from_front: 9'},
    aim: {tilt: 10deg, toward: right}}
  - {name: upper right, type: flush, channel: U-090, at: {from_right: 3', from_front: 9'}, aim: none}
  - {name: under it, type: angled, at: {from_right: 1', from_front: 3'}, aim: {tilt: 25deg, toward: 30deg left of rear}}
  - {name: side left, type: wall pivot, channel: M+090, wall: left, from_front: 9', height: 3',
    aim: {tilt: 15, toward: rear}}
  - {name: front left, type: bookshelf, at: {from_left: 1', from_front: 1'}, height: 3', faces: 45deg right of rear}
  - {name: over, type: pod, at: {from_left: 5', from_front: 14'}, height: 8', faces: down, aim: {seat: front chair}}
  - {name: bass, type: bass box, channel: LFE1, at: {from_right: 18in, from_front: 18in}, height: 1', faces: rear}
listening_plane: {height: 3' 4", step: 2in}
schemes:
  as found: {speakers: {upper left: {type: flush, aim: none}}, remove: [over]}
"""

LEAST = "format: 1\ntitle: Bare\nroom: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}\n"


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "attic.yaml"), scheme)


@pytest.fixture(scope="module")
def attic() -> Scene:
    return read(ATTIC)


def test_what_stands_at_the_top(attic: Scene) -> None:
    assert (attic.title, attic.print_units, attic.scheme, attic.schemes) == ("Attic den", "mm", None, ("as found",))
    assert attic.notes == ()


def test_the_room_under_its_gable(attic: Scene) -> None:
    """In feet: walls 4 and 5 high, a peak of 8.5 at 5 from the left, so the slopes rise 0.9 and fall 0.5 a foot."""
    room = attic.room
    assert (room.plan.width, room.plan.length) == pytest.approx((12 * FT, 18 * FT), abs=1e-12)
    places = np.array([[0, 0], [2, -9], [5, -3], [9, -14], [12, -18]]) * FT
    assert room.ceiling_over(places) == pytest.approx(np.array([4, 5.8, 8.5, 6.5, 5]) * FT, abs=1e-12)
    section = (4 + 8.5) / 2 * 5 + (8.5 + 5) / 2 * 7
    soffit, platform = (1.5 + 0.5) / 2 * 2 * 18, 8 * 6 * 7 / 12
    assert room.shell.volume == pytest.approx(section * 18 * FT**3, rel=1e-7)
    assert room.volume == pytest.approx((section * 18 - soffit - platform) * FT**3, rel=1e-7)


def test_boxes_and_risers(attic: Scene) -> None:
    (soffit,), (platform,) = attic.room.boxes, attic.room.risers
    assert (soffit.name, platform.name) == ("soffit", "platform")
    for block, lower, upper in [
        (soffit, (10, -18, 4.5), (12, 0, 9.5)),
        (platform, (1, -18, 0), (9, -12, 7 / 12)),
    ]:
        assert block.lower == pytest.approx(np.array(lower) * FT, abs=1e-12)
        assert block.upper == pytest.approx(np.array(upper) * FT, abs=1e-12)


def test_datums_and_seats(attic: Scene) -> None:
    assert list(attic.datums) == ["stair post", "shelf end"]
    assert attic.datums["stair post"] == pytest.approx(np.array([4, -9]) * FT, abs=1e-12)
    assert attic.datums["shelf end"] == pytest.approx(np.array([6.5, -8]) * FT, abs=1e-12)
    front, back = attic.seats
    assert (front.name, front.main, back.name, back.main) == ("front chair", True, "back chair", False)
    assert front.ear == pytest.approx(np.array([5, -10, 40 / 12]) * FT, abs=1e-12)
    assert back.ear == pytest.approx(np.array([5, -15, (42 + 7) / 12]) * FT, abs=1e-12)  # on the platform


def test_lights(attic: Scene) -> None:
    first, second = attic.fixtures
    assert first.position == pytest.approx(np.array([9, -14, 6.5]) * FT, abs=1e-12)
    assert second.position == pytest.approx(np.array([6.5, -8, 7.75]) * FT, abs=1e-12)
    assert (first.name, first.surface.name, second.surface.name) == ("can 1", "right slope", "right slope")
    sizes = [2 * shape.radius for shape in (first.seen, first.shape, second.shape)]
    assert sizes == pytest.approx([6.25 * IN, 7.5 * IN, 6.25 * IN], abs=1e-12)


def test_the_door_and_the_screen(attic: Scene) -> None:
    (door,) = attic.openings
    assert door.corners[:, 0].min() == pytest.approx(4 * FT, abs=1e-12)
    assert door.corners[:, 0].max() == pytest.approx((4 + 32 / 12) * FT, abs=1e-12)
    assert door.corners[:, 1] == pytest.approx(-18 * FT, abs=1e-12)
    assert (door.bottom, door.top) == pytest.approx((3 * IN, 83 * IN), abs=1e-12)
    screen = attic.screen
    assert screen is not None
    assert (screen.end - screen.start, screen.top - screen.bottom) == pytest.approx((60 * IN, 45 * IN), abs=1e-12)
    assert screen.center == pytest.approx(np.array([66, 0, 24 + 22.5]) * IN, abs=1e-12)


def test_framing(attic: Scene) -> None:
    """A 2x8 is 1-1/2 by 7-1/4 in dressed and dry (PS 20, American Softwood Lumber Standard)."""
    rafters, purlins = attic.framing
    assert [surface.name for surface in rafters.surfaces] == ["left slope"]
    assert [surface.name for surface in purlins.surfaces] == ["left slope", "right slope"]
    assert (rafters.direction, purlins.direction) == ("up-slope", "level")
    for found, inches in [(rafters, (1.5, 7.25, 16, 8)), (purlins, (1.75, 9.5, 24, 0))]:
        sizes = (found.thickness, found.depth, found.spacing, found.first_center)
        assert sizes == pytest.approx(np.array(inches) * IN, abs=1e-12)


def test_speaker_types(attic: Scene) -> None:
    types = attic.speaker_types
    deg = math.radians
    assert {name: (kind.mount, kind.aiming) for name, kind in types.items()} == {
        "flush": ("in-ceiling", Fixed()),
        "angled": ("in-ceiling", Angled(deg(25))),
        "pivot": ("in-ceiling", Pivoting(deg(18))),
        "wall pivot": ("in-wall", Pivoting(deg(15))),
        "bookshelf": ("stand", Fixed()),
        "pod": ("on-surface", Pivoting(deg(30))),
        "bass box": ("stand", Fixed()),
    }
    assert types["flush"].coverage == Coverage(deg(90), 4000.0)
    assert types["angled"].coverage == Coverage(deg(80), None)
    assert types["wall pivot"].coverage == Coverage(deg(90), None)
    flush = types["flush"]
    assert (flush.cutout, flush.bezel) == (Round(9.5 * IN), Round(10.75 * IN))
    assert flush.mounting_depth == pytest.approx(4.75 * IN)
    assert (types["pivot"].cutout, types["pivot"].bezel, types["pivot"].mounting_depth) == (None, None, None)
    assert types["bookshelf"].size == Size(8 * IN, 13 * IN, 10 * IN)
    assert types["pod"].size == TYPICAL_CABINET
    assert {name: (kind.subwoofer, kind.coverage is None) for name, kind in types.items() if kind.subwoofer} == {
        "bass box": (True, True)
    }


C10, S10 = math.cos(math.radians(10)), math.sin(math.radians(10))
C15, S15 = math.cos(math.radians(15)), math.sin(math.radians(15))
C25, S25 = math.cos(math.radians(25)), math.sin(math.radians(25))
H = math.sqrt(0.5)
STEEP, GENTLE = math.sqrt(0.9**2 + 1), math.sqrt(0.5**2 + 1)
PLACED = {
    # name: type, channel, place in feet, normal, axis, face
    "upper left": ("pivot", "U+090", (2, -9, 5.8), np.array([0.9, 0, -1]) / STEEP,
                   C10 * np.array([0.9, 0, -1]) / STEEP + S10 * np.array([1, 0, 0.9]) / STEEP, "left slope"),
    "upper right": ("flush", "U-090", (9, -9, 6.5), np.array([-0.5, 0, -1]) / GENTLE,
                    np.array([-0.5, 0, -1]) / GENTLE, "right slope"),
    "under it": ("angled", None, (11, -3, 4.5), (0, 0, -1), (-S25 / 2, -S25 * math.sqrt(0.75), -C25), "soffit"),
    "side left": ("wall pivot", "M+090", (0, -9, 3), (1, 0, 0), (C15, -S15, 0), "left wall"),
    "front left": ("bookshelf", None, (1, -1, 3), (H, -H, 0), (H, -H, 0), None),
    # the seat is 4 ft in front and 4 ft 8 in down: past the 30 degrees of its type, which stops short of it
    "over": ("pod", None, (5, -14, 8), (0, 0, -1), (0, 0.5, -math.sqrt(0.75)), None),
    "bass": ("bass box", "LFE1", (10.5, -1.5, 1), (0, -1, 0), (0, -1, 0), None),
}  # fmt: skip


@pytest.mark.parametrize("name", PLACED)
def test_speakers(attic: Scene, name: str) -> None:
    kind, channel, place, normal, axis, face = PLACED[name]
    (speaker,) = [speaker for speaker in attic.speakers if speaker.name == name]
    assert speaker.type is attic.speaker_types[kind]
    assert (speaker.channel.label if speaker.channel else None) == channel
    assert speaker.position == pytest.approx(np.array(place) * FT, abs=1e-12)
    assert speaker.normal == pytest.approx(np.array(normal), abs=1e-12)
    assert speaker.axis == pytest.approx(np.array(axis), abs=1e-9)
    if kind != "pod":  # what a box on a surface is fixed to is not asked here
        assert (speaker.surface.name if speaker.surface else None) == face


def test_aims_are_kept(attic: Scene) -> None:
    aims = {speaker.name: speaker.aim for speaker in attic.speakers}
    tilt = aims["upper left"]
    assert isinstance(tilt, Tilt)
    assert tilt.angle == pytest.approx(math.radians(10))
    assert tilt.toward == pytest.approx(np.array([1, 0, 0]))
    assert (aims["upper right"], aims["bass"], aims["over"]) == (Straight(), Straight(), AtSeats(("front chair",)))
    assert [speaker.name for speaker in attic.judged] == [name for name in PLACED if name != "bass"]


def test_the_plane_and_the_scheme(attic: Scene) -> None:
    assert (attic.plane.height, attic.plane.step) == pytest.approx((40 * IN, 2 * IN))
    found = read(ATTIC, "as found")
    assert (found.scheme, found.schemes) == ("as found", ("as found",))
    assert [speaker.name for speaker in found.speakers] == [name for name in PLACED if name != "over"]
    assert found.speakers[0].type.name == "flush"
    assert found.speakers[0].axis == pytest.approx(PLACED["upper left"][3], abs=1e-12)


def test_a_file_reads_as_its_text(tmp_path: Path, attic: Scene) -> None:
    path = tmp_path / "attic.yaml"
    path.write_text(ATTIC, encoding="utf-8")
    for name in (path, str(path)):
        axes = [speaker.axis for speaker in read_scene(name).speakers]
        assert np.array_equal(axes, [speaker.axis for speaker in attic.speakers])


def test_what_is_not_said() -> None:
    """Only format, title and room are needed. An ear height of 40 in and a step of 1 in: common practice, no source."""
    scene = read(LEAST)
    assert (scene.print_units, scene.schemes, scene.screen, scene.speakers) == ("ft-in", (), None, ())
    assert (scene.seats, scene.fixtures, scene.openings, scene.framing) == ((), (), (), ())
    assert (dict(scene.datums), dict(scene.speaker_types), scene.room.boxes, scene.room.risers) == ({}, {}, (), ())
    assert (scene.plane.height, scene.plane.step) == pytest.approx((40 * IN, 1 * IN))
    lists = "".join(f"{key}: []\n" for key in ("framing", "fixtures", "openings", "seats", "risers", "speakers"))
    assert read(LEAST + lists + "datums: {}\nspeaker_types: {}\nschemes: {}\nlistening_plane: {}\n").seats == ()


def test_the_plane_is_at_the_main_seats_ears() -> None:
    seats = "seats:\n" + "".join(
        f"  - {{name: seat {n}, at: {{from_left: {n}m, from_front: 1m}}, ear_height: {height}m, main: {main}}}\n"
        for n, (height, main) in enumerate([(1.0, "true"), (1.2, "yes"), (1.5, "false")], start=1)
    )
    assert read(LEAST + seats).plane.height == pytest.approx(1.1)
    assert read(LEAST + seats.replace("true", "no").replace("yes", "False")).plane.height == pytest.approx(3.7 / 3)


@pytest.mark.parametrize(
    ("unit", "metres"), [("in", 2.5 * IN), ("ft", 2.5 * FT), ("mm", 0.0025), ("cm", 0.025), ("m", 2.5)]
)
def test_bare_lengths(unit: str, metres: float) -> None:
    bare = LEAST + f"bare_lengths: {unit}\nlistening_plane: {{height: 2.5, step: 0.3m}}\n"
    assert read(bare).plane.height == pytest.approx(metres, rel=1e-12)
    assert read(bare).plane.step == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("said", "width", "height"),
    [
        ("diagonal: 5m, aspect: 4:3", 4, 3),
        ("diagonal: 5m, aspect: 1.3333333333", 4, 3),
        ("width: 4m, aspect: 2:1", 4, 2),
        ("width: 2.39m, aspect: 2.39:1", 2.39, 1),
        ("width: 1.6m", 1.6, 0.9),
    ],
)
def test_screen_sizes(said: str, width: float, height: float) -> None:
    screen = read(LEAST + f"screen: {{wall: front, bottom: 0.5m, {said}}}\n").screen
    assert screen is not None
    assert (screen.end - screen.start, screen.top - screen.bottom) == pytest.approx((width, height), rel=1e-9)
    assert screen.center == pytest.approx(np.array([2, 0, 0.5 + height / 2]), rel=1e-9)  # the middle, if not said


@pytest.mark.parametrize(("band", "hertz"), [("4kHz", 4000), ("500 Hz", 500), ("2.5khz", 2500), ("20Hz", 20)])
def test_bands(band: str, hertz: float) -> None:
    types = f"speaker_types: {{a: {{mount: stand, aiming: fixed, coverage: {{angle: 90, band: {band}}}}}}}\n"
    coverage = read(LEAST + types).speaker_types["a"].coverage
    assert coverage is not None
    assert coverage.band_hz == hertz
