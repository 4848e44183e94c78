"""The JSON Schema for editors: valid itself, takes every scene that the reader takes, refuses slips of form.

JSON Schema draft 2020-12 (June 2022), by the jsonschema library. An editor types plain scalars by YAML 1.2.2 (2021),
section 10.3.2, the core schema; the reader of scenes sees text.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.scene_file.fields import Part
from earshed.model.scene_file.json_schema import scene_schema
from earshed.model.scene_file.key_words import KEY_WORDS, VALUE_WORDS
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.tree import parse_tree, plain
from tests.new_command import new
from tests.test_readme import README, ROOT
from tests.test_scene_fuzz import DAMAGES, GOOD, damaged

SCHEMA = scene_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
SCENES = sorted((ROOT / "scenes").glob("*.yaml"))


class CoreLoader(yaml.SafeLoader):
    """Types plain scalars as the core schema of YAML 1.2.2 does."""


CoreLoader.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("null", r"null|Null|NULL|~|", ["n", "N", "~", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", list("-+.0123456789")),
):
    CoreLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"^(?:{pattern})$"), first)
CoreLoader.add_constructor(
    "tag:yaml.org,2002:int", lambda loader, node: int(node.value, 0 if node.value[:2] in ("0o", "0x") else 10)
)
CoreLoader.add_constructor("tag:yaml.org,2002:float", lambda loader, node: float(node.value))


def as_an_editor(text: str) -> Any:
    """A text's values as an editor has them, keys as text."""
    return with_text_keys(yaml.load(text, CoreLoader))


def with_text_keys(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): with_text_keys(item) for key, item in value.items()}
    return [with_text_keys(item) for item in value] if isinstance(value, list) else value


def holds_null(value: Any) -> bool:
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else []
    return value is None or any(holds_null(part) for part in parts)


def complaints(value: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(value)]


def both(text: str) -> list[str]:
    """What is complained of in a text, typed as an editor types it and as the reader does."""
    return complaints(as_an_editor(text)) + complaints(plain(parse_tree(text, "scene.yaml")))


def read(text: str) -> bool:
    """Whether the reader takes a scene."""
    try:
        scene_from_tree(parse_tree(text, "scene.yaml"))
    except SceneError:
        return False
    return True


# --- it takes what the reader takes


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_loader_types_values_as_the_core_schema_does() -> None:
    """Examples of section 10.3.2, and what differs from YAML 1.1."""
    text = "[null, ~, true, 0, 0o7, 0x3A, -19, 0., -0.0, .5, +12e03, yes, on, 16:9, 010, 5' 6\"]"
    assert as_an_editor(text) == [
        None, None, True, 0, 7, 58, -19, 0.0, -0.0, 0.5, 12000.0, "yes", "on", "16:9", 10, "5' 6\"",
    ]  # fmt: skip


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_it_takes_every_shipped_scene(path: Path) -> None:
    assert both(path.read_text(encoding="utf-8")) == []


def test_it_takes_the_scenes_of_the_readme() -> None:
    scene, lines = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[:2]
    sections, speakers = lines.split("speakers:\n")
    assert both(scene) == []
    assert both(scene.replace("schemes:\n", speakers + "schemes:\n") + sections) == []


@pytest.mark.parametrize("shape", ["flat", "shed", "gable", "hip", "tray"])
def test_it_takes_what_new_writes(shape: str, tmp_path: Path) -> None:
    sizes = {
        "flat": ["--height", "8'"], "shed": ["--low", "7'", "--high", "6 in 12", "--rises", "left"],
        "gable": ["--ridge", "side-to-side", "--low", "6'", "--peak", "9'"], "hip": ["--low", "7'", "--peak", "9'"],
        "tray": ["--height", "8'", "--rise", "9in", "--inset", "2'"],
    }[shape]  # fmt: skip
    path = tmp_path / "den.yaml"
    assert new(path, "--width", "12'", "--length", "18'", "--ceiling", shape, *sizes, "--rows", "2", "--yes").code == 0
    assert both(path.read_text(encoding="utf-8")) == []


