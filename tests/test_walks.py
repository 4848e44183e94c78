"""Rooms that are walked: a walk is a way to give a plan, its findings are in plain words, its slips have a mark."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.finding import Finding
from earshed.model.pairs import seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.units import format_angle, format_length
from earshed.viewer.cli import run
from earshed.viewer.documents import check_document
from tests.rooms import metres

FLAT = "{shape: flat, height: 2.5m}"
THINGS = """\
openings:
  - {name: door, wall: rear, from_left: 1m, sill: 0, width: 80cm, height: 2m}
screen: {wall: front, diagonal: 80in, bottom: 50cm}
seats:
  - {name: chair, at: {from_left: 2m, from_front: 4m}, ear_height: 1m, main: true}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}}
  niche: {mount: in-wall, aiming: fixed, coverage: {angle: 90deg, band: 4kHz}}
speakers:
  - {name: one, type: flush, at: {from_right: 1m, from_rear: 2m}}
  - {name: two, type: niche, wall: right, from_front: 2m, height: 1m}
  - {name: three, type: niche, wall: rear, from_right: 50cm, height: 1m}
"""
ELL = ("5.5m", "5m", "2m, left", "2m", "3.5m", "7m")


def walk(*walls: str) -> str:
    """Walls as `LENGTH` or `LENGTH, TURN`."""
    parts = [(*wall.split(", "), "")[:2] for wall in walls]
    return "[" + ", ".join(f"{{wall: {size}{f', turn: {turn}' if turn else ''}}}" for size, turn in parts) + "]"


def diagonals(*taped: str) -> str:
    """Diagonals as `FROM-TO=LENGTH`."""
    parts = [re.split("[-=]", one, maxsplit=2) for one in taped]
    return "[" + ", ".join(f"{{from: {start}, to: {end}, length: {size}}}" for start, end, size in parts) + "]"


def text(plan: str, ceiling: str = FLAT, more: str = "", units: str = "m") -> str:
    return f"format: 1\ntitle: Den\nprint_units: {units}\nroom: {{{plan}, ceiling: {ceiling}}}\n{more}"


def read(written: str, scheme: str | None = None) -> Scene:
    return scene_from_tree(parse_tree(written, "den.yaml"), scheme)


def walked(*walls: str, across: tuple[str, ...] = (), ceiling: str = FLAT, more: str = "", units: str = "m") -> Scene:
    plan = f"walk: {walk(*walls)}" + (f", diagonals: {diagonals(*across)}" if across else "")
    return read(text(plan, ceiling, more, units))


def of_walk(scene: Scene) -> Finding:
    rules = ("tape-misread", "walk-does-not-close", "out-of-square")
    (finding,) = [found for found in find_all(scene, seat_pairs(scene)) if found.rule in rules]
    return finding


# --- a walk is a way to give a plan

CEILINGS = [
    FLAT,
    "{shape: shed, low: 2m, high: 3m, rises: left}",
    "{shape: gable, ridge: front-to-back, low: 2m, peak: 3.5m, ridge_at: 1.5m, far_low: 2.2m}",
    "{shape: hip, low: 2m, peak: 3.5m}",
    "{shape: tray, height: 2.4m, rise: 20cm, inset: 60cm}",
]


@pytest.mark.parametrize("ceiling", CEILINGS)
def test_a_square_walk_is_the_room_of_those_sizes(ceiling: str) -> None:
    by_size = read(text("width: 4m, length: 6m", ceiling, THINGS))
    by_walk = walked("4m", "6m", "4m", "6m", ceiling=ceiling, more=THINGS)
    assert np.array_equal(by_walk.room.plan.corners, by_size.room.plan.corners)
    assert by_walk.room.plan.wall_names == by_size.room.plan.wall_names
    told = [check_document(scene, pairs := seat_pairs(scene), []) for scene in (by_size, by_walk)]
    assert pairs
    assert told[0] == told[1]


def test_a_walk_with_a_corner_that_juts_in_is_that_outline() -> None:
    corners = "[[0, 0], [5.5m, 0], [5.5m, 5m], [3.5m, 5m], [3.5m, 7m], [0, 7m]]"
    by_outline, by_walk = read(text(f"outline: {corners}")), walked(*ELL)
    assert by_walk.room.plan.corners == pytest.approx(by_outline.room.plan.corners, abs=1e-9)
    assert by_walk.room.plan.wall_names == by_outline.room.plan.wall_names
    assert by_walk.room.plan.kind == "outline"
    assert by_walk.survey is not None
    assert by_outline.survey is None


@pytest.mark.parametrize(
    ("walls", "kind"),
    [
        (("4m", "6m", "4m", "6m"), "rectangle"),
        (("4m, 80 right", "6m, 100deg right", "4m, 80 right", "6m, 100 right"), "rectangle"),
        (("4m, 60 right", "6m, 120 right", "4m, 60 right", "6m, 120 right"), "outline"),
        (("3m", "4m, 143.13 right", "5m, 126.87 right"), "outline"),
    ],
)
def test_walls_go_by_side_in_four_more_or_less_square_corners(walls: tuple[str, ...], kind: str) -> None:
    assert walked(*walls).room.plan.kind == kind


def test_turns_by_degrees() -> None:
    """A bay of three walls under 45 degrees: sides of a square cut off at a corner of 1 m by 1 m."""
    cut = f"{math.sqrt(2):.6f}m"
    plan = walked("3m, 45deg right", f"{cut}, 45 right", "2m", "4m", "3m").room.plan
    assert plan.corners == pytest.approx(np.array([[0, 0], [3, 0], [4, -1], [4, -3], [0, -3]]), abs=2e-3)


# --- rooms out of square

SKEWED = {"walls": ("4m", "6m", "4.1m", "6.02m"), "across": ("1-3=7.25m", "2-4=7.244m")}


def test_a_room_out_of_square_has_the_lengths_that_were_taped() -> None:
    scene = walked(*SKEWED["walls"], across=SKEWED["across"])
    assert of_walk(scene).severity == "note"
    assert [wall.length for wall in scene.room.plan.walls] == pytest.approx([4, 6, 4.1, 6.02], abs=0.004)
    assert scene.room.plan.corners.min(axis=0)[0] == 0
    assert scene.room.plan.corners.max(axis=0)[1] == 0
    front = scene.room.plan.walls[0]
    assert front.start[1] == front.end[1] == 0


@pytest.mark.parametrize("ceiling", CEILINGS)
def test_ceilings_over_the_box_round_it(ceiling: str) -> None:
    """The ceiling is that of a room as large as the box, where there is one."""
    scene = walked(*SKEWED["walls"], across=SKEWED["across"], ceiling=ceiling)
    plan = scene.room.plan
    box = read(text(f"width: {plan.width:.9f}m, length: {plan.length:.9f}m", ceiling))
    inside = np.array([[0.5, -0.5], [2.0, -3.0], [3.5, -5.5], [1.2, -0.9]])
    assert scene.room.ceiling_over(inside) == pytest.approx(box.room.ceiling_over(inside), abs=1e-6)
    assert scene.room.air.watertight
    assert scene.room.floor_area == pytest.approx(shapely.Polygon(plan.corners).area)
    assert scene.room.volume < box.room.volume


@given(wall=st.sampled_from(["front", "rear"]), left=metres(0.5, 3.5))
def test_places_on_a_wall_are_square_to_the_room(wall: str, left: float) -> None:
    """`from_left` is from the side of the box, so the place on the wall is the one straight across from it."""
    more = f"""\
