"""Sketches for a terminal: to scale, mirror images of mirrored rooms, in letters that the terminal has."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.layout import LAYOUTS
from earshed.model.proposal import propose
from earshed.model.scene import Scene
from earshed.viewer.letters import BOX, PLAIN, Letters, letters_for
from earshed.viewer.section_sketch import section_sketch
from earshed.viewer.sketch import MARKS, plan_sketch
from tests.new_command import DEN, SHAPES, ceiling, new
from tests.proposal_rooms import TYPES, Plain, plain_rooms

SOME = settings(max_examples=60)
LEVEL = Plain(4, 6, {"shape": "flat", "height": 2.5}, (2.0, 0.6), ((-0.7, 4, 1.0), (0, 4, 1.0), (0.7, 4, 1.0)))


def plan(scene: Scene, letters: Letters = BOX) -> list[str]:
    """The lines of a plan from its front wall to its rear wall, without what stands beside them."""
    lines = plan_sketch(scene, letters)
    last = max(row for row, line in enumerate(lines) if letters.rear_left in line)
    width = len(lines[last])
    return [line[2:width] for line in lines[: last + 1]]


def section(scene: Scene, letters: Letters = BOX) -> list[str]:
    """The lines of a section from its top to its floor."""
    return [line[2:] for line in section_sketch(scene, letters)[1:-1]]


def with_speakers(room: Plain) -> Scene:
    scene = room.scene
    speakers = tuple(each.speaker for each in propose(scene, LAYOUTS["seven and four above"], TYPES).proposals)
    return Scene(**{**vars(scene), "speakers": speakers})


@SOME
@given(plain_rooms())
def test_a_plan_is_to_scale_and_closed(room: Plain) -> None:
    """A row stands for twice what a column does; half a letter each way is what rounding may do."""
    lines = plan(room.scene)
    assert len({len(line) for line in lines}) == 1
    columns, rows = len(lines[0]) - 2, len(lines) - 2
    assert columns <= 55
    assert rows <= 16
    per_column, per_row = room.width / columns, room.length / rows
    assert per_row / per_column == pytest.approx(2, rel=1.5 / rows + 1.5 / columns)
    for line in lines[1:-1]:
        assert line[0] not in " "
        assert line[-1] not in " "
    assert " " not in lines[0] + lines[-1]


@SOME
@given(plain_rooms())
def test_sketches_stay_within_eighty_columns(room: Plain) -> None:
    scene = with_speakers(room)
    for lines in (plan_sketch(scene, BOX), section_sketch(scene, BOX)):
        assert max(len(line) for line in lines) < 80


@SOME
@given(plain_rooms(), st.booleans())
def test_a_mirrored_room_has_mirrored_sketches(room: Plain, of_section: bool) -> None:
    """But for one column: a place on the border of two letters belongs to the one on its right."""
    draw = section if of_section else plan
    here, there = draw(room.scene), draw(room.mirrored.scene)
    if of_section and section_sketch(room.scene, BOX)[0].startswith("  along"):
        assert here == there
        return
    turned = {BOX.front_left: BOX.front_right, BOX.front_right: BOX.front_left, BOX.rear_left: BOX.rear_right,
              BOX.rear_right: BOX.rear_left}  # fmt: skip
    one_bend = str.maketrans("┆╌", "··")  # of two that cross, the one that is drawn last shows
    here, there = ([line.translate(one_bend) for line in lines] for lines in (here, there))
    width = max(map(len, here))
    assert len(here) == len(there)
    for line, other in zip(here, there, strict=True):
        back = "".join(turned.get(letter, letter) for letter in reversed(other.ljust(width)))
        for column, letter in enumerate(line.ljust(width)):
            assert letter in back[max(0, column - 1) : column + 2]


@SOME
@given(plain_rooms())
def test_plain_letters_stand_where_box_letters_do(room: Plain) -> None:
    scene = with_speakers(room)
    pairs = dict(zip(vars(BOX).values(), vars(PLAIN).values(), strict=True))
    for draw in (plan, section):
        boxed = ["".join(pairs.get(letter, letter) for letter in line) for line in draw(scene, BOX)]
        assert boxed == draw(scene, PLAIN)
    for line in [*plan_sketch(scene, PLAIN), *section_sketch(scene, PLAIN)]:
        assert line.isascii()


@pytest.mark.parametrize(
    ("encoding", "letters"),
    [
        ("utf-8", BOX),
        ("cp437", PLAIN),
        ("ascii", PLAIN),
        ("latin-1", PLAIN),
        (None, PLAIN),
        ("no such", PLAIN),
        ("utf-16", BOX),
    ],
)
def test_letters_are_those_that_the_terminal_has(encoding: str | None, letters: Letters) -> None:
    assert letters_for(encoding) is letters


@pytest.mark.parametrize(("encoding", "letters"), [("utf-8", BOX), ("ascii", PLAIN)])
def test_the_command_draws_in_the_letters_of_its_terminal(encoding: str, letters: Letters, tmp_path) -> None:
    done = new(tmp_path / "a.yaml", *DEN, *ceiling("hip"), "--yes", answers="", terminal=True, encoding=encoding)
    assert done.out.count(letters.front_left + letters.level) + done.out.count(letters.rear_left + letters.level) > 5
    assert done.out.isascii() == (encoding == "ascii")


# --- what is where


def test_things_stand_in_the_plan_where_they_are() -> None:
    """A room of 4 by 6 m in 21 columns and 16 rows: a seat 4 m from the front is two thirds of the way down."""
    lines = plan(LEVEL.scene)
    columns, rows = len(lines[0]) - 2, len(lines) - 2
    seats = [(row, column) for row, line in enumerate(lines) for column, letter in enumerate(line) if letter == "o"]
    assert [column for _, column in seats] == [int((2 + x) / 4 * columns) + 1 for x in (-0.7, 0, 0.7)]
    assert {row for row, _ in seats} == {int(4 / 6 * rows) + 1}
    picture = [column for column, letter in enumerate(lines[0]) if letter == BOX.picture]
    assert len(picture) == pytest.approx(columns / 2, abs=1)
    assert picture[0] + picture[-1] == columns + 1


def test_each_speaker_has_its_mark_in_plan_and_key() -> None:
    scene = with_speakers(LEVEL)
    whole = plan_sketch(scene, BOX)
    key = "\n".join(whole[len(plan(scene)) :])
    for mark, speaker in zip(MARKS, scene.speakers, strict=False):
        assert f"{mark} {speaker.name}" in key
        assert sum(line.count(mark) for line in plan(scene)) == 1
    assert MARKS.count("o") == 0
    assert len(set(MARKS)) == len(MARKS)


@pytest.mark.parametrize(
    ("ceiling_keys", "letters"),
    [({"shape": "flat", "height": 2.5}, set()),
     ({"shape": "shed", "low": 2, "high": 3, "rises": "left"}, set()),
     ({"shape": "gable", "ridge": "front-to-back", "low": 2, "far_low": 2, "peak": 3, "ridge_at": 1.3}, {"┆"}),
     ({"shape": "gable", "ridge": "side-to-side", "low": 2, "far_low": 2, "peak": 3, "ridge_at": 1.3}, {"╌"}),
     ({"shape": "hip", "low": 2, "peak": 3}, {"┆", "·"}),
     ({"shape": "tray", "height": 2.4, "rise": 0.3, "inset": 0.6}, {"┆", "╌"})],
)  # fmt: skip
def test_the_plan_shows_where_the_ceiling_bends(ceiling_keys: dict, letters: set[str]) -> None:
    scene = Plain(4, 6, ceiling_keys, None, ((0, 3.5, 1.0),)).scene
    drawn = {letter for line in plan(scene) for letter in line}
    assert drawn & {"┆", "╌", "·"} == letters
    assert ("where the ceiling bends" in "\n".join(plan_sketch(scene, BOX))) == bool(letters)


def test_a_ridge_stands_in_its_column() -> None:
    keys = {"shape": "gable", "ridge": "front-to-back", "low": 2, "far_low": 2, "peak": 3, "ridge_at": 1.3}
    lines = plan(Plain(4, 6, keys, None, ((1.5, 3.5, 1.0),)).scene)
    columns = len(lines[0]) - 2
    assert {line.index("┆") for line in lines if "┆" in line} == {int(1.3 / 4 * columns) + 1}
    assert sum("┆" in line for line in lines) == len(lines) - 2


@pytest.mark.parametrize(
    ("keys", "way", "labels"),
    [({"shape": "shed", "low": 2, "high": 3.25, "rises": "left"}, "across", ["3250 mm", "2000 mm"]),
     ({"shape": "shed", "low": 2, "high": 3.25, "rises": "rear"}, "along", ["2000 mm", "3250 mm"]),
     ({"shape": "gable", "ridge": "front-to-back", "low": 2, "far_low": 1.8, "peak": 3.1, "ridge_at": 1.37}, "across",
      ["2000 mm", "highest 3100 mm", "1800 mm"]),
     ({"shape": "gable", "ridge": "side-to-side", "low": 2, "far_low": 1.8, "peak": 3.1, "ridge_at": 1.37}, "along",
      ["2000 mm", "highest 3100 mm", "1800 mm"]),
     ({"shape": "tray", "height": 2.4, "rise": 0.3, "inset": 0.6}, "across", ["2400 mm", "highest 2700 mm", "2400 mm"]),
     ({"shape": "flat", "height": 2.4}, "across", ["2400 mm", "2400 mm"])],
)  # fmt: skip
def test_the_section_is_cut_the_way_the_ceiling_rises_and_says_its_heights(keys, way: str, labels: list[str]) -> None:
    lines = section_sketch(Plain(4, 6, keys, None, ((0, 3.5, 1.0),)).scene, BOX)
    assert lines[0].strip().startswith(way)
    assert re.split(r"\s{2,}", lines[-1].strip()) == labels


@SOME
@given(plain_rooms())
def test_a_section_is_as_high_over_each_column_as_the_ceiling(room: Plain) -> None:
    """Half a row is the least that a letter can tell."""
    scene = Scene(**{**vars(room.scene), "seats": ()})
    lines = section(scene)
    lengthwise = section_sketch(scene, BOX)[0].strip().startswith("along")
    width = max(map(len, lines))
    rows, columns = len(lines) - 2, len(lines[-1]) - 2
    top = float(scene.room.shell.vertices[:, 2].max())
    middle = (room.width / 2, -room.length / 2)
    for column in range(1, columns + 1):
        share = (column - 0.5) / columns
        at = (middle[0], -share * room.length) if lengthwise else (share * room.width, middle[1])
        height = float(scene.room.ceiling_over(at))
        drawn = [row for row, line in enumerate(lines[:-1]) if line.ljust(width)[column] in "─_"]
        assert len(drawn) == 1
        letter = lines[drawn[0]][column]
        seen = rows - drawn[0] + (0.5 if letter == "─" else 0)
        assert seen / rows * section_top(scene, lengthwise) == pytest.approx(height, abs=top / rows * 0.3)


def section_top(scene: Scene, lengthwise: bool) -> float:
    """The highest place over the middle line, found by looking at many."""
    width, length = scene.room.plan.width, scene.room.plan.length
    steps = [i / 2000 for i in range(2001)]
    line = [(width / 2, -t * length) if lengthwise else (t * width, -length / 2) for t in steps]
    return float(scene.room.ceiling_over(line).max())


def test_seats_and_speakers_hang_in_the_section_at_their_heights() -> None:
    scene = with_speakers(LEVEL)
    lines = section(scene)
    rows = len(lines) - 2
    (row,) = [row for row, line in enumerate(lines) if line.count("o") == 3]
    assert row == int((2.5 - 1.0) / 2.5 * rows) + 1
    overhead = [mark for mark, speaker in zip(MARKS, scene.speakers, strict=False) if speaker.surface.kind == "ceiling"]
    assert set(overhead) & set(lines[0])


@pytest.mark.parametrize("shape", SHAPES)
def test_the_steps_of_a_walk_are_sketched_as_they_come(shape: str, tmp_path) -> None:
    done = new(tmp_path / "a.yaml", *DEN, *ceiling(shape), "--yes", answers="", terminal=True)
    plans = done.out.count("┌")
    sections = len(re.findall(r"(?m)^  (?:across|along) the room", done.out))
    assert (plans, sections) == (5, 2)
    assert done.out.index("═ picture") < done.out.index("o seat") < done.out.index("1 front left")
