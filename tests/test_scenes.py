"""The shipped scenes: each reads under every scheme, teaches what its first lines say, and gives pinned figures.

Tape measures are read here by a few lines of our own and worked in inches with plain arithmetic.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import re
import shlex
from fractions import Fraction
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
import yaml

from earshed.viewer.cli import COMMANDS, run

ROOT = Path(__file__).resolve().parent.parent
SCENES = sorted((ROOT / "scenes").glob("*.yaml"))
METRES_PER_INCH = 0.0254
"""Exact: the agreement of 1959."""

Vector = tuple[float, float, float]


def contents(scene: Path) -> dict[str, Any]:
    """A scene file as bare YAML, every scalar as text."""
    return yaml.load(scene.read_text(encoding="utf-8"), yaml.BaseLoader)


CASES = [(scene, scheme) for scene in SCENES for scheme in ("base", *contents(scene)["schemes"])]
IDS = [f"{scene.stem}-{scheme}" for scene, scheme in CASES]


@cache
def checked(scene: Path, scheme: str) -> dict[str, Any]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        run(["check", str(scene), "--json", "--scheme", scheme])
    return json.loads(out.getvalue())


def overhead(scene: Path, document: dict[str, Any]) -> list[str]:
    types = contents(scene)["speaker_types"]
    upper = [s for s in document["speakers"] if (s["channel"] or "").startswith("U")]
    return [s["name"] for s in document["speakers"] if types[s["type"]]["mount"] == "in-ceiling" or s in upper]


def main_seats(document: dict[str, Any]) -> set[str]:
    return {seat["name"] for seat in document["seats"] if seat["main"]}


def pair(document: dict[str, Any], speaker: str, seat: str) -> dict[str, Any]:
    return next(p for p in document["pairs"] if (p["speaker"], p["seat"]) == (speaker, seat))


# --- what each scene is for


def test_the_package_ships_them() -> None:
    shipped = {item.name for item in files("earshed.scenes").iterdir() if item.name.endswith(".yaml")}
    assert {scene.name for scene in SCENES} == shipped
    assert len(SCENES) >= 2


@pytest.mark.parametrize(("scene", "scheme"), CASES, ids=IDS)
def test_reads_and_can_be_built(scene: Path, scheme: str) -> None:
    document = checked(scene, scheme)
    assert document["scheme"] == (None if scheme == "base" else scheme)
    assert [finding for finding in document["findings"] if finding["severity"] == "error"] == []
    assert document["room"]["watertight"]
    assert main_seats(document)


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_as_found_a_flush_speaker_misses_a_main_seat(scene: Path) -> None:
    document = checked(scene, "as found")
    flush = [s["name"] for s in document["speakers"] if s["axis"] == s["normal"]]
    missed = {
        p["speaker"] for p in document["pairs"] if p["verdict"] == "outside" and p["seat"] in main_seats(document)
    }
    assert missed & set(flush) & set(overhead(scene, document))


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_as_proposed_every_overhead_speaker_covers_every_main_seat(scene: Path) -> None:
    document = checked(scene, "proposed")
    main, above = main_seats(document), overhead(scene, document)
    assert above
    verdicts = {(p["speaker"], p["seat"]): p["verdict"] for p in document["pairs"] if p["seat"] in main}
    assert {verdict for (speaker, _), verdict in verdicts.items() if speaker in above} == {"covered"}
    assert "outside" not in verdicts.values()


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_the_first_lines_say_what_it_teaches(scene: Path) -> None:
    lines = scene.read_text(encoding="utf-8").splitlines()
    opening = [line.lstrip("# ") for line in lines[: next(i for i, line in enumerate(lines) if line[:1] != "#")]]
    assert "teaches" in " ".join(opening)
    commands = [shlex.split(line) for line in opening if line.startswith("earshed ")]
    assert commands
    for _, command, name, *options in commands:
        assert command in COMMANDS
        assert name == scene.name
        assert options[options.index("--scheme") + 1] in contents(scene)["schemes"]


# --- the figures


def inches(tape: str) -> float:
    found = re.fullmatch(r"(?:(\d+)')?\s*(?:([\d.]+)?-?(\d+/\d+)?(?:\"|in))?|0", tape)
    assert found, tape
    feet, whole, part = found.groups(default="0")
    return 12 * float(feet) + float(whole) + float(Fraction(part))


@pytest.mark.parametrize(
    ("tape", "length"), [("15' 10\"", 190), ("1'", 12), ("7-1/2in", 7.5), ("18in", 18), ("0", 0), ("3' 6-1/4\"", 42.25)]
)
def test_our_own_reading_of_a_tape(tape: str, length: float) -> None:
    assert inches(tape) == length


def by_name(things: list[dict[str, Any]], name: str) -> dict[str, Any]:
    return next(thing for thing in things if thing["name"] == name)


def ear(text: dict[str, Any], name: str) -> Vector:
    seat = by_name(text["seats"], name)
    return *on_plan(text, seat["at"]), inches(seat["ear_height"])


def on_plan(text: dict[str, Any], at: dict[str, str]) -> tuple[float, float]:
    """A plan place in inches, taped from the left, from the right or from the middle."""
    y = -inches(at["from_front"])
    if "from_left" in at:
        return inches(at["from_left"]), y
    width = inches(text["room"]["width"])
    if "from_right" in at:
        return width - inches(at["from_right"]), y
    back = -1 if at["from_center"].startswith("-") else 1
    return width / 2 + back * inches(at["from_center"].removeprefix("-")), y


def spot(text: dict[str, Any], name: str, scheme: str) -> tuple[float, float]:
    changed = (text["schemes"][scheme].get("speakers", {}) if scheme != "base" else {}).get(name, {})
    return on_plan(text, changed.get("at", by_name(text["speakers"], name)["at"]))


def off_axis(place: Vector, axis: Vector, point: Vector) -> float:
    way = [b - a for a, b in zip(place, point, strict=True)]
    along = sum(a * b for a, b in zip(axis, way, strict=True)) / math.hypot(*axis)
    return math.degrees(math.acos(along / math.hypot(*way)))


def cross(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def scaled(a: Vector) -> Vector:
    size = math.hypot(*a)
    return a[0] / size, a[1] / size, a[2] / size


def best_lean(place: Vector, normal: Vector, angle: float, ears: list[Vector]) -> Vector:
    """Of 36000 headings at `angle` degrees from a normal, the one best for the worst ear.

    That is the best of a pivoting type too, where the seats lie beyond its limit, as they do in these rooms.
    """
    normal = scaled(normal)
    along = scaled(cross(normal, (1.0, 0.0, 0.0)))
    aside = cross(normal, along)
    lean, best = math.radians(angle), (math.inf, normal)
    for step in range(36000):
        turn = math.radians(step / 100)
        parts = (math.cos(lean), math.sin(lean) * math.cos(turn), math.sin(lean) * math.sin(turn))
        x, y, z = (sum(p * v[i] for p, v in zip(parts, (normal, along, aside), strict=True)) for i in range(3))
        best = min(best, (max(off_axis(place, (x, y, z), point) for point in ears), (x, y, z)))
    return best[1]


def under_the_shed(text: dict[str, Any], y: float) -> tuple[float, Vector]:
    """Height of the shed over y, the floor plan's own length being its outline's, and the direction square to it."""
    low, high = inches(text["room"]["ceiling"]["low"]), inches(text["room"]["ceiling"]["high"])
    slope = (high - low) / max(inches(corner[1]) for corner in text["room"]["outline"])
    return low - slope * y, (0.0, -slope, -1.0)


def under_the_gable(text: dict[str, Any], x: float) -> tuple[float, Vector]:
    """Height of the gable over x, and the direction square to it into the room."""
    ceiling = text["room"]["ceiling"]
    ridge, peak, low, far = (inches(ceiling[key]) for key in ("ridge_at", "peak", "low", "far_low"))
    width = inches(text["room"]["width"])
    slope = (peak - low) / ridge if x < ridge else (far - peak) / (width - ridge)
    return peak + slope * (x - ridge), (slope, 0.0, -1.0)


def under_the_attic(text: dict[str, Any], x: float) -> tuple[float, Vector]:
    """Height of the attic's slopes over x, below the flat strip: the low wall, and 9 in 12."""
    ceiling, width = text["room"]["ceiling"], inches(text["room"]["width"])
    rise = int(ceiling["pitch"].removesuffix(" in 12")) / 12
    near = min(x, width - x)
    height = inches(ceiling["low"]) + rise * near
    assert height < inches(ceiling["flat_top"])
    return height, (rise if near == x else -rise, 0.0, -1.0)


