"""Maps of level and spread as files: what is written, what the arrays hold, and how slips are answered."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import Drive, heard
from earshed.viewer.cli import run
from earshed.viewer.level_page import LEVEL_COLORS, SPREAD_COLORS
from earshed.viewer.sound_maps import BANDS

BONUS = Path(__file__).resolve().parent.parent / "scenes" / "bonus-room.yaml"
SIZE = ["--size", "700x500"]


def test_levels_are_drawn_for_each_speaker_and_kept_as_arrays(tmp_path, capsys):
    words = ["map", str(BONUS), "--quantity", "level", "--band", "2k", "--out", str(tmp_path), "--json", *SIZE]
    assert run([*words, "--speaker", "center", "--speaker", "upper rear left"]) == 0
    files = [Path(name) for name in json.loads(capsys.readouterr().out)["files"]]
    assert [path.name for path in files] == [
        "level-center-2kHz.png", "level-upper-rear-left-2kHz.png", "coverage.npz",
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
    assert sorted(path.name for path in out.iterdir()) == ["coverage.npz", "spread-4kHz.png"]


@pytest.mark.parametrize("colors", [LEVEL_COLORS, SPREAD_COLORS], ids=["level", "spread"])
def test_steps_of_color_are_told_apart_in_gray(colors):
    gray = [sum(int(color[i : i + 2], 16) * w for i, w in ((1, 0.299), (3, 0.587), (5, 0.114))) for color in colors]
    assert np.all(np.abs(np.diff(gray)) > 8)


def test_bands_are_typed_as_they_are_said():
    assert list(BANDS) == ["125", "250", "500", "1k", "2k", "4k", "8k", "16k"]


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
    monkeypatch.setattr("earshed.viewer.sound_maps.MOST_LEVELS", 1000)
    assert run(["map", str(BONUS), "--quantity", "level", "--out", str(tmp_path / "m")]) == 2
    err = capsys.readouterr().err
    assert "are too many at once, at most 1,000" in err
    assert "step to" in err
    assert not (tmp_path / "m").exists()