GABLE = "shape: gable, ridge: side-to-side, low: 5' 3\", peak: 9' 8\""
ALSO_TAKEN = [
    ("title: Workshop", "title: 12"),
    ("title: Workshop", "title: yes"),
    ("width: 14' 2\"", "width: 4"),
    ("bottom: 1.8m", "bottom: 2"),
    ("ceiling: {shape: gable", "ceiling: {finish: deck, shape: gable"),
    (GABLE, "shape: flat, height: 3, finish: {tiles: 2' x 4'}"),
    ("main: true", "main: true, reclined: yes"),
    ("main: true", "main: true, reclined: {back: 8in}"),
    ("main: true", "main: yes"),
    ("main: true", "main: False"),
    ("aspect: 16:9", "aspect: 2"),
    ("coverage: 90deg", "coverage: 90"),
    ("{angled: 15deg}", "{angled: 15}"),
    ("name: soffit", "name: 7"),
    ("kind: can light, ", "kind: can light, keep_clear: 0, "),
    ("peak: 9' 8\"", "pitch: 6 in 12"),
    ("peak: 9' 8\"", "pitch: 30"),
    ("member: 2x8", "member: rafter"),
    ("aim: {tilt: 10, toward: rear}", "aim: none"),
    ("aim: {tilt: 10, toward: rear}", "window: {azimuth: 30..45, elevation: -5 .. 5.5deg}"),
    ("remove: [can]", "remove: can"),
    ("as found: {", "as found: {room: {width: 5m}, "),
    ("as found: {", "as found: {fixtures: {soffit: {bottom: 2m}, lamp: {kind: can light, cutout: 6in}}, "),
    ("as found: {", "as found: {datums: {post: {from_left: 1m, from_rear: 0}}, screen: {diagonal: 2m}, "),
    ("{name: can, kind: can light, at:", "{name: can, type: can 6 in, at:"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "changed"), ALSO_TAKEN, ids=range(len(ALSO_TAKEN)))
def test_other_ways_to_write_things(old: str, changed: str) -> None:
    more = "format: 1\nbare_lengths: m\ncatalogs: [generic]\nmembers: {rafter: 2x8}"
    text = GOOD.replace("format: 1", more).replace(old, changed, 1)
    assert both(text) == []
    if "lamp" not in text:  # which the schema takes for a change to one that is there
        assert read(text.replace("name: 7", "name: seven").replace("angled: 15}", "angled: 15deg}"))


@settings(max_examples=150)
@given(st.integers(0, 2**32 - 1), st.sampled_from(DAMAGES))
def test_it_takes_whatever_the_reader_takes(seed: int, kind: str) -> None:
    """Damaged copies of a good scene that still read; a null, which is text to the reader, is none to an editor."""
    text = damaged(random.Random(seed), GOOD, kind)
    if not read(text):
        return
    assert complaints(plain(parse_tree(text, "scene.yaml"))) == []
    typed = as_an_editor(text)
    assert holds_null(typed) or complaints(typed) == []


# --- it refuses slips of form

SLIPS = [
    ("title: Workshop", "titel: Workshop", "titel"),
    ("title: Workshop            #", "#", "title"),
    ("format: 1", "format: 2", "$.format"),
    ("format: 1", "format: 1\nprint_units: ell", "$.print_units"),
    ("width: 14' 2\", ", "widht: 14' 2\", ", "widht"),
    ("width: 14' 2\"", "width: [14' 2\"]", "$.room.width"),
    ("shape: gable", "finish: plaster, shape: gable", "$.room.ceiling"),
    ("member: 2x8", "member: [2x8]", "$.framing[0].member"),
    ("main: true", "reclined: {bakc: 8in}", "$.seats[0].reclined"),
    ("ceiling: {shape: gable, ridge: side-to-side, low: 5' 3\", peak: 9' 8\"}", "ceiling: high", "$.room.ceiling"),
    ("shape: gable", "shape: dome", "$.room.ceiling"),
    ("shape: gable, ", "", "$.room.ceiling"),
    ("ridge: side-to-side, ", "", "$.room.ceiling"),
    ("ridge: side-to-side", "ridge: sideways", "$.room.ceiling"),
    ("shape: gable", "shape: flat", "$.room.ceiling"),
    ("datums:\n  post: {", "datums:\n  - {name: post, ", "$.datums"),
    ("post: {from_left", "post: {from_lfet", "$.datums.post"),
    ("direction: up-slope", "direction: up", "$.framing[0].direction"),
    (", direction: up-slope", "", "$.framing[0]"),
    ("kind: can light", "kind: candle", "$.fixtures[0]"),
    ("kind: box, ", "", "$.fixtures[1]"),
    ("height: 1m}", "height: 1m, depth: 1m}", "$.fixtures[1]"),
    ("wall: rear, ", "", "$.openings[0]"),
    ("bottom: 50cm", "botom: 50cm", "$.screen"),
    ("seats:\n  - {name: chair", "seats:\n  - {nmae: chair", "$.seats[0]"),
    ("at: {datum: post, right: 1m, back: 2m}", "at: post", "$.seats[0].at"),
    ("main: true", "main: [1]", "$.seats[0].main"),
    ("mount: in-ceiling", "mount: ceiling", "$.speaker_types.flush.mount"),
    ("aiming: fixed", "aiming: free", "$.speaker_types.flush.aiming"),
    ("{pivoting: 18deg}", "{pivots: 18deg}", "$.speaker_types.pivot.aiming"),
    ("band: 4kHz", "bnad: 4kHz", "$.speaker_types.flush.coverage"),
    ("aim: {seats: main}", "aim: {seats: mian}", "$.speakers[1].aim"),
    ("aim: {seats: main}", "aim: non", "$.speakers[1].aim"),
    ("type: pivot, channel", "tpye: pivot, channel", "$.speakers[0]"),
    ("speakers:\n  - {name: one", "speakers:\n    one: {name: one", "$"),
    ("schemes:\n  as found: {", "schemes:\n  base: {", "$.schemes"),
    ("as found: {speakers", "as found: {speaker", "$.schemes['as found']"),
    ("one: {type: flush", "one: {tpye: flush", "$.schemes['as found'].speakers.one"),
    ("speakers: {one: {type: flush, aim: none}}", "speakers: [{name: one}]", "$.schemes['as found'].speakers"),
    ("remove: [can]", "remove: {can: 1}", "$.schemes['as found'].remove"),
]


