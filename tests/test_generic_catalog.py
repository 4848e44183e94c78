"""The shipped catalog: every type in it can be used, is marked as typical, and keeps to the sizes of its class."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml

from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.speaker import speaker_holes
from earshed.model.speaker_type import Pivoting
from earshed.model.units import INCH
from tests.scene_files import checked, put

TEXT = files("earshed.scenes").joinpath("catalogs", "generic.yaml").read_text(encoding="utf-8")
SAID: dict[str, Any] = yaml.load(TEXT, yaml.BaseLoader)
SPEAKER_TYPES = SAID["speaker_types"]
NAMES = {
    *("flush 6 in", "flush 8 in", "flush slim 6 in", "angled 6 in", "angled 8 in", "pivot 6 in", "pivot 8 in"),
    *("wall 6 in", "wall 8 in", "bookshelf", "tower", "surface box", "sub 10 in", "sub 12 in"),
}
"""What scenes elsewhere rely on: these names stay."""
ROOM = """\
format: 1
title: Parlor
catalogs: [generic]
room: {width: 16', length: 20', ceiling: {shape: flat, height: 9'}}
seats: [{name: chair, at: {from_left: 8', from_front: 12'}, ear_height: 40in, main: true}]
"""


def inches(text: str) -> float:
    found = re.fullmatch(r"(\d+)?-?(\d+/\d+)?in", text)
    assert found, text
    return float(int(found[1] or 0) + Fraction(found[2] or 0))


def test_its_names_stay() -> None:
    assert set(SPEAKER_TYPES) == NAMES
    assert {"can 4 in", "can 6 in"} <= set(SAID["fixture_types"])


@pytest.mark.parametrize("name", sorted(NAMES))
def test_every_speaker_type_can_be_placed(tmp_path: Path, name: str) -> None:
    kind = SPEAKER_TYPES[name]
    middle = f"{inches(kind['size']['height']) / 2}in" if "size" in kind else "4'"
    place = {
        "in-ceiling": "at: {from_left: 5', from_front: 8'}",
        "in-wall": "wall: front, from_left: 5', height: 4'",
        "stand": f"at: {{from_left: 3', from_front: 2'}}, height: {middle}, faces: rear",
        "on-surface": "at: {from_left: 3', from_front: 1'}, height: 5', faces: rear",
    }[kind["mount"]]
    turned = "" if kind.get("subwoofer") else ", aim: {seats: main}"
    text = f"{ROOM}speakers: [{{name: one, type: {name}, {place}{turned}}}]\n"
    document = checked(read_scene(put(tmp_path, parlor=text)))
    assert document["speakers"][0]["type"] == name
    assert not [finding for finding in document["findings"] if finding["severity"] == "error"]
    assert not [finding for finding in document["findings"] if finding["rule"] == "band-unknown"]
    assert len(document["pairs"]) == (not kind.get("subwoofer"))


@pytest.mark.parametrize("name", SAID["fixture_types"])
def test_every_fixture_type_can_be_placed(tmp_path: Path, name: str) -> None:
    """Its hole is told of by a speaker that is put into it."""
    fixture = f"fixtures: [{{name: lamp, type: {name}, at: {{from_left: 5', from_front: 8'}}}}]\n"
    assert checked(read_scene(put(tmp_path, parlor=ROOM + fixture)))["findings"] == []
    speaker = "speakers: [{name: one, type: flush 6 in, at: {from_left: 5' 1in, from_front: 8'}}]\n"
    assert "lamp" in str(checked(read_scene(put(tmp_path, parlor=ROOM + fixture + speaker)))["findings"])


@pytest.mark.parametrize("name", SAID["members"])
def test_every_member_can_be_framed_with(tmp_path: Path, name: str) -> None:
    run = f"member: {name}, spacing: 19.2in, direction: side-to-side, first_center: 8in"
    (framing,) = read_scene(put(tmp_path, parlor=f"{ROOM}framing: [{{name: x, surface: ceiling, {run}}}]\n")).framing
    thickness, depth = SAID["members"][name].split(" x ")
    assert [framing.thickness / INCH, framing.depth / INCH] == pytest.approx([inches(thickness), inches(depth)])


# --- what it says of its figures


def test_every_figure_is_marked_as_typical() -> None:
    """Every line under a section that holds a figure says in its comment that it is typical."""
    body = TEXT[TEXT.index("speaker_types:\n") :].splitlines()
    figures = [line for line in body if re.search(r"\d(in|deg|kHz|dB|W)\b", line.split(" #")[0])]
    assert len(figures) > 60
    for line in figures:
        assert re.search(r" # typical\b", line), line
    head = TEXT[: TEXT.index("format: 1")]
    assert "common practice, no source" in head
    assert "data sheet" in head


def test_its_example_is_a_scene(tmp_path: Path) -> None:
    lines = [line[4:] for line in TEXT.splitlines() if line.startswith("#   ")]
    assert lines[0] == "catalogs: [generic]"
    example = "\n".join(lines[1:]) + "\n"
    assert checked(read_scene(put(tmp_path, parlor=ROOM + example)))["speakers"][0]["type"] == "angled 6 in"


def piston(x: float) -> float:
    """2 J1(x) / x, the pressure of a rigid circular piston in a wall against that on its axis, by its power series.

    L. E. Kinsler and others, Fundamentals of Acoustics, 4th ed. (2000), section 7.4 (from memory).
    """
    terms = ((-1) ** k / (math.factorial(k) * math.factorial(k + 1)) * (x / 2) ** (2 * k) for k in range(30))
    return sum(terms)


def test_what_it_says_of_pistons_is_the_closed_form() -> None:
    """Full angle between the -6 dB directions, at 343 m/s."""
    low, high = 1.0, 3.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if piston(middle) > 10**-0.3 else (low, middle)
    head = re.sub(r"\s*\n# ", " ", TEXT)
    told = re.search(
        r"one of (\d+) mm radius, as in the 6 in class, covers (\d+) degrees at 2 kHz and (\d+) at 4 kHz; "
        r"one of (\d+) mm, as in the 8 in class, (\d+) and (\d+)\.",
        head,
    )
    assert told
    for radius, *angles in (told.groups()[:3], told.groups()[3:]):
        for hertz, angle in zip((2000, 4000), angles, strict=True):
            ka = 2 * math.pi * hertz / 343 * int(radius) / 1000
            assert 2 * math.degrees(math.asin(low / ka)) == pytest.approx(int(angle), abs=0.7)


# --- sizes by class: common practice, no source

ROUND = [name for name in SPEAKER_TYPES if "cutout" in SPEAKER_TYPES[name]]
CLASSES = {"6 in": (8.25, 8.5, "100deg"), "8 in": (9.375, 10.0, "90deg")}
"""Narrowest and widest cut-out, inches, and the coverage at 4 kHz."""


@pytest.mark.parametrize("name", ROUND)
def test_round_types_keep_to_their_class(name: str) -> None:
    kind = SPEAKER_TYPES[name]
    low, high, angle = CLASSES[name[-4:]]
    assert low <= inches(kind["cutout"]) <= high
    assert 0.75 <= inches(kind["bezel"]) - inches(kind["cutout"]) <= 1.25
    assert kind["coverage"] == {"angle": angle, "band": "4kHz"}
    depth = inches(kind["mounting_depth"])
    if kind["mount"] == "in-wall":
        assert depth <= 3.5 + 0.5  # a dressed 2x4 (PS 20) and 1/2 in board
    else:
        assert (2.5 if "slim" in name else 3.75) <= depth <= 7


@pytest.mark.parametrize("name", sorted(NAMES))
def test_how_loud_it_is_and_what_it_steers(tmp_path: Path, name: str) -> None:
    """Near the middle of its class; a swivel tweeter leaves the cone as it is; a subwoofer has its own amplifier."""
    kind = read_scene(put(tmp_path, parlor=ROOM)).speaker_types[name]
    if kind.subwoofer:
        assert (kind.sensitivity_db, kind.power_watts) == (None, None)
        return
    assert kind.sensitivity_db is not None
    assert kind.power_watts is not None
    assert 84 <= kind.sensitivity_db <= 92
    assert 50 <= kind.power_watts <= 250
    assert (kind.steers == "tweeter") == isinstance(kind.aiming, Pivoting)
    assert kind.crossover_hz == (2500.0 if kind.steers == "tweeter" else None)


@pytest.mark.parametrize("size", CLASSES)
def test_what_turns_is_deeper(size: str) -> None:
    depth = {name: inches(SPEAKER_TYPES[name]["mounting_depth"]) for name in ROUND}
    assert depth[f"wall {size}"] < depth[f"flush {size}"] < depth[f"pivot {size}"] < depth[f"angled {size}"]
    assert depth["flush slim 6 in"] == min(depth.values())


@pytest.mark.parametrize("name", ROUND)
def test_clamps_hold_usual_boards_and_may_stand_anywhere(tmp_path: Path, name: str) -> None:
    """1/2 and 5/8 in boards, also doubled, are held; two layers of 3/4 in are too much."""
    kind = SPEAKER_TYPES[name]
    assert set(kind["clamps"]) == {"thinnest", "thickest"}
    assert inches(kind["clamps"]["thinnest"]) <= 0.5 < 2 * 0.625 <= inches(kind["clamps"]["thickest"]) < 1.5
    assert kind["depth_from"] == "face"
    place = (
        "wall: front, from_left: 5', height: 4'"
        if kind["mount"] == "in-wall"
        else "at: {from_left: 5', from_front: 8'}"
    )
    for board, rules in (("1/2in", []), ("1-1/2in", ["board-too-thick"]), ("1/4in", ["board-too-thin"])):
        text = f"{ROOM}cavities: {{ceiling: {{depth: open, board: {board}}}, walls: {{depth: open, board: {board}}}}}\n"
        text += f"speakers: [{{name: one, type: {name}, {place}, aim: {{seats: main}}}}]\n"
        scene = read_scene(put(tmp_path, parlor=text))
        found = [finding["rule"] for finding in checked(scene)["findings"]]
        assert [rule for rule in found if rule.startswith("board")] == rules
        (hole,) = speaker_holes(scene.speakers, scene.ahead)
        assert not hole.shape.clamps_known


@pytest.mark.parametrize(
    ("clamps", "words"),
    [
        ("{count: 4}", "count and reach go together"),
        ("{reach: 1in, thinnest: 3/8in}", "count and reach go together"),
        ("{first: 45deg}", "needs count and reach, or thinnest or thickest"),
        ("{}", "needs count and reach, or thinnest or thickest"),
        ("{thinnest: 1in, thickest: 1/2in}", "thinnest board must be at most as thick as thickest says"),
    ],
)
def test_what_is_said_of_clamps_hangs_together(tmp_path: Path, clamps: str, words: str) -> None:
    text = f"{ROOM}speaker_types: {{mine: {{mount: in-ceiling, aiming: fixed, coverage: 90deg, clamps: {clamps}}}}}\n"
    with pytest.raises(SceneError, match=words):
        read_scene(put(tmp_path, parlor=text))


@pytest.mark.parametrize("name", SAID["members"])
def test_members_are_called_by_their_depth(name: str) -> None:
    width, depth = SAID["members"][name].split(" x ")
    assert depth == f"{re.split('joist |lvl |truss |channel ', name)[1].removesuffix(' in')}in"
    assert 1.75 <= inches(width) <= 3.5
    assert ("wide" in name) <= (inches(width) > 1.75)
