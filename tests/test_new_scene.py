"""`earshed new` from options: what it writes reads back to the same figures and can be built, in any room it takes."""

from __future__ import annotations

import json
import math
import re
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.layout import LAYOUTS
from earshed.model.scene_file.read import read_scene
from earshed.model.units import FOOT, INCH, parse_length
from tests.new_command import DEN, SHAPES, ceiling, check, new

UNIT = {"ft-in": "in", "mm": "mm", "cm": "cm", "m": "m"}


@st.composite
def lengths(draw: st.DrawFn, low: float, high: float) -> str:
    """A length between two in metres, as a person might write it."""
    metres = draw(st.floats(low, high))
    kind = draw(st.sampled_from(["ft-in", "in", "mm", "m"]))
    if kind == "ft-in":
        eighths = max(1, round(metres / INCH * 8))
        feet, rest = divmod(eighths, 96)
        return f"{feet}' {rest // 8}-{rest % 8}/8\"" if rest % 8 else f"{feet}' {rest // 8}\""
    if kind == "in":
        return f"{max(1, round(metres / INCH))}in"
    return f"{max(1, round(metres * 1000))}mm" if kind == "mm" else f"{max(0.01, round(metres, 2))}m"


@st.composite
def ceilings_as_options(draw: st.DrawFn) -> list[str]:
    shape = draw(st.sampled_from(list(SHAPES)))
    top = draw(st.one_of(lengths(2.6, 6), st.sampled_from(["6 in 12", "3/12", "35deg"])))
    match shape:
        case "flat":
            return ["--ceiling", "flat", "--height", draw(lengths(1.9, 5))]
        case "shed":
            rises = draw(st.sampled_from(["left", "right", "front", "rear"]))
            return ["--ceiling", "shed", "--low", draw(lengths(0.3, 2.5)), "--high", top, "--rises", rises]
        case "gable":
            ridge = draw(st.sampled_from(["front-to-back", "side-to-side"]))
            more = draw(st.sampled_from([[], ["--far-low", "1.4m"], ["--ridge-at", "90cm"]]))
            return ["--ceiling", "gable", "--ridge", ridge, "--low", draw(lengths(0.3, 2.5)), "--peak", top, *more]
        case "hip":
            return ["--ceiling", "hip", "--low", draw(lengths(0.8, 2.5)), "--peak", top]
    return [
        "--ceiling",
        "tray",
        "--height",
        draw(lengths(1.9, 3)),
        "--rise",
        "15cm",
        "--inset",
        draw(lengths(0.1, 0.5)),
    ]


@st.composite
def rooms_as_options(draw: st.DrawFn) -> list[str]:
    """Any room that the options allow, from a closet to a hall, and more or fewer of the other answers."""
    words = ["--width", draw(lengths(0.8, 9)), "--length", draw(lengths(1.2, 12)), *draw(ceilings_as_options())]
    others = {
        "--screen": st.sampled_from(["none", "60in", "100in", "3.5m"]),
        "--screen-bottom": lengths(0, 2),
        "--rows": st.sampled_from(["1", "2"]),
        "--seats": st.sampled_from(["1", "2", "3", "7"]),
        "--seat-spacing": lengths(0.4, 1),
        "--ear-height": lengths(0.7, 1.3),
        "--layout": st.sampled_from(["none", *LAYOUTS]),
        "--print-units": st.sampled_from(list(UNIT)),
    }
    for option, answers in others.items():
        if draw(st.booleans()):
            words += [option, draw(answers)]
    if "none" in words and words[words.index("none") - 1] == "--screen" and "--screen-bottom" in words:
        del words[words.index("--screen-bottom") : words.index("--screen-bottom") + 2]
    return words


def option(words: list[str], name: str) -> str | None:
    return words[words.index(name) + 1] if name in words else None


