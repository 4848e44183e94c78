"""Turns the schema's complaints into sentences that name the thing, the value and what is allowed."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.tree import Items, Node, Table, Text, mark_at

Path = tuple[str | int, ...]

_SINGULAR = {
    "speakers": "speaker", "seats": "seat", "fixtures": "fixture", "openings": "opening", "framing": "framing",
    "keep_outs": "keep-out", "existing_holes": "existing hole", "cavities": "cavity", "materials": "material",
    "risers": "riser", "speaker_types": "speaker type", "datums": "datum", "outline": "corner", "planes": "plane",
    "zones": "zone", "soffits": "soffit", "walk": "wall", "diagonals": "diagonal",
    "fixture_types": "fixture type", "members": "member", "catalogs": "catalog",
    "cables": "cable", "spares": "spare", "links": "link", "routes": "route",
}  # fmt: skip
_LISTED = {"outline": ("outline",)}
_KEYED = (
    "speaker_types", "datums", "fixture_types", "members", "cavities", "materials", "cables", "spares",
    "links", "routes",
)  # fmt: skip
MOST_SHOWN = 12
LONGEST_VALUE = 60


def schema_error(error: ValidationError, tree: Table) -> SceneError:
    """One error for all that the schema found, the first in the file in front.

    A slip in a fixture type or a member's size shows in all that is made of it; it is told of the type, which the
    schema reads first.
    """
    problems: dict[tuple[Mark, str], str] = {}
    for found in error.errors(include_url=False):
        mark, path, words = _problem(found, tree)
        problems.setdefault((mark, words), _say(tree, path, words))
    ordered = [SceneError(message, mark) for (mark, _), message in sorted(problems.items())]
    first = ordered[0]
    return SceneError(first.words, first.mark, tuple(ordered[1:MOST_SHOWN]))


def named(tree: Table, path: Path) -> str:
    """The thing and key at a path, in words: `speaker "upper left", aim`."""
    words: list[str] = []
    node: Node | None = tree
    for step in path:
        child = _child(node, step)
        if child is None:  # a part that is not in the file
            continue
        parent, node = node, child
        section = words[-1] if words else ""
        if isinstance(step, int):
            name = node.get("name") if isinstance(node, Table) else None
            label = f' "{name.value[:LONGEST_VALUE]}"' if isinstance(name, Text) else f" {step + 1}"
            words[-1:] = [*_LISTED.get(section, ()), _SINGULAR.get(section, section) + label]
        elif isinstance(parent, Table) and section in _KEYED:
            words[-1:] = [f'{_SINGULAR[section]} "{step}"']
        else:
            words.append(step)
    return ", ".join(words)


def _child(node: Node | None, step: str | int) -> Node | None:
    if isinstance(node, Table) and isinstance(step, str):
        return node.get(step)
    if isinstance(node, Items) and isinstance(step, int) and step < len(node.nodes):
        return node.nodes[step]
    return None


def _problem(found: Any, tree: Table) -> tuple[Mark, Path, str]:
    """The place of a complaint, what it is about, and its words."""
    path = _in_file(tree, tuple(found["loc"]))
    context = found.get("ctx", {})
    if path[-1:] == ("[key]",):
        return mark_at(tree, path[:-1], key=True), path[:-2], str(context["error"])
    match found["type"]:
        case "unknown_key":
            mark = mark_at(tree, (*path, context["key"]), key=True)
            return mark, path, context["message"]
        case "missing":
            return mark_at(tree, path[:-1]), path[:-1], f"needs `{path[-1]}`"
        case "union_tag_not_found":
            key = context["discriminator"].strip("'")
            instead = " (or `type`, one of the fixture_types)" if path[:1] == ("fixtures",) else ""
            return mark_at(tree, path), path, f"needs `{key}`{instead}"
        case "union_tag_invalid":
            key = context["discriminator"].strip("'")
            allowed = " or ".join(_or(context["expected_tags"]).rsplit(", ", 1))
            words = f"{key} must be {allowed}, not {_short(found['input'][key])}"
            return mark_at(tree, (*path, key)), path, words
        case "literal_error":
            words = f"must be {_or(context['expected'])}, not {_short(found['input'])}"
        case "value_error":
            words = str(context["error"])
        case "list_type":
            words = f"must be a list, not {_short(found['input'])}"
        case "dict_type" | "model_type" | "model_attributes_type":
            words = f"needs keys, not {_short(found['input'])}"
        case "too_short":
            words = f"has {context['actual_length']} entries, and needs at least {context['min_length']}"
        case "too_long":
            words = f"has more entries than the {context['max_length']} it may have"
        case _:
            words = found["msg"]
    return mark_at(tree, path), path, words


def _in_file(tree: Table, path: Path) -> Path:
    """A path of the schema without the names of unions' members, which are values of the file, not keys."""
    kept: list[str | int] = []
    node: Node | None = tree
    chosen: Node | None = None
    for step in path:
        tags = [node.get(key) for key in ("shape", "kind")] if isinstance(node, Table) and node is not chosen else []
        if any(isinstance(tag, Text) and tag.value == step for tag in tags):
            chosen = node
            continue
        kept.append(step)
        node = _child(node, step)
    return tuple(kept)


def _say(tree: Table, path: Path, words: str) -> str:
    subject = named(tree, path)
    return f"{subject}: {words}" if subject else words


def _or(expected: str) -> str:
    return expected.replace("'", "")


def _short(value: Any) -> str:
    if isinstance(value, str):
        if not value:
            return "nothing"
        return value if len(value) <= LONGEST_VALUE else value[:LONGEST_VALUE] + "..."
    return "a list" if isinstance(value, list) else "a table" if isinstance(value, dict) else str(value)[:LONGEST_VALUE]
