"""Symmetry: a mirrored scene has mirrored answers, a turned one the same, and the order of its lists is nothing."""

import math
import re

import numpy as np
import pytest

from earshed.model.checks.run import find_all
from earshed.model.coverage import off_axis_map, shares
from earshed.model.coverage_map import map_coverage
from earshed.model.geometry import angle_between
from earshed.model.listening_plane import PlaneSpec, lay_plane
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.seating import seating_area

TYPES = """
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 100deg, cutout: 0.2, bezel: 0.24}
  wall: {mount: in-wall, aiming: {pivoting: 12deg}, coverage: 110deg, cutout: 0.18}
  stand: {mount: stand, aiming: fixed, coverage: 80deg}
"""


def read(body):
    text = f"format: 1\ntitle: Symmetry\nbare_lengths: m\nprint_units: mm\n{TYPES}{body}"
    return scene_from_tree(parse_tree(text, "symmetry.yaml"))


# --- mirrored

# A lopsided gable, a soffit, a riser, seats off center: nothing in the room is its own mirror image.
HERE = """
room:
  width: 4.3
  length: 6.5
  ceiling: {shape: gable, ridge: front-to-back, low: 1.7, peak: 3.1, ridge_at: RIDGE, far_low: 2.2}
fixtures:
  - {name: soffit, kind: box, from_left: SOFFIT, from_front: 0, bottom: 2.0, width: 0.9, length: 2.1, height: 0.4}
  - {name: pier, kind: box, from_left: PIER, from_front: 2.6, bottom: 0, width: 0.3, length: 0.4, height: 2.4}
  - {name: can, kind: can light, at: {from_left: 2.9, from_front: 4.2}, cutout: 0.15}
openings:
  - {name: door, wall: left, from_front: 4.9, sill: 0, width: 0.8, height: 1.6}
  - {name: window, wall: rear, from_left: WINDOW, sill: 0.9, width: 1.1, height: 0.8}
risers: [{name: rear row, from_left: RISER, from_front: 4.4, width: 2.9, length: 2.1, height: 0.25}]
screen: {wall: front, width: 1.8, center_from_left: 2.3, bottom: 0.7}
seats:
  - {name: near, at: {from_left: 1.4, from_front: 3.4}, ear_height: 1.05, main: true}
  - {name: far, at: {from_left: 2.6, from_front: 3.5}, ear_height: 1.1, main: true}
  - {name: back, at: {from_left: 1.9, from_front: 5.2}, ear_height: 1.05}
speakers:
  - {name: one, type: angled, channel: U+045, at: {from_left: 0.8, from_front: 2.0}, aim: {seats: main}}
  - {name: two, type: angled, channel: U-045, at: {from_left: 2.9, from_front: 1.6}, aim: {toward: 35deg left of rear}}
  - {name: three, type: pivot, channel: U+135, at: {from_left: 0.9, from_front: 4.9}, aim: {seats: all}}
  - {name: four, type: pivot, channel: U-135, at: {from_left: 3.0, from_front: 5.3}, aim: {tilt: 9, toward: far}}
  - {name: five, type: flush, channel: T+000, at: {from_left: 3.7, from_front: 0.9}}
  - {name: six, type: wall, channel: M+090, wall: left, from_front: 3.1, height: 1.3, aim: {seat: near}}
  - {name: seven, type: wall, channel: M-110, wall: rear, from_left: 3.2, height: 1.2, aim: {seats: main}}
  - {name: eight, type: stand, channel: M+030, at: {from_left: 0.7, from_front: 0.6}, height: 1.0, faces: near}
  - {name: nine, type: stand, at: {from_left: 3.4, from_front: 0.5}, height: 0.9, faces: 20deg left of rear}
listening_plane: {height: 1.1, step: 0.05}
"""
EDGES = {"SOFFIT": (0.0, 0.9), "PIER": (2.9, 0.3), "WINDOW": (2.5, 1.1), "RISER": (1.2, 2.9)}
"""Near left edge and width of what has one."""


def as_it_is():
    text = HERE.replace("RIDGE", "1.5")
    for word, (left, _) in EDGES.items():
        text = text.replace(word, str(left))
    return text


def in_the_mirror():
    """What was taped from the left is taped from the right, left is right, a channel is on its other side.

    An extent keeps giving its left edge, which was the right one: farther from the same wall by its width.
    """
    text = HERE.replace("RIDGE", str(4.3 - 1.5)).replace("low: 1.7, peak", "low: 2.2, peak")
    text = text.replace("far_low: 2.2", "far_low: 1.7")
    text = re.sub("left|right", lambda side: {"left": "right", "right": "left"}[side[0]], text)
    text = re.sub(r"(?<=[MU])[+-]", lambda sign: {"+": "-", "-": "+"}[sign[0]], text)
    for word, (left, width) in EDGES.items():
        text = text.replace(word, str(left + width))
    return text