@pytest.mark.parametrize(("old", "slip", "where"), SLIPS, ids=range(len(SLIPS)))
def test_slips_of_form(old: str, slip: str, where: str) -> None:
    """Each is refused by the reader too, and the complaint of the schema names the place or the key."""
    assert old in GOOD
    text = GOOD.replace(old, slip, 1)
    if "one: {name" in slip:
        text = re.sub(r"(?m)^  - \{name: two.*\n", "", text)
    assert not read(text)
    for found in (complaints(as_an_editor(text)), complaints(plain(parse_tree(text, "scene.yaml")))):
        assert found
        assert any(where in each for each in found), found


@pytest.mark.parametrize(
    ("old", "slip"), [("width: 14' 2\"", "width: true"), ("band: 4kHz", "band: {4: kHz}"), ("member: 2x8", "member: 2")]
)
def test_values_of_another_type(old: str, slip: str) -> None:
    """What no length, band or size can be to an editor; to the reader it is text that it cannot read."""
    text = GOOD.replace(old, slip, 1)
    assert complaints(as_an_editor(text))
    assert not read(text)


# --- it says what there is


def parts(annotation: Any) -> Iterator[type[Part]]:
    """Every table of keys that a field may hold, and those that they hold."""
    if isinstance(annotation, type) and issubclass(annotation, Part):
        yield annotation
        for field in annotation.model_fields.values():
            yield from parts(field.annotation)
            for more in field.metadata:
                yield from parts(getattr(more, "json_schema_input_type", None))
    for inner in get_args(annotation):
        yield from parts(inner)


def test_every_key_of_every_table_is_offered() -> None:
    tables = {part.__name__: part for part in parts(SceneFile) if part is not SceneFile}
    assert len(tables) > 20
    for name, part in tables.items():
        keys = {field.alias or key for key, field in part.model_fields.items()}
        needed = {field.alias or key for key, field in part.model_fields.items() if field.is_required()}
        told = SCHEMA["$defs"][name]
        assert set(told["properties"]) == keys
        assert set(told.get("required", [])) == needed
        assert told["additionalProperties"] is False
    assert set(SCHEMA["properties"]) == set(SceneFile.model_fields) - {"based_on"}


def test_every_word_on_keys_and_values_is_used() -> None:
    told = json.dumps(SCHEMA)
    tables = [SCHEMA, *SCHEMA["$defs"].values()]
    keys = {key for table in tables for key in table.get("properties", {})}
    assert set(KEY_WORDS) <= keys
    for words, examples in VALUE_WORDS.values():
        assert json.dumps(words)[1:-1] in told
        assert json.dumps(list(examples))[1:-1] in told


def test_no_key_of_a_change_is_required() -> None:
    scheme = SCHEMA["$defs"]["Scheme"]
    assert "required" not in scheme
    for section, told in scheme["properties"].items():
        changes = told.get("additionalProperties", told)
        if isinstance(changes, dict) and section != "remove":
            assert "required" not in changes


# --- as a command, and in the file


def test_the_command_prints_it() -> None:
    done = new("--schema")
    assert done.code == 0
    assert json.loads(done.out) == SCHEMA


def test_the_command_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "made" / "earshed.schema.json"
    assert new("--schema", "--out", path).out == f"Written: {path}\n"
    assert json.loads(path.read_text(encoding="utf-8")) == SCHEMA
    assert new("--schema", "--out", path).code == 2
    assert new("--schema", "--out", path, "--force").code == 0
    assert [each.name for each in path.parent.iterdir()] == ["earshed.schema.json"]


def test_the_line_for_editors_is_no_part_of_the_scene(tmp_path: Path) -> None:
    line = re.search(r"(?m)^(# yaml-language-server: \$schema=\S+)$", README)
    assert line
    path = tmp_path / "den.yaml"
    path.write_text(f"{line[1]}\n{GOOD}", encoding="utf-8")
    assert read_scene(path).title == "Workshop"
