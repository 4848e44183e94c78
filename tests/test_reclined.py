"""Reclined seats: the ear goes straight back and down, and everything that asks for seats asks both postures."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.aim import worst_off_axis
from earshed.model.checks.run import find_all
from earshed.model.geometry import FRONT, Array, frozen
from earshed.model.pairs import Pair, seat_pairs
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.seating import USUAL_BACK, USUAL_DROP, Seat, recline, reference_position, seating_area
from earshed.viewer.cli import run
from earshed.viewer.wording import aim_words

INCH = 0.0254
ROOM = """\
format: 1
title: Den
print_units: ft-in
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.6m}}
SCREEN
risers: [{name: step, from_left: 0, from_front: 4m, width: 4m, length: 80cm, height: 20cm}]
seats:
  - {name: sofa, at: {from_left: 1.5m, from_front: 3m}, ear_height: 1m, main: true, RECLINED}
  - {name: bench, at: {from_left: 3m, from_front: 4.5m}, ear_height: 1.1m, MORE}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90}
  pivot: {mount: in-ceiling, aiming: {pivoting: 40deg}, coverage: 90}
speakers:
  - {name: over, type: flush, at: {from_left: 1.5m, from_front: 3m}}
  - {name: turned, type: pivot, at: {from_left: 0.7m, from_front: 1.2m}, aim: AIM}