@pytest.fixture(scope="module")
def both():
    return read(as_it_is()), read(in_the_mirror())


def flipped(points):
    return points * np.array([-1.0, 1.0, 1.0]) + np.array([4.3, 0.0, 0.0])


def test_a_mirrored_scene_has_mirrored_places_and_axes(both):
    scene, image = both
    for one, other in zip(scene.seats, image.seats, strict=True):
        np.testing.assert_allclose(other.ear, flipped(one.ear), atol=1e-9)
    for one, other in zip(scene.speakers, image.speakers, strict=True):
        np.testing.assert_allclose(other.position, flipped(one.position), atol=1e-9, err_msg=one.name)
        np.testing.assert_allclose(other.normal, one.normal * [-1, 1, 1], atol=1e-9, err_msg=one.name)
        np.testing.assert_allclose(other.axis, one.axis * [-1, 1, 1], atol=1e-6, err_msg=one.name)
    assert image.room.volume == pytest.approx(scene.room.volume, rel=1e-9)


def test_a_mirrored_scene_has_the_same_pairs_but_for_the_sign_of_azimuth(both):
    for one, other in zip(*map(seat_pairs, both), strict=True):
        assert (other.seat.name, other.speaker.name) == (one.seat.name, one.speaker.name)
        assert other.distance == pytest.approx(one.distance, abs=1e-9)
        assert other.off_axis == pytest.approx(one.off_axis, abs=1e-6)
        assert other.azimuth == pytest.approx(-one.azimuth, abs=1e-9)
        assert other.elevation == pytest.approx(one.elevation, abs=1e-9)
        assert (other.verdict, other.obstacle) == (one.verdict, one.obstacle)


def test_the_scene_is_one_in_which_something_happens(both):
    pairs = seat_pairs(both[0])
    assert {pair.verdict for pair in pairs} == {"covered", "fringe", "outside"}
    assert {pair.obstacle for pair in pairs} >= {None, "pier"}


def test_a_mirrored_scene_has_the_mirrored_map_and_the_same_shares(both):
    maps, given = [], []
    for scene in both:
        plane = lay_plane(scene.room, scene.plane)
        angles = off_axis_map(plane, [s.position for s in scene.judged], [s.axis for s in scene.judged])
        verdict = map_coverage(scene, plane, scene.judged).of_set.verdict
        maps.append(angles)
        given.append((shares(verdict, seating_area(scene.seats).holds(plane.xy)), shares(verdict, plane.inside)))
    np.testing.assert_allclose(maps[1], maps[0][:, :, ::-1], atol=4e-4)
    for area, image in zip(*given, strict=True):
        assert image == pytest.approx(area, abs=2e-3)
        assert sum(image.values()) == pytest.approx(1.0)


def test_a_mirrored_scene_has_the_same_findings(both):
    told = [[(f.severity, f.rule, f.subject) for f in find_all(scene, seat_pairs(scene))] for scene in both]
    assert told[0] == told[1]
    assert len(told[0]) > 5


# --- turned

CORNERS = [(0, 0), (5.2, 0), (5.2, 2.4), (3.6, 2.4), (3.6, 6.4), (0, 6.4)]
PLANES = [[(0, 0, 2.0), (0, 6.4, 2.0), (2.0, 0, 3.2)], [(5.2, 0, 2.3), (5.2, 6.4, 2.3), (2.0, 0, 3.2)]]
SEATS = [(1.3, 3.7, 1.05), (2.4, 3.8, 1.1)]
IN_CEILING = [("angled", 0.9, 2.2), ("pivot", 2.7, 2.0), ("pivot", 3.1, 5.3), ("flush", 4.4, 1.2)]
SIDE = 5.2


def turned(point, turns):
    """A [from left, from front] of the room after quarter turns to the left as seen from above."""
    width, length = SIDE, 6.4
    for _ in range(turns):
        left, front = point[0], point[1]
        point = (front, width - left, *point[2:])
        width, length = length, width
    return point