@settings(max_examples=80)
@given(rooms_as_options())
def test_what_is_written_reads_back_and_can_be_built(words: list[str]) -> None:
    """Or nothing is written, and one line says which answer will not do."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "room.yaml"
        done = new(path, *words, "--yes")
        if done.code == 2:
            assert re.match(r"--[a-z-]+ .*: ", done.err), done.err
            assert not path.exists()
            return
        assert done.code == 0, done.err
        checked = check(path)
        assert checked.code == 0, checked.out + checked.err
        scene = read_scene(path)
    assert scene.room.plan.width == pytest.approx(parse_length(option(words, "--width") or ""), abs=1e-9)
    assert scene.room.plan.length == pytest.approx(parse_length(option(words, "--length") or ""), abs=1e-9)
    notes = re.findall(r"note: (.*)", done.out)
    left_out = [note for note in notes if note.endswith("it is left out") and not note.startswith("screen: ")]
    layout = option(words, "--layout") or "five and four above"
    channels = [each.channel.words for each in LAYOUTS[layout].all_directions] if layout != "none" else []
    speakers = [note for note in left_out if note.split(":")[0] in channels]
    assert len(scene.speakers) + len(speakers) == len(channels)
    if seats := option(words, "--seats"):
        asked = int(seats) * int(option(words, "--rows") or 1)
        assert len(scene.seats) + len(left_out) - len(speakers) == asked
    if option(words, "--screen") not in (None, "none"):
        assert scene.screen or any(note.startswith("screen: ") for note in notes)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_usual_answers_leave_nothing_out(shape: str, tmp_path: Path) -> None:
    done = new(tmp_path / "den.yaml", *DEN, *ceiling(shape), "--yes")
    assert (done.code, done.err) == (0, "")
    assert "note" not in done.out
    assert check(tmp_path / "den.yaml").code == 0
    scene = read_scene(tmp_path / "den.yaml")
    assert len(scene.speakers) == 9
    assert len(scene.seats) == 3
    assert scene.screen


@pytest.mark.parametrize(
    ("words", "highest"),
    [
        (["flat", "--height", "8' 2-1/2\""], 98.5 * INCH),
        (["shed", "--low", "7'", "--high", "10' 1\"", "--rises", "rear"], 121 * INCH),
        (["shed", "--low", "7'", "--high", "6 in 12", "--rises", "left"], 7 * FOOT + 7 * FOOT),
        (["gable", "--ridge", "side-to-side", "--low", "5'", "--peak", "4 in 12"], 5 * FOOT + 10 / 3 * FOOT),
        (["gable", "--ridge", "front-to-back", "--low", "5'", "--peak", "45deg", "--ridge-at", "5'"], 10 * FOOT),
        (["hip", "--low", "7'", "--peak", "6 in 12"], 7 * FOOT + 3.5 * FOOT),
        (["tray", "--height", "8'", "--rise", "9in", "--inset", "18in"], 105 * INCH),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_a_ceiling_comes_out_as_high_as_its_pitch_makes_it(words: list[str], highest: float, tmp_path: Path) -> None:
    """In a room of 14 by 20 ft: the pitch is rise over run, the run the room's width, or half of it up to a ridge."""
    path = tmp_path / "room.yaml"
    done = new(path, "--width", "14'", "--length", "20'", "--ceiling", *words, "--yes")
    assert done.code == 0, done.err
    assert read_scene(path).room.shell.vertices[:, 2].max() == pytest.approx(highest, abs=1e-9)


