"""earshed check --json: its keys and kinds, and every figure worked again from positions, axes and ears."""

from __future__ import annotations

import contextlib
import io
import json
import math
import os
import re
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.units import parse_length
from earshed.viewer.cli import run

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
NEARLY = 1e-9
VERDICTS = ("covered", "fringe", "outside")
BOUNDS = 1e-12
"""Degrees round a limit within which rounding may fall either way."""

Vector = Sequence[float]


def contents(scene: Path) -> dict[str, Any]:
    """A scene file as bare YAML, every scalar as text."""
    return yaml.load(scene.read_text(encoding="utf-8"), yaml.BaseLoader)


CASES = [(scene, scheme) for scene in SCENES for scheme in (None, *contents(scene)["schemes"])]
IDS = [f"{scene.stem}-{scheme or 'base'}" for scene, scheme in CASES]


def print_check(scene: Path, scheme: str | None = None) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of check --json."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(["check", str(scene), "--json", *(["--scheme", scheme] if scheme else [])])
    return code, out.getvalue(), err.getvalue()


printed = cache(print_check)


def read_json(text: str) -> dict[str, Any]:
    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is not a number")

    return json.loads(text, parse_constant=refuse)


def checked(scene: Path, scheme: str | None = None) -> dict[str, Any]:
    return read_json(printed(scene, scheme)[1])


# --- plain vectors, so that nothing here leans on the code under test


def dot(a: Vector, b: Vector) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def cross(a: Vector, b: Vector) -> list[float]:
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def minus(a: Vector, b: Vector) -> list[float]:
    return [x - y for x, y in zip(a, b, strict=True)]


def angle_deg(a: Vector, b: Vector) -> float:
    return math.degrees(math.atan2(math.hypot(*cross(a, b)), dot(a, b)))


def bearing_deg(way: Vector, ahead: Vector) -> float:
    """Plan bearing of `way` from `ahead`, counterclockwise seen from above: positive to the left of who looks ahead.

    The senses of Rec. ITU-R BS.2051-3, section 3. In (-180, 180].
    """
    turn = math.degrees(math.atan2(way[1], way[0]) - math.atan2(ahead[1], ahead[0]))
    return 180 - (180 - turn) % 360


def same_bearing(a: float, b: float) -> bool:
    return abs((a - b + 180) % 360 - 180) <= NEARLY


# --- the shape of the document

KINDS: dict[str, dict[str, type | tuple[type, ...]]] = {
    "room": {"volume_m3": float, "floor_area_m2": float, "ceiling_area_m2": float, "watertight": bool},
    "speakers": {"name": str, "type": str, "channel": (str, type(None)), "position_m": list, "normal": list,
                 "axis": list, "tilt_deg": float},
    "seats": {"name": str, "main": bool, "ear_m": list},
    "pairs": {"seat": str, "speaker": str, "distance_m": float, "off_axis_deg": float, "azimuth_deg": float,
              "elevation_deg": float, "verdict": str, "visible": bool},
    "findings": {"severity": str, "rule": str, "subject": str, "message": str},
}  # fmt: skip


def numbers_in(value: object) -> list[int | float]:
    if isinstance(value, dict):
        return [number for part in value.values() for number in numbers_in(part)]
    if isinstance(value, list):
        return [number for part in value for number in numbers_in(part)]
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else []


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_document_has_the_promised_keys_and_kinds(scene: Path, scheme: str | None) -> None:
    document = checked(scene, scheme)
    assert document["format"] == 1
    assert type(document["format"]) is int
    assert document["scene"] == contents(scene)["title"]
    assert document["scheme"] == scheme
    rooms = document["room"]
    for section, kinds in KINDS.items():
        for entry in [rooms] if section == "room" else document[section]:
            assert kinds.keys() <= entry.keys()
            for key, kind in kinds.items():
                assert isinstance(entry[key], kind), (section, key)
    for entry, key in [(s, k) for s in document["speakers"] for k in ("position_m", "normal", "axis")]:
        assert [type(number) for number in entry[key]] == [float] * 3
    assert all(len(seat["ear_m"]) == 3 for seat in document["seats"])
    assert all(math.isfinite(number) for number in numbers_in(document))
    assert all(math.copysign(1, n) > 0 for n in numbers_in(document) if n == 0), "no negative zero"
    assert {pair["verdict"] for pair in document["pairs"]} <= set(VERDICTS)
    assert {finding["severity"] for finding in document["findings"]} <= {"error", "warning", "note"}


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_one_document_and_nothing_else(scene: Path, scheme: str | None) -> None:
    code, out, err = printed(scene, scheme)
    _, end = json.JSONDecoder().raw_decode(out)
    assert out[end:].strip() == ""
    assert err == ""
    errors = [finding for finding in checked(scene, scheme)["findings"] if finding["severity"] == "error"]
    assert code == (1 if errors else 0)


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_order_and_subwoofers(scene: Path, scheme: str | None) -> None:
    document, text = checked(scene, scheme), contents(scene)
    subwoofers = {name for name, kind in text["speaker_types"].items() if kind.get("subwoofer") == "true"}
    speakers = [speaker["name"] for speaker in document["speakers"]]
    judged = [speaker["name"] for speaker in document["speakers"] if speaker["type"] not in subwoofers]
    assert speakers[: len(text["speakers"])] == [speaker["name"] for speaker in text["speakers"]]
    postures = [[seat["name"], *([f"{seat['name']}, reclined"] * ("reclined" in seat))] for seat in text["seats"]]
    assert [seat["name"] for seat in document["seats"]] == [name for names in postures for name in names]
    wanted = [(seat["name"], speaker) for seat in document["seats"] for speaker in judged]
    assert [(pair["seat"], pair["speaker"]) for pair in document["pairs"]] == wanted
    ranks = [("error", "warning", "note").index(finding["severity"]) for finding in document["findings"]]
    assert ranks == sorted(ranks)


