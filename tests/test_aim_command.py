"""earshed aim: its figures against earshed check, its words, its overlay read back, its picture, what it refuses."""

from __future__ import annotations

import contextlib
import io
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from PIL import Image

from earshed.model.aim_advice import advise
from earshed.model.scene_file.read import read_scene
from earshed.viewer import aim_page
from earshed.viewer.cli import run
from tests.page_words import assert_words_clear

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
DEN = """\
format: 1
title: "Den: #1"
bare_lengths: m
print_units: mm
room: {width: 4.2, length: 5.4, ceiling: {shape: shed, low: 2.1, high: 3.0, rises: right}}
risers: [{name: step, from_left: 0, from_front: 4.2, width: 4.2, length: 1.2, height: 0.2}]
fixtures: [{name: chest, kind: box, from_left: 0, from_front: 1.6, bottom: 0, width: 0.6, length: 1, height: 0.9}]
seats:
  - {name: "one: left", at: {from_left: 1.4, from_front: 3.2}, ear_height: 1.05, main: true, reclined: true}
  - {name: two, at: {from_left: 2.8, from_front: 3.2}, ear_height: 1.05, main: true}
  - {name: back, at: {from_left: 2.1, from_front: 4.7}, ear_height: 1.1}
speaker_types:
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  flush: {mount: in-ceiling, aiming: fixed, coverage: 60deg, cutout: 0.2, bezel: 0.24}
  pivot: {mount: in-wall, aiming: {pivoting: 18deg}, coverage: 90deg, cutout: 0.16}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: 'top: "left" #2, {x}', type: angled, at: {from_left: 1.0, from_front: 1.4}, aim: {toward: front}}
  - {name: top right, type: flush, at: {from_left: 3.2, from_front: 1.4}}
  - {name: aimed, type: angled, at: {from_left: 3.0, from_front: 2.2}, aim: {seats: main}}
  - {name: side, type: pivot, wall: right, from_front: 1.5, height: 1.8}
  - {name: thump, type: sub, at: {from_left: 3, from_front: 0.4}, height: 0.2, faces: rear}
schemes:
  other: {speakers: {aimed: {type: flush, aim: none}}}
"""
ODD = 'top: "left" #2, {x}'


def earshed(*line: object) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(word) for word in line])
    return code, out.getvalue(), err.getvalue()


def document(*line: object) -> dict[str, Any]:
    code, out, err = earshed(*line, "--json")
    assert (code, err) == (0, "") or line[0] == "check"
    read: dict[str, Any] = json.loads(out)
    return read


@pytest.fixture
def den(tmp_path: Path) -> Path:
    path = tmp_path / "den.yaml"
    path.write_text(DEN, encoding="utf-8")
    return path