def test_seats_stand_where_told_in_rows_about_the_middle(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    rows = ["--rows", "2", "--seats", "4", "--front-row", "9' 1/2\"", "--seat-spacing", "25in", "--ear-height", "39in"]
    done = new(path, *DEN, *ceiling("flat"), *rows, "--row-spacing", "4' 11\"", "--riser", "10in", "--yes")
    assert done.code == 0, done.err
    scene = read_scene(path)
    x = np.array([-37.5, -12.5, 12.5, 37.5]) * INCH + 85 * INCH
    front = [[side, -108.5 * INCH, 39 * INCH] for side in x]
    back = [[side, -167.5 * INCH, 49 * INCH] for side in x]
    assert np.array([seat.ear for seat in scene.seats]) == pytest.approx(np.array([*front, *back]), abs=1e-9)
    assert [seat.main for seat in scene.seats] == [True] * 4 + [False] * 4
    (riser,) = scene.room.risers
    assert riser.upper[1] > -167.5 * INCH > riser.lower[1]
    assert riser.lower[1] == pytest.approx(-19 * FOOT)


# --- what does not fit


def test_a_picture_too_large_for_its_wall_is_made_to_fit(tmp_path: Path) -> None:
    """A wall 6 ft wide less an inch on each side, by the 16:9 of a whole-inch diagonal: 80 in is 69.7 in wide."""
    path = tmp_path / "room.yaml"
    done = new(path, "--width", "6'", "--length", "12'", *ceiling("flat"), "--screen", "120in", "--yes")
    assert done.code == 0, done.err
    assert "made 80in, the largest that fits" in done.out
    assert read_scene(path).screen.center == pytest.approx(
        [3 * FOOT, 0, 24 * INCH + 80 * INCH * 9 / math.hypot(16, 9) / 2]
    )


def test_a_picture_that_fits_is_left_alone_to_the_last_inch(tmp_path: Path) -> None:
    wall = math.ceil(100 * 16 / math.hypot(16, 9))  # 87.2 in wide
    done = new(
        tmp_path / "room.yaml",
        "--width",
        f"{wall}in",
        "--length",
        "12'",
        *ceiling("flat"),
        "--screen",
        "100in",
        "--yes",
    )
    assert done.code == 0
    assert "the largest that fits" not in done.out


def test_a_wall_too_low_for_any_picture_has_none(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    words = ["--ceiling", "shed", "--low", "20in", "--high", "12'", "--rises", "rear", "--screen", "90in"]
    done = new(path, *DEN, *words, "--layout", "none", "--yes")
    assert done.code == 0, done.err
    assert "note: screen: the front wall has no room" in done.out
    assert read_scene(path).screen is None


def test_seats_beyond_the_walls_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    done = new(path, "--width", "6'", "--length", "14'", *ceiling("flat"), "--seats", "5", "--yes")
    assert done.code == 0, done.err
    assert [seat.name for seat in read_scene(path).seats] == ["seat 2", "seat 3", "seat 4"]
    assert done.out.count("beyond the walls; it is left out") == 2


def test_a_back_row_with_no_room_for_heads_goes_with_its_riser(tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    words = ["--ceiling", "shed", "--low", "3'", "--high", "9'", "--rises", "front", "--front-row", "8'"]
    done = new(path, *DEN, *words, "--rows", "2", "--row-spacing", "9'", "--yes")
    assert done.code == 0, done.err
    scene = read_scene(path)
    assert [seat.name for seat in scene.seats] == ["front 1", "front 2", "front 3"]
    assert scene.room.risers == ()
    assert done.out.count("it is left out") >= 3


REFUSED = [
    (["--width", "14"], "--width 14: ", "14 has no unit"),
    (["--width", "8in"], "--width 8in: ", "at least"),
    (["--ceiling", "dome"], "--ceiling dome: ", "must be flat, shed, gable, hip or tray"),
    (["--low", "12'"], "--peak 9' 8\": ", "the peak must be higher than the walls"),
    (["--ridge-at", "30'"], "--ridge-at 30': ", "inside the room"),
    (["--peak", "90deg"], "--peak 90deg: ", "is not a pitch"),
    (["--rows", "3"], "--rows 3: ", "whole number from 1 to 2"),
    (["--seats", "many"], "--seats many: ", "whole number from 1 to 12"),
    (["--seats", "0"], "--seats 0: ", "whole number from 1 to 12"),
    (["--front-row", "30'"], "--front-row 30': ", "outside the room"),
    (["--ear-height", "12'"], "--ear-height 12': ", "above the ceiling"),
    (["--seat-spacing", "-2'"], "--seat-spacing -2': ", "more than 0"),
    (["--layout", "nine"], "--layout nine: ", "must be none, front three"),
    (["--print-units", "ells"], "--print-units ells: ", "must be ft-in, mm, cm or m"),
    (["--rise", "1'"], "--rise 1': ", "a ceiling of that shape has no such figure"),
    (["--riser", "1'"], "--riser 1': ", "one row of seats; --rows 2"),
    (["--screen", "none", "--screen-bottom", "1'"], "--screen-bottom 1': ", "no picture to place"),
    (["--title", "\x07"], "--title \x07: ", "cannot stand in a scene file"),
]


@pytest.mark.parametrize(("words", "which", "why"), REFUSED, ids=range(len(REFUSED)))
def test_answers_that_will_not_do(words: list[str], which: str, why: str, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    told = [*DEN, *ceiling("gable"), *words]  # of an option said twice the last counts
    done = new(path, *told, "--yes")
    assert done.code == 2
    assert done.err.startswith(which)
    assert why in done.err
    assert done.err.count("\n") == 1
    assert not path.exists()
    as_json = new(path, *told, "--yes", "--json")
    assert json.loads(as_json.out)["error"]["message"] == done.err.rstrip("\n")