# --- the figures


def picture_middle(text: dict[str, Any]) -> tuple[float, float]:
    """Plan point of the middle of a picture on the front wall, which in the barn is wall 1, from the left."""
    screen = text["screen"]
    if "center_from_center" in screen:
        return parse_length(text["room"]["width"]) / 2 + parse_length(screen["center_from_center"]), 0.0
    return parse_length(screen["center_from_left" if screen["wall"] == "front" else "center_along"]), 0.0


def plan_corners(text: dict[str, Any]) -> list[tuple[float, float]]:
    room = text["room"]
    if "outline" in room:
        return [(parse_length(left), -parse_length(front)) for left, front in room["outline"]]
    width, length = parse_length(room["width"]), parse_length(room["length"])
    return [(0.0, 0.0), (width, 0.0), (width, -length), (0.0, -length)]


def on_the_floor(x: float, y: float, corners: list[tuple[float, float]]) -> bool:
    """Whether a ray from a plan point crosses the plan's edge an odd number of times."""
    crossed = 0
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (y0 > y) != (y1 > y):
            crossed += x < x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    return crossed % 2 == 1


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_angles_and_distances_follow_from_places(scene: Path, scheme: str | None) -> None:
    document = checked(scene, scheme)
    speakers = {speaker["name"]: speaker for speaker in document["speakers"]}
    ears = {seat["name"]: seat["ear_m"] for seat in document["seats"]}
    middle = picture_middle(contents(scene))
    for pair in document["pairs"]:
        speaker, ear = speakers[pair["speaker"]], ears[pair["seat"]]
        way = minus(speaker["position_m"], ear)
        assert pair["distance_m"] == pytest.approx(math.hypot(*way), abs=NEARLY)
        assert pair["off_axis_deg"] == pytest.approx(angle_deg(speaker["axis"], [-x for x in way]), abs=NEARLY)
        assert same_bearing(pair["azimuth_deg"], bearing_deg(way, minus(middle, ear[:2])))
        assert -180 < pair["azimuth_deg"] <= 180
        rise = math.degrees(math.atan2(way[2], math.hypot(way[0], way[1])))
        assert pair["elevation_deg"] == pytest.approx(rise, abs=NEARLY)


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_verdicts_follow_from_angles(scene: Path, scheme: str | None) -> None:
    """Covered to h / sqrt 2, fringe to h, the half of the coverage angle; limits inclusive."""
    document, types = checked(scene, scheme), contents(scene)["speaker_types"]
    kinds = {speaker["name"]: types[speaker["type"]] for speaker in document["speakers"]}
    for pair in document["pairs"]:
        coverage = kinds[pair["speaker"]]["coverage"]
        half = float((coverage["angle"] if isinstance(coverage, dict) else coverage).removesuffix("deg")) / 2
        passed = sum(pair["off_axis_deg"] > limit + BOUNDS for limit in (half / math.sqrt(2), half))
        assert pair["verdict"] == VERDICTS[passed]


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_axes_are_what_each_type_can_do(scene: Path, scheme: str | None) -> None:
    document, types = checked(scene, scheme), contents(scene)["speaker_types"]
    for speaker in document["speakers"]:
        assert math.hypot(*speaker["normal"]) == pytest.approx(1, abs=1e-12)
        assert math.hypot(*speaker["axis"]) == pytest.approx(1, abs=1e-12)
        tilt = angle_deg(speaker["normal"], speaker["axis"])
        assert speaker["tilt_deg"] == pytest.approx(tilt, abs=NEARLY)
        aiming = types[speaker["type"]]["aiming"]
        if aiming == "fixed":
            assert tilt == pytest.approx(0, abs=NEARLY)
        elif "angled" in aiming:
            assert tilt == pytest.approx(float(aiming["angled"].removesuffix("deg")), abs=NEARLY)
        else:
            assert tilt <= float(aiming["pivoting"].removesuffix("deg")) + NEARLY


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_visible_as_a_walk_along_the_line_finds(scene: Path, scheme: str | None) -> None:
    """Under a ceiling that is nowhere hollow only boxes and walls can stand in the way."""
    document, text = checked(scene, scheme), contents(scene)
    corners = plan_corners(text)
    width, boxes = max(x for x, _ in corners), []
    for box in (fixture for fixture in text.get("fixtures", []) if fixture["kind"] == "box"):
        sizes = [parse_length(box[key]) for key in ("width", "length", "height")]
        left = parse_length(box["from_left"]) if "from_left" in box else width - parse_length(box["from_right"])
        low = [left, -parse_length(box["from_front"]) - sizes[1], parse_length(box["bottom"])]
        boxes.append([(a, a + size) for a, size in zip(low, sizes, strict=True)])
    places = {speaker["name"]: speaker["position_m"] for speaker in document["speakers"]}
    ears = {seat["name"]: seat["ear_m"] for seat in document["seats"]}
    for pair in document["pairs"]:
        start, step = ears[pair["seat"]], minus(places[pair["speaker"]], ears[pair["seat"]])
        walk = [[a + b * i / 4000 for a, b in zip(start, step, strict=True)] for i in range(4001)]
        hit = any(
            all(low + 1e-6 < c < high - 1e-6 for c, (low, high) in zip(point, box, strict=True))
            for box in boxes
            for point in walk
        ) or not all(on_the_floor(x, y, corners) for x, y, _ in walk[1:-1])
        assert pair["visible"] is not hit, (pair["seat"], pair["speaker"])