def on_a_bracket(text: dict[str, Any], name: str, scheme: str) -> tuple[float, Vector]:
    """Height of a surface speaker, and the way it faces: down, or level towards a seat."""
    speaker = by_name(text["speakers"], name)
    if scheme != "base":
        speaker = speaker | text["schemes"][scheme].get("speakers", {}).get(name, {})
    if speaker["faces"] == "down":
        return inches(speaker["height"]), (0.0, 0.0, -1.0)
    (x, y), (there, back, _) = on_plan(text, speaker["at"]), ear(text, speaker["faces"])
    return inches(speaker["height"]), (there - x, back - y, 0.0)


def under_the_soffit(text: dict[str, Any], x: float) -> tuple[float, Vector]:
    """Height of the flat ceiling over x, or of the soffit along the left wall."""
    soffit = by_name(text["fixtures"], "duct soffit")
    below = inches(soffit["from_left"]) <= x <= inches(soffit["from_left"]) + inches(soffit["width"])
    return inches(soffit["bottom"] if below else text["room"]["ceiling"]["height"]), (0.0, 0.0, -1.0)


PINNED = [
    ("bonus-room", "base", "upper front left", "sofa left", 55.8),
    ("bonus-room", "as found", "upper front left", "sofa left", 55.8),
    ("bonus-room", "proposed", "upper front left", "sofa left", 30.8),
    ("basement", "base", "upper front left", "recliner 1", 59.8),
    ("basement", "as found", "upper front left", "recliner 1", 59.8),
    ("basement", "proposed", "upper front left", "recliner 1", 26.5),
    ("barn", "base", "upper right", "front left", 52.2),
    ("barn", "as found", "upper right", "front left", 52.2),
    ("barn", "proposed", "upper right", "front left", 22.2),
    ("barn", "as built", "upper right", "front left", 23.3),
    ("attic", "base", "upper left", "sofa left", 48.8),
    ("attic", "as found", "upper left", "sofa left", 48.8),
    ("attic", "proposed", "upper left", "sofa left", 26.8),
    ("timber", "base", "upper left", "sofa right", 64.5),
    ("timber", "as found", "upper left", "sofa right", 64.5),
    ("timber", "proposed", "upper left", "sofa left", 39.9),
    ("office", "base", "upper left", "right", 54.1),
    ("office", "as found", "upper left", "right", 54.1),
    ("office", "proposed", "upper left", "right", 31.6),
]
"""Degrees, to a tenth, as the tables print them."""


