"""Schemes that build on one another: their changes one after the other, and what cannot be built on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from earshed.model.scene import Scene
from earshed.model.scene_file.json_schema import scene_schema
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.tree import parse_tree, plain
from tests.den import DEN, den, read
from tests.scene_files import put_marked, told


def same(one: Scene, other: Scene) -> bool:
    return told(replace(one, builds_on=None)) == told(replace(other, builds_on=None))


STEPS = [
    "speakers: {top: {at: {from_left: 2, from_front: 3}}}",
    "speakers: {top: {type: turned, aim: {seats: main}}, third: {type: flush, at: {from_left: 4, from_front: 4}}}",
    "speakers: {third: {at: {from_left: 3.5, from_front: 4}}}, seats: {bench: {main: true}}",
    "remove: [third, wall]",
    "room: {ceiling: {shape: shed, low: 2.2, high: 3, rises: rear}}",
]


def test_a_chain_of_schemes_is_their_changes_one_after_the_other() -> None:
    """Against the one scheme that says what the chain comes to."""
    chain = [f"{i}: {{builds_on: {i - 1 if i else 'base'}, {changes}}}" for i, changes in enumerate(STEPS)]
    sums = [
        STEPS[0],
        "speakers: {top: {at: {from_left: 2, from_front: 3}, type: turned, aim: {seats: main}}, "
        "third: {type: flush, at: {from_left: 4, from_front: 4}}}",
        "speakers: {top: {at: {from_left: 2, from_front: 3}, type: turned, aim: {seats: main}}, "
        "third: {type: flush, at: {from_left: 3.5, from_front: 4}}}, seats: {bench: {main: true}}",
        "speakers: {top: {at: {from_left: 2, from_front: 3}, type: turned, aim: {seats: main}}}, "
        "seats: {bench: {main: true}}, remove: [wall]",
    ]
    sums.append(f"{sums[3]}, {STEPS[4]}")
    for schemes in (chain, chain[::-1]):  # in whatever order the file has them
        for i, whole in enumerate(sums):
            scene = read(den(*schemes), str(i))
            assert (scene.scheme, scene.builds_on) == (str(i), str(i - 1) if i else "base")
            assert same(scene, read(den(f"all: {{{whole}}}"), "all"))


def test_to_build_on_base_is_to_build_on_nothing() -> None:
    plainly, on_base = (read(den(f"x: {{{base}{STEPS[0]}}}"), "x") for base in ("", "builds_on: base, "))
    assert (plainly.builds_on, on_base.builds_on) == (None, "base")
    assert same(plainly, on_base)
    assert read(DEN + "  x: {builds_on: base}\n").builds_on is None


@pytest.mark.parametrize(
    ("schemes", "words"),
    [
        (("a: {builds_on: ¦b}",), 'scheme "a", builds_on: the scene has no scheme "b"; it has a (base is'),
        (("a: {builds_on: ¦a}",), 'scheme "a", builds_on: a scheme cannot build on itself; name another, or base'),
        (("a: {builds_on: ¦[b]}", "b: {}"), 'scheme "a", builds_on: needs the name of one scheme, or base'),
        (("a: {builds_on: ¦''}", "b: {}"), 'builds_on: the scene has no scheme ""'),
        (("a: {builds_on: b}", "b: {builds_on: ¦a}"), "builds_on: goes in a circle, a on b on a; one of them must"),
        (("a: {builds_on: b}", "b: {builds_on: c}", "c: {builds_on: ¦b}"), "goes in a circle, b on c on b; one of"),
        (("a: {¦build_on: b}", "b: {}"), 'scheme "a": `build_on` is not a key here; did you mean `builds_on`?'),
        (
            ("a: {builds_on: b}", "b: {speakers: {¦tpo: {aim: none}}}"),
            'scheme "b": nothing under speakers is called tpo',
        ),
        (
            ("a: {builds_on: b, speakers: {¦third: {aim: none}}}", "b: {}"),
            'scheme "a": nothing under speakers is called',
        ),
    ],
)
def test_what_cannot_be_built_on_is_refused_at_its_place(tmp_path: Path, schemes: tuple[str, ...], words: str) -> None:
    path, mark = put_marked(tmp_path, den=den(*schemes))
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert (caught.value.mark, words in caught.value.words) == (mark, True), caught.value


def test_an_overlay_is_told_its_own_word_for_it(tmp_path: Path) -> None:
    over = "format: 1\nbased_on: den.yaml\n¦builds_on: base\n"
    path, mark = put_marked(tmp_path, over=over, den=den("a: {}"))
    with pytest.raises(SceneError, match="as `scheme: NAME`") as caught:
        read_scene(path)
    assert caught.value.mark == mark


def test_editors_are_told_of_the_key() -> None:
    check = jsonschema.Draft202012Validator(scene_schema())
    good, bad = (plain(parse_tree(den(f"a: {{builds_on: {name}}}", "b: {}"), "den.yaml")) for name in ("b", "[b]"))
    assert check.is_valid(good)
    assert not check.is_valid(bad)
