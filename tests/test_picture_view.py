"""How seats see the picture: closed forms and published figures, laws of heads in the way, and findings."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.checks.run import find_all
from earshed.model.geometry import angle_between
from earshed.model.picture_view import HALF_A_HEAD, HEAD, head_in_way, heads_in_way, picture_view, picture_views
from earshed.model.plan import rectangle
from earshed.model.screen import picture_patch, picture_size
from earshed.model.seating import Seat
from earshed.model.sight import obstacle_between
from earshed.model.units import INCH
from earshed.viewer.checking import Question, check
from earshed.viewer.cli import run
from tests.test_checks import box, findings, scene, seat

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
BARN = ROOT / "scenes" / "barn.yaml"
WIDTH = 6.0
FRONT_WALL = rectangle(WIDTH, 12.0).walls[0]


def picture(diagonal=2.54, bottom=0.7, center=WIDTH / 2):
    return picture_patch(FRONT_WALL, center, picture_size(diagonal, 16 / 9), bottom)


def at(aside, away, eye=1.1, name="chair", main=True):
    """A seat so far to the right of the middle, so far from the picture."""
    return Seat(name, np.array([WIDTH / 2 + aside, -away, eye]), main)


def view(there, of=None):
    found = picture_view(of or picture(), there)
    assert found is not None
    return found


# --- angles


def test_a_hundred_inch_picture_is_30_degrees_wide_from_162_638_inches():
    """W / (2 tan 15 deg): SMPTE EG 18-1994's 30 degrees, as the trade quotes it; the distance is the closed form."""
    assert math.degrees(view(at(0, 162.638 * INCH)).across) == pytest.approx(30, abs=1e-4)


@pytest.mark.parametrize(("heights", "degrees"), [(3, 33), (2, 48)])
def test_pictures_at_heights_of_distance(heights, degrees):
    """Rec. ITU-R BS.775-3, Figure 1: a 16:9 picture at 3 H is seen as 33 degrees, at 2 H as 48."""
    _, high = picture_size(2.54, 16 / 9)
    assert math.degrees(view(at(0, heights * high)).across) == pytest.approx(degrees, abs=0.1)


SPOTS = st.tuples(st.floats(-2.5, 2.5), st.floats(0.5, 10), st.floats(0.5, 2.2))


@given(SPOTS)
def test_angles_are_those_between_the_ways_to_the_edges(spot):
    there, patch = at(*spot), picture()
    found, eye = view(there, patch), there.ear
    middle = (patch.start + patch.end) / 2
    top, bottom = (patch.point(middle, height) - eye for height in (patch.top, patch.bottom))
    assert found.upright == pytest.approx(float(angle_between(top, bottom)), abs=1e-9)
    left, right = (patch.point(end, float(eye[2])) - eye for end in (patch.start, patch.end))
    assert found.across == pytest.approx(float(angle_between(left, right)), abs=1e-9)
    out = np.array([0.0, -1.0, 0.0])
    to_seat = (eye - patch.center) * [1, 1, 0]
    assert found.aside == pytest.approx(float(angle_between(out, to_seat)), abs=1e-9)
    assert found.distance == spot[1]


@given(SPOTS)
def test_the_mirrored_seat_sees_the_same(spot):
    aside, away, eye = spot
    one, other = view(at(aside, away, eye)), view(at(-aside, away, eye))
    for key in ("distance", "across", "upright", "top", "bottom", "aside"):
        assert getattr(one, key) == pytest.approx(getattr(other, key), abs=1e-12)


@given(st.floats(0.5, 9), st.floats(0.01, 2))
def test_from_farther_away_it_is_smaller(away, more):
    assert view(at(0, away + more)).across < view(at(0, away)).across


def test_from_beside_its_plane_it_is_not_seen():
    assert picture_view(picture(), at(0, 0)) is None
    assert picture_view(picture(), at(0, -1)) is None
    assert picture_views(picture(), [at(0, -1), at(0, 3, name="sofa")])[0].seat.name == "sofa"


