"""The text of a scene file as a tree: every value stays text and knows its place; what is no scene is refused there."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from pathlib import Path

import pytest

from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import place_of, read_scene
from earshed.model.scene_file.tree import (
    DEEPEST,
    LARGEST_FILE,
    Items,
    Node,
    Table,
    Text,
    mark_at,
    parse_tree,
    plain,
    read_tree,
)

EXAMPLE = """\
# a comment: {with, brackets}
format: 1
title: Boat shed loft    # another
"odd key": 'quoted, text'
room:
  width: 14' 2"
  ceiling: {shape: gable, low: 5' 3", peak: 9' 8"}
datums:
  shelf edge: {from_left: 18in, from_front: 12'}
seats:
  - {name: sofa left, at: {from_left: 5' 4", from_front: 11' 8"}, main: true}
  - name: sofa right
    at:
      from_left: 8' 10"
speakers: [[0, 0], [14' 2", 0], {on: yes}]
"""

AS_TEXT = ["on", "yes", "no", "true", "null", "~", "16:9", "12:30", "010", "0x1F", "1_000", "1e3", "1.0", "2026-01-02",
           "=", "5' 6-1/2\"", "-3in", "½in", "3,5 m"]  # fmt: skip
"""Words that the types of YAML 1.1 (yaml.org/type, 2005) would turn into something else, and lengths."""


def marked(text: str) -> tuple[str, tuple[int, int]]:
    """The text without its one `¦`, and the line and column (from 1) where that stood."""
    before, after = text.split("¦")
    return before + after, (before.count("\n") + 1, len(before) - before.rfind("\n"))


def leaves(node: Node, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], str, bool]]:
    """Path, text and whether it is a key, of every scalar in file order."""
    if isinstance(node, Text):
        yield path, node.value, False
    elif isinstance(node, Items):
        for index, item in enumerate(node.nodes):
            yield from leaves(item, (*path, index))
    else:
        for key, entry in node.entries.items():
            yield (*path, key), key, True
            yield from leaves(entry.node, (*path, key))


def test_marks_are_where_the_text_stands_and_none_is_missed() -> None:
    tree = parse_tree(EXAMPLE, "loft.yaml")
    lines = EXAMPLE.splitlines()
    left = list(lines)
    last = (0, 0)
    for path, text, is_key in leaves(tree):
        mark = mark_at(tree, path, key=is_key)
        assert mark.file == "loft.yaml"
        assert (mark.line, mark.column) > last
        last = (mark.line, mark.column)
        start = mark.column - 1
        quote = lines[mark.line - 1][start] in "\"'" and len(text) > 0
        assert lines[mark.line - 1][start + quote :].startswith(text), path
        size = len(text) + 2 * quote
        row = left[mark.line - 1]
        left[mark.line - 1] = row[:start] + " " * size + row[start + size :]
    only_signs = "".join(row.split("#")[0] for row in left)
    assert set(only_signs) <= set(" :-,[]{}")


@pytest.mark.parametrize(
    ("path", "line", "column"),
    [
        ((), 2, 1),
        (("room", "width"), 6, 10),
        (("room", "ceiling"), 7, 12),
        (("room", "ceiling", "gable", "peak"), 7, 45),  # the name of a union's member is no part of the file
        (("room", "length"), 6, 3),  # not in the file: the deepest part that is
        (("seats", 1), 12, 5),
        (("seats", 1, "at", "from_left"), 14, 18),
        (("seats", 7, "at"), 11, 3),
        (("speakers", 2, "on"), 15, 38),
    ],
)
def test_mark_at(path: tuple[str | int, ...], line: int, column: int) -> None:
    assert mark_at(parse_tree(EXAMPLE, "f"), path) == Mark("f", line, column)


def test_places_in_a_file(tmp_path: Path) -> None:
    path = tmp_path / "loft.yaml"
    path.write_text(EXAMPLE, encoding="utf-8")
    assert place_of(path, ("room", "width")) == Mark(str(path), 6, 10)
    assert place_of(path, ("room", "sky")) == Mark(str(path), 6, 3)


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_marks_do_not_hang_on_the_line_ending(ending: str) -> None:
    tree, there = parse_tree(EXAMPLE, "f"), parse_tree(EXAMPLE.replace("\n", ending), "f")
    assert plain(tree) == plain(there)
    for path, _, is_key in leaves(tree):
        assert mark_at(tree, path, key=is_key) == mark_at(there, path, key=is_key)


@pytest.mark.parametrize("text", AS_TEXT)
def test_every_scalar_stays_text(text: str) -> None:
    assert plain(parse_tree(f"a: {text}\n{text}: b\n", "f")) == {"a": text, text: "b"}


def test_spaces_inside_text_are_single() -> None:
    tree = parse_tree("a: sofa   left\nb: sofa\n  left\nc: 'sofa  left '\nd: sofa\u00a0left\n", "f")
    assert set(plain(tree).values()) == {"sofa left"}


def test_a_mark_reads_as_editors_jump_to_it() -> None:
    assert str(Mark("scenes/loft.yaml", 12, 7)) == "scenes/loft.yaml:12:7"
    assert str(SceneError("is amiss", Mark("a.yaml", 3, 1))) == "a.yaml:3:1: is amiss"


QUOTE_FIRST = ("quote mark", "5' 6-1/2\"", "5ft 6-1/2in")
REFUSED = [
    ("¦", "empty"),
    ("¦# only a comment\n", "empty"),
    ("¦hello\n", "keys", "format: 1"),
    ("¦- format: 1\n", "keys", "format: 1"),
    ("¦[format, 1]", "keys", "format: 1"),
    ("format: 1\ntitle: a\n¦---\nformat: 1\n", "second document"),
    ("format: 1\nbase: ¦&a x\n", "anchors", "aliases"),
    ("format: 1\nbase: ¦&a {b: c}\n", "anchors", "aliases"),
    ("format: 1\n¦&a base: x\n", "anchors", "aliases"),
    ("format: 1\nbase: {b: ¦*c}\n", "anchors", "aliases"),
    ("format: 1\nbase: ¦!!str x\n", "tags"),
    ("format: 1\nbase: ¦!thing [x]\n", "tags", "!thing"),
    ("format: 1\nbase: ¦!thing {x: y}\n", "tags", "!thing"),
    ("format: 1\n? ¦[a, b]\n: c\n", "key", "word"),
    ("format: 1\n¦{a: b}: c\n", "key", "word"),
    ("format: 1\ntitle: a\n¦title: b\n", "`title`", "second time", "line 2"),
    ("room: {width: 4m, ¦width: 5m}\n", "`width`", "second time", "line 1"),
    ("a: " + "[" * (DEEPEST - 1) + "¦[" + "]" * DEEPEST, f"{DEEPEST} levels"),
    ("a: " + "[" * (DEEPEST - 1) + "¦[" + "[" * 5000, f"{DEEPEST} levels"),
    ("title: a¦\0b\n", "character", "0"),
    ("title: one\nroom: ¦\x07\n", "character", "7"),
    ('title: ¦"a\\0b"\n', "character"),
    ('title: ¦"a\\ud800b"\n', "character"),
    # indents and tabs
    ("room:\n¦\twidth: 4m\n", "tab", "spaces"),
    ("room:\n  width: 4m\n  ¦\tlength: 4m\n", "tab", "spaces"),
    ("title:¦\tLoft\n", "tab", "space"),
    ("room:\n  width: 4m\n ¦length: 4m\n", "indent"),
    ("seats:\n  - name: a\n   ¦at: x\n", "indent"),
    # values that begin with a quote mark
    ("room:\n  width: ¦'5' 6\"'\n", *QUOTE_FIRST),
    ('room:\n  width: ¦"12""\n', *QUOTE_FIRST),
    ("room: {width: 4m, length: ¦'5' 6\"'}\n", *QUOTE_FIRST),
    ("outline: [0, ¦'5' 6\"']\n", *QUOTE_FIRST),
    ("sizes:\n  - ¦'5' 6\"'\n", *QUOTE_FIRST),
    ("title: ¦'Loft\nroom: big\n", "quote mark"),
    ("title: ¦'it's here'\n", "quote mark"),
    # brackets and commas
    ("room: ¦{width: 4m, length: 5m\nseats: []\n", "{", "not closed", "comma"),
    ("room: ¦{width: 4m length: 5m}\n", "{", "comma is missing"),
    ("outline: ¦[0, 0\n", "[", "not closed"),
    ("room: ¦{width: 4m]\n", "{", "not closed"),
    ('seats: [¦{name: "sofa", at: 4m\n', "{", "not closed"),
    ("room: {width: 4m}¦}\n", "brackets"),
    ("room: {width: 4m,¦, length: 5m}\n", "commas"),
    # colons
    ("¦format 1\ntitle: Loft\n", "colon is missing", "`format 1`"),
    ("format: 1\n¦title Loft\nroom: big\n", "colon is missing", "`title Loft`"),
    ("format: 1\nroom:\n  ¦width 4m\n  length: 5m\n", "colon is missing", "`width 4m`"),
    ("format: 1\n¦screen\n", "colon is missing", "`screen`"),
    ("format: 1\n¦title:Loft\nroom: big\n", "space", "colon"),
    ("room:\n  width: 4m\n  ¦length:5m\nseats: []\n", "space", "colon"),
    ("screen: 100in wide¦: yes\n", "second colon"),
    # signs that YAML keeps for itself
    ("title: ¦@home\n", "@", "cannot begin a value"),
    ("title: ¦`Loft`\n", "`", "cannot begin a value"),
    ("seats: ¦- a\n", "list"),
]


@pytest.mark.parametrize(("text", "words"), [(text, words) for text, *words in REFUSED])
def test_refused_at_its_place(text: str, words: list[str]) -> None:
    clean, (line, column) = marked(text)
    with pytest.raises(SceneError) as refused:
        parse_tree(clean, "loft.yaml")
    assert refused.value.mark == Mark("loft.yaml", line, column), refused.value
    for word in words:
        assert word in refused.value.message


@pytest.mark.parametrize("text", ['title: "a\\U00110000b"\n', "%YAML 1." + "1" * 5000 + "\n---\ntitle: a\n"])
def test_numbers_that_python_itself_will_not_take(text: str) -> None:
    with pytest.raises(SceneError) as refused:
        parse_tree(text, "loft.yaml")
    assert refused.value.mark.line == 1


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_a_character_is_found_whatever_the_line_ending(ending: str) -> None:
    with pytest.raises(SceneError) as refused:
        parse_tree(f"format: 1{ending}title: a\0b{ending}", "loft.yaml")
    assert refused.value.mark == Mark("loft.yaml", 2, 9)


def test_as_deep_as_allowed() -> None:
    assert parse_tree("a: " + "[" * (DEEPEST - 1) + "]" * (DEEPEST - 1), "f").get("a") is not None


def test_files_are_read_with_and_without_a_byte_order_mark(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_bytes(b"title: caf\xc3\xa9\n")
    (tmp_path / "b.yaml").write_bytes(b"\xef\xbb\xbftitle: caf\xc3\xa9\n")
    a, b = (read_tree(tmp_path / name) for name in ("a.yaml", "b.yaml"))
    assert plain(a) == plain(b) == {"title": "café"}
    assert mark_at(b, ("title",)) == Mark(str(tmp_path / "b.yaml"), 1, 8)


def refused_file(path: Path) -> SceneError:
    with pytest.raises(SceneError) as refused:
        read_scene(path)
    assert refused.value.mark.file == str(path)
    return refused.value


@pytest.mark.parametrize(
    ("raw", "line", "words"),
    [
        (b"", 1, ["empty"]),
        (b"format: 1\ntitle: caf\xe9\n", 2, ["UTF-8"]),
        ("format: 1\n".encode("utf-16"), 1, ["UTF-8"]),
        (b"title: " + b"x" * LARGEST_FILE, 1, ["larger than 2 MB"]),
    ],
    ids=["empty", "latin-1", "utf-16", "large"],
)
def test_files_that_are_no_scene(tmp_path: Path, raw: bytes, line: int, words: list[str]) -> None:
    path = tmp_path / "loft.yaml"
    path.write_bytes(raw)
    error = refused_file(path)
    assert (error.mark.line, error.mark.column) == (line, 1)
    assert all(word in error.message for word in words)


def test_files_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    loop = tmp_path / "loop.yaml"
    loop.symlink_to(loop)
    for path, word in [(tmp_path, "directory"), (tmp_path / "gone.yaml", "No such file"), (loop, "symbolic links")]:
        error = refused_file(path)
        assert (error.mark.line, error.mark.column) == (1, 1)
        assert "cannot read the file" in error.message
        assert word in error.message

    def locked(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "open", locked)
    assert "Permission denied" in refused_file(tmp_path / "locked.yaml").message


def test_text_is_not_read_past_the_largest_file(tmp_path: Path) -> None:
    path = tmp_path / "full.yaml"
    path.write_bytes(b"title: x\n#" + b" " * (LARGEST_FILE - 10))
    assert isinstance(read_tree(path), Table)