# --- scenes of our own

FREE = """\
format: 1
title: Garage
bare_lengths: m
room: {{width: 8, length: 8, ceiling: {{shape: flat, height: 4}}}}
{screen}
seats: [{{name: chair, at: {{from_left: {seat[0]}, from_front: {seat[1]}}}, ear_height: 1.2}}]
speaker_types: {{box: {{mount: on-surface, aiming: fixed, coverage: 80deg}}}}
speakers: [{{name: one, type: box, at: {{from_left: {at[0]}, from_front: {at[1]}}}, height: {height}, faces: {faces}}}]
"""
AHEAD = {"none": (0.0, 1.0), "front": (4.0, 0.0), "right": (8.0, -4.0), "rear": (4.0, -8.0), "left": (0.0, -4.0)}
CLOCK = {"front": (0, 1, 0), "rear": (0, -1, 0), "left": (-1, 0, 0), "right": (1, 0, 0), "down": (0, 0, -1)}
spots = st.tuples(st.integers(1, 79), st.integers(1, 79)).map(lambda p: (p[0] / 10, p[1] / 10))


def garage(folder: Path, *, wall: str, seat: Vector, at: Vector, height: float, faces: str) -> dict[str, Any]:
    scene = folder / "garage.yaml"
    place = "center_from_left: 4" if wall in ("front", "rear") else "center_from_front: 4"
    screen = "" if wall == "none" else f"screen: {{wall: {wall}, diagonal: 2, {place}, bottom: 1}}"
    scene.write_text(FREE.format(screen=screen, seat=seat, at=at, height=height, faces=faces), encoding="utf-8")
    return read_json(print_check(scene)[1])


@given(wall=st.sampled_from([*AHEAD]), seat=spots, at=spots, height=st.integers(0, 40), faces=st.sampled_from([*CLOCK]))
def test_any_seat_and_speaker(tmp_path_factory, wall, seat, at, height, faces) -> None:
    folder = tmp_path_factory.getbasetemp()
    document = garage(folder, wall=wall, seat=seat, at=at, height=height / 10, faces=faces)
    ear, place = (seat[0], -seat[1], 1.2), (at[0], -at[1], height / 10)
    way = minus(place, ear)
    pair = document["pairs"][0]
    assert pair["distance_m"] == pytest.approx(math.hypot(*way), abs=NEARLY)
    assert pair["off_axis_deg"] == pytest.approx(angle_deg(CLOCK[faces], [-x for x in way]), abs=NEARLY)
    ahead = AHEAD[wall] if wall == "none" else minus(AHEAD[wall], ear[:2])
    if at != seat:
        assert same_bearing(pair["azimuth_deg"], bearing_deg(way, ahead))
        assert pair["elevation_deg"] == pytest.approx(
            math.degrees(math.atan2(way[2], math.hypot(*way[:2]))), abs=NEARLY
        )
    assert -180 < pair["azimuth_deg"] <= 180
    assert document["speakers"][0]["channel"] is None


