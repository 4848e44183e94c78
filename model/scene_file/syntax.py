"""YAML's own complaints, said as a tape-and-pencil person would need them."""

from __future__ import annotations

import re

import yaml

from earshed.model.scene_file.problem import Mark

_QUOTE_FIRST = re.compile(r"""(?:[:,\[{]|-)\s*(['"])""")


def explain(error: yaml.MarkedYAMLError, text: str, line: int, column: int, file: str) -> tuple[str, Mark]:
    """The message and the place of a YAML error found at `line` and `column` (from 0)."""
    lines = text.splitlines() or [""]
    line = min(line, len(lines) - 1)
    for near in (line, line - 1):
        if near >= 0 and "\t" in lines[near][: len(lines[near]) - len(lines[near].lstrip())]:
            return "a tab stands here; indent with spaces", Mark(file, near + 1, lines[near].index("\t") + 1)
    at = Mark(file, line + 1, column + 1)
    context = error.context_mark
    if context and (found := _length_in_quotes(lines, context.line, context.column)):
        return found, Mark(file, context.line + 1, context.column + 1)
    if found := _length_in_quotes(lines, line, column):
        return found, at
    problem = error.problem or "it cannot be read"
    if "could not find expected ':'" in problem:
        where = context.line if context else line
        shown = lines[where].strip()
        return f"a colon is missing after the key in `{shown[:60]}`; write `key: value`", Mark(
            file, where + 1, (context.column if context else column) + 1
        )
    if "mapping values are not allowed here" in problem:
        return (
            "a second colon on this line, or a key indented further than the ones above it; write one `key: value` a line",
            at,
        )
    if "cannot start any token" in problem:
        return (
            f"{problem.removeprefix('found character ').removesuffix(' that cannot start any token')} cannot begin a value",
            at,
        )
    if (
        "did not find expected" in problem
        or "expected <block end>" in problem
        or "expected the node content" in problem
    ):
        return (
            f"this does not fit what stands before it: {problem}; check indents, commas, brackets and quote marks above",
            at,
        )
    return problem, at


def _length_in_quotes(lines: list[str], line: int, column: int) -> str | None:
    """Help for a value that begins with a quote mark and so is read as quoted text, like '5' 6"'."""
    if line >= len(lines):
        return None
    rest = lines[line]
    found = _QUOTE_FIRST.search(rest, max(0, column - 3)) or _QUOTE_FIRST.search(rest)
    if not found:
        return None
    return (
        f"a value that begins with a quote mark ({found[1]}) does not end as it should; "
        "write lengths without quotes round them: 5' 6-1/2\", or 5ft 6-1/2in"
    )
