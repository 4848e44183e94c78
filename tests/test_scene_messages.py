"""What the reader says of a slip: exactly where it stands, what it belongs to, and what is allowed there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from earshed.model.scene_file.messages import MOST_SHOWN
from earshed.model.scene_file.problem import Mark, SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.schema import MOST_SEATS, MOST_THINGS
from earshed.model.scene_file.tree import Entry, Items, Node, Table, Text, mark_at, parse_tree

BASE = """\
format: 1
title: Den
print_units: cm
room: {width: 4m, length: 6m, ceiling: {shape: gable, ridge: front-to-back, low: 2m, peak: 4m, ridge_at: 1m,
  far_low: 1m}}
datums:
  post: {from_left: 1m, from_front: 2m}
  knot: {datum: post, right: 1m, back: 1m}
framing:
  - {name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope, first_center: 8in}
fixtures:
  - {name: can 1, kind: can light, at: {from_right: 1m, from_rear: 2m}, cutout: 16cm, body: 19cm}
  - {name: soffit, kind: box, from_left: 3m, from_front: 0, bottom: 1m, width: 1m, length: 6m, height: 1m}
openings:
  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 80cm, height: 1m}
screen: {wall: front, diagonal: 80in, aspect: 16:9, center_from_left: 2m, bottom: 50cm}
seats:
  - {name: chair, at: {from_left: 2m, from_front: 4m}, ear_height: 1m, main: true}
risers:
  - {name: step, from_left: 1m, from_front: 3m, width: 2m, length: 2m, height: 20cm}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 24cm, bezel: 27cm,
    mounting_depth: 12cm}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 90deg}
  shelf: {mount: stand, aiming: fixed, subwoofer: true, size: {width: 20cm, height: 30cm, depth: 20cm}}
  niche: {mount: in-wall, aiming: fixed, coverage: 90}
speakers:
  - {name: one, type: pivot, channel: U+045, at: {from_left: 2m, from_front: 1m}, aim: {tilt: 10deg, toward: rear}}
  - {name: two, type: flush, at: {datum: post}, aim: {seats: main}}
  - {name: three, type: shelf, at: {from_center: 0, from_front: 1m}, height: 1m, faces: rear, aim: none}
  - {name: four, type: niche, wall: left, from_front: 2m, height: 1m, aim: {seat: chair}}
