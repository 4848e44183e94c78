"""Whatever stands in a file, reading it ends in a Scene or in one SceneError with a place inside the file."""

from __future__ import annotations

import json
import math
import random
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree, plain
from earshed.model.speaker_type import Angled, Fixed

GOOD = """\
format: 1
title: Workshop            # a small scene with one of most things
room: {width: 14' 2", length: 6m, ceiling: {shape: gable, ridge: side-to-side, low: 5' 3", peak: 9' 8"}}
datums:
  post: {from_left: 18in, from_front: 1.5m}
framing:
  - {name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}
fixtures:
  - {name: can, kind: can light, at: {from_left: 3' 4", from_front: 4'}, cutout: 6-1/4in}
  - {name: soffit, kind: box, from_right: 1m, from_front: 0, bottom: 1.8m, width: 1m, length: 6m, height: 1m}
openings:
  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 2' 8", height: 1.5m}
screen: {wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m, bottom: 50cm}
seats:
  - {name: chair, at: {datum: post, right: 1m, back: 2m}, ear_height: 40in, main: true}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 9-1/2in}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 90deg}
  niche: {mount: in-wall, aiming: {angled: 15deg}, coverage: 90}
speakers:
  - {name: one, type: pivot, channel: U+045, at: {from_left: 1m, from_front: 1m}, aim: {tilt: 10, toward: rear}}
  - {name: two, type: niche, wall: left, from_front: 2m, height: 1m, aim: {seats: main}}
schemes:
  as found: {speakers: {one: {type: flush, aim: none}}, remove: [can]}
"""
BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What ends a line: YAML 1.1 (2005), productions 23 to 29."""


def read(text: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(text, "bench.yaml"), scheme)


def check_refusal(refused: SceneError, text: str, file: str) -> None:
    lines = BREAK.split(text)
    for problem in (refused, *refused.others):
        mark = problem.mark
        assert mark.file == file
        assert 1 <= mark.line <= len(lines), problem
        assert 1 <= mark.column <= len(lines[mark.line - 1]) + 1, problem
        assert problem.message.encode("utf-8").strip()
        assert len(BREAK.split(problem.message)) == 1


def numbers(value: Any) -> Iterator[float]:
    """Every number that a scene holds."""
    if isinstance(value, np.ndarray):
        yield from value.ravel()
    elif isinstance(value, float | int):
        yield value
    elif is_dataclass(value):
        for field in fields(value):
            yield from numbers(getattr(value, field.name))
    elif isinstance(value, Mapping | tuple):
        for item in value.values() if isinstance(value, Mapping) else value:
            yield from numbers(item)


def check_sound(scene: Scene) -> None:
    assert all(math.isfinite(number) for number in numbers(scene))
    for speaker in scene.speakers:
        aiming, tilt = speaker.type.aiming, speaker.tilt
        assert np.linalg.norm([speaker.normal, speaker.axis], axis=1) == pytest.approx([1, 1], abs=1e-9)
        limit = 0.0 if isinstance(aiming, Fixed) else aiming.angle if isinstance(aiming, Angled) else aiming.limit
        assert tilt <= limit + 1e-6
        assert not isinstance(aiming, Angled) or tilt == pytest.approx(limit, abs=1e-6)


def outcome(text: str) -> type:
    """What comes of a text: Scene or SceneError. Anything else, a warning too, fails the test."""
    try:
        check_sound(read(text))
    except SceneError as refused:
        check_refusal(refused, text, "bench.yaml")
        return SceneError
    return Scene


# --- damaged copies of a good scene

JUNK = [
    *"-~'\"{}[]%@`|>:?½²é𝔸\t\r\n\0\x1b\x85\u2028\u200b\ufeff\ud7ff", "", "''", "null", "0", "-1", "1e9", "999m",
    "5' 13\"", "'5' 6\"'", "[]", "{}", "[a, b]", "{a: b}", "*x", "&x y", "!x y", ": :", "# x", "a: b", "1/0in", "٣m",
    "none", "on", "1" * 80, "x" * 99, '"\\0"', '"\\ud800"', '"\\U00110000"', "16:0", "nan", "-0", "360", "999deg", "<<",
    "base", "---", "...", "- -", "\r\n", "[[[[", "}{", "'\n'", '"\n"', "{a", "3,5 m", "- x", "%YAML 3", "\n\n", "  ",
]  # fmt: skip
KEYS = sorted(set(re.findall(r"[\w ]+(?=:)", GOOD)))
A_VALUE = r": ([^{}\[\],:\n]+)"
A_PART = r"(\{[^{}]*\}|\[[^\[\]]*\])"
SPOTS = {
    "value": (A_VALUE, JUNK),
    "other value": (A_VALUE, re.findall(A_VALUE, GOOD)),
    "key": (r"(\w+):", KEYS),
    "subtree": (A_PART, re.findall(A_PART, GOOD)),
    "bracket": (r"([{}\[\],])", ["", "{", "}", "[", "]", ",", "}}", "{{"]),
}
DAMAGES = ["delete", "insert", "overwrite", "unicode", "swap", "truncate", "cut lines", "move lines", "indent", *SPOTS]


def damaged(rng: random.Random, text: str, kind: str) -> str:
    at, size = rng.randrange(len(text)), rng.randint(1, 6)
    lines = text.splitlines(keepends=True)
    row, rows = rng.randrange(len(lines)), rng.randint(1, 4)
    if kind == "cut lines":
        return "".join(lines[:row] + lines[row + rows :])
    if kind == "move lines":
        rest = lines[:row] + lines[row + rows :] if rng.random() < 0.6 else list(lines)
        to = rng.randint(0, len(rest))
        return "".join(rest[:to] + lines[row : row + rows] + rest[to:])
    if kind == "indent":
        lines[row] = rng.choice([" ", "  ", "\t", "    ", "- "]) + lines[row] if rng.random() < 0.7 else lines[row][1:]
        return "".join(lines)
    if kind == "swap":
        a, b = sorted([at, rng.randrange(len(text))])
        return text[:a] + text[b] + text[a + 1 : b] + text[a] + text[b + 1 :]
    if kind in SPOTS:
        pattern, choices = SPOTS[kind]
        found = rng.choice([*re.finditer(pattern, text)] or [*re.finditer("()", text)])
        return text[: found.start(1)] + rng.choice(choices) + text[found.end(1) :]
    sign = chr(rng.choice([rng.randrange(0xD800), rng.randrange(0xE000, 0x110000)]))
    new = {"delete": "", "truncate": "", "unicode": sign}.get(kind, rng.choice(JUNK))
    return text[:at] + new + text[at + {"insert": 0, "truncate": len(text)}.get(kind, size) :]


@pytest.mark.parametrize("kind", DAMAGES)
def test_damaged_copies(kind: str) -> None:
    rng, seen = random.Random(f"{kind} 1959"), set()
    for _ in range(180):
        text = GOOD
        for _ in range(rng.choice([1, 1, 1, 2, 5])):
            text = damaged(rng, text, kind) or "-"
        seen.add(outcome(text))
    assert outcome(GOOD) is Scene
    assert SceneError in seen  # the damage did harm


@pytest.mark.parametrize("text", JUNK)
def test_junk_alone_and_in_every_kind_of_place(text: str) -> None:
    outcome(text)
    for old in ("14' 2\"", "Workshop", "side-to-side", "post", "{seats: main}", "[can]", "as found", "rear}", "true"):
        outcome(GOOD.replace(old, text, 1))


# --- random trees and bytes

TREE: Any = plain(parse_tree(GOOD, "bench.yaml"))
words = st.sampled_from([*KEYS, "in-wall", "stand", "planes", "shed", "4m", "0", "'", "-", ""]) | st.text(max_size=8)
trees = st.recursive(words, lambda t: st.lists(t, max_size=4) | st.dictionaries(words, t, max_size=5), max_leaves=12)


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(tree=trees, key=st.sampled_from(list(TREE)), spread=st.sampled_from([None, 1]))
def test_random_trees_alone_and_in_a_good_scene(tree: Any, key: str, spread: int | None) -> None:
    outcome(json.dumps(tree, indent=spread))
    outcome(json.dumps({**TREE, key: tree}, indent=spread, ensure_ascii=False))
    outcome(str(tree))


@settings(max_examples=200)
@given(raw=st.binary(max_size=60), where=st.integers(0, len(GOOD)), alone=st.booleans())
def test_random_bytes_in_a_file(tmp_path_factory: pytest.TempPathFactory, raw: bytes, where: int, alone: bool) -> None:
    path, good = tmp_path_factory.getbasetemp() / "bytes.yaml", GOOD.encode()
    path.write_bytes(whole := raw if alone else good[:where] + raw + good[where:])
    try:
        check_sound(read_scene(path))
    except SceneError as refused:
        check_refusal(refused, whole.decode("utf-8-sig", "replace"), str(path))


# --- whole scenes that must be read

HEADINGS = ["front", "left", "90", "35deg right of rear", "20deg rear of left"]
MOUNTS = ["in-ceiling", "in-wall", "stand", "on-surface"]
AIMINGS = ["fixed", {"angled": "25deg"}, {"angled": "80"}, {"pivoting": "5"}, {"pivoting": "18°"}, {"pivoting": "89"}]
Things = dict[str, Any]


class Draw:
    """Draws one scene. Speakers and lights lie half a millimetre off the places that seats can have."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.pick = self.rng.choice
        self.few = range(self.rng.randint(0, 3))
        self.walls = self.pick([0, 0, *range(3, 9)])
        self.datums: Things = {}
        for n in self.few:
            self.datums[f"datum {n}"] = self.place()
        self.seats = [f"seat {n}" for n in self.few]
        self.types = {
            f"type {n}": {"mount": MOUNTS[n % 4], "aiming": self.pick(AIMINGS), "coverage": "90"} for n in range(6)
        }

    def mm(self, low: float, high: float, off: float = 0.0) -> str:
        size = self.rng.randint(int(low), int(high)) + off
        return self.pick([f"{size}mm", f"{size / 10}cm", f"{size / 1000:.5f}m"])

    def place(self, off: float = 0.0) -> Things:
        if self.datums and self.rng.random() < 0.3:
            return {"datum": self.pick([*self.datums]), "right": self.mm(-900, 900, off), "back": self.mm(0, 900, off)}
        side, end = self.pick(["from_left", "from_right", "from_center"]), self.pick(["from_front", "from_rear"])
        return {side: self.mm(0, 2000, off), end: self.mm(0, 2000, off)}

    def on_wall(self) -> Things:
        if self.walls:
            return {"wall": str(self.rng.randint(1, self.walls)), "along": self.mm(0, 1000)}
        wall = self.pick(["front", "rear", "left", "right"])
        ends = ["from_left", "from_right", "from_center"] if wall in ("front", "rear") else ["from_front", "from_rear"]
        return {"wall": wall, self.pick(ends): self.mm(0, 2000)}

    def plan(self) -> Things:
        if not self.walls:
            return {"width": f"{2 * self.rng.randint(500, 6000)}mm", "length": self.mm(1000, 12000)}
        spin = self.pick([1, -1]) * 2 * math.pi / self.walls
        polar = [(self.rng.uniform(1500, 6000), spin * (n + self.rng.uniform(0, 0.4))) for n in range(self.walls)]
        return {"outline": [[f"{r * math.cos(a):.0f}mm", f"{r * math.sin(a):.0f}mm"] for r, a in polar]}

    def ceiling(self) -> Things:
        low, high = self.mm(200, 2500), self.mm(2501, 6000)
        span = [["0", "0", self.mm(2000, 3000)], ["12m", "0", self.mm(2000, 6000)], ["0", "12m", self.mm(2000, 6000)]]
        more = self.pick([{}, {"ridge_at": self.mm(1, 999)}, {"far_low": self.mm(0, 2500)}])
        shapes = [
            {"shape": "flat", "height": high},
            {"shape": "shed", "low": low, "high": high, "rises": self.pick(["left", "right", "front", "rear"])},
            {
                "shape": "planes",
                "planes": [span, [[x, y, self.mm(2000, 3000)] for x, y, _ in span]][: self.pick([1, 2])],
            },
            {"shape": "gable", "low": low, "peak": high, "ridge": self.pick(["front-to-back", "side-to-side"]), **more},
        ]
        return self.pick(shapes[:3] if self.walls else shapes)

    def speaker(self) -> Things:
        kind = self.pick(list(self.types))
        mount, aiming = self.types[kind]["mount"], self.types[kind]["aiming"]
        faces = self.pick([*HEADINGS, "up", "down", *self.seats])
        lean = self.pick(HEADINGS if mount == "in-ceiling" or faces in ("up", "down") else ["up", "down"])
        if mount == "in-wall":
            placed, lean = {**self.on_wall(), "height": self.mm(0, 2000, 0.5)}, self.pick(["up", "down"])
        else:
            stood = {"height": self.mm(0, 2000), "faces": faces}
            placed = {"at": self.place(0.5), **({} if mount == "in-ceiling" else stood)}
        tilt = "0" if aiming == "fixed" else f"{self.rng.uniform(0, 5):.2f}"
        aims = [{"toward": lean}] if "angled" in aiming else ["none", {"toward": lean, "tilt": tilt}]
        aims += [{"seats": self.pick(["main", "all"])}, {"seat": self.pick(self.seats)}] if self.seats else []
        return {"type": kind, **placed, "aim": self.pick(aims)}

    def many(self, word: str, thing: Callable[[], Things]) -> list[Things]:
        return [{"name": f"{word} {n}", **thing()} for n in self.few]

    def scene(self) -> Things:
        size = {"from_left": "0", "from_rear": "1m", "width": "12m", "length": "9m", "height": self.mm(1, 600)}
        runs = ["front-to-back", "side-to-side", "up-slope", "level"]
        run = {"surface": "ceiling", "member": "2x6", "spacing": "16in", "first_center": "0"}
        lights = self.many("can", lambda: {"kind": "can light", "at": self.place(0.5), "cutout": "6in"})
        boxes = self.many("box", lambda: {"kind": "box", "bottom": self.mm(0, 3000), **size})
        doors = self.many("door", lambda: {**self.on_wall(), "sill": "0", "width": "80cm", "height": "2m"})
        gone = [thing["name"] for thing in (*lights, *doors, *boxes)][: self.pick([0, 1])]
        return {
            "format": "1", "title": "Drawn", "room": {**self.plan(), "ceiling": self.ceiling()}, "datums": self.datums,
            "seats": self.many("seat", lambda: {"at": self.place(), "ear_height": self.mm(800, 1300)}),
            "risers": self.many("riser", lambda: size), "fixtures": lights + boxes, "openings": doors,
            "framing": self.many("run", lambda: {"direction": self.pick(runs), **run}), "speaker_types": self.types,
            "speakers": self.many("speaker", self.speaker),
            "schemes": {"alt": {"speakers": {"new": self.speaker()}, "remove": gone}},
        }  # fmt: skip


@pytest.mark.parametrize("block", range(10))
def test_whole_scenes(block: int) -> None:
    for seed in range(25 * block, 25 * block + 25):
        scene = read(json.dumps(Draw(seed).scene(), indent=1), "alt" if seed % 2 else None)
        check_sound(scene)
        assert ("new" in [speaker.name for speaker in scene.speakers]) == bool(seed % 2)
