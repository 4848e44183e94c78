"""Fixture types: what one may hold, for every kind of fixture, and how a fixture lies over its type."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal, get_args

import pytest
from pydantic import BaseModel, Field, TypeAdapter, ValidationError, model_validator

from earshed.model.scene_file.fields import Part, Size
from earshed.model.scene_file.lookup import look_up
from earshed.model.scene_file.read import read_scene
from earshed.model.scene_file.schema_fixtures import FixtureFile, FixtureTypeFile
from earshed.model.scene_file.schema_places import PlanPlace
from earshed.model.scene_file.templates import template_of
from earshed.model.scene_file.tree import parse_tree, plain
from tests.scene_files import facts, put

AT = {"at": {"from_left": "1m", "from_front": "1m"}}
CORNER = {"from_left": "1m", "from_front": "1m"}
SIZES = {"width": "50cm", "length": "1m"}
SAMPLES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    # a kind, what its type holds, and what each fixture says besides its name
    "box": ({**SIZES, "bottom": "0", "height": "1m"}, CORNER),
    "can light": ({"cutout": "15cm", "body": "19cm"}, AT),
    "fireplace": ({**SIZES, "height": "1m"}, CORNER),
    "half wall": ({**SIZES, "height": "1m"}, CORNER),
    "counter": ({**SIZES, "height": "1m"}, CORNER),
    "column": ({"diameter": "15cm"}, AT),
    "beam": ({"width": "15cm", "depth": "25cm", "runs": "side-to-side"}, {"center_from_front": "2m"}),
    "vent": ({"diameter": "20cm"}, AT),
    "detector": ({"diameter": "12cm"}, AT),
    "sprinkler": ({"diameter": "8cm"}, AT),
    "fan": ({"blades": "130cm", "drop": "30cm"}, AT),
    "pendant": ({"diameter": "40cm", "drop": "60cm", "height": "30cm"}, AT),
}
KINDS = [tag for kind in get_args(get_args(FixtureFile)[0]) for tag in get_args(kind.model_fields["kind"].annotation)]
check = TypeAdapter[Any](FixtureTypeFile).validate_python
check_whole = TypeAdapter[Any](FixtureFile).validate_python


@pytest.mark.parametrize("kind", KINDS)
def test_a_type_leaves_out_the_name_and_the_place_alone(kind: str) -> None:
    """For every kind that fixtures may have; a new one needs a sample above."""
    sizes, place = SAMPLES[kind]
    made = {"kind": kind, **sizes}
    check_whole({"name": "thing", **made, **place})
    assert check(made) == made
    assert check({"kind": kind}) == {"kind": kind}
    for key in sizes:
        check({k: v for k, v in made.items() if k != key})  # a fixture may bring it
        with pytest.raises(ValidationError):
            check({**made, key: "no such thing"})
    for key, value in {"name": "thing", **place}.items():
        with pytest.raises(ValidationError, match=f"`{key}` is said of each fixture"):
            check({**made, key: value})
    with pytest.raises(ValidationError):
        check({**made, "colour": "red"})


class Dish(PlanPlace):
    name: str
    kind: Literal["dish"]
    width: Size
    lid: Size | None = None

    @model_validator(mode="after")
    def _goes_together(self) -> Dish:
        if self.lid and self.lid < self.width:
            raise ValueError("the lid must cover it")
        if self.from_left is None:
            raise ValueError("say where it stands")
        return self


class Hook(Part):
    name: str
    kind: Literal["hook", "peg"]
    hung: PlanPlace | None = None
    floor: Annotated[list[PlanPlace], Field(max_length=2)] | None = None
    reach: Size
    load: Size | None = None

    @model_validator(mode="after")
    def _goes_together(self) -> Hook:
        if self.kind == "peg" and self.reach > 1:
            raise ValueError("a peg is no longer than a metre")
        if self.hung is None:
            raise ValueError("say where it is hung")
        if self.kind == "hook" and self.load is None:
            raise ValueError("a hook needs load")
        return self


things: Any = TypeAdapter(
    Annotated[Any, template_of(Annotated[Dish | Hook, Field(discriminator="kind")], place=PlanPlace, place_keys=())]
)
FITTING = ["dish width=1m lid=1m", "dish", "dish lid=10cm", "hook reach=2m", "peg reach=1m", "peg"]
UNFIT = ["dish width=1m lid=99cm", "peg reach=2m", "pag reach=1m", "hook hung=1m", "peg floor=1m", "hook lid=1m"]


def pairs(text: str) -> dict[str, str]:
    kind, *rest = text.split()
    return {"kind": kind, **dict(part.split("=") for part in rest)}


@pytest.mark.parametrize("text", FITTING)
def test_what_is_missing_may_still_come(text: str) -> None:
    assert things.validate_python(pairs(text)) == pairs(text)


@pytest.mark.parametrize("text", UNFIT)
def test_what_does_not_go_together_is_refused_in_the_type(text: str) -> None:
    with pytest.raises(ValidationError):
        things.validate_python(pairs(text))


# --- a fixture over its type

ROOM = "format: 1\ntitle: Loft\nroom: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}\n"
SPEAKER = """\
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 20cm, bezel: 23cm}}
speakers: [{name: one, type: flush, at: {from_left: 1.1m, from_front: 1m}}]
"""
CAN = "fixture_types: {can: {kind: can light, cutout: 15cm, body: 19cm}, bare: {kind: can light}}\n"
SAME = [
    # a fixture by its type, and written out
    ("type: can", "kind: can light, cutout: 15cm, body: 19cm"),
    ("type: can, cutout: 16cm", "kind: can light, cutout: 16cm, body: 19cm"),
    ("type: can, cutout: 12cm, body: 13cm", "kind: can light, cutout: 12cm, body: 13cm"),
    ("kind: can light, type: can", "kind: can light, cutout: 15cm, body: 19cm"),
    ("type: bare, cutout: 15cm", "kind: can light, cutout: 15cm"),
]


@pytest.mark.parametrize(("typed", "written"), SAME)
def test_a_fixtures_own_keys_win(tmp_path: Path, typed: str, written: str) -> None:
    at = "at: {from_left: 1m, from_front: 1.1m}"
    for name, keys in {"typed": typed, "written": written, "turned": f"{at}, {typed}"}.items():
        keys = keys if at in keys else f"{keys}, {at}"
        put(tmp_path, **{name: f"{ROOM}{SPEAKER}{CAN}fixtures: [{{name: lamp, {keys}}}]\n"})
    whole = facts(read_scene(tmp_path / "written.yaml"))
    assert facts(read_scene(tmp_path / "typed.yaml")) == facts(read_scene(tmp_path / "turned.yaml")) == whole
    assert whole["checked"]["findings"]  # the light is in the speaker's way, so that its size is told


def test_a_fixtures_keys_leave_no_room_for_others_as_in_a_scheme() -> None:
    """A width says what a type's diagonal said, so that goes."""
    text = "fixture_types: {a: {kind: x, diagonal: 2m, depth: 1m}}\nfixtures: [{name: b, type: a, width: 1m}]\n"
    assert plain(look_up(parse_tree(text, "den.yaml")))["fixtures"] == [
        {"name": "b", "kind": "x", "depth": "1m", "width": "1m"}
    ]


