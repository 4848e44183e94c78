"""YAML's own complaints, said as a tape-and-pencil person would need them."""

from __future__ import annotations

import re

import yaml

from earshed.model.scene_file.problem import Mark

_QUOTE_FIRST = re.compile(r"""(?:(?<=[:,\[{])|(?<=-\s)|^)\s*(['"])""")
_QUOTED = {"'": re.compile(r"'(?:[^']|'')*'"), '"': re.compile(r'"(?:[^"\\]|\\.)*"')}
_WELL_ENDED = re.compile(r"\s*(?:[,\]}:#]|$)")
_NO_SPACE = re.compile(r"\s*(?:- )?(\w[^:{\[]*):[^\s:/]")
_NO_START = " that cannot start any token"
_FITS_NOT = "this does not fit what stands before it; check the indents, commas, brackets and quote marks above"
_SAID = {
    "mapping values are not allowed here": "a second colon on this line, or a key indented further than the ones above "
    "it; write one `key: value` a line",
    _NO_START: "{problem} cannot begin a value",
    "did not find expected": _FITS_NOT,
    "expected <block end>": _FITS_NOT,
    "expected the node content": _FITS_NOT,
    "sequence entries are not allowed here": "a list begins on the line below its key, or in brackets: [a, b]",
    "unknown escape character": "a backslash inside double quotes begins an escape; write the value without the quotes",
}
"""What YAML says of a slip, and what we say instead."""


def explain(error: yaml.MarkedYAMLError, text: str, file: str) -> tuple[str, Mark]:
    """The message and the place of a YAML error in a file's text."""
    lines = text.splitlines() or [""]
    where = error.problem_mark or error.context_mark
    line, column = (min(where.line, len(lines) - 1), where.column) if where else (0, 0)
    opened = (error.context_mark.line, error.context_mark.column) if error.context_mark else (line, column)
    for near in (line, line - 1):
        indent = lines[near][: len(lines[near]) - len(lines[near].lstrip())] if near >= 0 else ""
        if "\t" in indent:
            return "a tab stands here; indent with spaces", Mark(file, near + 1, indent.index("\t") + 1)
    for near, start in (opened, (line, column)):
        if found := _quote_first(lines, near, start):
            words, at = found
            return words, Mark(file, near + 1, at + 1)
    problem = error.problem or "it cannot be read"
    if lines[line][column : column + 1] == "\t":
        return "a tab stands here; write a space", Mark(file, line + 1, column + 1)
    if "expected ',' or" in problem and error.context_mark:
        bracket = lines[opened[0]][opened[1] : opened[1] + 1]
        words = f"the {bracket} that opens here is not closed before line {line + 1}, or a comma is missing inside it"
        return words, Mark(file, opened[0] + 1, opened[1] + 1)
    first_colon = "mapping values" in problem and ":" not in lines[line][:column]
    if first_colon or "expected <block end>" in problem or "could not find expected ':'" in problem:
        for near in range(line, max(-1, line - 3), -1):
            shown, at = lines[near].strip()[:60], len(lines[near]) - len(lines[near].lstrip())
            if _lacks_colon(lines[near]):
                words = f"a colon is missing after the key in `{shown}`; write `key: value`"
                return words, Mark(file, near + 1, at + 1)
            if _NO_SPACE.match(lines[near]):
                return f"a space is missing after the colon in `{shown}`; write `key: value`", Mark(
                    file, near + 1, at + 1
                )
    for part, words in _SAID.items():
        if part in problem:
            told = words.format(problem=problem.removeprefix("found character ").removesuffix(_NO_START))
            return told, Mark(file, line + 1, column + 1)
    return problem, Mark(file, line + 1, column + 1)


def _lacks_colon(line: str) -> bool:
    content = line.split(" #")[0].strip()
    return bool(content) and ":" not in content and not content.startswith(("-", "#", "[", "{"))


def _quote_first(lines: list[str], line: int, column: int) -> tuple[str, int] | None:
    """Help for a value that begins with a quote mark and so is read as quoted text, like '5' 6"', and its column."""
    if line >= len(lines):
        return None
    start = 0
    while found := _QUOTE_FIRST.search(lines[line], start):
        quoted = _QUOTED[found[1]].match(lines[line], found.start(1))
        if quoted is None or not _WELL_ENDED.match(lines[line], quoted.end()):
            words = (
                f"a value that begins with a quote mark ({found[1]}) does not end as it should; "
                "write lengths without quotes round them: 5' 6-1/2\", or 5ft 6-1/2in"
            )
            return words, found.start(1)
        start = quoted.end()
    return None