@pytest.mark.parametrize(("stem", "scheme", "speaker", "seat", "degrees"), PINNED)
def test_pinned_angles(stem: str, scheme: str, speaker: str, seat: str, degrees: float) -> None:
    scene = ROOT / "scenes" / f"{stem}.yaml"
    text, document = contents(scene), checked(scene, scheme)
    x, y = spot(text, speaker, scheme)
    overhead_at = {
        "bonus-room": lambda: under_the_gable(text, x),
        "basement": lambda: under_the_soffit(text, x),
        "barn": lambda: under_the_shed(text, y),
        "attic": lambda: under_the_attic(text, x),
        "timber": lambda: on_a_bracket(text, speaker, scheme),
        "office": lambda: (inches(text["room"]["ceiling"]["height"]), (0.0, 0.0, -1.0)),
    }
    height, normal = overhead_at[stem]()
    kind = text["speaker_types"][by_name(document["speakers"], speaker)["type"]]
    axis = normal
    if kind["aiming"] != "fixed":
        ears = [ear(text, name) for name in (s["name"] for s in document["seats"] if s["main"])]
        (angle,) = kind["aiming"].values()
        axis = best_lean((x, y, height), normal, float(angle.removesuffix("deg")), ears)
    worked = off_axis((x, y, height), axis, ear(text, seat))
    found = pair(document, speaker, seat)["off_axis_deg"]
    assert found == pytest.approx(worked, abs=1e-9 if axis == normal else 0.02)
    assert found == pytest.approx(degrees, abs=0.05)


def test_every_scene_and_scheme_is_pinned() -> None:
    assert {(stem, scheme) for stem, scheme, *_ in PINNED} == {(scene.stem, scheme) for scene, scheme in CASES}


