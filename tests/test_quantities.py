"""Maps of level, spread and shadow as files: what is written, what the arrays hold, and how slips are answered."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from matplotlib.text import Text
from PIL import Image

from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.sound.bands import BANDS, OCTAVES, THIRDS
from earshed.model.sound.level import Drive, heard
from earshed.viewer.band_options import band_of
from earshed.viewer.cli import run
from earshed.viewer.level_page import LEVEL_COLORS, SPREAD_COLORS
from earshed.viewer.map_page import finish_page

BONUS = Path(__file__).resolve().parent.parent / "scenes" / "bonus-room.yaml"
SIZE = ["--size", "700x500"]


def test_levels_are_drawn_for_each_speaker_and_kept_as_arrays(tmp_path, capsys):
    words = ["map", str(BONUS), "--quantity", "level", "--band", "2k", "--out", str(tmp_path), "--json", *SIZE]
    assert run([*words, "--speaker", "center", "--speaker", "upper rear left"]) == 0
    files = [Path(name) for name in json.loads(capsys.readouterr().out)["files"]]
    assert [path.name for path in files] == [
        "level-center-2kHz.png", "level-upper-rear-left-2kHz.png", "coverage.npz", "seats.csv",
    ]  # fmt: skip
    for path in files[:2]:
        with Image.open(path) as picture:
            assert picture.size == (700, 500)
    with np.load(tmp_path / "coverage.npz") as file:
        arrays = dict(file)
    assert list(arrays["speakers"]) == ["center", "upper rear left"]
    np.testing.assert_array_equal(arrays["bands_hz"], OCTAVES.nominal)
    assert arrays["level_db"].shape == (*arrays["off_axis_deg"].shape, 8)
    scene = read_scene(BONUS, None)
    center = next(one for one in scene.speakers if one.name == "center")
    row, column = np.argwhere(arrays["inside"])[4000]
    point = np.array([arrays["x"][column], arrays["y"][row], arrays["height"][row, column]])
    exact = heard(center, Seat("here", point), Drive()).levels
    np.testing.assert_allclose(arrays["level_db"][0, row, column], exact, atol=0.02)


def test_spread_is_one_picture_of_the_set(tmp_path):
    out = tmp_path / "new"
    assert run(["map", str(BONUS), "--quantity", "spread", "--out", str(out), *SIZE]) == 0
    assert sorted(path.name for path in out.iterdir()) == ["coverage.npz", "seats.csv", "spread-4kHz.png"]


@pytest.mark.parametrize("colors", [LEVEL_COLORS, SPREAD_COLORS], ids=["level", "spread"])
def test_steps_of_color_are_told_apart_in_gray(colors):
    gray = [sum(int(color[i : i + 2], 16) * w for i, w in ((1, 0.299), (3, 0.587), (5, 0.114))) for color in colors]
    assert np.all(np.abs(np.diff(gray)) > 8)


@pytest.mark.parametrize("bands", BANDS.values(), ids=list(BANDS))
def test_bands_are_typed_as_they_are_said(bands):
    for number, hertz in enumerate(bands.nominal):
        short = f"{hertz / 1000:g}k" if hertz >= 1000 else f"{hertz:g}"
        assert {band_of(said, bands) for said in (short, f"{hertz:g}", f"{short}Hz", f" {short} hz")} == {number}


@pytest.mark.parametrize("said", ["3.15k", "3k", "", "k", "4kk", "-4k", "nan", "16 000"])
def test_what_is_no_band_is_told_with_those_there_are(said, tmp_path, capsys):
    assert run(["map", str(BONUS), "--quantity", "level", "--band", said, "--out", str(tmp_path / "m")]) == 2
    err = capsys.readouterr().err
    assert "is none of the bands: 125, 250, 500, 1k, 2k, 4k, 8k, 16k; --bands thirds has more" in err


def test_thirds_of_octaves_are_mapped_too(tmp_path):
    words = ["map", str(BONUS), "--quantity", "level", "--bands", "thirds", "--band", "3.15k", "--speaker", "center"]
    assert run([*words, "--out", str(tmp_path), *SIZE]) == 0
    assert (tmp_path / "level-center-3.15kHz.png").is_file()
    with np.load(tmp_path / "coverage.npz") as file:
        np.testing.assert_array_equal(file["bands_hz"], THIRDS.nominal)
        assert file["level_db"].shape[-1] == len(THIRDS)


def test_maps_of_the_angle_keep_levels_too_but_where_they_are_too_many(tmp_path, capsys, monkeypatch):
    words = ["map", str(BONUS), "--speaker", "center", *SIZE, "--out"]
    assert run([*words, str(tmp_path / "one")]) == 0
    assert "without levels" not in capsys.readouterr().out
    monkeypatch.setattr("earshed.viewer.quantities.MOST_LEVELS", 1000)
    assert run([*words, str(tmp_path / "two")]) == 0
    assert "is without levels, which would be too many" in " ".join(capsys.readouterr().out.split())
    with np.load(tmp_path / "one" / "coverage.npz") as one, np.load(tmp_path / "two" / "coverage.npz") as two:
        assert set(one.files) - set(two.files) == {"bands_hz", "level_db"}


# --- shadows


PILLAR = """
format: 1
title: A pillar
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}
fixtures: [{name: pillar, kind: column, at: {from_left: 2, from_front: 2}, width: 0.5, length: 0.5}]
seats:
  - {name: behind, at: {from_left: 2, from_front: 4}, ear_height: 1.1, main: true}
  - {name: aside, at: {from_left: 3.5, from_front: 4}, ear_height: 1.1, main: true}
