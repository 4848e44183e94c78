"""The JSON Schema of scene files (draft 2020-12), by which an editor offers keys and marks mistakes while one types.

It is generated from the models that read the file. An editor knows a value as YAML types it, where the reader sees
text, so numbers and true or false are let through wherever text is read. What has to fit together, and what values
mean, is left to the reader.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from earshed.model.scene_file.key_words import KEY_WORDS, VALUE_WORDS
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schemes import BY_NAME_IN_LISTS, BY_NAME_WITHIN, SECTIONS, SINGLE

DRAFT = "https://json-schema.org/draft/2020-12/schema"
_SCALAR = {"type": ["string", "number", "boolean"]}

Schema = dict[str, Any]

_ANGLE = {"type": ["string", "number"], "description": "an angle"}
_BY_READER: Mapping[str, Schema] = {
    "_aim": {"const": "none"},
    "_no_axis": {"const": "none"},
    "_coverage": _ANGLE,
    "_insulation": {"enum": ["none", "batt", "blown", "foam"]},
    "read_directivity": {"const": "nominal"},
    "read_sensitivity": {"type": ["string", "number"], "description": "a sensitivity"},
    "_reclined": {"type": ["string", "boolean"], "description": "true or false"},
    "read_finish": {"enum": ["board", "deck"]},
}
"""What functions take in place of the table that they lead to, by their names."""
_INSTEAD: Mapping[str, Schema] = {
    "_aiming": {
        "anyOf": [
            {"const": "fixed"},
            *(
                {"type": "object", "properties": {kind: _ANGLE}, "required": [kind], "additionalProperties": False}
                for kind in ("angled", "pivoting")
            ),
        ]
    },
    "_member": {"type": "string", "description": "a member's size"},
}
"""What functions take that make something else of it, by their names."""


class _AsTyped(GenerateJsonSchema):
    """What may be typed: no nulls, no defaults in metres, no made-up titles."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def tagged_union_schema(self, schema: core_schema.TaggedUnionSchema) -> JsonSchemaValue:
        union = super().tagged_union_schema(schema)
        union.pop("discriminator", None)  # which is no word of JSON Schema
        return union

    def literal_schema(self, schema: core_schema.LiteralSchema) -> JsonSchemaValue:
        """The words, and the number where a word reads as one."""
        words = [str(word) for word in schema["expected"]]
        return {"enum": [*words, *(int(word) for word in words if word.isdigit())]}

    def function_before_schema(self, schema: core_schema.BeforeValidatorFunctionSchema) -> JsonSchemaValue:
        """What a validator says it takes; else what it makes of it, or the text that it takes besides."""
        described = super().function_before_schema(schema)
        read = schema["function"]["function"]
        is_check_of_table = isinstance(getattr(read, "__self__", None), type)
        if is_check_of_table or "json_schema_input_schema" in schema:
            return described
        name = getattr(read, "__name__", "")
        return _INSTEAD[name] if name in _INSTEAD else {"anyOf": [described, _BY_READER.get(name, _SCALAR)]}


def scene_schema() -> Schema:
    """The JSON Schema of a scene file."""
    made = SceneFile.model_json_schema(schema_generator=_AsTyped)
    definitions: Schema = made.pop("$defs")
    for part in (made, *definitions.values()):
        part.pop("title", None)
        _tell_values(part)
        for key, told in part.get("properties", {}).items():
            _tell_key(key, told)
    sections = {key: told for key, told in made["properties"].items() if told.get("type") != "null"}
    _open_fixtures(sections, definitions)
    definitions["Scheme"] = _scheme(sections, definitions)
    sections["schemes"] = {
        "type": "object",
        "additionalProperties": {"$ref": "#/$defs/Scheme"},
        "propertyNames": {"not": {"const": "base"}},
        "description": KEY_WORDS["schemes"],
    }
    return {"$schema": DRAFT, "title": "Earshed scene", **made, "properties": sections, "$defs": definitions}


def _open_fixtures(sections: Schema, definitions: Schema) -> None:
    """Lets a fixture name a type in place of what the type says, and a type say what its fixtures need not."""
    kinds = sections["fixtures"]["items"]
    some = _changes(kinds, definitions)
    sections["fixture_types"]["additionalProperties"] = {**some, "required": ["kind"]}
    of_a_type = {"type": "string", "description": KEY_WORDS["fixture_types"]}
    named = {**some, "properties": {**some["properties"], "type": of_a_type}, "required": ["name", "type"]}
    sections["fixtures"]["items"] = {"anyOf": [*kinds["oneOf"], named]}


def _tell_values(part: Any) -> None:
    """Says of each kind of value in a part of the schema how it is written, and drops what is told of names of keys."""
    if isinstance(part, list):
        for each in part:
            _tell_values(each)
    if not isinstance(part, dict):
        return
    if isinstance(part.get("additionalProperties"), dict):
        part.pop("propertyNames", None)  # any text may be a name
    if part.get("description") in VALUE_WORDS:
        words, examples = VALUE_WORDS[part["description"]]
        part.update(description=words, examples=[*examples])
    for each in part.values():
        _tell_values(each)


def _tell_key(key: str, told: Schema) -> None:
    """Puts what a key means before what is told of its values."""
    if key in KEY_WORDS:
        told["description"] = "; ".join([KEY_WORDS[key], *([told["description"]] if "description" in told else [])])


def _scheme(whole: Schema, definitions: Schema) -> Schema:
    """What one scheme may hold: changes by section and name, of which nothing is required."""
    changes: Schema = {}
    for section in SECTIONS:
        if section in SINGLE:
            changes[section] = _changes(whole[section], definitions)
            for key in BY_NAME_WITHIN.get(section, ()):
                told = changes[section]["properties"][key]
                thing = _changes(told["additionalProperties"], definitions)
                changes[section]["properties"][key] = {**told, "additionalProperties": thing}
        else:
            thing = whole[section]["items" if section in BY_NAME_IN_LISTS else "additionalProperties"]
            changes[section] = {"type": "object", "additionalProperties": _changes(thing, definitions)}
    names = {"anyOf": [{"type": "array", "items": _SCALAR}, _SCALAR], "description": KEY_WORDS["remove"]}
    under = {**_SCALAR, "description": KEY_WORDS["builds_on"]}
    properties = {"builds_on": under, **changes, "remove": names}
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _changes(thing: Schema, definitions: Schema) -> Schema:
    """A thing of which any keys may be said again; of several kinds, the keys of them all."""
    several = thing.get("oneOf") or thing.get("anyOf") or [thing]
    kinds = [_resolved(kind, definitions) for kind in several]
    if not all("properties" in kind for kind in kinds):
        return thing
    keys: dict[str, list[Schema]] = {}
    for kind in kinds:
        for key, told in kind["properties"].items():
            others = keys.setdefault(key, [])
            if told not in others:
                others.append(told)
    properties = {key: told[0] if len(told) == 1 else {"anyOf": told} for key, told in keys.items()}
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _resolved(schema: Schema, definitions: Schema) -> Schema:
    name = schema.get("$ref", "").removeprefix("#/$defs/")
    found: Schema = definitions[name] if name else schema
    return found
