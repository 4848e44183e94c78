"""Values of a scene file as text that reads back as the same values, whatever they hold."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping

from earshed.model.scene_file.draft_text import scalar
from earshed.model.scene_file.schemes import BARE_VALUES, SINGLE
from earshed.model.scene_file.tree import Plain

_PLAIN_KEY = re.compile(r"[0-9A-Za-z]+([ _-][0-9A-Za-z]+)*")
_NO_SIGNS = re.compile("[\ufffe\uffff]")
"""What is no character, and so cannot stand in YAML as it is."""
WHOLE = ("remove", "builds_on")
"""Of what a set of changes says, what holds no table."""


def key_text(name: str) -> str:
    """A name as a key: as it is where it is of letters, digits, dashes and low lines, else in double quotes."""
    return name if _PLAIN_KEY.fullmatch(name) else _quoted(name)


def flow_text(value: Plain) -> str:
    """A value on one line."""
    if isinstance(value, str):
        return _quoted(value) if _NO_SIGNS.search(value) else scalar(value)
    if isinstance(value, list):
        return f"[{', '.join(map(flow_text, value))}]"
    return f"{{{', '.join(f'{key_text(key)}: {flow_text(item)}' for key, item in value.items())}}}"


def change_lines(body: Mapping[str, Plain], *, notes: Mapping[str, str] = {}, indent: str = "") -> Iterator[str]:
    """Changes as lines of an overlay or a scheme, one for each thing; `notes` are put over things as comments."""
    for section, said in body.items():
        if not isinstance(said, dict) or not said:
            yield f"{indent}{key_text(section)}: {flow_text(said)}"
        elif section in SINGLE and section != "wiring":
            yield from comment_lines(notes.get(section, ""), indent)
            yield f"{indent}{section}: {flow_text(said)}"
        else:
            yield f"{indent}{section}:"
            for name, keys in said.items():
                yield from comment_lines(notes.get(name, "") if section not in BARE_VALUES else "", f"{indent}  ")
                yield f"{indent}  {key_text(name)}: {flow_text(keys)}"


def comment_lines(text: str, indent: str) -> Iterator[str]:
    """A text as comments."""
    for line in text.splitlines():
        shown = "".join(char if char.isprintable() else "?" for char in line)
        yield f"{indent}# {shown}".rstrip()


def _quoted(text: str) -> str:
    return _NO_SIGNS.sub(lambda found: f"\\u{ord(found[0]):04x}", json.dumps(text, ensure_ascii=False))
