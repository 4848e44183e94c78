"""earshed place: what it writes passes its checks, how it ends, and what it says of slips."""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path
from typing import Any

import pytest

from earshed.model.search.search import Search
from earshed.viewer.cli import run
from tests.test_found_places import BUILT

ROOT = Path(__file__).resolve().parent.parent
SMALL = """\
format: 1
title: Den
bare_lengths: m
print_units: mm
room: {width: 3.2, length: 4, ceiling: {shape: flat, height: 2.5}}
datums: {"corner: the 'odd' one": {from_left: 1, from_front: 1}}
screen: {wall: front, width: 1.6, bottom: 0.6}
fixtures: [{name: can, kind: can light, at: {from_left: 0.8, from_front: 1.4}, cutout: 0.15}]
seats:
  - {name: sofa left, at: {from_center: -0.5, from_front: 2.6}, ear_height: 1.1, main: true}
  - {name: "sofa: \\"right\\"", at: {from_center: 0.5, from_front: 2.6}, ear_height: 1.1, main: true}
  - {name: stool, at: {from_center: 0, from_front: 3.4}, ear_height: 1.1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  angled: {mount: in-ceiling, aiming: {angled: 25deg}, coverage: 90deg, cutout: 0.2, bezel: 0.24}
  pivot: {mount: in-ceiling, aiming: {pivoting: 18deg}, coverage: 100deg, cutout: 0.2, bezel: 0.24}
  slot: {mount: in-ceiling, aiming: {pivoting: 10deg}, coverage: 90deg, cutout: 0.12 x 0.3, bezel: 0.15 x 0.33}
  wall: {mount: in-wall, aiming: {pivoting: 12deg}, coverage: 110deg, cutout: 0.18, bezel: 0.2}
  box: {mount: stand, aiming: fixed, coverage: 90deg}
  sub: {mount: stand, aiming: fixed, subwoofer: true}
speakers:
  - {name: "up: left's", type: flush, channel: U+045, at: {from_left: 0.8, from_front: 1.6}}
  - {name: upper right, type: flush, channel: U-045, at: {from_left: 2.4, from_front: 1.6}}
  - {name: side, type: wall, channel: M+090, wall: left, from_front: 2.6, height: 1.2}
  - {name: side too, type: wall, channel: M-090, wall: right, from_front: 2.6, height: 1.2}
  - {name: stand, type: box, at: {from_left: 0.4, from_front: 0.5}, height: 1, faces: rear}
  - {name: low, type: sub, at: {from_left: 2.4, from_front: 0.5}, height: 0.3, faces: rear}
"""


def put(folder: Path, text: str = SMALL) -> Path:
    path = folder / "den.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def place(path: Path, *options: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, Any]]:
    """Exit code and document of `earshed place --json`."""
    capsys.readouterr()
    code = run(["place", str(path), *options, "--json"])
    return code, json.loads(capsys.readouterr().out, parse_constant=pytest.fail)