def pairs_of(document: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    return {(pair["speaker"], pair["seat"]): pair for pair in document["pairs"]}


# --- figures


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
@pytest.mark.parametrize("scheme", ["base", "proposed"])
def test_todays_figures_are_those_of_check_and_the_best_are_no_worse(scene: Path, scheme: str) -> None:
    checked = pairs_of(document("check", scene, "--scheme", scheme))
    main = {seat["name"] for seat in document("check", scene, "--scheme", scheme)["seats"] if seat["main"]}
    for speaker in document("aim", scene, "--scheme", scheme)["speakers"]:
        assert {seat["seat"] for seat in speaker["seats"]} == main
        for seat in speaker["seats"]:
            pair = checked[speaker["name"], seat["seat"]]
            assert (seat["today_deg"], seat["verdict_today"]) == (pair["off_axis_deg"], pair["verdict"])
            assert seat["gain_deg"] == pytest.approx(seat["today_deg"] - seat["best_deg"], abs=1e-12)
        for when in ("today", "best"):
            assert speaker[when]["worst_off_axis_deg"] == max(seat[f"{when}_deg"] for seat in speaker["seats"])
        assert speaker["best"]["worst_off_axis_deg"] <= speaker["today"]["worst_off_axis_deg"] + 1e-7


def test_a_flush_axis_leans_to_the_high_side_by_the_slope_and_a_canted_one_by_more_down_to_less(tmp_path: Path) -> None:
    """Closed form: a ceiling z = z0 + x tan th has the normal (sin th, 0, -cos th), so a flush speaker fires th off
    vertical towards the high side; a cant k in the same direction adds to it, in the opposite one takes from it."""
    slope, cant = math.atan(0.9 / 4.2), math.radians(25)
    for x, leans in ((4.1, slope + cant), (0.1, slope - cant)):
        scene = tmp_path / "slope.yaml"
        ear = f"{{name: far, at: {{from_left: {x}, from_front: 1.4}}, ear_height: 0.2}}"
        text = DEN[: DEN.index("risers")] + f"seats: [{ear}]\n" + DEN[DEN.index("speaker_types") : DEN.index("schemes")]
        scene.write_text(text.replace("from_left: 1.0", "from_left: 2.1"), encoding="utf-8")
        turned, flush = document("aim", scene)["speakers"][:2]
        for speaker, angle in ((turned, leans), (flush, slope)):
            np.testing.assert_allclose(speaker["best"]["axis"], [math.sin(angle), 0, -math.cos(angle)], atol=1e-9)
        assert turned["best"]["heading_deg"] == pytest.approx(90 if leans > 0 else 270)
        assert turned["best"]["tilt_deg"] == pytest.approx(25)


def test_another_type_is_weighed_as_check_weighs_it(den: Path) -> None:
    flush = next(one for one in document("aim", den)["speakers"] if one["name"] == "top right")
    assert [other["type"] for other in flush["other_types"]] == ["angled"]
    (other,) = flush["other_types"]
    assert other["fits_hole"] is True
    said = next(
        f for f in document("check", den)["findings"] if f["subject"] == "top right" and "would" in f["message"]
    )
    assert f"worst seat {other['worst_off_axis_deg']:.1f}°, {other['verdict']}" in said["message"]
    out = " ".join(earshed("aim", den)[1].split())
    assert f"flush: worst seat {flush['best']['worst_off_axis_deg']:.1f}°, outside; angled: " in out


def test_seats_are_chosen_by_group_and_by_name_with_both_postures(den: Path) -> None:
    def seats(*options: str) -> list[str]:
        return [seat["seat"] for seat in document("aim", den, *options)["speakers"][0]["seats"]]

    main = ["one: left", "one: left, reclined", "two"]
    assert seats() == seats("--seats", "main") == main
    assert seats("--seats", "all") == [*main, "back"]
    assert seats("--seats", "one: left") == main[:2]
    assert seats("--seats", "back", "--seats", "two") == ["two", "back"]
    assert seats("--seats", "main", "--seats", "back") == [*main, "back"]


# --- words


def test_each_speaker_is_told_what_it_can_do_how_to_turn_it_and_where_it_lands(den: Path) -> None:
    code, out, err = earshed("aim", den)
    assert (code, err) == (0, "")
    plain = " ".join(out.split())
    assert "leans 25.0° by its build" in plain
    assert "fixed, square to its face" in plain
    assert "pivots up to 18.0°" in plain
    assert "best as it is aimed already: tilted 25.0°" in plain
    assert "its screen-side mark, round towards the right" in plain
    assert "the floor, " in plain
    assert "thump" not in plain
    assert "o'clock" not in plain


def test_only_the_speakers_asked_for_are_told(den: Path) -> None:
    assert [one["name"] for one in document("aim", den, "--speaker", "side")["speakers"]] == ["side"]


# --- the overlay


@pytest.mark.parametrize("seats", [["main"], ["all"], ["two"], ["one: left"], ["two", "back"]])
def test_the_overlay_gives_the_figures_that_were_promised(den: Path, seats: list[str]) -> None:
    options = [word for name in seats for word in ("--seats", name)]
    overlay = den.parent / "den aims.yaml"
    promised = document("aim", den, *options, "--write", overlay)
    assert promised["files"] == [str(overlay)]
    text = overlay.read_text(encoding="utf-8")
    if len(seats) == 1:
        group = seats[0] in ("main", "all")
        assert (f"aim: {{seats: {seats[0]}}}" if group else "aim: {seat: ") in text
    else:
        assert "toward: " in text
    now = pairs_of(document("check", overlay))
    gained = [one for one in promised["speakers"] if one["today"] != one["best"]]
    assert ODD in [one["name"] for one in gained]
    for speaker in promised["speakers"]:
        for seat in speaker["seats"]:
            shown = now[speaker["name"], seat["seat"]]
            assert abs(shown["off_axis_deg"] - seat["best_deg"]) < (0.01 if len(seats) > 1 else 1e-6) or (
                speaker["today"]["worst_off_axis_deg"] - speaker["best"]["worst_off_axis_deg"] < 0.05
            )
    again = earshed("aim", overlay, *options)[1]
    assert "turn it" not in again


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
def test_an_overlay_for_one_scheme_reads_back(scene: Path, tmp_path: Path) -> None:
    copy = tmp_path / scene.name
    copy.write_bytes(scene.read_bytes())
    overlay = tmp_path / "aims.yaml"
    promised = document("aim", copy, "--scheme", "proposed", "--seats", "all", "--write", overlay)
    if promised["files"]:
        assert "scheme: proposed" in overlay.read_text(encoding="utf-8")
        again = document("aim", overlay, "--seats", "all")
        for one, other in zip(promised["speakers"], again["speakers"], strict=True):
            gain = one["today"]["worst_off_axis_deg"] - one["best"]["worst_off_axis_deg"]
            assert other["today"]["worst_off_axis_deg"] == pytest.approx(
                one["best"]["worst_off_axis_deg"], abs=1e-6 if gain >= 0.05 else 0.05
            )


def test_nothing_is_written_where_nothing_would_gain(den: Path) -> None:
    overlay = den.parent / "aims.yaml"
    code, out, _ = earshed("aim", den, "--speaker", "aimed", "--speaker", "top right", "--write", overlay)
    assert code == 0
    assert "is not written" in out
    assert not overlay.exists()


def test_an_overlay_that_is_there_is_kept_unless_forced_and_no_other_file_is_replaced(den: Path) -> None:
    overlay = den.parent / "aims.yaml"
    assert earshed("aim", den, "--write", overlay)[0] == 0
    first = overlay.read_bytes()
    code, _, err = earshed("aim", den, "--seats", "all", "--write", overlay)
    assert (code, "--force" in err, overlay.read_bytes()) == (2, True, first)
    assert earshed("aim", den, "--seats", "all", "--write", overlay, "--force")[0] == 0
    assert overlay.read_bytes() != first
    code, _, err = earshed("aim", den, "--write", den, "--force")
    assert (code, "no overlay" in err, den.read_text(encoding="utf-8")) == (2, True, DEN)
    code, _, err = earshed("aim", overlay, "--write", den.parent / "more.yaml")
    assert (code, "is an overlay itself" in err) == (2, True)


def test_an_overlay_in_another_folder_is_refused(den: Path) -> None:
    other = den.parent / "other"
    other.mkdir()
    code, _, err = earshed("aim", den, "--write", other / "aims.yaml")
    assert (code, "beside its scene" in err, list(other.iterdir())) == (2, True, [])


# --- the picture


def test_the_picture_shows_both_axes_and_is_not_blank(den: Path, tmp_path: Path) -> None:
    out = tmp_path / "new folder" / "aim.png"
    code, printed, err = earshed("aim", den, "--out", out, "--size", "700x500", "--date", "2030-01-02")
    assert (code, err) == (0, "")
    assert str(out) in printed
    pixels = np.asarray(Image.open(out).convert("L"))
    assert pixels.shape == (500, 700)
    assert 0.02 < (pixels < 200).mean() < 0.5
    assert earshed("aim", den, "--out", out)[0] == 2
    assert earshed("aim", den, "--out", out, "--force")[0] == 0


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.stem)
@pytest.mark.parametrize("size", [(700, 500), (1400, 1000)])
def test_words_on_the_picture_stand_clear(scene: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    """Those beside the plan, and the speakers' names on it."""
    seen: list[Figure] = []
    finish = aim_page.finish_page
    monkeypatch.setattr(aim_page, "finish_page", lambda figure, sheet: (finish(figure, sheet), seen.append(figure))[0])
    room = read_scene(scene, "proposed")
    advice = [advise(room, speaker, room.seats) for speaker in room.judged]
    aim_page.aim_page(room, advice, "all seats", size, "2030-01-02")
    (figure,) = seen
    assert_words_clear(figure)
    names = [text for text in figure.axes[0].texts if isinstance(text, Text) and "\n" in text.get_text()]
    names = [text for text in names if text.get_text().split("\n")[0] in [speaker.name for speaker in room.judged]]
    assert len(names) == len(room.judged)
    boxes = [text.get_window_extent() for text in names]
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            assert not a.overlaps(b)


# --- what is refused


@pytest.mark.parametrize(
    ("options", "words"),
    [
        pytest.param(("--speaker", "nobody"), "no speaker nobody", id="unknown speaker"),
        pytest.param(("--seats", "nobody"), "no seat nobody", id="unknown seat"),
        pytest.param(("--scheme", "nothing"), "nothing", id="unknown scheme"),
    ],
)
def test_what_there_is_not_is_refused_with_what_there_is(den: Path, options: tuple[str, ...], words: str) -> None:
    code, out, err = earshed("aim", den, *options)
    assert (code, out) == (2, "")
    assert words in err
    code, out, err = earshed("aim", den, *options, "--json")
    assert (code, err) == (2, "")
    assert words in json.loads(out)["error"]["message"]


def test_a_scene_without_seats_has_nothing_to_aim_at(tmp_path: Path) -> None:
    scene = tmp_path / "bare.yaml"
    text = DEN[: DEN.index("seats:")] + DEN[DEN.index("speaker_types") : DEN.index("  - {name: aimed")]
    scene.write_text(text, encoding="utf-8")
    code, _, err = earshed("aim", scene)
    assert (code, "no seats to aim at" in err) == (2, True)