listening_plane: {height: 1.1, step: 0.05}
speaker_types: {box: {mount: in-wall, aiming: fixed, coverage: 120deg, cutout: 0.2, bezel: 0.24}}
speakers:
  - {name: center, type: box, wall: front, from_left: 2, height: 1.1}
  - {name: far right, type: box, wall: front, from_left: 3.5, height: 1.1}
"""


def test_shadows_are_drawn_for_each_speaker_and_for_the_set(tmp_path, capsys, monkeypatch):
    (tmp_path / "pillar.yaml").write_text(PILLAR)
    words: dict[str, list[str]] = {}

    def finish(figure, sheet):
        words[figure.texts[0].get_text()] = [text.get_text() for text in figure.findobj(Text)]
        return finish_page(figure, sheet)

    monkeypatch.setattr("earshed.viewer.shadow_page.finish_page", finish)
    run(["map", str(tmp_path / "pillar.yaml"), "--quantity", "shadow", "--out", str(tmp_path / "m"), *SIZE])
    names = ["coverage.npz", "seats.csv", "shadow-center.png", "shadow-far-right.png", "shadow.png"]
    assert sorted(path.name for path in (tmp_path / "m").iterdir()) == names
    one, other, both = words["center"], words["far right"], words["In sight: 2 channels, 2 speakers"]
    assert "by pillar" in one
    assert "pillar" in one  # in its shadow
    assert "by pillar" not in other
    assert "1 of 2 seen" in both
    assert "2 of 2 seen" in both
    with np.load(tmp_path / "m" / "coverage.npz") as file:
        inside, visible = file["inside"], file["visible"]
    hidden = [1 - seen[inside].mean() for seen in visible]
    assert f"hides {hidden[0]:.0%} of the room" in " ".join(one)
    assert f"hides {hidden[1]:.0%} of the room" in " ".join(other)
    unseen = 1 - visible.all(axis=0)[inside].mean()
    assert f"{unseen:.0%} of the room does not see every channel." in " ".join(both)
    assert "hides a speaker from 100%" in both


def test_files_that_are_there_are_not_replaced_unasked(tmp_path, capsys):
    (tmp_path / "coverage.npz").write_text("mine")
    assert run(["map", str(BONUS), "--quantity", "spread", "--out", str(tmp_path), *SIZE]) == 2
    assert (tmp_path / "coverage.npz").read_text() == "mine"
    assert "exists already" in capsys.readouterr().err


def test_without_seats_there_is_nothing_to_hold_levels_against(tmp_path, capsys):
    path = tmp_path / "bare.yaml"
    path.write_text(
        "format: 1\ntitle: Bare\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2.5m}}\n"
        "listening_plane: {height: 1m, step: 0.2m}\n"
        "speaker_types: {t: {mount: in-ceiling, aiming: fixed, coverage: 90deg}}\n"
        "speakers: [{name: up, type: t, at: {from_left: 1m, from_front: 1m}}]\n"
    )
    assert run(["map", str(path), "--quantity", "level", "--out", str(tmp_path / "m")]) == 2
    assert "no seats, so no reference position" in capsys.readouterr().err


def test_too_many_levels_at_once_are_refused_with_what_would_do(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("earshed.viewer.quantities.MOST_LEVELS", 1000)
    assert run(["map", str(BONUS), "--quantity", "level", "--out", str(tmp_path / "m")]) == 2
    err = capsys.readouterr().err
    assert "are too many at once, at most 1,000" in err
    assert "step to" in err
    assert not (tmp_path / "m").exists()