def test_the_barn_as_built_still_gives_every_seat_what_was_designed() -> None:
    """4 in to the right, along the level of the slope."""
    scene = ROOT / "scenes" / "barn.yaml"
    told = checked(scene, "as built")["against"]
    (speaker,) = told["speakers"]
    assert (told["scheme"], speaker["name"]) == ("proposed", "upper right")
    assert speaker["moved_m"] == pytest.approx(4 * METRES_PER_INCH, abs=1e-12)
    assert [p for p in told["pairs"] if not p["holds"]] == []
    before = pair(checked(scene, "proposed"), "upper right", "front left")["off_axis_deg"]
    assert before == next(
        p["off_axis_before_deg"] for p in told["pairs"] if (p["speaker"], p["seat"]) == ("upper right", "front left")
    )


def test_the_bonus_room_is_a_prism_on_its_gable_end() -> None:
    """Volume = end area by length, less what stands in it; slopes by Pythagoras."""
    scene = ROOT / "scenes" / "bonus-room.yaml"
    text, room = contents(scene), checked(scene, "base")["room"]
    ceiling, width, length = text["room"]["ceiling"], inches(text["room"]["width"]), inches(text["room"]["length"])
    ridge, peak, low, far = (inches(ceiling[key]) for key in ("ridge_at", "peak", "low", "far_low"))
    end = ridge * (low + peak) / 2 + (width - ridge) * (peak + far) / 2
    boxes = sum(math.prod(inches(b[k]) for k in ("width", "length", "height")) for b in standing(text))
    slopes = math.hypot(ridge, peak - low) + math.hypot(width - ridge, peak - far)
    assert room["volume_m3"] == pytest.approx((end * length - boxes) * METRES_PER_INCH**3, rel=1e-6)
    assert room["floor_area_m2"] == pytest.approx(width * length * METRES_PER_INCH**2, rel=1e-12)
    assert room["ceiling_area_m2"] == pytest.approx(slopes * length * METRES_PER_INCH**2, rel=1e-9)


def test_the_basement_is_a_box_less_boxes() -> None:
    scene = ROOT / "scenes" / "basement.yaml"
    text, room = contents(scene), checked(scene, "base")["room"]
    width, length = inches(text["room"]["width"]), inches(text["room"]["length"])
    whole = width * length * inches(text["room"]["ceiling"]["height"])
    boxes = sum(math.prod(inches(b[k]) for k in ("width", "length", "height")) for b in standing(text))
    assert room["volume_m3"] == pytest.approx((whole - boxes) * METRES_PER_INCH**3, rel=1e-6)
    assert room["floor_area_m2"] == pytest.approx(width * length * METRES_PER_INCH**2, rel=1e-12)
    assert room["ceiling_area_m2"] == pytest.approx(width * length * METRES_PER_INCH**2, rel=1e-9)


def test_the_barn_is_a_prism_on_its_side() -> None:
    """Two rectangles of floor under one slope: each part's volume is its floor by the height over its middle."""
    scene = ROOT / "scenes" / "barn.yaml"
    text, room = contents(scene), checked(scene, "base")["room"]
    front = (220, 210, 105)  # width, length and middle from the front, inches, of the wide part
    rear = (146, 80, 250)
    air = sum(width * length * under_the_shed(text, -middle)[0] for width, length, middle in (front, rear))
    boxes = sum(math.prod(inches(b[k]) for k in ("width", "length", "height")) for b in standing(text))
    riser = math.prod(inches(text["risers"][0][k]) for k in ("width", "length", "height"))
    floor = sum(width * length for width, length, _ in (front, rear))
    assert room["volume_m3"] == pytest.approx((air - boxes - riser) * METRES_PER_INCH**3, rel=1e-6)
    assert room["floor_area_m2"] == pytest.approx(floor * METRES_PER_INCH**2, rel=1e-12)
    slope = math.hypot(*under_the_shed(text, 0.0)[1][1:])
    assert room["ceiling_area_m2"] == pytest.approx(floor * slope * METRES_PER_INCH**2, rel=1e-9)


def standing(text: dict[str, Any]) -> list[dict[str, Any]]:
    """The boxes of a room in which none overlaps another or a wall."""
    return [fixture for fixture in text["fixtures"] if fixture["kind"] == "box"]
