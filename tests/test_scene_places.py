"""Where things are: every way of taping a place names the same point as its equal, on the plan and on each wall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

ROOM = """\
format: 1
title: Places
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.5m}}
"""
TYPES = """\
speaker_types:
  round: {mount: in-ceiling, aiming: fixed, coverage: 90}
  wall box: {mount: in-wall, aiming: fixed, coverage: 90}
  shelf box: {mount: stand, aiming: fixed, coverage: 90}
"""
Plan = tuple[float, float]
ELL = "outline: [[0, 0], [4m, 0], [4m, 3m], [3m, 3m], [3m, 6m], [0, 6m]]"
"""A 4 x 6 m room without its rear right corner; wall 3 is the step, 3 m from the front."""


def read(text: str) -> Scene:
    return scene_from_tree(parse_tree(text, "places.yaml"))


def mm(metres: float) -> str:
    return f"{round(metres * 2000) / 2}mm"


def in_wall(where: str, room: str = ROOM) -> tuple[Array, Array]:
    """Position and normal of a speaker in a wall, its center 1.2 m up."""
    text = f"{room}{TYPES}speakers:\n  - {{name: one, type: wall box, height: 1.2m, {where}}}\n"
    (speaker,) = read(text).speakers
    return speaker.position, speaker.normal


@given(
    size=st.tuples(st.integers(400, 20_000), st.integers(400, 20_000)),
    share=st.tuples(st.floats(-0.5, 1.5), st.floats(-0.5, 1.5)),
    away=st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000)),
)
def test_every_way_to_tape_a_plan_point(size: Plan, share: Plan, away: Plan) -> None:
    width, length = size[0] / 1000, size[1] / 1000
    x, back = round(share[0] * size[0]) / 1000, round(share[1] * size[1]) / 1000
    room = ROOM.replace("4m", mm(width)).replace("6m", mm(length))
    sides = [f"from_left: {mm(x)}", f"from_right: {mm(width - x)}", f"from_center: {mm(x - width / 2)}"]
    ends = [f"from_front: {mm(back)}", f"from_rear: {mm(length - back)}"]
    ways = [f"{side}, {end}" for side in sides for end in ends]
    a, b = away[0] / 1000, away[1] / 1000
    before = f"  post: {{from_right: {mm(width - x + a)}, from_rear: {mm(length - back + b)}}}\n"
    before += f"  knot: {{datum: post, right: {mm(2 * a)}, back: {mm(-b)}}}\n"
    before += f"  here: {{datum: knot, right: {mm(-a)}, back: {mm(2 * b)}}}\n"
    ways += ["datum: here", f"datum: post, right: {mm(a)}, back: {mm(b)}"]
    ways += [f"back: {mm(2 * b)}, datum: knot, right: {mm(-a)}"]
    text = f"{room}datums:\n{before}" + "".join(f"  way {n}: {{{way}}}\n" for n, way in enumerate(ways))
    found = read(text).datums
    for n, way in enumerate(ways):
        assert found[f"way {n}"] == pytest.approx(np.array([x, -back]), abs=1e-9), way


def test_a_step_left_out_from_a_datum_is_none() -> None:
    datums = "post: {from_left: 1m, from_front: 2m}, a: {datum: post, right: 50cm}, b: {datum: post, back: -50cm}"
    found = read(f"{ROOM}datums: {{{datums}}}\n").datums
    assert found["a"] == pytest.approx(np.array([1.5, -2]))
    assert found["b"] == pytest.approx(np.array([1, -1.5]))


def test_seats_lights_and_speakers_take_the_same_places() -> None:
    at = "at: {from_right: 1m, from_rear: 2m}"
    text = f"{ROOM}{TYPES}seats: [{{name: chair, {at}, ear_height: 1m}}]\n"
    text += f"fixtures: [{{name: can, kind: can light, {at}, cutout: 15cm}}]\n"
    text += (
        f"speakers: [{{name: up, type: round, {at}}},\n  {{name: low, type: shelf box, {at}, height: 1m, faces: up}}]"
    )
    scene = read(text)
    for place, z in [(scene.seats[0].ear, 1), (scene.fixtures[0].position, 2.5)]:
        assert place == pytest.approx(np.array([3, -4, z]))
    for speaker, z in zip(scene.speakers, (2.5, 1), strict=True):
        assert speaker.position == pytest.approx(np.array([3, -4, z]))


WALLS = [
    # wall, how it is taped, the point on the plan, into the room
    ("front", "from_left: 1m", (1, 0), (0, -1)), ("front", "from_right: 3m", (1, 0), (0, -1)),
    ("front", "from_center: -1m", (1, 0), (0, -1)), ("front", "datum: post, right: 50cm, back: 9m", (1, 0), (0, -1)),
    ("rear", "from_left: 1m", (1, -6), (0, 1)), ("rear", "from_right: 3m", (1, -6), (0, 1)),
    ("rear", "from_center: -1m", (1, -6), (0, 1)), ("rear", "datum: post, right: 50cm", (1, -6), (0, 1)),
    ("left", "from_front: 2m", (0, -2), (1, 0)), ("left", "from_rear: 4m", (0, -2), (1, 0)),
    ("left", "datum: post, back: -1m", (0, -2), (1, 0)),
    ("right", "from_front: 2m", (4, -2), (-1, 0)), ("right", "from_rear: 4m", (4, -2), (-1, 0)),
    ("right", "datum: post, back: -1m", (4, -2), (-1, 0)),
]  # fmt: skip
POST = "datums: {post: {from_left: 0.5m, from_front: 3m}}\n"


@pytest.mark.parametrize(("wall", "where", "spot", "inward"), WALLS)
def test_places_on_the_walls_of_a_rectangle(wall: str, where: str, spot: Plan, inward: Plan) -> None:
    for written in (f"wall: {wall}, {where}", f"wall: {wall}, at: {{{where}}}"):
        position, normal = in_wall(written, ROOM + POST)
        assert position == pytest.approx(np.array([*spot, 1.2]), abs=1e-12)
        assert normal == pytest.approx(np.array([*inward, 0]), abs=1e-12)


EXTENTS = [
    # a door 1 m wide: its near left or near front edge is taped, and it goes on to the right or to the rear
    ("front", "from_left: 1m", (1, 0), (2, 0)), ("front", "from_right: 3m", (1, 0), (2, 0)),
    ("front", "from_center: -1m", (1, 0), (2, 0)),
    ("rear", "from_left: 1m", (1, -6), (2, -6)), ("rear", "from_right: 3m", (1, -6), (2, -6)),
    ("rear", "from_center: -1m", (1, -6), (2, -6)), ("rear", "datum: post, right: 50cm", (1, -6), (2, -6)),
    ("left", "from_front: 2m", (0, -2), (0, -3)), ("left", "from_rear: 4m", (0, -2), (0, -3)),
    ("right", "from_front: 2m", (4, -2), (4, -3)), ("right", "from_rear: 4m", (4, -2), (4, -3)),
    ("right", "datum: post, back: -1m", (4, -2), (4, -3)),
]  # fmt: skip


@pytest.mark.parametrize(("wall", "where", "near", "far"), EXTENTS)
def test_openings_on_the_walls_of_a_rectangle(wall: str, where: str, near: Plan, far: Plan) -> None:
    door = f"{ROOM}{POST}openings: [{{name: door, wall: {wall}, {where}, sill: 0.1m, width: 1m, height: 2m}}]\n"
    (opening,) = read(door).openings
    assert 0 <= opening.start < opening.end <= opening.wall.length
    ends = {tuple(np.round(corner, 9)) for corner in opening.corners}
    assert ends == {(*plan, z) for plan in (near, far) for z in (0.1, 2.1)}


SCREENS = [
    ("front", "center_from_left: 1.5m", (1.5, 0)), ("front", "center_from_right: 2.5m", (1.5, 0)),
    ("front", "center_from_center: -0.5m", (1.5, 0)), ("rear", "center_from_left: 1.5m", (1.5, -6)),
    ("left", "center_from_front: 2m", (0, -2)), ("left", "center_from_rear: 4m", (0, -2)),
    ("right", "center_from_rear: 4m", (4, -2)), ("right", "aspect: 16:9", (4, -3)),  # in the middle, if not said
]  # fmt: skip


@pytest.mark.parametrize(("wall", "where", "spot"), SCREENS)
def test_screens_on_the_walls_of_a_rectangle(wall: str, where: str, spot: Plan) -> None:
    screen = read(f"{ROOM}screen: {{wall: {wall}, width: 1.6m, bottom: 1m, {where}}}\n").screen
    assert screen is not None
    assert screen.center == pytest.approx(np.array([*spot, 1.45]), abs=1e-12)


NEAR_CORNERS = ["from_left: 1m, from_front: 2m", "from_right: 3m, from_rear: 4m", "from_center: -1m, from_front: 2m",
                "datum: post, right: 50cm, back: -1m"]  # fmt: skip


@pytest.mark.parametrize("where", NEAR_CORNERS)
def test_boxes_and_risers_start_at_their_front_left_corner(where: str) -> None:
    scene = read(
        f"{ROOM}{POST}fixtures: [{{name: b, kind: box, {where}, bottom: 1m, width: 0.5m, length: 2m, height: 0.2m}}]\n"
        f"risers: [{{name: step, {where}, width: 0.5m, length: 2m, height: 0.2m}}]\n"
    )
    for block, bottom in ((scene.room.boxes[0], 1), (scene.room.risers[0], 0)):
        assert block.lower == pytest.approx(np.array([1, -4, bottom]), abs=1e-12)
        assert block.upper == pytest.approx(np.array([1.5, -2, bottom + 0.2]), abs=1e-12)


CORNERS = ["0, 0", "4m, 0", "4m, 3m", "3m, 3m", "3m, 6m", "0, 6m"]
ELL_WALLS = [((0.5, 0), (0, -1)), ((4, -0.5), (-1, 0)), ((3.5, -3), (0, 1)), ((3, -3.5), (-1, 0)),
             ((2.5, -6), (0, 1)), ((0, -5.5), (1, 0))]  # fmt: skip


@pytest.mark.parametrize("number", range(1, 7))
def test_places_on_the_walls_of_an_outline(number: int) -> None:
    """50 cm from the first corner of each edge; the other turn tapes the same place from the other end."""
    spot, inward = ELL_WALLS[number - 1]
    room = ROOM.replace("width: 4m, length: 6m", ELL)
    for name in (str(number), f"wall {number}"):
        position, normal = in_wall(f"wall: {name}, along: 50cm", room)
        assert position == pytest.approx(np.array([*spot, 1.2]), abs=1e-12)
        assert normal == pytest.approx(np.array([*inward, 0]), abs=1e-12)
    turned = ", ".join(f"[{corner}]" for corner in reversed(CORNERS))
    backwards = ROOM.replace("width: 4m, length: 6m", f"outline: [{turned}]")
    size = (4, 3, 1, 3, 3, 6)[number - 1]
    mirrored, same = in_wall(f"wall: {(5 - number) % 6 + 1}, along: {size - 0.5}m", backwards)
    assert mirrored == pytest.approx(position, abs=1e-12)
    assert same == pytest.approx(normal, abs=1e-12)
    door = f"openings: [{{name: door, wall: {number}, along: 20cm, sill: 0, width: 60cm, height: 2m}}]\n"
    assert read(room + door).openings[0].center == pytest.approx(np.array([*spot, 1]), abs=1e-12)
    screen = read(room + f"screen: {{wall: {number}, width: 16cm, bottom: 1m, center_along: 50cm}}\n").screen
    assert screen is not None
    assert screen.center == pytest.approx(np.array([*spot, 1.045]), abs=1e-12)


@given(
    shift=st.tuples(st.integers(-2000, 2000), st.integers(-2000, 2000)), first=st.integers(0, 5), turned=st.booleans()
)
def test_an_outline_may_start_anywhere(shift: Plan, first: int, turned: bool) -> None:
    """The room is the same wherever its zero lies and whichever corner comes first; a moved zero is noted."""
    corners = np.array([[0, 0], [4, 0], [4, 3], [3, 3], [3, 6], [0, 6]]) + np.array(shift) / 1000
    corners = np.roll(corners[::-1] if turned else corners, first, axis=0)
    outline = ", ".join(f"[{mm(x)}, {mm(y)}]" for x, y in corners)
    room = ROOM.replace("width: 4m, length: 6m", f"outline: [{outline}]")
    scene = read(room + "print_units: mm\ndatums: {spot: {from_right: 1m, from_rear: 2m}}\n")
    assert scene.datums["spot"] == pytest.approx(np.array([3, -4]), abs=1e-9)
    assert scene.room.plan.corners.max(axis=0) == pytest.approx(np.array([4, 0]), abs=1e-9)
    assert scene.room.floor_area == pytest.approx(4 * 6 - 3, rel=1e-9)
    assert len(scene.notes) == (shift != (0, 0))
    assert all(f"{abs(by)} mm" in note for note in scene.notes for by in shift if by)


CEILINGS = [
    # heights at the front left, front right, rear left and rear right corner and at 1 m, 1 m
    ("shape: flat, height: 2.5m", (2.5, 2.5, 2.5, 2.5, 2.5)),
    ("shape: shed, low: 2m, high: 4m, rises: right", (2, 4, 2, 4, 2.5)),
    ("shape: shed, low: 2m, high: 4m, rises: left", (4, 2, 4, 2, 3.5)),
    ("shape: shed, low: 0, high: 3m, rises: rear", (0, 0, 3, 3, 0.5)),
    ("shape: shed, low: 0, high: 3m, rises: front", (3, 3, 0, 0, 2.5)),
    ("shape: gable, ridge: front-to-back, low: 2m, peak: 4m", (2, 2, 2, 2, 3)),
    ("shape: gable, ridge: front-to-back, low: 2m, peak: 4m, ridge_at: 1m, far_low: 1m", (2, 1, 2, 1, 4)),
    ("shape: gable, ridge: side-to-side, low: 1m, peak: 4m", (1, 1, 1, 1, 2)),
    ("shape: gable, ridge: side-to-side, low: 1m, peak: 3m, ridge_at: 2m, far_low: 2m", (1, 1, 2, 2, 2)),
    # planes through [from_left, from_front, height]: one level, one that falls 0.5 a metre to the rear
    ("shape: planes, planes: [[[0, 0, 3m], [1m, 0, 3m], [0, 1m, 3m]], [[0, 0, 4m], [4m, 0, 4m], [0, 6m, 1m]]]",
     (3, 3, 1, 1, 3)),
    ("shape: planes, planes: [[[0, 0, 3m], [0, 6m, 3m], [4m, 0, 2m]]]", (3, 2, 3, 2, 2.75)),
]  # fmt: skip


@pytest.mark.parametrize(("ceiling", "heights"), CEILINGS)
def test_ceilings(ceiling: str, heights: tuple[float, ...]) -> None:
    places = np.array([[0, 0], [4, 0], [0, -6], [4, -6], [1, -1]])
    for plan in ["width: 4m, length: 6m"] + [ELL] * (not ceiling.startswith("shape: gable")):
        room = read(ROOM.replace("shape: flat, height: 2.5m", ceiling).replace("width: 4m, length: 6m", plan)).room
        assert room.ceiling_over(places) == pytest.approx(np.array(heights), abs=1e-12)


PLACES_REFUSED = [
    # a datum, then the words that must be said; ¦ stands where the message must point
    ("spot: ¦{}", "from_left", "from_right", "from_center", "datum"),
    ("spot: ¦{from_left: 1m}", "from_front", "from_rear"),
    ("spot: ¦{from_rear: 1m}", "from_left", "from_right", "from_center"),
    ("spot: ¦{from_left: 1m, from_right: 1m, from_front: 1m}", "from_left and from_right", "one of"),
    ("spot: ¦{from_left: 1m, from_front: 1m, from_rear: 1m}", "from_front and from_rear"),
    ("spot: ¦{right: 1m, back: 1m}", "datum: NAME"),
    ("spot: ¦{datum: post, from_left: 1m}", "not both"),
    ("spot: ¦{from_left: 1m, from_front: 1m, back: 1m}", "datum"),
    ("spot: {datum: ¦pst}", "no datum called pst", "did you mean post"),
    ("spot: {datum: ¦zzz}", "no datum called zzz", "post"),
    ("spot: {datum: ¦spot}", "no datum called spot"),
    ("spot: {datum: ¦later}\n  later: {from_left: 1m, from_front: 1m}", "no datum called later"),
]
ON_WALLS_REFUSED = [
    ("wall: ¦top, from_left: 1m", "no wall top", "front", "right", "rear", "left"),
    ("wall: ¦1, along: 1m", "no wall 1", "front"),
    ("¦wall: left, from_left: 1m", "left wall", "from_front", "from_rear"),
    ("¦wall: front, from_rear: 1m", "front wall", "from_left", "from_right", "from_center"),
    ("¦wall: front, along: 1m", "front wall", "from_left"),
    ("¦wall: front", "front wall", "from_left"),
    ("wall: left, at: ¦{from_front: 1m, from_rear: 1m}", "from_front and from_rear"),
    ("¦wall: left, datum: post, along: 1m", "along"),
    ("¦wall: left, from_front: 1m, at: {from_front: 2m}", "from_front"),
    ("wall: left, at: {¦wall: right, from_front: 2m}", "wall"),
    ("wall: left, from_front: 1m, faces: ¦rear", "`faces`", "in-wall"),
]
IN_OUTLINE_REFUSED = [
    ("wall: ¦7, along: 1m", "no wall 7", "1 to 6"),
    ("wall: ¦front, along: 1m", "no wall front", "1 to 6"),
    ("¦wall: 3, from_left: 1m", "along: LENGTH"),
    ("¦wall: 3", "along: LENGTH"),
    ("¦wall: 3, along: 1m, from_left: 1m", "along: LENGTH"),
]


def check_refused(text: str, name: str, words: list[str]) -> None:
    before, after = text.split("¦")
    with pytest.raises(SceneError) as refused:
        read(before + after)
    mark = refused.value.mark
    assert (mark.line, mark.column) == (before.count("\n") + 1, len(before) - before.rfind("\n")), refused.value
    for word in [name, *words]:
        assert word in refused.value.message


@pytest.mark.parametrize(("place", "words"), [(place, words) for place, *words in PLACES_REFUSED])
def test_refused_plan_places(place: str, words: list[str]) -> None:
    check_refused(f"{ROOM}datums:\n  post: {{from_left: 1m, from_front: 1m}}\n  {place}\n", 'datum "spot"', words)


@pytest.mark.parametrize(
    ("where", "words", "plan"),
    [(where, words, "width: 4m, length: 6m") for where, *words in ON_WALLS_REFUSED]
    + [(where, words, ELL) for where, *words in IN_OUTLINE_REFUSED],
)
def test_refused_wall_places(where: str, words: list[str], plan: str) -> None:
    thing = f"{{name: one, type: wall box, height: 1m, {where}}}"
    if where.startswith("¦"):  # the place as a whole is at fault, so the message points to the speaker
        thing = "¦" + thing.replace("¦", "")
    room = ROOM.replace("width: 4m, length: 6m", plan)
    check_refused(f"{room}{POST}{TYPES}speakers:\n  - {thing}\n", 'speaker "one"', words)