# --- heads in the way


def test_the_worked_example_of_a_riser():
    """e2 = yf + (e1 + C - yf)(D + T) / D, similar triangles: 24, 44, 5, 144 and 72 in ask for eyes at 61-1/2 in, so a
    riser of 17-1/2 in. Worked by hand."""
    assert HEAD == 5 * INCH
    patch = picture(bottom=24 * INCH)
    found = head_in_way(patch, at(0, 216 * INCH, 44 * INCH), at(0, 144 * INCH, 44 * INCH))
    assert found is not None
    assert found.rise / INCH == pytest.approx(17.5, abs=1e-9)


ROWS = st.tuples(st.floats(1.0, 4), st.floats(0.7, 3), st.floats(0.8, 1.3), st.floats(0.8, 1.5), st.floats(0.3, 1.2))


@given(ROWS)
def test_raised_by_what_is_asked_all_is_seen(rows):
    away, more, eye_before, eye, bottom = rows
    front, behind, patch = at(0, away, eye_before), at(0, away + more, eye), picture(bottom=bottom)
    found = head_in_way(patch, behind, front)
    if found is None:
        return
    assert head_in_way(patch, at(0, away + more, eye + found.rise + 1e-9), front) is None
    nearly = head_in_way(patch, at(0, away + more, eye + 0.99 * found.rise), front)
    assert (nearly is None) == (0.01 * found.rise < 1e-6)
    if found.hidden < patch.top - patch.bottom:
        assert head_in_way(picture(bottom=bottom + found.hidden + 1e-9), behind, front) is None


@given(ROWS)
def test_what_is_hidden_is_what_rays_over_the_head_miss(rows):
    """By brute force: points up the middle of the picture, from each of which a straight line goes to the eyes."""
    away, more, eye_before, eye, bottom = rows
    front, behind, patch = at(0, away, eye_before), at(0, away + more, eye), picture(bottom=bottom)
    heights = np.linspace(patch.bottom, patch.top, 4001)
    over_head = heights + (eye - heights) * away / (away + more)
    missed = heights[over_head < eye_before + HEAD]
    found = head_in_way(patch, behind, front)
    hidden = found.hidden if found else 0.0
    assert (missed.max() - patch.bottom if len(missed) else 0.0) == pytest.approx(hidden, abs=2e-3)


def test_heads_beside_the_way_are_not_in_it():
    """In plan the way to the picture's edge is a straight line: half a picture's width at 0, nothing at the eyes."""
    patch = picture()
    half = (patch.end - patch.start) / 2
    for side in (-1, 1):
        edge = half * 3 / 6  # halfway to a seat 6 m away
        slant = math.hypot(half, 6) / 6
        assert head_in_way(patch, at(0, 6), at(side * (edge + (HALF_A_HEAD - 0.001) * slant), 3)) is not None
        assert head_in_way(patch, at(0, 6), at(side * (edge + (HALF_A_HEAD + 0.001) * slant), 3)) is None


def test_only_heads_before_a_seat_hide_from_it():
    assert head_in_way(picture(), at(0, 3), at(0, 3.5)) is None
    assert head_in_way(picture(), at(0, 3), at(0, 3)) is None
    assert head_in_way(picture(), at(0, 3), at(0, -1)) is None


@pytest.mark.parametrize("turn", [1, -1])
def test_the_head_that_hides_most_is_told_whatever_the_order(turn):
    low, tall = at(0.3, 3, 1.1, "low"), at(-0.3, 3, 1.3, "tall")
    (found,) = heads_in_way(picture(), [at(0, 5, name="back"), *[low, tall][::turn]])
    assert (found.seat.name, found.front.name) == ("back", "tall")


def test_reclined_heads_are_not_counted_twice():
    reclined = Seat("front, reclined", at(0, 3).ear - [0, 0.2, 0.1], reclined_from="front")
    found = list(heads_in_way(picture(), [at(0, 5, name="back"), at(0, 3, name="front"), reclined]))
    assert [(one.seat.name, one.front.name) for one in found] == [("back", "front")]


