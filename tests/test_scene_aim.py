"""Aims as a scene file says them: axis = cos(A) n + sin(A) t, t the unit part of the heading square to n."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.geometry import Array
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker import Speaker

FLAT = "shape: flat, height: 2.5m"
SHED = "shape: shed, low: 2m, high: 4m, rises: right"
SCENE = """\
format: 1
title: Aims
room: {width: 4m, length: 6m, ceiling: {SHAPE}}
seats:
  - {name: left chair, at: {from_left: 1m, from_front: 4m}, ear_height: 1m, main: true}
  - {name: right chair, at: {from_left: 3m, from_front: 4m}, ear_height: 1m, main: true}
  - {name: Bench, at: {from_left: 2m, from_front: 5.5m}, ear_height: 1m}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 90}
  swivel: {mount: in-ceiling, aiming: {pivoting: 60deg}, coverage: 90}
  niche: {mount: in-wall, aiming: {pivoting: 30deg}, coverage: 90}
  shelf: {mount: stand, aiming: fixed, coverage: 90}
  pod: {mount: on-surface, aiming: {angled: 20deg}, coverage: 90}
speakers:
  - {name: one, SPEAKER}
"""
DOWN = np.array([0.0, 0.0, -1.0])
UNDER_SHED = np.array([0.5, 0.0, -1.0]) / math.sqrt(1.25)
"""Square to the shed, which rises 2 m over 4 m to the right."""


def written(speaker: str, shape: str = FLAT) -> str:
    return SCENE.replace("SHAPE", shape).replace("SPEAKER", speaker)


def one(speaker: str, shape: str = FLAT) -> Speaker:
    (placed,) = scene_from_tree(parse_tree(written(speaker, shape), "aims.yaml")).speakers
    return placed


def overhead(kind: str, aim: str | None, shape: str = FLAT, at: str = "from_left: 2m, from_front: 3m") -> Speaker:
    """A speaker in the middle of the ceiling."""
    return one(f"type: {kind}, at: {{{at}}}" + (f", aim: {aim}" if aim else ""), shape)


def leaning(normal: Array, heading: Array, degrees: float) -> Array:
    """The axis by the formula."""
    lean = heading - (heading @ normal) * normal
    lean = lean / math.sqrt(lean @ lean)
    return math.cos(math.radians(degrees)) * normal + math.sin(math.radians(degrees)) * lean


def bearing(degrees: float) -> Array:
    """The level direction that many degrees clockwise from front as seen from above."""
    return np.array([math.sin(math.radians(degrees)), math.cos(math.radians(degrees)), 0.0])


HEADINGS = [
    ("front", 0), ("right", 90), ("rear", 180), ("left", 270), ("Front", 0), ("REAR", 180),
    ("0", 0), ("35", 35), ("35deg", 35), ("35°", 35), ("-35 degrees", -35), ("400", 40), ("270deg", 270),
    ("35deg right of front", 35), ("35deg left of front", -35), ("35 right of rear", 145), ("35° left of rear", 215),
    ("35deg front of right", 55), ("35deg rear of right", 125), ("35 degrees front of left", -55),
    ("0.5deg rear of left", 269.5), ("90deg right of front", 90), ("35DEG  Right  OF  Front", 35),
]  # fmt: skip


@pytest.mark.parametrize(("words", "degrees"), HEADINGS)
def test_headings_in_words(words: str, degrees: float) -> None:
    for kind, tilt in [("angled", 25), ("swivel", 40)]:
        aim = f"{{tilt: {tilt}, toward: {words}}}"
        flat, shed = overhead(kind, aim), overhead(kind, aim, SHED)
        assert flat.normal == pytest.approx(DOWN, abs=1e-12)
        assert flat.axis == pytest.approx(leaning(DOWN, bearing(degrees), tilt), abs=1e-9)
        assert shed.normal == pytest.approx(UNDER_SHED, abs=1e-12)
        assert shed.axis == pytest.approx(leaning(UNDER_SHED, bearing(degrees), tilt), abs=1e-9)


@given(
    low=st.integers(0, 3000),
    rise=st.integers(1, 6000),
    rises=st.sampled_from(["left", "right", "front", "rear"]),
    heading=st.integers(-360, 720),
    tilt=st.integers(0, 600).map(lambda tenths: tenths / 10),
)
def test_the_formula_under_any_slope(low: int, rise: int, rises: str, heading: int, tilt: float) -> None:
    run = 4000 if rises in ("left", "right") else 6000
    side = {"left": (-1, 0), "right": (1, 0), "front": (0, 1), "rear": (0, -1)}[rises]
    normal = np.array([*(np.array(side) * rise / run), -1.0]) / math.hypot(rise / run, 1)
    shape = f"shape: shed, low: {low}mm, high: {low + rise}mm, rises: {rises}"
    speaker = overhead("swivel", f"{{tilt: {tilt}, toward: {heading}}}", shape)
    assert speaker.normal == pytest.approx(normal, abs=1e-12)
    assert speaker.axis == pytest.approx(leaning(normal, bearing(heading), tilt), abs=1e-9)
    assert math.sqrt(speaker.axis @ speaker.axis) == pytest.approx(1, abs=1e-12)
    assert speaker.tilt == pytest.approx(math.radians(tilt), abs=1e-7)


def test_up_and_down_name_a_lean_on_slopes_and_walls() -> None:
    for words, heading in [("up", -DOWN), ("down", DOWN)]:
        slope = overhead("pivot", f"{{tilt: 18, toward: {words}}}", SHED)
        assert slope.axis == pytest.approx(leaning(UNDER_SHED, heading, 18), abs=1e-9)
        wall = one(f"type: niche, wall: left, from_front: 1m, height: 2m, aim: {{tilt: 10, toward: {words}}}")
        assert wall.axis == pytest.approx(
            [math.cos(math.radians(10)), 0, heading[2] * math.sin(math.radians(10))], abs=1e-9
        )


@pytest.mark.parametrize(
    ("wall", "where", "normal"),
    [
        ("front", "from_left: 1m", (0, -1, 0)),
        ("rear", "from_left: 1m", (0, 1, 0)),
        ("left", "from_front: 1m", (1, 0, 0)),
        ("right", "from_front: 1m", (-1, 0, 0)),
    ],
)
def test_walls(wall: str, where: str, normal: tuple[int, int, int]) -> None:
    plain = one(f"type: niche, wall: {wall}, {where}, height: 1m")
    assert plain.axis == pytest.approx(np.array(normal), abs=1e-12)
    turned = one(f"type: niche, wall: {wall}, {where}, height: 1m, aim: {{tilt: 30, toward: 45deg left of rear}}")
    assert turned.axis == pytest.approx(leaning(np.array(normal, dtype=float), bearing(225), 30), abs=1e-9)


@pytest.mark.parametrize("shape", [FLAT, SHED])
@pytest.mark.parametrize("kind", ["flush", "pivot", "swivel"])
def test_none_and_nothing_are_straight(kind: str, shape: str) -> None:
    for aim in (None, "none"):
        speaker = overhead(kind, aim, shape)
        assert np.array_equal(speaker.axis, speaker.normal)


def test_limits_count_as_inside() -> None:
    assert overhead("pivot", "{tilt: 18deg, toward: rear}").tilt == pytest.approx(math.radians(18))
    assert overhead("pivot", "{tilt: 0, toward: rear}").axis == pytest.approx(DOWN, abs=1e-12)
    assert overhead("flush", "{tilt: 0, toward: rear}").axis == pytest.approx(DOWN, abs=1e-12)


def test_an_angled_type_knows_its_own_tilt() -> None:
    for aim in ("{toward: rear}", "{tilt: 25, toward: rear}", "{toward: rear, tilt: 25.0deg}"):
        assert overhead("angled", aim).axis == pytest.approx(leaning(DOWN, bearing(180), 25), abs=1e-9)


@pytest.mark.parametrize(
    ("name", "ear"), [("left chair", (1, -4, 1)), ("right chair", (3, -4, 1)), ("Bench", (2, -5.5, 1))]
)
def test_a_seat_may_be_a_heading(name: str, ear: tuple[float, float, float]) -> None:
    for shape, normal, height in [(FLAT, DOWN, 2.5), (SHED, UNDER_SHED, 3)]:
        for kind, tilt in [("angled", 25), ("pivot", 7)]:
            speaker = overhead(kind, f"{{tilt: {tilt}, toward: {name}}}", shape)
            away = np.array(ear) - [2, -3, height]
            assert speaker.axis == pytest.approx(leaning(normal, away, tilt), abs=1e-9)


@pytest.mark.parametrize("shape", [FLAT, SHED])
@pytest.mark.parametrize("name", ["left chair", "right chair", "Bench"])
def test_aimed_at_one_seat(name: str, shape: str) -> None:
    """A type points straight at one seat if it can, else as far towards it as it can."""
    ear = np.array({"left chair": (1, -4, 1), "right chair": (3, -4, 1), "Bench": (2, -5.5, 1)}[name])
    normal, height = (DOWN, 2.5) if shape == FLAT else (UNDER_SHED, 3)
    away = ear - [2, -3, height]
    away = away / math.sqrt(away @ away)
    off = math.degrees(math.atan2(np.linalg.norm(np.cross(normal, away)), normal @ away))
    for kind, tilt in [("flush", 0), ("angled", 25), ("pivot", min(18, off)), ("swivel", min(60, off))]:
        axis = overhead(kind, f"{{seat: {name}}}", shape).axis
        assert axis == pytest.approx(leaning(normal, away, tilt), abs=1e-7)
        assert off > 18 or kind != "pivot" or axis == pytest.approx(away, abs=1e-7)


def test_aimed_at_all_or_at_the_main_seats() -> None:
    """From between the two main chairs the best axis is straight down, 33.7 degrees from each, 45 from the bench.

    An axis (0, -s, -c) that takes in the bench has 1.5 c / sqrt(3.25) = (s + c) / sqrt(2) as both cosines.
    """
    over = "from_left: 2m, from_front: 4m"
    main, each = (overhead("swivel", f"{{seats: {which}}}", at=over) for which in ("main", "all"))
    assert main.axis == pytest.approx(DOWN, abs=1e-7)
    tan = 1.5 * math.sqrt(2 / 3.25) - 1
    assert each.axis == pytest.approx(np.array([0, -tan, -1]) / math.hypot(1, tan), abs=1e-7)
    nobody = written(f"type: swivel, at: {{{over}}}, aim: {{seats: main}}").replace("main: true", "main: no")
    (speaker,) = scene_from_tree(parse_tree(nobody, "aims.yaml")).speakers
    assert speaker.axis == pytest.approx(each.axis, abs=1e-12)  # where no seat is marked main, all are


@pytest.mark.parametrize(
    ("faces", "normal"),
    [
        ("front", (0, 1, 0)),
        ("rear", (0, -1, 0)),
        ("left", (-1, 0, 0)),
        ("right", (1, 0, 0)),
        ("up", (0, 0, 1)),
        ("down", (0, 0, -1)),
        ("45deg right of rear", (math.sqrt(0.5), -math.sqrt(0.5), 0)),
        ("225", (-math.sqrt(0.5), -math.sqrt(0.5), 0)),
        ("Bench", (0.8, -0.6, 0)),  # 4 m to the right and 3 m back, taken level: cabinets stand upright
    ],
)
def test_cabinets_face_a_heading(faces: str, normal: tuple[float, float, float]) -> None:
    speaker = one(f"type: shelf, at: {{from_left: -2m, from_front: 2.5m}}, height: 2m, faces: {faces}")
    assert speaker.normal == pytest.approx(np.array(normal), abs=1e-12)
    assert np.array_equal(speaker.axis, speaker.normal)


def test_a_box_under_the_ceiling_leans_as_its_type_does() -> None:
    pod = one("type: pod, at: {from_left: 2m, from_front: 3m}, height: 2.4m, faces: down, aim: {toward: left}")
    assert pod.axis == pytest.approx(leaning(DOWN, bearing(270), 20), abs=1e-9)


AT = "at: {from_left: 2m, from_front: 4m}"
REFUSED = [
    # a speaker, then the words that must be said; ¦ stands where the message must point
    (f"¦type: angled, {AT}", "angled", "heading", "toward", "seats"),
    (f"¦type: angled, {AT}, aim: none", "angled", "heading"),
    (f"type: angled, {AT}, aim: {{tilt: ¦26, toward: rear}}", "tilt", "angled", "25"),
    (f"type: flush, {AT}, aim: {{tilt: ¦5, toward: rear}}", "tilt", "flush", "fixed"),
    (f"type: pivot, {AT}, aim: {{tilt: ¦20deg, toward: rear}}", "tilt", "20", "pivot", "18"),
    (f"type: pivot, {AT}, aim: {{tilt: ¦-5, toward: rear}}", "tilt", "-5", "pivot", "0 to 18"),
    (f"type: pivot, {AT}, aim: {{tilt: ¦18.01, toward: rear}}", "tilt", "18.01", "pivot"),
    (f"type: pivot, {AT}, aim: ¦{{toward: rear}}", "tilt", "18", "pivot"),
    (f"type: pivot, {AT}, aim: ¦{{tilt: 5}}", "aim", "toward"),
    (f"type: pivot, {AT}, aim: ¦{{}}", "aim", "none", "toward", "seat", "seats"),
    (f"type: pivot, {AT}, aim: ¦rear", "aim", "rear", "none", "toward"),
    (f"type: pivot, {AT}, aim: ¦{{seat: Bench, seats: main}}", "aim", "seat"),
    (f"type: pivot, {AT}, aim: ¦{{seat: Bench, tilt: 5}}", "aim", "seat"),
    (f"type: pivot, {AT}, aim: {{seats: ¦some}}", "seats", "main", "all", "some"),
    (f"type: pivot, {AT}, aim: {{seat: ¦bench}}", "seat", "no seat called bench", "Bench"),
    (f"type: pivot, {AT}, aim: {{tilt: 5, toward: ¦down}}", "toward", "already faces"),
    (f"type: pivot, {AT}, aim: {{tilt: 5, toward: ¦up}}", "toward", "already faces"),
    (f"type: pivot, {AT}, aim: {{tilt: 5, toward: ¦north}}", "toward", "north", "35deg right of front", "left chair"),
    (f"type: pivot, {AT}, aim: {{tilt: 5, toward: ¦5deg left of right}}", "toward", "left", "right"),
    (f"type: pivot, {AT}, aim: {{tilt: 5, toward: ¦some right of front}}", "toward", "some", "angle"),
    ("type: angled, at: {from_left: 1m, from_front: 4m}, aim: {toward: ¦left chair}", "toward", "already faces"),
    ("type: niche, wall: left, from_front: 1m, height: 1m, aim: {tilt: 5, toward: ¦right}", "toward", "already faces"),
    (f"type: shelf, {AT}, height: 1m, faces: ¦sideways", "faces", "sideways", "front", "down", "left chair"),
    (
        "type: shelf, at: {from_left: 1m, from_front: 4m}, height: 1m, faces: ¦left chair",
        "faces",
        "left chair",
        "where",
    ),
    ("type: shelf, at: {from_left: 1m, from_front: 4m}, height: 2m, faces: ¦left chair", "faces: down", "straight"),
    ("type: shelf, at: {from_left: 1m, from_front: 4m}, height: 1m, faces: rear, aim: ¦{seats: all}", "aim", "seat"),
    (f"type: flush, {AT}, height: ¦1m", "height", "in-ceiling", "at"),
    (f"type: flush, {AT}, wall: ¦left", "wall", "in-ceiling", "at"),
    ("type: flush, from_left: ¦2m, from_front: 4m", "from_left", "in-ceiling", "at"),
    ("type: flush, at: {¦along: 2m, from_left: 1m, from_front: 1m}", "along"),
    ("type: flush, at: {from_left: 1m, from_front: 1m, ¦wall: left}", "wall"),
    (f"type: shelf, {AT}, height: 1m, faces: rear, wall: ¦left", "wall", "stand", "faces"),
]


@pytest.mark.parametrize(("speaker", "words"), [(speaker, words) for speaker, *words in REFUSED])
def test_refused(speaker: str, words: list[str]) -> None:
    text = written(speaker)
    if speaker.startswith("¦"):  # the speaker as a whole is at fault
        text = text.replace("¦", "").replace("- {name: one", "- ¦{name: one")
    before, after = text.split("¦")
    with pytest.raises(SceneError) as refused:
        scene_from_tree(parse_tree(before + after, "aims.yaml"))
    mark = refused.value.mark
    assert (mark.line, mark.column) == (before.count("\n") + 1, len(before) - before.rfind("\n")), refused.value
    for word in ['speaker "one"', *words]:
        assert word in refused.value.message


def test_no_seats_to_aim_at() -> None:
    text = written(f"type: pivot, {AT}, aim: {{seats: all}}")
    start, end = text.index("seats:\n"), text.index("speaker_types")
    with pytest.raises(SceneError, match=r"aims.yaml:13:.*no seats"):
        scene_from_tree(parse_tree(text[:start] + text[end:], "aims.yaml"))