def turned_scene(turns):
    """An L-shaped room under two slopes, everything in it turned together, the screen on the same wall as before."""

    def listed(points):
        return [list(turned(point, turns)) for point in points]

    seats = [
        f"{{name: seat {n}, at: {{from_left: {left}, from_front: {front}}}, ear_height: {ear}, main: true}}"
        for n, (left, front, ear) in enumerate(listed(SEATS))
    ]
    places = [(kind, *turned((left, front), turns)) for kind, left, front in IN_CEILING]
    speakers = [
        f"{{name: {kind} {n}, type: {kind}, at: {{from_left: {left}, from_front: {front}}}"
        f"{', aim: {seats: main}' if kind != 'flush' else ''}}}"
        for n, (kind, left, front) in enumerate(places)
    ]
    speakers.append("{name: side, type: wall, wall: 6, along: 2.9, height: 1.3, aim: {seats: main}}")
    return read(f"""
room: {{outline: {listed(CORNERS)}, ceiling: {{shape: planes, planes: {[listed(plane) for plane in PLANES]}}}}}
screen: {{wall: 1, width: 1.9, center_along: 2.2, bottom: 0.7}}
seats: [{", ".join(seats)}]
speakers: [{", ".join(speakers)}]
""")


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_turned_scene_has_the_same_angles_and_the_turned_axes(turns):
    scene, other = turned_scene(0), turned_scene(turns)
    angle = turns * math.pi / 2
    turn = np.array([[math.cos(angle), -math.sin(angle), 0], [math.sin(angle), math.cos(angle), 0], [0, 0, 1]])
    for before, after in zip(scene.speakers, other.speakers, strict=True):
        np.testing.assert_allclose(after.axis, turn @ before.axis, atol=1e-6, err_msg=before.name)
        np.testing.assert_allclose(after.normal, turn @ before.normal, atol=1e-9, err_msg=before.name)
        assert after.tilt == pytest.approx(before.tilt, abs=1e-6)
    for before, after in zip(seat_pairs(scene), seat_pairs(other), strict=True):
        assert after.distance == pytest.approx(before.distance, abs=1e-9)
        assert after.off_axis == pytest.approx(before.off_axis, abs=1e-6)
        assert after.azimuth == pytest.approx(before.azimuth, abs=1e-9)
        assert after.elevation == pytest.approx(before.elevation, abs=1e-9)
        assert after.verdict == before.verdict
    assert other.room.volume == pytest.approx(scene.room.volume, rel=1e-9)
    assert other.room.ceiling_area == pytest.approx(scene.room.ceiling_area, rel=1e-9)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_turned_scene_has_the_turned_map(turns):
    scene, other = turned_scene(0), turned_scene(turns)
    maps = []
    for each in (scene, other):
        plane = lay_plane(each.room, PlaneSpec(1.1, 0.1))
        maps.append(off_axis_map(plane, [s.position for s in each.speakers], [s.axis for s in each.speakers]))
    np.testing.assert_allclose(np.rot90(maps[0][:, ::-1], turns, axes=(1, 2))[:, ::-1], maps[1], atol=4e-4)


# --- the order of lists


def reordered(text, section, order):
    """The scene text with the entries of one list section in another order."""
    head, rest = text.split(f"\n{section}:\n", 1)
    lines = rest.split("\n")
    count = next((n for n, line in enumerate(lines) if not line.startswith("  - ")), len(lines))
    entries = [lines[index] for index in order(range(count))]
    return "\n".join([f"{head}\n{section}:", *entries, *lines[count:]])


@pytest.mark.parametrize("order", [reversed, lambda count: sorted(count, key=lambda n: (n * 5) % 7)])
def test_the_order_of_seats_and_speakers_is_nothing(order):
    text = as_it_is()
    scene = read(text)
    other = read(reordered(reordered(text, "seats", order), "speakers", order))
    assert [speaker.name for speaker in other.speakers] != [speaker.name for speaker in scene.speakers]
    before = {(p.seat.name, p.speaker.name): p for p in seat_pairs(scene)}
    after = {(p.seat.name, p.speaker.name): p for p in seat_pairs(other)}
    assert before.keys() == after.keys()
    for key, pair in before.items():
        assert after[key].off_axis == pytest.approx(pair.off_axis, abs=1e-6)
        assert (after[key].verdict, after[key].obstacle) == (pair.verdict, pair.obstacle)
        assert angle_between(after[key].speaker.axis, pair.speaker.axis) < 1e-6
    told = [sorted((f.severity, f.rule, f.subject) for f in find_all(s, seat_pairs(s))) for s in (scene, other)]
    assert told[0] == told[1]
    sets = []
    for each in (scene, other):
        plane = lay_plane(each.room, each.plane)
        sets.append(map_coverage(each, plane, each.judged).of_set)
    one, two = sets
    assert one.channels == two.channels
    assert np.mean(one.served != two.served) < 1e-3
    np.testing.assert_allclose(one.worst, two.worst, atol=4e-4)
