"""Writes a draft as the commented text of a scene file, sections that are still empty as examples to fill in."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Iterator

from earshed.model.scene_file.draft import Draft, Values
from earshed.model.scene_file.draft_examples import example_lines
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.tree import Table, Text, parse_tree
from earshed.model.units import PRINT_UNITS

_HEAD = """\
# First figures, to be completed in the order in which one walks the room, and looked at with `earshed check {file}`
# and `earshed map {file}`. Keys with a # before them are examples: take away the # and put in your own figures.
#
# Lengths: 5' 6-1/2", 66-1/2in, 1.69m or 1690mm, without quotes round them; 0 needs no unit. Places are pulled along the
# floor: from_left or from_right (facing the screen wall) or from_center, and from_front or from_rear.
format: 1"""
_PLAIN = re.compile(r"-?[0-9A-Za-z][-0-9A-Za-z .'\"/]*")
"""Texts that need no quotes, among them all lengths that a tape shows; others are tried."""
_BEFORE_THE_SCREEN = (
    *("zones", "datums", "framing", "cavities", "keep_outs", "existing_holes", "clearances"),
    *("surfaces", "fixtures", "openings"),
)
_CEILINGS = {
    "flat": ("height above the floor",),
    "shed": ("low and high are its walls, rises the high side; where high cannot be reached, pitch: 6 in 12",),
    "gable": (
        "low is the wall on the left (at the front, if the ridge runs side-to-side), peak the ridge, far_low the wall",
        "beyond it, ridge_at its distance from the left (or the front); where peak cannot be reached, pitch: 6 in 12",
    ),
    "hip": ("four slopes of one pitch, from low walls to the peak; where it cannot be reached, pitch: 6 in 12",),
    "tray": ("height of the border, inset its width, rise of the middle above it; run where the sides slope",),
}


def draft_text(draft: Draft, file: str) -> str:
    """The text of a scene file that says what a draft does; `file` is what the file will be called."""
    return "\n".join([*_top(draft, file), *_room(draft), *_things(draft)]) + "\n"


def _top(draft: Draft, file: str) -> Iterator[str]:
    yield _HEAD.format(file=shlex.quote(file) if file.isprintable() else "THIS-FILE")
    yield f"title: {scalar(draft.title)}"
    others = [unit for unit in PRINT_UNITS if unit != draft.print_units]
    yield _with_comment(f"print_units: {scalar(draft.print_units)}", f"or {', '.join(others)}")
    if draft.bare_lengths is not None:
        yield _with_comment(f"bare_lengths: {scalar(draft.bare_lengths)}", "unit of a length that has none beside it")
    yield _with_comment("catalogs: [generic]", "typical speaker types by size, so that no data sheet is needed yet")


def _room(draft: Draft) -> Iterator[str]:
    yield from ("", "room:")
    yield _with_comment(f"  width: {scalar(draft.width)}", "left to right, facing the screen wall")
    yield _with_comment(f"  length: {scalar(draft.length)}", "screen wall to rear wall")
    yield from (f"  # {line}" for line in _CEILINGS.get(str(draft.ceiling.get("shape")), ()))
    yield f"  ceiling: {_table(draft.ceiling)}"


def _things(draft: Draft) -> Iterator[str]:
    """The other sections in order: as the draft has them, or as examples."""
    examples = example_lines(draft)
    for section in _BEFORE_THE_SCREEN:
        yield from examples[section]
    if draft.screen:
        yield from (
            "",
            "# In the middle of its wall, unless center_from_left says otherwise; bottom is its lower edge.",
        )
        yield f"screen: {_table(draft.screen)}"
    else:
        yield from examples["screen"]
    if draft.seats:
        yield from ("", "# Where the ears are; the seats marked main are those that count.", "seats:")
        yield from (f"  - {_table(seat)}" for seat in draft.seats)
    if draft.riser:
        yield from ("", "# Ears are measured from what one stands on.", "risers:", f"  - {_table(draft.riser)}")
    else:
        yield from examples["risers"]
    if draft.speakers:
        yield from ("", "# First places to begin from; angles as heard from the middle of the main seats.", "speakers:")
        for speaker in draft.speakers:
            yield from (f"  # {remark}" for remark in speaker.remarks)
            yield f"  - {_table(speaker.values)}"
    else:
        yield from examples["speakers"]
    yield from examples["wiring"]
    yield from examples["letterhead"]
    yield from examples["schemes"]


def _with_comment(line: str, comment: str) -> str:
    return f"{line:<24} # {comment}"


def _table(values: Values) -> str:
    pairs = (f"{key}: {scalar(value) if isinstance(value, str) else _table(value)}" for key, value in values.items())
    return "{" + ", ".join(pairs) + "}"


def scalar(text: str) -> str:
    """A text as a value of a scene: as it is where that reads back, else in double quotes."""
    one_line = " ".join(text.split())
    plain = _PLAIN.fullmatch(one_line) or _reads_back(one_line)
    return one_line if one_line and plain else json.dumps(one_line, ensure_ascii=False)


def _reads_back(text: str) -> bool:
    """Whether a text without quotes is the same value again, by itself and inside brackets."""
    try:
        tree = parse_tree(f"key: {text}\nmore: {{key: {text}, more: 0}}", "")
    except SceneError:
        return False
    inside = tree.get("more")
    found = [tree.get("key"), inside.get("key") if isinstance(inside, Table) else None]
    return len(tree.entries) == 2 and all(isinstance(node, Text) and node.value == text for node in found)