# --- findings


def told(**sections):
    return [(one.severity, one.rule, one.subject, one.message) for one in findings(speakers=None, **sections)]


def wide(width, bottom=0.8):
    return f"{{wall: front, width: {width}, center_from_left: 2, bottom: {bottom}}}"


SMALL = 2 * 3 * math.tan(math.radians(15))  # 30 degrees from 3 m


def test_a_small_picture_is_noted_of_the_main_seat_from_which_it_is_smallest():
    assert told(screen=wide(SMALL + 0.001)) == []
    nearer = ", {name: near, at: {from_left: 0.8, from_front: 2}, ear_height: 1.1, main: true}"
    ((severity, rule, subject, message),) = told(screen=wide(1.2), seats=seat(2, 3, more=nearer))
    assert (severity, rule, subject) == ("note", "picture-small", "screen")
    assert "from chair the picture is 22.6° wide; 30.0° or more are usual (SMPTE EG 18-1994" in message
    further = ", {name: far, at: {from_left: 2, from_front: 5}, ear_height: 1.55}"
    assert told(screen=wide(1.8), seats=seat(2, 3, more=further)) == []


def test_a_high_picture_is_noted_with_how_much_lower_it_would_do():
    """1.7 m wide is 0.956 m high; its upper edge may be 3 m times tan 15 deg, 0.804 m, over the eyes at 1.1 m."""
    bottom = 1.1 + 3 * math.tan(math.radians(15)) - 1.7 * 9 / 16
    assert told(screen=wide(1.7, bottom)) == []
    ((severity, rule, subject, message),) = told(screen=wide(1.7, bottom + 0.1))
    assert (severity, rule, subject) == ("note", "picture-high", "screen")
    assert "from chair the upper edge of the picture is 16.8° up" in message
    assert "lower it by 100 mm" in message


BACK = ", {{name: back, at: {{from_left: 2, from_front: 4.5}}, ear_height: {eye}{main}}}"


@pytest.mark.parametrize(("main", "severity"), [(", main: true", "warning"), ("", "note")])
def test_a_head_in_the_way_is_told_with_what_would_clear_it(main, severity):
    """Eyes at 1.1 m behind a head of 1.227 m at 3 m, from 4.5 m over 0.6 m: 0.6 + 0.627 x 1.5 asks for 1.5405."""
    rows = seat(2, 3, more=BACK.format(eye=1.1, main=main))
    found = [one for one in told(screen=wide(2.5, 0.6), seats=rows) if one[1] == "picture-over-head"]
    ((got, _, subject, message),) = found
    assert (got, subject) == (severity, "back")
    assert "over the head at chair it does not see the lower 881 mm of the picture" in message
    assert "raise the eyes there by 441 mm, as on a riser, or the picture by 881 mm" in message
    higher = seat(2, 3, more=BACK.format(eye=1.55, main=main))
    assert "picture-over-head" not in [one[1] for one in told(screen=wide(2.5, 0.6), seats=higher)]


def test_where_all_is_hidden_no_raising_of_the_picture_is_told():
    rows = seat(2, 3, ear=1.6, more=BACK.format(eye=1.1, main=""))
    found = [one[3] for one in told(screen=wide(2.0, 0.6), seats=rows) if one[1] == "picture-over-head"]
    assert len(found) == 1
    assert "all of the picture" in found[0]
    assert "or the picture" not in found[0]


@pytest.mark.parametrize(("height", "part"), [(1.2, "part of the picture"), (2.6, "the picture"), (0.7, None)])
def test_what_stands_between_is_told(height, part):
    said = told(screen=wide(1.7), fixtures=box(1.5, 1.8, 1.0, 0.3, 0, height, name="rack"))
    if part is None:
        assert said == []
        return
    assert [one[:3] for one in said] == [("warning", "picture-blocked", "chair")]
    assert said[0][3].startswith(f"rack stands between it and {part}")


