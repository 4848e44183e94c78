"""check --tolerance and --angle: bounds on off-axis angles that no place and no axis within them ever passes.

They are held against closed forms (a right triangle, a tangent to a sphere, turns of an axis) and against places tried
at random and by narrowing down, which know nothing of how the bounds are found.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from earshed.model.geometry import Array, angle_between, face_frame, square_to, unit
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.tolerance import Tolerance, angles_from_ball, angles_from_disc, spreads
from earshed.viewer.cli import run

NEARLY = 1e-9
"""Radians: what the bounds promise."""
DOWN = np.array([0.0, 0.0, -1.0])
ROOT = Path(__file__).resolve().parent.parent

numbers = st.floats(-4, 4, allow_nan=False).map(lambda number: round(number, 6))
vectors = st.builds(lambda *xyz: np.array(xyz), numbers, numbers, numbers)
directions = vectors.filter(lambda vector: np.linalg.norm(vector) > 0.1).map(unit)
radii = st.one_of(st.floats(1e-3, 0.3), st.floats(1e-9, 1e-3), st.floats(0.3, 3))


def in_disc(center: Array, normal: Array, radius: float, spots: Array) -> Array:
    """Places (N, 3) in a disc, from places (N, 2) in the unit disc."""
    return center + radius * spots @ np.array(face_frame(normal))


def narrowed(point: Array, axis: Array, center: Array, normal: Array, radius: float, sign: int) -> float:
    """The least (sign 1) or most (-1) angle found in the disc on a grid that closes in on the best place so far."""
    grid = np.stack(np.meshgrid(np.linspace(-1, 1, 41), np.linspace(-1, 1, 41)), axis=-1).reshape(-1, 2)
    rim = np.array([[math.cos(turn), math.sin(turn)] for turn in np.linspace(0, 2 * np.pi, 721)])
    best, size = np.zeros(2), 1.0
    for _ in range(14):
        near = np.concatenate([best + size * grid, *([rim] if size == 1.0 else [])])
        length = np.linalg.norm(near, axis=1, keepdims=True)
        near = near / np.maximum(1.0, length)
        angles = sign * angle_between(axis, point - in_disc(center, normal, radius, near))
        best, size = near[np.argmin(angles)], size * 0.2
    return float(sign * angles.min())


# --- a disc


@given(vectors, directions, vectors, directions, radii)
def test_no_place_in_the_disc_passes_the_bounds_and_some_reach_them(point, axis, center, normal, radius):
    height = abs(float((point - center) @ normal))
    assume(height > 0.01)
    least, most = angles_from_disc(point, axis, center, normal, radius)
    found = [narrowed(point, axis, center, normal, radius, sign) for sign in (1, -1)]
    assert least - NEARLY <= found[0]
    assert found[1] <= most + NEARLY
    if radius < 3 * height:  # else a grid may close in on the wrong one of two valleys
        assert found[0] == pytest.approx(least, abs=1e-4)
        assert found[1] == pytest.approx(most, abs=1e-4)


@given(vectors, directions, vectors, directions, radii, st.integers(0, 2**32 - 1))
def test_places_at_random_never_pass_the_bounds(point, axis, center, normal, radius, seed):
    assume(np.linalg.norm(point - center) > 1e-3)
    least, most = angles_from_disc(point, axis, center, normal, radius)
    random = np.random.default_rng(seed)
    turns, out = random.uniform(0, 2 * np.pi, 2000), np.sqrt(random.uniform(0, 1, 2000))
    spots = np.stack([out * np.cos(turns), out * np.sin(turns)], axis=1)
    angles = angle_between(axis, point - in_disc(center, normal, radius, spots))
    assert least - NEARLY <= angles.min()
    assert angles.max() <= most + NEARLY


@given(st.floats(0, 5), st.floats(0, 2 * np.pi), st.floats(0.5, 4), st.floats(0, 2))
def test_straight_down_from_a_level_ceiling_it_is_a_right_triangle(aside, bearing, height, radius):
    """tan of the angle is the distance aside over the height, and that is off by as much as the speaker at most."""
    point = np.array([aside * math.cos(bearing), aside * math.sin(bearing), -height])
    least, most = angles_from_disc(point, DOWN, np.zeros(3), DOWN, radius)
    assert least == pytest.approx(math.atan2(max(0.0, aside - radius), height), abs=NEARLY)
    assert most == pytest.approx(math.atan2(aside + radius, height), abs=NEARLY)


@given(directions, directions, vectors, st.floats(0.5, 5), st.floats(1e-3, 1), st.floats(0, 0.99))
def test_where_the_axis_meets_the_disc_it_may_point_straight_at_the_seat(axis, normal, center, far, radius, part):
    assume(axis @ normal > 0.1)
    across = square_to(axis + np.array([0.3, 0.5, 0.7]), normal)
    assume(across is not None)
    within, beyond = (center + far * axis + out * radius * across for out in (part, 1.01))
    assert angles_from_disc(within, axis, center, normal, radius)[0] == 0.0
    assert angles_from_disc(within, -axis, center, normal, radius)[1] == np.pi
    assert angles_from_disc(beyond, axis, center, normal, radius)[0] > NEARLY


@given(st.floats(0, 2 * np.pi), st.floats(0.2, 4), st.floats(0.05, 0.9), st.floats(0, 2 * np.pi))
def test_a_seat_in_the_plane_of_the_disc_sees_it_between_two_tangents(bearing, far, part, aim):
    """The lines from a circle of radius r to a point in its plane at d turn by asin(r / d) to either side."""
    point = far * np.array([math.cos(bearing), math.sin(bearing), 0.0])
    axis = np.array([math.cos(aim), math.sin(aim), 0.0])
    aside = math.asin(part)
    drawn = float(angle_between(axis, point))
    least, most = angles_from_disc(point, axis, np.zeros(3), DOWN, part * far)
    assert least == pytest.approx(max(0.0, drawn - aside), abs=1e-7)
    assert most == pytest.approx(min(np.pi, drawn + aside), abs=1e-7)


@given(vectors, directions, vectors, directions, radii, radii)
def test_a_larger_disc_never_narrows_the_bounds(point, axis, center, normal, one, other):
    assume(np.linalg.norm(point - center) > 1e-3)
    small, large = (angles_from_disc(point, axis, center, normal, radius) for radius in sorted((one, other)))
    assert large[0] <= small[0] + NEARLY
    assert large[1] >= small[1] - NEARLY


@given(vectors, directions, vectors, directions, st.floats(1e-3, 1), st.floats(0.1, 10))
def test_neither_size_nor_mirror_changes_the_angles(point, axis, center, normal, radius, scale):
    assume(np.linalg.norm(point - center) > 1e-2)
    found = angles_from_disc(point, axis, center, normal, radius)
    larger = angles_from_disc(scale * point, axis, scale * center, normal, scale * radius)
    mirror = np.array([-1.0, 1.0, 1.0])
    mirrored = angles_from_disc(mirror * point, mirror * axis, mirror * center, mirror * normal, radius)
    assert larger == pytest.approx(found, abs=1e-8)
    assert mirrored == pytest.approx(found, abs=1e-8)


def test_at_the_seat_itself_any_angle_is_possible():
    ear, near = np.array([1.0, 2.0, 3.0]), np.array([1.02, 2.0, 3.0])
    assert angles_from_disc(ear, DOWN, near, DOWN, 0.03) == (0.0, np.pi)
    assert angles_from_ball(ear, DOWN, near, 0.03) == (0.0, np.pi)


# --- a ball


@given(vectors, directions, vectors, radii, st.integers(0, 2**32 - 1))
def test_no_place_in_the_ball_passes_the_bounds_and_the_tangents_reach_them(point, axis, center, radius, seed):
    way = point - center
    distance = float(np.linalg.norm(way))
    assume(distance > 1.01 * radius)
    least, most = angles_from_ball(point, axis, center, radius)
    spots = np.random.default_rng(seed).normal(size=(2000, 3))
    spots /= np.maximum(1.0, np.linalg.norm(spots, axis=1, keepdims=True))
    angles = angle_between(axis, point - (center + radius * spots))
    assert least - NEARLY <= angles.min()
    assert angles.max() <= most + NEARLY
    across = square_to(axis, unit(way))
    if across is None:
        return
    aside = math.asin(radius / distance)
    touching = [unit(way) * math.cos(aside) + sign * across * math.sin(aside) for sign in (1, -1)]
    reached = [float(angle_between(axis, line)) for line in touching]
    drawn = float(angle_between(axis, way))
    assert least == pytest.approx(reached[0] if drawn > aside else 0.0, abs=NEARLY)
    assert most == pytest.approx(reached[1] if drawn < np.pi - aside else np.pi, abs=NEARLY)


# --- a scene

HEIGHT, LIMIT = 1.5, 45.0
DEN = """\
format: 1
title: Den
print_units: mm
bare_lengths: m
room: {width: 4, length: 5, ceiling: {shape: flat, height: 2.5}}
seats:
  - {name: stool, at: {from_left: 1, from_front: 2}, ear_height: 1, main: true}
  - {name: bench, at: {from_left: 1, from_front: 3.4}, ear_height: 1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 0.2}
  box: {mount: stand, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}}