listening_plane: {height: 1m, step: 5cm}
"""
TREE = parse_tree(BASE, "den.yaml")
GABLE = "{shape: gable, ridge: front-to-back, low: 2m, peak: 4m, ridge_at: 1m,\n  far_low: 1m}"
SIZES = "width: 4m, length: 6m"
HOW = ("5' 6-1/2\"", "5ft 6.5in", "1.69m")
Path = tuple[str | int, ...]


def refusal(tree: Table) -> SceneError:
    with pytest.raises(SceneError) as refused:
        scene_from_tree(tree)
    return refused.value


def paths(node: Node, path: Path = ()) -> Iterator[tuple[Path, Node]]:
    """Every node under one, with its path."""
    if isinstance(node, Text):
        return
    steps = enumerate(node.nodes) if isinstance(node, Items) else ((k, e.node) for k, e in node.entries.items())
    for step, child in steps:
        yield (*path, step), child
        yield from paths(child, (*path, step))


def edited(node: Any, path: Path, change: Node | None) -> Any:
    """The tree with another node at a path, or without its key."""
    if not path and change is not None:
        return change
    step, *rest = path
    if isinstance(node, Items):
        nodes = list(node.nodes)
        nodes[int(step)] = edited(nodes[int(step)], tuple(rest), change)
        return replace(node, nodes=tuple(nodes))
    assert isinstance(node, Table)
    entries = dict(node.entries)
    if not rest and change is None:
        del entries[str(step)]
    elif step in entries:
        entries[str(step)] = replace(entries[str(step)], node=edited(entries[str(step)].node, tuple(rest), change))
    else:
        assert isinstance(change, Text)
        entries[str(step)] = Entry(change.mark, change)
    return replace(node, entries=entries)


EVERYWHERE = [path for path, _ in paths(TREE) if path[-2:-1] != ("aiming",)]


@pytest.mark.parametrize("path", EVERYWHERE, ids=str)
def test_a_value_of_another_kind_is_refused_where_it_stands(path: Path) -> None:
    """A list or a table for text, text or the other for a list or a table."""
    mark, kind = mark_at(TREE, path), dict(paths(TREE))[path]
    text = Text("junk", mark)
    wrong = [text, Items((text,), mark), Table({"junk": Entry(mark, text)}, mark)]
    key = [step for step in path if isinstance(step, str)][-1]
    for change in (node for node in wrong if not isinstance(node, type(kind))):
        error = refusal(edited(TREE, path, change))
        assert error.mark == mark
        subject = re.split(" must | needs ", error.message)[0]
        assert (key.removesuffix("s") if isinstance(path[-1], int) else key) in subject or f'"{path[-1]}"' in subject


@pytest.mark.parametrize("path", EVERYWHERE, ids=str)
def test_a_value_left_out_is_refused_in_a_whole_sentence(path: Path) -> None:
    """`key:` with nothing after it: a message that ends in `not ` would leave its reader guessing."""
    mark = mark_at(TREE, path)
    error = refusal(edited(TREE, path, Text("", mark)))
    assert error.mark == mark
    assert error.message == error.message.strip()
    assert not error.message.endswith(("not", ":"))


REQUIRED = {
    (): "format title room",
    ("room",): "ceiling",
    ("room", "ceiling"): "shape ridge low peak",
    ("framing", 0): "name surface member spacing direction first_center",
    ("fixtures", 0): "name kind at cutout",
    ("fixtures", 1): "name kind bottom width length height",
    ("openings", 0): "name wall sill width height",
    ("screen",): "wall bottom",
    ("seats", 0): "name at ear_height",
    ("risers", 0): "name width length height",
    ("speaker_types", "flush"): "mount aiming",
    ("speaker_types", "flush", "coverage"): "angle",
    ("speaker_types", "shelf", "size"): "width height depth",
    ("speakers", 0): "name type at",
    ("speakers", 2): "height faces",
    ("speakers", 3): "wall height",
}


@pytest.mark.parametrize(("path", "key"), [(path, key) for path in REQUIRED for key in REQUIRED[path].split()], ids=str)
def test_a_needed_key_is_asked_for(path: Path, key: str) -> None:
    error = refusal(edited(TREE, (*path, key), None))
    assert error.mark == mark_at(TREE, path)
    assert f"needs `{key}`" in error.message


TABLES = [path for path, node in paths(TREE) if isinstance(node, Table) and path[-1] not in ("datums", "speaker_types")]
PLANES = BASE.replace(GABLE, "{shape: planes, planes: [[[0, 0, 3m], [1m, 0, 3m], [0, 1m, 3m]]]}")


@pytest.mark.parametrize(
    ("path", "tree"),
    [
        ((), TREE),
        *((path, TREE) for path in TABLES if path[-1] != "aiming"),
        (("room", "ceiling"), parse_tree(PLANES, "den.yaml")),
    ],
)
def test_an_unknown_key_is_refused_where_it_stands(path: Path, tree: Table) -> None:
    mark = Mark("den.yaml", 99, 7)
    error = refusal(edited(tree, (*path, "colour"), Text("red", mark)))
    assert error.mark == mark
    assert "`colour` is not a key here" in error.message
    assert "Allowed: " in error.message


def test_the_allowed_keys_begin_a_sentence() -> None:
    error = refusal(edited(TREE, ("zzz",), Text("red", Mark("den.yaml", 99, 7))))
    assert error.message.startswith("`zzz` is not a key here. Allowed: format, title, ")


def test_every_slip_is_told_at_once_in_the_order_of_the_file() -> None:
    text = BASE.replace("4m, length", "4, length").replace("main: true", "main: maybe").replace("name: one", "nam: one")
    error = refusal(parse_tree(text, "den.yaml"))
    assert [problem.mark.line for problem in (error, *error.others)] == [4, 18, 28]
    seats = "".join(f"  - {{name: s{n}, at: post, ear_height: 1m}}\n" for n in range(50))
    many = refusal(parse_tree(BASE.replace("seats:\n", "seats:\n" + seats), "den.yaml"))
    assert len([many, *many.others]) == MOST_SHOWN


LONGEST = [("seats", MOST_SEATS), ("speakers", MOST_THINGS), ("risers", MOST_THINGS)]


@pytest.mark.parametrize(("section", "most"), LONGEST)
def test_lists_may_be_only_so_long(section: str, most: int) -> None:
    mark, first = mark_at(TREE, (section,)), dict(paths(TREE))[section, 0]
    error = refusal(edited(TREE, (section,), Items((first,) * (most + 1), mark)))
    assert error.mark == mark
    assert f"{section}: has more entries than the {most} it may have" in error.message


SLIPS = [
    # (what to change, to what, the words that must be said); ¦ stands where the message must point
    ("format: 1", "format: ¦2", "format", "must be 1", "2"),
    ("print_units: cm", "print_units: ¦yards", "print_units", "ft-in", "mm", "cm", "m", "yards"),
    ("title: Den", "title: Den\nbare_lengths: ¦ells", "bare_lengths", "in, ft, mm, cm or m", "ells"),
    ("title: Den", "title: Den\n¦units: m", "`units`", "print_units", "Allowed"),
    # lengths
    ("width: 4m", "width: ¦4", "room, width", "4 has no unit", "bare_lengths: in", *HOW),
    ("width: 4m", "width: ¦wide", "room, width", "wide is not a length", *HOW),
    ("width: 4m", "width: ¦5' 13\"", "room, width", "5' 13\"", "less than 12"),
    ("width: 4m", "width: ¦5' 6", "room, width", "5' 6", "inch mark", "5' 6\""),
    ("width: 4m", "width: ¦5.5' 6\"", "room, width", "5.5' 6\"", "whole"),
    ("width: 4m", "width: ¦1/0in", "room, width", "1/0in", "zero"),
    (SIZES, "outline: [[0, 0], [4m, ¦'1,5m'], [4m, 6m]]", "outline", "1,5m", "commas", *HOW),
    ("width: 4m", f"width: ¦{'4' * 61}m", "room, width", "too long", *HOW),
    ("width: 4m", "width: ¦100m", "room, width", "100m", "60", "m"),
    ("width: 4m", "width: ¦300'", "room, width", "300'", "60"),
    ("length: 6m, ceil", "length: ¦-6m, ceil", "room, length", "-6m", "more than 0"),
    ("length: 6m, ceil", "length: ¦0, ceil", "room, length", "0", "more than 0"),
    ("sill: 0", "sill: ¦-1in", 'opening "door", sill', "-1in", "at least 0"),
    ("low: 2m", "low: ¦-2m", "room, ceiling, low", "-2m", "at least 0"),
    ("cutout: 16cm", "cutout: ¦16", 'fixture "can 1", cutout', "16 has no unit"),
    # words
    ("main: true", "main: ¦maybe", 'seat "chair", main', "maybe", "true or false"),
    ("aspect: 16:9", "aspect: ¦wide", "screen, aspect", "wide", "16:9"),
    ("aspect: 16:9", "aspect: ¦16:0", "screen, aspect", "16:0", "16:9"),
    ("aspect: 16:9", "aspect: ¦16:1", "screen, aspect", "16:1"),
    ("band: 4kHz", "band: ¦loud", 'speaker type "flush", coverage, band', "loud", "4kHz"),
    ("band: 4kHz", "band: ¦4Hz", 'speaker type "flush", coverage, band', "4Hz"),
    ("angle: 90deg", "angle: ¦wide", 'speaker type "flush", coverage, angle', "wide", "25deg"),
    ("angle: 90deg", "angle: ¦361", 'speaker type "flush", coverage, angle', "361", "360"),
    ("angle: 90deg", "angle: ¦0", 'speaker type "flush", coverage, angle', "0"),
    ("coverage: 90deg", "coverage: ¦-90deg", 'speaker type "pivot", coverage', "-90deg", "more than 0"),
    ("tilt: 10deg", "tilt: ¦400", 'speaker "one", aim, tilt', "400", "360"),
    ("{pivoting: 18deg}", "¦loose", 'speaker type "pivot", aiming', "fixed", "angled", "pivoting"),
    ("{pivoting: 18deg}", "¦{pivoting: 90}", 'speaker type "pivot", aiming', "90", "less than 90"),
    ("{pivoting: 18deg}", "¦{pivoting: [18]}", 'speaker type "pivot", aiming', "an angle", "list"),
    ("{pivoting: 18deg}", "¦{angled: 0}", 'speaker type "pivot", aiming', "0", "more than 0"),
    ("{pivoting: 18deg}", "¦{angled: 5, pivoting: 5}", 'speaker type "pivot", aiming', "fixed"),
    ("member: 2x8", "member: ¦2x9", 'framing "rafters", member', "2x9", "2x10", "1-3/4in x 9-1/2in"),
    ("member: 2x8", "member: ¦1m x 1m", 'framing "rafters", member', "1m x 1m", "size"),
    ("mount: stand", "mount: ¦shelf", 'speaker type "shelf", mount', "in-ceiling", "in-wall", "on-surface", "shelf"),
    ("direction: up-slope", "direction: ¦up", 'framing "rafters", direction', "up-slope", "level", "not up"),
    ("kind: box", "kind: ¦crate", 'fixture "soffit"', "box", "can light", "crate"),
    ("shape: gable", "shape: ¦dome", "room, ceiling", "flat", "shed", "gable", "planes", "dome"),
    ("shape: gable", "shape: ¦[gable]", "room, ceiling", "flat", "a list"),
    ("ridge: front-to-back", "ridge: ¦fore-aft", "room, ceiling, ridge", "side-to-side", "fore-aft"),
    ("ear_height: 1m", "¦ear_hieght: 1m", 'seat "chair"', "`ear_hieght`", "did you mean `ear_height`?"),
    ("{name: rafters, ", "¦{", "framing 1", "needs `name`"),
    # things that do not go together
    (f"{{{SIZES}", f"¦{{{SIZES}, outline: [[0, 0], [1m, 0], [0, 1m]]", "room", "width and length", "outline", "both"),
    (f"{{{SIZES}", "¦{width: 4m", "room", "width and length", "outline"),
    (SIZES, "outline: ¦[[0, 0], [4m, 0]]", "room, outline", "2", "3"),
    (SIZES, "outline: [[0, 0], ¦[4m], [0, 1m]]", "room, outline", "1", "2"),
    (SIZES, "outline: [[0, 0], ¦[4m, 0, 0], [0, 1m]]", "room, outline", "2"),
    ("{wall: front, diagonal: 80in", "¦{wall: front", "screen", "diagonal or width"),
    ("{wall: front, diagonal: 80in", "¦{wall: front, diagonal: 80in, width: 1m", "screen", "diagonal or width"),
    ("{mount: in-wall, aiming: fixed, coverage: 90}", "¦{mount: in-wall, aiming: fixed}", 'speaker type "niche"',
     "coverage", "subwoofer: true"),
    ("{mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}, cutout: 24cm, bezel: 27cm",
     "¦{mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 28cm, bezel: 27cm", 'type "flush"', "bezel", "cutout"),
    # names
    ("{name: two", "¦{name: one", 'speaker "one"', "already called one", "once"),
    ("post: {from_left: 1m", "chair: ¦{from_left: 1m", 'datum "chair"', "already called chair", "once"),
    ("flush: {mount", "step: ¦{mount", 'speaker type "step"', "already called step"),
    ("{name: soffit", "¦{name: floor", 'fixture "floor"', "floor"),  # a face of the room has that name
    ("surface: ceiling", "surface: ¦cieling", 'framing "rafters", surface', "cieling", "did you mean ceiling?"),
    ("surface: ceiling", "surface: ¦zzz", 'framing "rafters", surface', "zzz", "floor", "left slope", "soffit"),
    ("type: pivot", "type: ¦pviot", 'speaker "one", type', "pviot", "did you mean pivot?"),
    ("channel: U+045", "channel: ¦top", 'speaker "one", channel', "top", "upper front left", "U+045"),
    # rooms that cannot be
    (SIZES, "outline: ¦[[0, 0], [4m, 6m], [4m, 0], [0, 6m]]", "room, outline", "crosses itself", "wall 1", "wall 3"),
    (SIZES, "outline: ¦[[0, 0], [4m, 0], [4m, 0], [0, 6m]]", "room, outline", "corners 2 and 3", "same place"),
    (SIZES, "outline: ¦[[0, 0], [4m, 0], [8m, 0]]", "room, outline"),
    (SIZES, "width: ¦20cm, length: 6m", "room", "at least", "1'"),
    (SIZES, "width: 4m, length: ¦20cm", "room, length", "at least", "1'"),
    (f"{SIZES}, ceiling: {{", "outline: [[0, 0], [4m, 0], [0, 6m]], ceiling: ¦{", "ceiling", "rectang", "planes"),
    (GABLE, "¦{shape: gable, ridge: side-to-side, low: 2m, peak: 1.9m}", "room, ceiling", "peak", "higher"),
    (GABLE, "¦{shape: gable, ridge: front-to-back, low: 2m, peak: 4m, ridge_at: 4m}", "room, ceiling", "ridge_at"),
    (GABLE, "¦{shape: shed, low: 2m, high: 2m, rises: rear}", "room, ceiling", "high side", "higher", "low side"),
    (GABLE, "¦{shape: planes, planes: [[[0, 0, 1m], [0, 1m, 1m], [0, 2m, 1m]]]}", "room, ceiling", "plane 1", "line"),
    (GABLE, "¦{shape: planes, planes: [[[0, 0, 0], [0, 1m, 0], [0, 0, 2m]]]}", "room, ceiling", "plane 1", "on edge"),
    (GABLE, "¦{shape: planes, planes: [[[0, 0, 2m], [0, 1m, 2m], [2m, 0, 0]]]}", "room, ceiling", "below the floor"),
    (GABLE, "¦{shape: planes, planes: [[[0, 0, 0], [0, 1m, 0], [1m, 0, 0]]]}", "room, ceiling", "no height"),
    (GABLE, "¦{shape: planes, planes: [[[60m, 0, 0], [59.9m, 0, 60m], [60m, 1m, 0]]]}", "room, ceiling", "60"),
    ("{name: soffit, kind: box, from_left: 3m", "¦{name: soffit, kind: box, from_left: 5m", '"soffit"', "outside"),
    ("{name: step, from_left: 1m", "¦{name: step, from_left: -2m", 'riser "step"', "outside"),
    ("surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope",
     "surface: rear wall, member: 2x8, spacing: 16in, direction: ¦front-to-back", 'framing "rafters", direction',
     "front-to-back", "rear wall"),
    ("spacing: 16in", "spacing: ¦1in", 'framing "rafters", spacing', "spacing", "thickness"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "words"), [(old, new, words) for old, new, *words in SLIPS])
def test_slips(old: str, new: str, words: list[str]) -> None:
    assert BASE.count(old) == 1
    before, after = BASE.replace(old, new).split("¦")
    error = refusal(parse_tree(before + after, "den.yaml"))
    assert (error.mark.line, error.mark.column) == (before.count("\n") + 1, len(before) - before.rfind("\n")), error
    assert error.mark.file == "den.yaml"
    for word in words:
        assert word in error.message