"""
SQUARE_SCREEN = "screen: {wall: front, width: 2m, bottom: 60cm}"
USUAL = "reclined: true"
UPRIGHT = "reclined: false"
STILL = "reclined: {ear_height: 1m, back: 0}"


def text_of(reclined: str = USUAL, *, more: str = UPRIGHT, aim: str = "{seats: main}", screen: str = "") -> str:
    changed = ROOM.replace("RECLINED", reclined).replace("MORE", more).replace("AIM", aim)
    return changed.replace("SCREEN\n", f"{screen}\n" if screen else "")


def read(text: str) -> Scene:
    return scene_from_tree(parse_tree(text, "den.yaml"))


def ear(scene: Scene, name: str) -> Array:
    (seat,) = (seat for seat in scene.seats if seat.name == name)
    return seat.ear


def got(scene: Scene, seat: str, speaker: str) -> Pair:
    (found,) = (pair for pair in seat_pairs(scene) if (pair.seat.name, pair.speaker.name) == (seat, speaker))
    return found


def refusal(text: str) -> tuple[str, str]:
    """The message and the text of the file from the place it names to the end of that line."""
    with pytest.raises(SceneError) as refused:
        read(text)
    mark = refused.value.mark
    return refused.value.message, text.splitlines()[mark.line - 1][mark.column - 1 :]


# --- where the ear goes, by closed forms


@given(
    st.tuples(*[st.floats(-9, 9)] * 3), st.floats(0, 1), st.floats(0, 1), st.floats(-math.pi, math.pi), st.booleans()
)
def test_the_ear_goes_straight_back_and_straight_down(place, drop, back, turn, main):
    """Across the way it faces nothing moves; along it the ear loses `back`, and in height `drop`."""
    ahead = np.array([math.cos(turn), math.sin(turn)])
    seat = Seat("sofa", frozen(place), main)
    let_back = recline(seat, drop=drop, back=back, ahead=ahead)
    moved = let_back.ear - seat.ear
    assert moved[:2] @ ahead == pytest.approx(-back, abs=1e-12)
    assert moved[:2] @ [-ahead[1], ahead[0]] == pytest.approx(0, abs=1e-12)
    assert moved[2] == pytest.approx(-drop, abs=1e-12)
    assert (let_back.name, let_back.main, let_back.reclined_from) == ("sofa, reclined", main, "sofa")
    assert (seat.chair, let_back.chair) == ("sofa", "sofa")


def test_the_usual_figures_are_those_of_a_back_let_down():
    """26 in from hip to ear, leaning back 15 degrees upright and 40 reclined. Common practice, no source."""
    lean = np.radians([15, 40])
    assert pytest.approx(26 * INCH * -np.diff(np.cos(lean))[0], abs=0.25 * INCH) == USUAL_DROP == 5 * INCH
    assert pytest.approx(26 * INCH * np.diff(np.sin(lean))[0], abs=0.25 * INCH) == USUAL_BACK == 10 * INCH


@settings(max_examples=40)
@given(st.integers(1, 1000), st.integers(0, 2500))
def test_under_a_speaker_that_fires_straight_down_the_angle_is_that_of_a_right_triangle(height, back):
    """The speaker hangs over the upright ear: off axis by atan(back / (ceiling - reclined ear))."""
    scene = read(text_of(f"reclined: {{ear_height: {height}mm, back: {back}mm}}"))
    assert got(scene, "sofa", "over").off_axis == pytest.approx(0, abs=1e-9)
    expected = math.atan2(back / 1000, 2.6 - height / 1000)
    assert got(scene, "sofa, reclined", "over").off_axis == pytest.approx(expected, abs=1e-9)


def test_by_the_usual_figures():
    """5 in down and 10 in back under a ceiling 2.6 m up: atan(0.254 / 1.727) = 8.367 degrees, worked by hand."""
    for said in (USUAL, "reclined: yes", "reclined: {}", "reclined: {ear_height: 87.3cm}", "reclined: {back: 10in}"):
        angle = got(read(text_of(said)), "sofa, reclined", "over").off_axis
        assert math.degrees(angle) == pytest.approx(8.367, abs=5e-4), said


@pytest.mark.parametrize(
    ("screen", "moved"),
    [
        ("", (0, -1)),
        (SQUARE_SCREEN, (0, -1)),
        (SQUARE_SCREEN.replace("front", "rear"), (0, 1)),
        (SQUARE_SCREEN.replace("front", "left"), (1, 0)),
        (SQUARE_SCREEN.replace("front", "right"), (-1, 0)),
    ],
)
def test_back_is_away_from_the_picture(screen, moved):
    scene = read(text_of(screen=screen))
    way = ear(scene, "sofa, reclined") - ear(scene, "sofa")
    np.testing.assert_allclose(way, [moved[0] * 10 * INCH, moved[1] * 10 * INCH, -5 * INCH], atol=1e-12)


def test_back_is_square_to_a_wall_that_stands_askew():
    """Wall 1 runs from (0, 1 m) to (3 m, 0) from left and front, so the way into the room is (1, -3) / sqrt 10."""
    corners = "outline: [[0, 1m], [3m, 0], [4m, 6m], [0, 6m]]"
    text = text_of(screen="screen: {wall: 1, width: 1m, bottom: 60cm}").replace("width: 4m, length: 6m", corners)
    scene = read(text)
    way = ear(scene, "sofa, reclined") - ear(scene, "sofa")
    np.testing.assert_allclose(way[:2] / np.hypot(*way[:2]), np.array([1, -3]) / math.sqrt(10), atol=1e-12)
    assert np.hypot(*way[:2]) == pytest.approx(10 * INCH)


def test_past_the_edge_of_its_riser_the_ear_is_still_as_high_as_the_seat_makes_it():
    scene = read(text_of(UPRIGHT, more="reclined: {ear_height: 90cm, back: 40cm}"))
    np.testing.assert_allclose(ear(scene, "bench"), [3, -4.5, 1.3], atol=1e-12)
    np.testing.assert_allclose(ear(scene, "bench, reclined"), [3, -4.9, 1.1], atol=1e-12)


# --- laws


@pytest.mark.parametrize("aim", ["none", "{seats: main}", "{seats: all}", "{seat: sofa}", "{seat: bench}"])
def test_with_no_drop_and_no_move_both_postures_get_the_same(aim):
    scene, before = (
        read(text_of(STILL, aim=aim)),
        read(text_of(UPRIGHT, aim=aim)),
    )
    for speaker, plain in zip(scene.speakers, before.speakers, strict=True):
        upright, let_back = got(scene, "sofa", speaker.name), got(scene, "sofa, reclined", speaker.name)
        assert let_back.off_axis == pytest.approx(upright.off_axis, abs=1e-12)
        assert (let_back.azimuth, let_back.elevation) == pytest.approx((upright.azimuth, upright.elevation), abs=1e-12)
        assert (let_back.verdict, let_back.distance) == (upright.verdict, pytest.approx(upright.distance))
        np.testing.assert_allclose(speaker.axis, plain.axis, atol=1e-9)  # a seat taken in twice changes no aim


@settings(max_examples=30)
@given(st.integers(0, 100), st.integers(0, 150), st.sampled_from(["main", "all"]))
def test_a_mirrored_room_gives_mirrored_postures(drop, back, whom):
    said = f"reclined: {{ear_height: {100 - drop / 2}cm, back: {back}cm}}"
    text = text_of(said, more=said, aim=f"{{seats: {whom}}}", screen=SQUARE_SCREEN)
    one, other = read(text), read(text.replace("from_left: 1.5m", "from_right: 1.5m")
                                  .replace("from_left: 3m", "from_right: 3m")
                                  .replace("from_left: 0.7m", "from_right: 0.7m"))  # fmt: skip
    for left, right in zip(seat_pairs(one), seat_pairs(other), strict=True):
        assert (left.seat.name, left.verdict) == (right.seat.name, right.verdict)
        assert left.off_axis == pytest.approx(right.off_axis, abs=1e-7)
        assert left.azimuth == pytest.approx(-right.azimuth, abs=1e-9)


@settings(max_examples=20)
@given(st.integers(0, 80), st.integers(0, 200), st.sampled_from(["{seats: main}", "{seats: all}", "{seat: sofa}"]))
def test_an_aim_at_both_postures_serves_both_best(drop, back, aim):
    """Over both it is never worse than an aim at either, and for either never better than an aim at that alone."""
    said = f"reclined: {{ear_height: {100 - drop}cm, back: {back}cm}}"
    scene = read(text_of(said, aim=aim))
    both = scene.speakers[1]
    asked = [seat for seat in scene.seats if seat.name in both.aim.names]
    assert {seat.name for seat in asked} >= {"sofa", "sofa, reclined"}
    ways = np.array([seat.ear - both.position for seat in asked])
    upright = np.array([seat.ear - both.position for seat in asked if seat.reclined_from is None])
    for alone in ("{seat: bench}", '{seat: "sofa, reclined"}', "none"):
        assert (
            worst_off_axis(both.axis, ways)
            <= worst_off_axis(read(text_of(said, aim=alone)).speakers[1].axis, ways) + 1e-9
        )
    before = read(text_of(UPRIGHT, aim=aim)).speakers[1]
    assert worst_off_axis(both.axis, ways) <= worst_off_axis(before.axis, ways) + 1e-9
    assert worst_off_axis(before.axis, upright) <= worst_off_axis(both.axis, upright) + 1e-9


def test_what_is_said_of_sitting_up_stays():
    """Reference position, seating area, listening plane, and what the upright seat gets from a fixed speaker."""
    plain = read(text_of(UPRIGHT, aim="none"))
    for said in (USUAL, "reclined: {ear_height: 20cm, back: 2m}"):
        scene = read(text_of(said, aim="none"))
        np.testing.assert_allclose(reference_position(scene.seats), ear(plain, "sofa"), atol=1e-12)
        assert seating_area(scene.seats).hull.equals(seating_area(plain.seats).hull)
        assert scene.plane == plain.plane
        assert got(scene, "sofa", "over").off_axis == got(plain, "sofa", "over").off_axis
    everyone = read(text_of(USUAL).replace("main: true, ", ""))
    assert everyone.plane.height == pytest.approx(1.05)  # no seat is main, so both are, and each counts once
    np.testing.assert_allclose(reference_position(everyone.seats), [2.25, -3.75, (1.0 + 1.3) / 2], atol=1e-12)


def test_false_is_as_if_nothing_were_said():
    for said in ("reclined: false", "reclined: No"):
        assert [seat.name for seat in read(text_of(said)).seats] == ["sofa", "bench"]


def test_a_scheme_may_let_a_seat_back_and_set_it_up_again():
    text = text_of(USUAL) + "schemes:\n  up: {seats: {sofa: {reclined: false}, bench: {reclined: true}}}\n"
    scene = scene_from_tree(parse_tree(text, "den.yaml"), "up")
    assert [seat.name for seat in scene.seats] == ["sofa", "bench", "bench, reclined"]


# --- who is asked


def test_each_posture_follows_its_seat_and_is_as_main():
    scene = read(text_of(USUAL, more=USUAL))
    named = [(seat.name, seat.main, seat.reclined_from) for seat in scene.seats]
    sofas, benches = [("sofa", True, None), ("sofa, reclined", True, "sofa")], [("bench", False, None)]
    assert named == [*sofas, *benches, ("bench, reclined", False, "bench")]


@pytest.mark.parametrize(
    ("aim", "names", "words"),
    [
        ("{seats: main}", ("sofa", "sofa, reclined"), "aimed at sofa, upright and reclined"),
        ("{seat: sofa}", ("sofa", "sofa, reclined"), "aimed at sofa, upright and reclined"),
        ("{seat: bench}", ("bench",), "aimed at bench"),
        ('{seat: "sofa, reclined"}', ("sofa, reclined",), "aimed at sofa, reclined"),
        ("{seats: all}", ("sofa", "sofa, reclined", "bench"), "aimed at all seats"),
    ],
)
def test_whom_an_aim_takes_in(aim, names, words):
    scene = read(text_of(USUAL, aim=aim))
    assert scene.speakers[1].aim.names == names
    assert aim_words(scene.speakers[1], scene).startswith(words + ", tilted")


def test_a_heading_to_a_seat_is_to_its_upright_ear():
    one, other = (read(text_of(said, aim="{tilt: 10deg, toward: sofa}")) for said in (USUAL, STILL))
    np.testing.assert_array_equal(one.speakers[1].axis, other.speakers[1].axis)


def test_a_main_seat_left_out_only_when_it_reclines_is_a_warning_by_that_name():
    narrow = text_of("reclined: {back: 80cm}").replace("coverage: 90", "coverage: 45")
    scene = read(narrow)
    found = [f for f in find_all(scene, seat_pairs(scene)) if f.subject == "over"]
    (outside,) = (f for f in found if f.rule == "seat-outside-coverage")
    assert outside.severity == "warning"
    assert outside.message.startswith("sofa, reclined is 24.9° off axis, outside")  # atan(0.8 / 1.727) = 24.86 degrees


@pytest.mark.parametrize(
    ("reclined", "words"),
    [
        ("reclined: {back: 3m}", None),
        ("reclined: {back: 3.1m}", 'the ears would be outside the room, 3-15/16" beyond the walls'),
    ],
)
def test_an_ear_past_the_wall_is_a_finding_on_the_reclined_seat(reclined, words):
    scene = read(text_of(reclined))
    found = [(f.subject, f.message) for f in find_all(scene, seat_pairs(scene)) if f.rule == "seat-outside"]
    assert found == ([("sofa, reclined", words)] if words else [])


def test_json_lists_both_postures(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    path = tmp_path / "den.yaml"
    path.write_text(text_of(USUAL), encoding="utf-8")
    assert run(["check", str(path), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    names = ["sofa", "sofa, reclined", "bench"]
    assert [seat["name"] for seat in document["seats"]] == names
    assert document["seats"][1] == {
        "name": "sofa, reclined",
        "main": True,
        "ear_m": [1.5, pytest.approx(-3.254), pytest.approx(0.873)],
    }
    assert [(pair["seat"], pair["speaker"]) for pair in document["pairs"]] == [
        (seat, speaker) for seat in names for speaker in ("over", "turned")
    ]


# --- slips

SLIPS = [
    ("reclined: sometimes", "sometimes must be true, false or {ear_height: LENGTH, back: LENGTH}", "sometimes"),
    ('reclined: ""', "is empty; it must be true, false or {ear_height: LENGTH, back: LENGTH}", '""'),
    ("reclined: [5in, 10in]", "needs keys, such as {ear_height: ..., back: ...}", "[5in, 10in]"),
    ("reclined: {drop: 5in}", "`drop` is not a key here. Allowed: ear_height, back", "drop: 5in}"),
    ("reclined: {back: -1in}", "-1in must be at least 0", "-1in}"),
    ("reclined: {ear_height: 0}", "0 must be more than 0", "0}"),
    ("reclined: {ear_height: 1.01m}", "reclined ears at 3' 3-3/4\" would be higher than upright", "1.01m}"),
    ("reclined: {ear_height: 20}", "20", "20}"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "words", "there"), SLIPS, ids=[said for said, _, _ in SLIPS])
def test_a_slip_is_told_where_it_stands(said, words, there):
    message, rest = refusal(text_of(said))
    assert message.startswith('seat "sofa", reclined')
    assert words in message
    assert rest.startswith(there)


@pytest.mark.parametrize("said", ["true", "{back: 4in}"])
@pytest.mark.parametrize("height", ["5in", "1in"])
def test_ears_too_low_to_come_down_by_the_usual_ask_for_a_figure(said, height):
    text = text_of(f"reclined: {said}").replace("ear_height: 1m", f"ear_height: {height}")
    message, rest = refusal(text)
    units = {"5in": '5"', "1in": '1"'}[height]
    assert message == (
        f'seat "sofa", reclined: ears at {units} cannot come down by the usual 5"; say {{ear_height: LENGTH}}, measured'
    )
    assert rest.startswith(said)
    measured = text.replace(f"reclined: {said}", "reclined: {ear_height: 1in}")
    assert ear(read(measured), "sofa, reclined")[2] == pytest.approx(INCH)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("name: bench", 'name: "sofa, reclined"'),
        ("name: over", 'name: "sofa, reclined"'),
        ("flush", '"sofa, reclined"'),
    ],
)
def test_its_name_is_taken(old, new):
    text = text_of(USUAL).replace(old, new)
    message, rest = refusal(text)
    assert message.endswith("something else in the scene is already called sofa, reclined; names are used once")
    assert rest.startswith("true}")
    assert read(text.replace(USUAL, "reclined: false")).seats[0].name == "sofa"


def test_ahead_is_to_the_front_where_there_is_no_picture():
    np.testing.assert_array_equal(read(text_of()).ahead, FRONT[:2])