speakers:
  - {name: top, type: flush, at: {from_left: AT, from_front: 2}}
  - {name: side, type: box, at: {from_left: 3.6, from_front: 2}, height: 1.2, faces: left}
"""


def den(at: float = 2.4, text: str = DEN) -> Any:
    return scene_from_tree(parse_tree(text.replace("AT", str(at)), "den.yaml"))


lengths, angles = st.floats(0, 0.5), st.floats(0, math.radians(30))


@given(lengths, angles)
def test_the_scene_s_bounds_are_those_of_its_face_or_ball_and_of_the_turn(length, angle):
    possible = spreads(seat_pairs(den()), Tolerance(length, angle))
    found = {(spread.pair.seat.name, spread.pair.speaker.name): spread for spread in possible}
    assert len(found) == 4
    spread = found["stool", "top"]
    assert spread.least == pytest.approx(max(0.0, math.atan2(max(0.0, 1.4 - length), HEIGHT) - angle), abs=NEARLY)
    assert spread.most == pytest.approx(math.atan2(1.4 + length, HEIGHT) + angle, abs=NEARLY)
    spread, drawn = found["stool", "side"], math.atan2(0.2, 2.6)
    aside = math.asin(length / math.hypot(0.2, 2.6))
    assert spread.least == pytest.approx(max(0.0, drawn - aside - angle), abs=NEARLY)
    assert spread.most == pytest.approx(drawn + aside + angle, abs=NEARLY)


@given(lengths, lengths, angles, angles, st.sampled_from([1.2, 1.9, 2.4, 2.52]))
def test_wider_tolerances_hold_all_that_narrower_ones_do(one, other, turn, further, at):
    pairs = seat_pairs(den(at))
    narrow = spreads(pairs, Tolerance(min(one, other), min(turn, further)))
    wide = spreads(pairs, Tolerance(max(one, other), max(turn, further)))
    for small, large in zip(narrow, wide, strict=True):
        assert small.pair is large.pair
        assert large.least <= small.least + NEARLY
        assert large.most >= small.most - NEARLY
        assert small.pair.verdict in small.verdicts
        assert set(small.verdicts) <= set(large.verdicts)


def test_no_tolerance_gives_the_pairs_themselves():
    pairs = seat_pairs(den())
    for pair, spread in zip(pairs, spreads(pairs, Tolerance()), strict=True):
        assert spread.pair is pair
        assert spread.least == spread.most == pair.off_axis
        assert spread.verdicts == (pair.verdict,)
        assert spread.sure


# --- as a command


def asked(capsys, tmp_path: Path, *options: str, at: float = 2.4) -> tuple[int, str, str]:
    path = tmp_path / "den.yaml"
    path.write_text(DEN.replace("AT", str(at)), encoding="utf-8")
    code = run(["check", str(path), *options])
    return (code, *capsys.readouterr())


def test_the_document_gains_a_key_and_findings_and_nothing_else(capsys, tmp_path):
    plain = json.loads(asked(capsys, tmp_path, "--json")[1])
    code, out, err = asked(capsys, tmp_path, "--json", "--tolerance", "10cm", "--angle", "2deg")
    document = json.loads(out)
    assert (code, err) == (0, "")
    told = document.pop("tolerance")
    more = [finding for finding in document["findings"] if finding["rule"] == "could-flip"]
    document["findings"] = [finding for finding in document["findings"] if finding["rule"] != "could-flip"]
    assert document == plain
    assert set(told) == {"length_m", "angle_deg", "pairs"}
    assert (told["length_m"], told["angle_deg"]) == (0.1, pytest.approx(2))
    top = next(pair for pair in told["pairs"] if (pair["speaker"], pair["seat"]) == ("top", "stool"))
    assert set(top) == {"seat", "speaker", "least_deg", "most_deg", "verdicts", "sure"}
    assert top["least_deg"] == pytest.approx(math.degrees(math.atan2(1.3, HEIGHT)) - 2)
    assert top["most_deg"] == pytest.approx(math.degrees(math.atan2(1.5, HEIGHT)) + 2)
    assert (top["verdicts"], top["sure"]) == (["fringe", "outside"], False)
    (warning,) = [finding for finding in more if finding["severity"] == "warning"]
    assert warning["subject"] == "top"
    assert "stool is fringe, 43.0° off axis, and could be outside: within 100 mm and 2.0°" in warning["message"]


@pytest.mark.parametrize(
    ("at", "options", "severity"),
    [
        # atan(at - 1 over 1.5); covered to 31.8 degrees, fringe to 45
        (1.5, ("--tolerance", "1in"), None),
        (1.9, ("--tolerance", "1in"), None),
        (1.9, ("--tolerance", "50mm"), "note"),
        (1.9, ("--angle", "1deg"), "note"),
        (2.4, ("--angle", "1deg"), None),
        (2.4, ("--angle", "3deg"), "warning"),
        (2.4, ("--tolerance", "4in"), "warning"),
        (2.4, ("--tolerance", "3-7/8in"), None),
        (2.6, ("--tolerance", "6in"), "note"),
    ],
)
def test_what_could_flip_is_found_and_what_could_not_is_not(capsys, tmp_path, at, options, severity):
    """Of the stool alone; the bench is no main seat."""
    document = json.loads(asked(capsys, tmp_path, "--json", *options, at=at)[1])
    flips = [f for f in document["findings"] if f["rule"] == "could-flip" and f["subject"] == "top"]
    assert {f["severity"] for f in flips if "stool" in f["message"]} == ({severity} if severity else set())
    assert {f["severity"] for f in flips if "bench" in f["message"]} <= {"note"}


def test_the_table_says_what_is_sure_and_what_could_flip(capsys, tmp_path):
    code, out, _ = asked(capsys, tmp_path, "--tolerance", "100mm")
    printed = " ".join(out.split())
    assert code == 0
    assert "How sure it is, within 100 mm" in printed
    assert "top stool * 40.9° 43.0° 45.0° ◐ fringe, sure" in printed
    assert "● covered, sure" in printed
    _, out, _ = asked(capsys, tmp_path, "--tolerance", "101mm")
    assert "◐ fringe, could be outside" in " ".join(out.split())
    assert "How sure" not in asked(capsys, tmp_path)[1]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--tolerance", "1"), "1 has no unit; write it like"),
        (("--tolerance", "wide"), "wide is not a length; write it like"),
        (("--tolerance", "-1in"), "-1in is less than nothing"),
        (("--angle", "3in"), "3in is not an angle; write it like 25deg"),
        (("--angle", "-3"), "-3 is less than nothing"),
        (("--angle",), "requires an argument"),
    ],
)
def test_bad_values_are_refused_in_the_reader_s_words(capsys, tmp_path, options, words):
    code, out, err = asked(capsys, tmp_path, *options)
    assert (code, out) == (2, "")
    assert words in " ".join(err.split())
    code, out, _ = asked(capsys, tmp_path, "--json", *options)
    assert code == 2
    assert words in json.loads(out)["error"]["message"]


def test_a_scene_without_speakers_says_so(capsys, tmp_path):
    path = tmp_path / "bare.yaml"
    path.write_text(DEN.partition("speaker_types:")[0], encoding="utf-8")
    assert run(["check", str(path), "--angle", "3"]) == 0
    assert "no seat with a speaker to be sure of" in capsys.readouterr().out