@pytest.mark.parametrize(
    ("at", "azimuth"), [((4, 1), 0.0), ((1, 4), 90.0), ((4, 7), 180.0), ((7, 4), -90.0), ((4, 4), 0.0)]
)
def test_named_bearings(tmp_path: Path, at: Vector, azimuth: float) -> None:
    """Straight ahead 0, to the left 90, behind 180 and never -180, to the right -90; straight above has none: 0."""
    pair = garage(tmp_path, wall="none", seat=(4, 4), at=at, height=3.0, faces="down")["pairs"][0]
    assert pair["azimuth_deg"] == pytest.approx(azimuth, abs=NEARLY)


# --- ends

ROOM = "format: 1\ntitle: Den\nbare_lengths: m\nroom: {width: 4, length: 5, ceiling: {shape: flat, height: 2.5}}\n"
TYPE = "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2}}\n"
BROKEN = {
    "unknown key": (ROOM + "seets: []\n", 5),
    "bad length": (ROOM + "seats:\n  - {name: a, at: {from_left: 1, from_front: 2}, ear_height: tall}\n", 6),
    "no such type": (
        ROOM + TYPE + "speakers:\n- {name: a, type: flash, at: {from_left: 1, from_front: 2}}\n",
        7,
    ),
    "not YAML": (ROOM + "seats: [\n", 5),
    "duplicate key": (ROOM + "title: Again\n", 5),
    "empty": ("", 1),
    "no room": ("format: 1\ntitle: Den\n", 1),
}


def end_of(capsys: pytest.CaptureFixture[str], *line: str) -> tuple[int, str, str]:
    code = run(list(line))
    printed_now = capsys.readouterr()
    return code, printed_now.out, printed_now.err


@pytest.mark.parametrize("slip", BROKEN)
def test_a_broken_scene_ends_with_2_and_a_place(slip: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene, (text, line) = tmp_path / "den.yaml", BROKEN[slip]
    scene.write_text(text, encoding="utf-8")
    code, out, err = end_of(capsys, "check", str(scene), "--json")
    document = json.loads(out)
    assert (code, err) == (2, "")
    assert document.keys() == {"format", "error"}
    assert document["format"] == 1
    error = document["error"]
    assert error.keys() == {"message", "file", "line", "column"}
    assert (error["file"], error["line"]) == (str(scene), line)
    assert type(error["column"]) is int
    assert error["column"] >= 1
    code, out, err = end_of(capsys, "check", str(scene))
    assert (code, out) == (2, "")
    assert err.splitlines()[0] == f"{error['file']}:{error['line']}:{error['column']}: {error['message']}"


def test_an_unknown_scheme_is_at_line_1_and_names_the_known(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = end_of(capsys, "check", str(SCENES[0]), "--json", "--scheme", "as bilt")
    error = json.loads(out)["error"]
    assert code == 2
    assert (error["file"], error["line"]) == (str(SCENES[0]), 1)
    assert all(name in error["message"] for name in contents(SCENES[0])["schemes"])


@pytest.mark.parametrize("kind", ["missing", "folder", "long"])
def test_files_that_cannot_be_read(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = {"missing": tmp_path / "none.yaml", "folder": tmp_path, "long": tmp_path / ("a" * 300)}[kind]
    code, out, err = end_of(capsys, "check", str(scene), "--json")
    assert (code, err) == (2, "")
    assert (json.loads(out)["error"]["file"], json.loads(out)["error"]["line"]) == (str(scene), 1)


def test_a_file_name_that_is_no_text(tmp_path: Path) -> None:
    """A name of bytes that are not UTF-8, as from an old disk: still one document, and 2."""
    line = [sys.executable, "-m", "earshed.viewer.cli", "check", os.fsencode(tmp_path) + b"/caf\xe9.yaml", "--json"]
    done = subprocess.run(line, capture_output=True, env={**os.environ, "PYTHONIOENCODING": "utf-8"})
    assert done.returncode == 2
    assert done.stderr == b""
    assert re.search("caf.*yaml", json.loads(done.stdout.decode("utf-8"))["error"]["file"])


def test_what_cannot_be_built_ends_with_1_and_the_whole_document(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = tmp_path / "den.yaml"
    seat = "seats: [{name: a, at: {from_left: 1, from_front: 2}, ear_height: 1}]\n"
    scene.write_text(
        ROOM + seat + TYPE + "speakers: [{name: far, type: flush, at: {from_left: 5, from_front: 2}}]\n", "utf-8"
    )
    code, out, _ = end_of(capsys, "check", str(scene), "--json")
    document = json.loads(out)
    assert code == 1
    assert [pair["speaker"] for pair in document["pairs"]] == ["far"]
    assert ("error", "far") in [(finding["severity"], finding["subject"]) for finding in document["findings"]]
    code, out, _ = end_of(capsys, "check", str(scene))
    assert code == 1
    assert "error: far: " in out