speaker_types: {{niche: {{mount: in-wall, aiming: fixed, coverage: 90}}}}
speakers: [{{name: one, type: niche, wall: {wall}, from_left: {left}m, height: 1m}}]
"""
    scene = walked("4m, 80 right", "6m, 100 right", "4m, 80 right", "6m, 100 right", more=more)
    (speaker,) = scene.speakers
    assert speaker.position[0] == pytest.approx(left, abs=1e-9)
    edge = next(w for w in scene.room.plan.walls if w.name == f"{wall} wall")
    assert abs((speaker.position[:2] - edge.start) @ edge.inward) < 1e-9
    assert speaker.normal[:2] == pytest.approx(edge.inward)


@given(wall=st.sampled_from(["left", "right"]), back=metres(1, 5))
def test_places_on_a_side_wall_are_square_to_the_room(wall: str, back: float) -> None:
    more = f"""\
speaker_types: {{niche: {{mount: in-wall, aiming: fixed, coverage: 90}}}}
speakers: [{{name: one, type: niche, wall: {wall}, from_front: {back}m, height: 1m}}]
"""
    scene = walked("4m, 80 right", "6m, 100 right", "4m, 80 right", "6m, 100 right", more=more)
    (speaker,) = scene.speakers
    assert speaker.position[1] == pytest.approx(-back, abs=1e-9)
    edge = next(w for w in scene.room.plan.walls if w.name == f"{wall} wall")
    assert abs((speaker.position[:2] - edge.start) @ edge.inward) < 1e-9


def boxed(length: str) -> list[str]:
    box = "{name: soffit, kind: box, from_left: 0, from_front: 0, bottom: 2m, width: 50cm, height: 50cm, length: "
    scene = walked(*SKEWED["walls"], across=SKEWED["across"], more=f"fixtures: [{box}{length}}}]")
    return [found.subject for found in find_all(scene, seat_pairs(scene)) if found.rule == "box-past-wall"]


def test_a_box_drawn_square_may_lap_walls_that_are_not() -> None:
    assert boxed("6.02m") == []
    assert boxed("6.5m") == ["soffit"]


def test_a_zone_drawn_square_ends_at_walls_that_are_not() -> None:
    bay = "{name: bay, from_left: 0, from_front: 4m, width: 4.1m, length: 2m, ceiling: {shape: flat, height: 3m}}"
    plan = f"walk: {walk(*SKEWED['walls'])}, diagonals: {diagonals(*SKEWED['across'])}, zones: [{bay}]"
    scene = read(text(plan))
    (bay,) = scene.room.own_ceilings
    assert scene.room.plan.polygon.buffer(1e-9).covers(bay.outline)
    behind = shapely.box(-1, -6, 9, -4)
    assert bay.outline.area == pytest.approx(scene.room.plan.polygon.intersection(behind).area, abs=1e-6)
    assert scene.room.air.watertight
    with pytest.raises(SceneError, match="beyond the walls"):
        read(text(plan.replace("length: 2m", "length: 3m")))


# --- findings

BOX = ("14ft", "21ft", "14ft", "21ft")
BOTH = ("1-3=25ft 2-7/8in", "2-4=25ft 2-7/8in")
LONG = ("18ft 4in", "17ft 6in", "6ft 2in, left", "6ft 8in", "12ft 2in", "24ft 2in")
FOUND = [
    # (walls, diagonals, severity, rule, subject, the message)
    (BOX, (), "note", "out-of-square", "walk",
     "the walk closes within 1/16\"; no diagonal was taped to know whether its corners are as stated"),
    (BOX, BOTH, "note", "out-of-square", "walk",
     "the walls and diagonals agree within 1/16\", and every corner is as stated within 0.1°"),
    (BOX, ("front left-rear right=25ft 3-1/2in", "front right-rear left=25ft 2-1/4in"), "note", "out-of-square", "walk",
     "the walls and diagonals agree within 1/16\"; the worst corner is 0.2° out of square: front left, 89.8°"),
    (LONG, ("1-4=21ft 3-1/2in", "2-6=30ft 4in"), "note", "out-of-square", "walk",
     "the walls and diagonals agree within 1/16\"; the worst corner is 0.2° out of square: corner 4, 270.2°, "
     "as far as so few diagonals can tell"),
    (LONG, ("1-4=21ft 5-1/2in",), "note", "out-of-square", "walk",
     "the walls and diagonals agree within 1/16\"; the worst corner is 0.6° out of square: corner 6, 90.6°, "
     "as far as so few diagonals can tell"),
    (("18ft 4in", "17ft 6in", "6ft 1-7/8in, left", "6ft 8in", "12ft 2-1/8in", "24ft 2in"),
     ("1-3=25ft 5-3/4in", "1-4=21ft 5-3/4in", "1-5=27ft 2-1/2in"), "note", "out-of-square", "walk",
     "the walls and diagonals agree within 1/16\"; the worst corner is 0.7° out of square: corner 6, 90.7°"),
    (("14ft", "21ft 0-3/4in", "14ft", "21ft"), (), "warning", "walk-does-not-close", "walk",
     "the walk does not close by 3/4\" with its corners as stated: they are not, or a wall is misread; it would close "
     "with the right wall at 21' 0\" (taped as 21' 0-3/4\"), or with the left wall at 21' 0-3/4\" (taped as 21' 0\"); "
     "tape these again, or a diagonal"),
    (("14ft", "21ft 0-3/4in", "14ft 2in", "21ft"), (), "warning", "walk-does-not-close", "walk",
     "the walk does not close by 2-1/8\" with its corners as stated: they are not, or a wall is misread; no one "
     "reading can be told from the others; tape them all again, or a diagonal"),
    (("14ft", "21ft", "14ft", "20ft"), (), "warning", "tape-misread", "walk",
     "the walk does not close by 1' 0\", which would put its corners up to 2.0° out; it would close with the right "
     "wall at 20' 0\" (taped as 21' 0\"), or with the left wall at 21' 0\" (taped as 20' 0\"); tape these again, "
     "or a diagonal"),
    ((*BOX[:3], "20ft"), BOTH, "warning", "tape-misread", "left wall",
     "taped as 20' 0\", where the other readings make it 21' 0\", 1' 0\" more; tape it again"),
    (BOX, ("1-3=25ft 2-7/8in", "2-4=26ft 2-7/8in"), "warning", "tape-misread", "diagonal front right to rear left",
     "taped as 26' 2-7/8\", where the other readings make it 25' 2-7/8\", 1' 0\" less; tape it again"),
    (BOX, ("1-3=26ft 2-7/8in",), "warning", "tape-misread", "diagonal front left to rear right",
     "taped as 26' 2-7/8\", where the other readings make it 25' 2-7/8\", 1' 0\" less; tape it again, and if it "
     "stands, another diagonal: the room may be that far out of square"),
    ((*LONG[:3], "7ft 8in", *LONG[4:]), ("1-4=21ft 3-3/4in",), "warning", "tape-misread", "walk",
     "the walls and diagonals agree only with corners up to 3.4° out; they would agree with wall 4 at 6' 8\" (taped as "
     "7' 8\"), or with wall 6 at 25' 2\" (taped as 24' 2\"); tape these again, or another diagonal"),
    (("15ft", "21ft", "14ft", "20ft"), BOTH, "warning", "tape-misread", "walk",
     "the walls and diagonals disagree by up to 15/16\"; no one reading can be told from the others; "
     "tape them all again"),
]  # fmt: skip


@pytest.mark.parametrize(("walls", "across", "severity", "rule", "subject", "message"), FOUND)
def test_findings(walls, across, severity, rule, subject, message) -> None:
    finding = of_walk(walked(*walls, across=across, units="ft-in"))
    assert (finding.severity, finding.rule, finding.subject) == (severity, rule, subject)
    assert finding.message == message


def test_findings_are_printed_in_the_units_of_the_scene() -> None:
    message = of_walk(walked("4m", "6m", "4m", "6.03m", units="cm")).message
    assert "does not close by 3.0 cm" in message
    assert "the right wall at 603.0 cm (taped as 600.0 cm)" in message
    assert not re.search(r"\d[\"']", message)


def test_a_tape_in_metres_is_misread_by_decimetres() -> None:
    """Ten centimetres in the front wall are one step of such a tape; laid to other readings they are none.

    On a tape in feet and inches ten centimetres are no more likely than what they would be elsewhere.
    """
    walls, across = ("5.6m", "8.3m", "5.5m", "8.3m"), ("1-3=9.957m", "2-4=9.957m")
    assert {of_walk(walked(*walls, across=across, units=units)).subject for units in ("mm", "cm", "m")} == {
        "front wall"
    }
    assert of_walk(walked(*walls, across=across, units="ft-in")).subject == "walk"


def test_a_diagonal_may_pass_its_walls_by_the_noise_of_a_tape() -> None:
    """Past a corner that hardly turns it is as long as the two walls, and is read a little longer."""
    walls = ("2m, 1 right", "2m", "3m", "4m", "2.965m, 89 right")
    assert of_walk(walked(*walls, across=("1-3=4.003m",))).severity == "note"
    with pytest.raises(SceneError, match=re.escape("more than the 4.000 m")):
        walked(*walls, across=("1-3=4.05m",))


def test_a_corner_stated_at_another_angle() -> None:
    """A 3-4-5 triangle whose sharpest corner is stated a degree too wide."""
    finding = of_walk(walked("3m", "4m, 142.13 right", "5m, 126.87 right"))
    assert finding.message.endswith("; the worst corner is 1.0° off the 37.9° stated: corner 3, 36.9°")


def test_no_finding_on_a_room_that_was_not_walked() -> None:
    scene = read(text("width: 4m, length: 6m"))
    assert all(found.subject != "walk" for found in find_all(scene, seat_pairs(scene)))


def test_check_prints_corners_and_readings(tmp_path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "den.yaml"
    plan = f"walk: {walk('14ft', '21ft 0-3/4in', '14ft', '21ft')}, diagonals: {diagonals('1-3=25ft 3-1/2in')}"
    path.write_text(text(plan, units="ft-in"), encoding="utf-8")
    assert run(["check", str(path)]) == 0
    lines = [re.split(r"\s{2,}", line.strip()) for line in capsys.readouterr().out.splitlines()]
    scene = read(path.read_text(encoding="utf-8"))
    assert scene.survey is not None
    corners = zip(scene.room.plan.corner_names, scene.room.plan.corners, scene.survey.inside_angles, strict=True)
    for name, (x, y), angle in corners:
        assert [name, format_length(x), format_length(abs(y)), format_angle(angle)] in lines
    assert ["right wall", "21' 0-3/4\"", "21' 0-3/4\"", '0"'] in lines
    assert ["diagonal front left to rear right", "25' 3-1/2\"", "25' 3-1/2\"", '0"'] in lines
    assert ["taped", "fitted", "difference"] in lines


# --- under a scheme


def test_a_scheme_may_walk_the_room_or_give_its_sizes() -> None:
    schemes = f"schemes:\n  walked: {{room: {{walk: {walk('4m', '6m', '4m', '6.01m')}}}}}\n"
    by_size = text("width: 3m, length: 5m", more=schemes)
    assert read(by_size).survey is None
    assert read(by_size, "walked").room.plan.length == pytest.approx(6, abs=0.02)
    corners = "[[0, 0], [3m, 0], [3m, 5m], [0, 5m]]"
    schemes = "schemes:\n  drawn: {room: {width: 3m, length: 5m}}\n"
    schemes += f"  lined: {{room: {{outline: {corners}, ceiling: {{shape: flat, height: 2m}}}}}}\n"
    by_walk = text(f"walk: {walk('4m', '6m', '4m', '6m')}, diagonals: {diagonals('1-3=7.21m')}", more=schemes)
    for scheme in ("drawn", "lined"):
        scene = read(by_walk, scheme)
        assert scene.survey is None
        assert (scene.room.plan.width, scene.room.plan.length) == (3, 5)
    assert read(by_walk).survey is not None
