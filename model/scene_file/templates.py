"""Fixture types: fixtures of several kinds without their names and places, to be laid under those that name them."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Annotated, Any, Union, get_args

from pydantic import BeforeValidator, Field, TypeAdapter, ValidationError, ValidationInfo, create_model
from pydantic_core import PydanticCustomError

from earshed.model.scene_file.fields import Part

_SOMEWHERE = {"from_left": "0", "from_front": "0"}
"""Any place at all, to try what a type says of the rest."""


def template_of(kinds: Any, *, place: type[Part], place_keys: Collection[str]) -> BeforeValidator:
    """A validator of types for a union of fixtures that are told apart by `kind`.

    A type holds any keys of its kind but the name and the places: `place_keys`, and keys that hold a `place`. None but
    `kind` is needed, since a fixture may bring the rest; what does not go together is refused.
    """
    models: list[type[Part]] = list(get_args(get_args(kinds)[0]))
    by_kind = {name: model for model in models for name in get_args(model.model_fields["kind"].annotation)}
    apart = {"name", *place_keys}
    apart |= {key for model in models for key, field in model.model_fields.items() if _holds(field.annotation, place)}
    union: Any = Union[tuple(_without(model, apart) for model in models)]  # noqa: UP007
    templates: TypeAdapter[Any] = TypeAdapter(Annotated[union, Field(discriminator="kind")])

    def validate(value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, dict):
            for key in value:
                if key in apart:
                    words = f"`{key}` is said of each fixture, not of its type"
                    raise PydanticCustomError("unknown_key", "{message}", {"key": key, "message": words})
            templates.validate_python(value, context=info.context)
            _try_together(by_kind[value["kind"]], value, info, place)
        return value

    return BeforeValidator(validate)


def _without(model: type[Part], apart: set[str]) -> type[Part]:
    """The keys of a kind that a type may hold, none of them needed but `kind`."""
    keys: dict[str, Any] = {"kind": (model.model_fields["kind"].annotation, ...)}
    for key, field in model.model_fields.items():
        if key not in apart and key != "kind":
            said: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
            keys[key] = (Union[said, None], None)  # noqa: UP007
    rest: type[Part] = create_model(f"{model.__name__}Type", __base__=Part, **keys)
    return rest


def _try_together(model: type[Part], value: dict[str, Any], info: ValidationInfo, place: type[Part]) -> None:
    """Raises ValueError where a kind refuses what a type says together.

    What is missing may still come: a complaint of that says what something needs, here as all over the schema.
    """
    places: Mapping[str, Any] = {
        key: _SOMEWHERE for key, field in model.model_fields.items() if _is(field.annotation, place)
    }
    if issubclass(model, place) and not places:
        places = _SOMEWHERE
    try:
        model.model_validate({"name": "a fixture", **places, **value}, context=info.context)
    except ValidationError as error:
        for found in error.errors(include_url=False):
            if found["type"] == "value_error" and not found["loc"] and "needs" not in found["msg"]:
                raise found["ctx"]["error"] from None


def _is(annotation: Any, place: type[Part]) -> bool:
    """Whether a value may be a table of places."""
    return any(isinstance(kind, type) and issubclass(kind, place) for kind in (annotation, *get_args(annotation)))


def _holds(annotation: Any, place: type[Part]) -> bool:
    """Whether a value may be one, or hold some at any depth."""
    return _is(annotation, place) or any(_holds(part, place) for part in get_args(annotation))