def on_tape(least, most):
    """Metres in whole millimetres."""
    return st.integers(round(least * 1000), round(most * 1000)).map(lambda mark: mark / 1000)


PLACES = st.tuples(on_tape(0, 3), on_tape(0.1, 5), on_tape(0.1, 1), on_tape(0.1, 0.9), on_tape(0, 1.5))


@given(st.lists(PLACES, min_size=1, max_size=4), on_tape(0.2, 3.8))
@settings(max_examples=40)
def test_the_same_things_stand_between_as_on_every_way_to_the_picture(places, left):
    """Each way from the eyes to nine points just before the picture is held to every box."""
    boxes = [box(*spot[:4], spot[4], 0.5, name=f"rack {n}")[1:-1] for n, spot in enumerate(places)]
    made = scene(screen=wide(1.7), fixtures=f"[{', '.join(boxes)}]", seats=seat(left, 5.5), speakers=None)
    told = [one.message for one in find_all(made, []) if one.rule == "picture-blocked"]
    points = [
        made.screen.point(along, height) - [0, 1e-4, 0]
        for along in np.array([0.02, 0.5, 0.98]) * 1.7 + 1.15
        for height in np.array([0.02, 0.5, 0.98]) * 1.7 * 9 / 16 + 0.8
    ]
    met = {obstacle_between(made.seats[0].ear, point, made.room) for point in points} - {None}
    assert {message.split(" stands")[0] for message in told} == met


def test_without_a_screen_or_seats_nothing_is_told():
    assert told() == []
    assert [one[1] for one in told(screen=wide(0.4), seats=None)] == ["no-seats"]


def test_the_readme_quotes_what_the_barn_is_told():
    quotes = re.findall(r"(?m)(?:^> .*\n)+", README)
    quoted = {" ".join(line.removeprefix("> ") for line in quote.splitlines()) for quote in quotes}
    assert quoted & {finding.message for finding in check(BARN, Question()).findings}


ROOM = (
    "format: 1\ntitle: T\nbare_lengths: m\nroom: {width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}\n"
    f"seats: {seat(2, 3)}\n"
)


def printed(tmp_path, capsys, text, *options):
    (tmp_path / "t.yaml").write_text(text)
    run(["check", str(tmp_path / "t.yaml"), *options])
    return capsys.readouterr().out


def test_json_tells_how_each_seat_sees_it(tmp_path, capsys):
    document = json.loads(printed(tmp_path, capsys, f"{ROOM}screen: {wide(2.0, 0.7)}\n", "--json"))["screen"]
    (one,) = document.pop("seats")
    assert document == {"center_m": pytest.approx([2, 0, 1.2625]), "width_m": 2.0, "height_m": pytest.approx(1.125)}
    half = math.degrees(math.atan2(1, 3))
    up, down = (math.degrees(math.atan2(edge - 1.1, 3)) for edge in (1.825, 0.7))
    assert one == {
        "seat": "chair", "distance_m": 3.0, "across_deg": pytest.approx(2 * half),
        "upright_deg": pytest.approx(up - down), "top_deg": pytest.approx(up), "bottom_deg": pytest.approx(down),
        "aside_deg": 0.0,
    }  # fmt: skip


def test_the_table_tells_how_each_seat_sees_it(tmp_path, capsys):
    lines = printed(tmp_path, capsys, f"{ROOM}screen: {wide(2.0, 0.7)}\n").splitlines()
    assert any(line.startswith("Picture, 6' 6-3/4\" by 3' 8-5/16\", its lower edge 2' 3-9/16\" up") for line in lines)
    (row,) = [line for line in lines if line.startswith("chair *")]
    assert row.split() == ["chair", "*", "9'", '10-1/8"', "36.9°", "21.2°", "13.6°", "up", "7.6°", "down", "0.0°"]


def test_without_a_screen_there_is_none_in_the_document_nor_a_table(tmp_path, capsys):
    assert json.loads(printed(tmp_path, capsys, ROOM, "--json"))["screen"] is None
    assert "Picture" not in printed(tmp_path, capsys, ROOM)