def told(path: Path, *options: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit code, what is printed and what is complained of."""
    capsys.readouterr()
    code = run(["place", str(path), *options])
    out, err = capsys.readouterr()
    return code, " ".join(out.split()), err


# --- what it writes, against the checks

SCENES = {
    "attic": ["--all"], "barn": ["--pair", "upper left,upper right", "--slack", "6in"], "basement": ["--all"],
    "bonus-room": ["--all"], "office": ["--all"],
}  # fmt: skip


@pytest.mark.parametrize("name", SCENES)
@pytest.mark.parametrize("seats", [[], ["--seats", "all"]], ids=["main seats", "all seats"])
def test_what_is_written_for_a_shipped_scene_passes_its_checks_and_serves_as_promised(name, seats, tmp_path, capsys):
    scene = tmp_path / f"{name}.yaml"
    shutil.copy(ROOT / "scenes" / f"{name}.yaml", scene)
    shutil.copytree(ROOT / "scenes" / "catalogs", tmp_path / "catalogs")
    overlay = tmp_path / "placed.yaml"
    code, found = place(scene, *SCENES[name], *seats, "--write", str(overlay), capsys=capsys)
    assert code == 0
    check_overlay(overlay, found, capsys)


def check_overlay(overlay: Path, found: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    """The findings and angles of `earshed check` on an overlay are those of the places that went into it."""
    run(["check", str(overlay), "--json"])
    checked = json.loads(capsys.readouterr().out)
    sets = (
        found["together"]["choices"] if "together" in found else [answer["choices"][0] for answer in found["answers"]]
    )
    places = {one["speaker"]: one for choice in sets for one in choice}
    assert places
    bad = [one for one in checked["findings"] if one["subject"] in places and one["rule"] in BUILT]
    assert [one for one in bad if one["severity"] != "note"] == []
    angles = {(one["seat"], one["speaker"]): one for one in checked["pairs"]}
    for name, one in places.items():
        for seat in one["seats"]:
            pair = angles[seat["seat"], name]
            assert pair["off_axis_deg"] == pytest.approx(seat["off_axis_deg"], abs=0.02)
            assert pair["visible"] == seat["visible"]
    speakers = {one["name"]: one for one in checked["speakers"]}
    for name, one in places.items():
        assert speakers[name]["position_m"] == pytest.approx(one["position_m"], abs=1e-5)
        assert speakers[name]["type"] == one["type"]


@pytest.mark.parametrize(
    "options",
    [
        ["--speaker", "up: left's", "--seats", "stool", "--seats", 'sofa: "right"'],
        ["--speaker", "side"],
        ["--pair", "side,side too"],
        ["--pair", "upper right,up: left's", "--type", "slot"],
        ["--speaker", "upper right", "--align", "corner: the 'odd' one", "--anywhere"],
        ["--speaker", "upper right", "--speaker", "side"],
    ],
    ids=" ".join,
)
@pytest.mark.parametrize("units", ["mm", "cm", "m", "ft-in"])
def test_what_is_written_reads_back(options, units, tmp_path, capsys):
    scene = put(tmp_path, SMALL.replace("print_units: mm", f"print_units: {units}"))
    overlay = tmp_path / "placed.yaml"
    code, found = place(scene, *options, "--write", str(overlay), capsys=capsys)
    assert code == 0
    assert found["files"] == [str(overlay)]
    check_overlay(overlay, found, capsys)


def test_walls_of_an_outline_are_written_along_them(tmp_path, capsys):
    outline = "{outline: [[0, 0], [3.2, 0], [4, 4], [0, 4]], ceiling: {shape: flat, height: 2.5}}"
    text = SMALL.replace("{width: 3.2, length: 4, ceiling: {shape: flat, height: 2.5}}", outline)
    text = text.replace("wall: left, from_front: 2.6", "wall: 2, along: 2").replace(
        "screen: {wall: front", "screen: {wall: 1"
    )
    text = text.replace("wall: right, from_front: 2.6", "wall: 4, along: 2")
    scene, overlay = put(tmp_path, text), tmp_path / "placed.yaml"
    code, found = place(scene, "--speaker", "side", "--anywhere", "--write", str(overlay), capsys=capsys)
    assert code == 0
    assert "along:" in overlay.read_text(encoding="utf-8")
    check_overlay(overlay, found, capsys)


# --- what it finds


def test_the_order_in_which_partners_are_named_counts_for_nothing(tmp_path, capsys):
    scene = put(tmp_path)
    one = place(scene, "--pair", "up: left's,upper right", capsys=capsys)
    other = place(scene, "--pair", "upper right, up: left's", capsys=capsys)
    assert one == other
    left, right = one[1]["answers"][0]["choices"][0]
    assert left["speaker"] == "up: left's"
    assert left["position_m"][0] + right["position_m"][0] == pytest.approx(3.2, abs=1e-9)
    assert left["worst_off_axis_deg"] == pytest.approx(right["worst_off_axis_deg"], abs=1e-6)


def test_names_of_partners_may_hold_commas(tmp_path, capsys):
    text = SMALL.replace('"up: left\'s"', '"up, left"').replace("name: upper right", 'name: "up, right"')
    code, found = place(put(tmp_path, text), "--pair", "up, left, up, right", capsys=capsys)
    assert code == 0
    assert found["answers"][0]["speakers"] == ["up, left", "up, right"]


def test_a_document_has_plain_numbers_and_all_that_is_told(tmp_path, capsys):
    code, found = place(put(tmp_path), "--speaker", "upper right", capsys=capsys)
    assert code == 0
    assert found["format"] == 1
    assert found["searched"] == 1.0
    (answer,) = found["answers"]
    assert len(answer["choices"]) == 3
    assert answer["step_m"] == pytest.approx(0.0127)
    (first,) = answer["choices"][0]
    assert first["off_window_deg"] == 0.0
    assert first["matches_partner"] is True
    assert {one["seat"] for one in first["seats"]} == {"sofa left", 'sofa: "right"'}
    assert max(one["off_axis_deg"] for one in first["seats"]) == pytest.approx(first["worst_off_axis_deg"])
    assert all(math.isfinite(slide["distance_m"]) and slide["distance_m"] >= 0 for slide in first["slides"])


def test_azimuths_of_ones_own_leave_the_channels_elevations(tmp_path, capsys):
    code, found = place(put(tmp_path), "--speaker", "upper right", "--azimuth=-20..-10", capsys=capsys)
    assert code == 0
    for (one,) in found["answers"][0]["choices"]:
        assert -20.51 <= one["azimuth_deg"] <= -9.49  # half a degree past it counts as in it
        assert 29.49 <= one["elevation_deg"] <= 55.51


def test_elevations_of_ones_own_leave_the_channels_azimuths(tmp_path, capsys):
    code, found = place(put(tmp_path), "--pair", "up: left's,upper right", "--elevation", "56..70", capsys=capsys)
    assert code == 0
    for left, right in found["answers"][0]["choices"][:1]:
        assert 55.49 <= left["elevation_deg"] <= 70.51
        assert 29.49 <= left["azimuth_deg"] <= 45.51
        assert left["azimuth_deg"] == pytest.approx(-right["azimuth_deg"], abs=1e-6)


def test_the_places_of_all_keep_clear_of_each_other(tmp_path, capsys):
    code, found = place(put(tmp_path), "--all", capsys=capsys)
    assert code == 0
    assert found["together"]["proven_best"]
    assert found["together"]["worst_sum_deg"] >= found["together"]["alone_sum_deg"] - 1e-9


# --- how it ends

BLOCKED = SMALL + "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 0.25, direction: front-to-back, "
BLOCKED += "first_center: 0.1}]\n"


def test_where_nothing_fits_it_says_what_to_give_up_writes_nothing_and_ends_with_1(tmp_path, capsys):
    scene, overlay = put(tmp_path, BLOCKED), tmp_path / "placed.yaml"
    code, out, _ = told(scene, "--speaker", "upper right", "--type", "flush", "--write", str(overlay), capsys=capsys)
    assert code == 1
    assert "nothing fits" in out
    assert "framing: to cut where a member is" in out
    assert f"nothing to write to {overlay}" in out
    assert not overlay.exists()


def test_partners_whose_mirror_images_lie_outside_the_room_hear_by_how_much(tmp_path, capsys):
    """A duct leaves the left 1.5 m; the picture's middle is 2.4 m over, so images lie from 3.3 m on, past 3.2 m."""
    text = SMALL.replace("screen: {wall: front, width: 1.6", "screen: {wall: front, width: 1.4, center_from_left: 2.4")
    text += "keep_outs: [{name: duct, kind: duct, from_left: 1.5, from_front: 0, width: 1.7, length: 4}]\n"
    pair = ["--pair", "up: left's,upper right", "--type", "flush"]
    code, out, _ = told(put(tmp_path, text), *pair, capsys=capsys)
    assert code == 1
    assert "places by itself; the mirror image of each lies outside the room, by" in out
    nearest = 1.5 - 0.1 - (1 + 0.25) * 0.0254  # half the hole, and 1 in from a duct with 1/4 in of tolerance
    least = int(out.split("outside the room, by ")[1].split(" mm")[0]) / 1000
    assert least == pytest.approx(2 * 2.4 - nearest - 3.2, abs=0.013)
    assert place(put(tmp_path, text), *pair, capsys=capsys)[1]["answers"][0]["mirror_outside_m"] == pytest.approx(
        least, abs=0.001
    )


def stop_after(parts: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C after some parts of the search."""
    run_on = Search.judged

    def stopped(self: Search) -> Any:
        for number, part in enumerate(run_on(self)):
            yield part
            if number + 1 >= parts:
                raise KeyboardInterrupt

    monkeypatch.setattr(Search, "judged", stopped)


@pytest.mark.parametrize("option", ["--speaker=upper right", "--pair=up: left's,upper right", "--all"])
def test_ctrl_c_keeps_what_was_found(option, tmp_path, capsys, monkeypatch):
    scene, overlay = put(tmp_path), tmp_path / "placed.yaml"
    stop_after(1, monkeypatch)
    code, found = place(scene, option, "--write", str(overlay), capsys=capsys)
    assert code == 130
    assert 0 < found["searched"] < 1
    assert found["answers"][0]["choices"]
    assert overlay.exists()
    code, out, err = told(scene, option, capsys=capsys)
    assert code == 130
    assert "the best so far" in out
    assert "stopped" in err


def test_ctrl_c_before_anything_was_found_says_so_much(tmp_path, capsys, monkeypatch):
    def stopped(self: Search) -> Any:
        raise KeyboardInterrupt
        yield

    monkeypatch.setattr(Search, "judged", stopped)
    code, out, _ = told(put(tmp_path), "--speaker", "upper right", capsys=capsys)
    assert code == 130
    assert "stopped when 0% was searched" in out


def test_ctrl_c_while_it_looks_for_what_would_help_keeps_the_places(tmp_path, capsys, monkeypatch):
    def stopped(self: Search) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(Search, "within", stopped)
    code, found = place(put(tmp_path), "--speaker", "upper right", capsys=capsys)
    assert code == 130
    assert found["searched"] == 1.0
    assert len(found["answers"][0]["choices"]) == 3


def test_write_refuses_what_would_be_lost_or_stand_elsewhere(tmp_path, capsys):
    scene = put(tmp_path)
    before = scene.read_bytes()
    other = tmp_path / "sub"
    other.mkdir()
    there = tmp_path / "there.yaml"
    there.write_text("mine", encoding="utf-8")
    slips = {
        str(scene): "exists already",
        str(other / "placed.yaml"): "an overlay stands beside its scene",
        str(there): "exists already",
    }
    for write, words in slips.items():
        code, _, err = told(scene, "--speaker", "side", "--write", write, capsys=capsys)
        assert code == 2
        assert words in err
    for write in (str(scene), str(there)):
        code, _, err = told(scene, "--speaker", "side", "--write", write, "--force", capsys=capsys)
        assert code == 2
        assert "is no overlay, so it is not replaced" in err
    assert scene.read_bytes() == before
    assert there.read_text(encoding="utf-8") == "mine"
    overlay = tmp_path / "placed.yaml"
    for extra in ([], ["--force"]):
        assert told(scene, "--speaker", "side", "--write", str(overlay), *extra, capsys=capsys)[0] == 0
    code, _, err = told(overlay, "--speaker", "side", "--write", str(tmp_path / "x.yaml"), capsys=capsys)
    assert code == 2
    assert "is an overlay itself" in err


def test_choice_takes_the_one_that_is_asked_for(tmp_path, capsys):
    scene, overlay = put(tmp_path), tmp_path / "placed.yaml"
    code, found = place(scene, "--speaker", "upper right", "--choice", "2", "--write", str(overlay), capsys=capsys)
    assert code == 0
    run(["check", str(overlay), "--json"])
    checked = json.loads(capsys.readouterr().out)
    there = next(one for one in checked["speakers"] if one["name"] == "upper right")
    assert there["position_m"] == pytest.approx(found["answers"][0]["choices"][1][0]["position_m"], abs=1e-5)


def test_a_choice_that_is_not_there_is_said_after_the_report(tmp_path, capsys):
    scene, overlay = put(tmp_path), tmp_path / "placed.yaml"
    asked = ("--speaker", "side", "--choice", "500", "--write", str(overlay))
    code, out, err = told(scene, *asked, capsys=capsys)
    assert code == 2
    assert "places tried" in out
    assert "--choice 500: there are" in err
    assert not overlay.exists()
    code, document = place(scene, *asked, capsys=capsys)
    assert code == 2
    assert document["answers"][0]["choices"]
    assert "--choice 500: there are" in document["error"]["message"]


def test_directions_over_the_rear_and_all_round_may_be_asked_for(tmp_path, capsys):
    scene = put(tmp_path)
    code, found = place(scene, "--speaker", "upper right", "--azimuth", "150..-150", capsys=capsys)
    assert code == 0
    assert abs(found["answers"][0]["choices"][0][0]["azimuth_deg"]) >= 150 - 0.5
    free = place(scene, "--speaker", "upper right", "--anywhere", capsys=capsys)
    all_round = ("--speaker", "upper right", "--azimuth=-180..180", "--elevation=-90..90")
    assert place(scene, *all_round, capsys=capsys) == free
    assert "within" not in told(scene, *all_round, capsys=capsys)[1]


def test_folders_for_the_plan_are_made(tmp_path, capsys):
    out = tmp_path / "new" / "deeper" / "plan.png"
    assert told(put(tmp_path), "--speaker", "side", "--out", str(out), capsys=capsys)[0] == 0
    assert out.stat().st_size > 0


def test_what_is_printed_says_where_to_tape_and_to_test_first(tmp_path, capsys):
    both = ("--speaker", "upper right", "--speaker", "up: left's")
    code, out, _ = told(put(tmp_path, SMALL.replace("print_units: mm", "print_units: ft-in")), *both, capsys=capsys)
    assert code == 0
    for words in ("from the front, in the ceiling", "worst angles add up to", "can slide", "if the test hole finds"):
        assert words in out
    assert "isolate power; a test hole first" in out
    assert "licensed trades" in out