def test_types_of_every_kind_make_fixtures(tmp_path: Path) -> None:
    """A room of one of each kind by its type is the room of one of each written out."""

    def flow(value: Any) -> str:
        return "{" + ", ".join(f"{k}: {flow(v)}" for k, v in value.items()) + "}" if isinstance(value, dict) else value

    types = {f"a {kind}": {"kind": kind, **SAMPLES[kind][0]} for kind in KINDS}
    by_type = [{"name": f"my {kind}", "type": f"a {kind}", **SAMPLES[kind][1]} for kind in KINDS]
    written = [{"name": f"my {kind}", "kind": kind, **SAMPLES[kind][0], **SAMPLES[kind][1]} for kind in KINDS]
    put(tmp_path, typed=f"{ROOM}fixture_types: {flow(types)}\nfixtures: [{', '.join(map(flow, by_type))}]\n")
    put(tmp_path, written=f"{ROOM}fixtures: [{', '.join(map(flow, written))}]\n")
    assert facts(read_scene(tmp_path / "typed.yaml")) == facts(read_scene(tmp_path / "written.yaml"))


def test_templates_know_every_model_of_the_union() -> None:
    models: list[type[BaseModel]] = list(get_args(get_args(FixtureFile)[0]))
    assert len(models) > 1
    assert {"box", "can light"} <= set(KINDS) <= SAMPLES.keys()
