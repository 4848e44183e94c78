"""What a scene says of how its speaker types sound: keys, files beside it, catalogs, schemes, and slips."""

from __future__ import annotations

import math
import os
from pathlib import Path

import numpy as np
import pytest

from earshed.model.geometry import FRONT, RIGHT, UP
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import files_of, read_scene
from earshed.model.sound.bands import OCTAVES, THIRDS
from earshed.model.sound.directivity import Symmetric, polar
from earshed.model.sound.nominal import Nominal
from earshed.model.sound.of_type import axes_by_band, directivity_of, frames_by_band, radiates_within, source_of
from earshed.model.sound.piston import Piston
from earshed.model.sound.response import Response
from earshed.model.units import INCH
from tests.response_files import OCTAVE_HZ, TENS, piston_levels, table_text
from tests.scene_files import put, put_marked

ROOM = """\
format: 1
title: Snug
room: {width: 12', length: 16', ceiling: {shape: shed, low: 8', high: 11', rises: left}}
seats: [{name: chair, at: {from_left: 6', from_front: 10'}, ear_height: 40in, main: true}]
"""
SPEAKERS = """\
speakers:
  - {name: one, type: round, at: {from_left: 3', from_front: 5'}}
"""


def scene_of(folder: Path, more: str, speakers: str = SPEAKERS) -> Scene:
    return read_scene(put(folder, snug=typed(more) + speakers))


def typed(more: str) -> str:
    return f"{ROOM}speaker_types:\n  round: {{mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 9in{more}}}\n"


def put_table(folder: Path, name: str = "horn.csv", radius: float = 0.03) -> Path:
    hertz = np.array(OCTAVE_HZ)
    path = folder / name
    path.write_text(table_text({"": (TENS, piston_levels(radius, TENS, hertz))}, hertz), encoding="utf-8")
    return path


# --- what they mean


@pytest.mark.parametrize("more", ["", ", directivity: nominal"])
def test_without_more_it_is_the_coverage_angle(tmp_path: Path, more: str) -> None:
    kind = scene_of(tmp_path, more).speaker_types["round"]
    assert source_of(kind) == Nominal(math.pi / 4)
    assert directivity_of(kind).level_toward([1.0, 1.0, 0.0])[OCTAVES.index(4000)] == pytest.approx(-6.0)


def test_sizes_of_drivers_are_diameters(tmp_path: Path) -> None:
    more = ", directivity: {piston: {woofer: 5-1/4in, tweeter: 1in, crossover: 2.5kHz}}"
    kind = scene_of(tmp_path, more).speaker_types["round"]
    assert kind.directivity == Piston(5.25 * INCH / 2, INCH / 2, 2500.0)
    assert kind.crossover_hz == 2500.0
    alone = scene_of(tmp_path, ", directivity: {piston: {woofer: 100mm}}").speaker_types["round"]
    assert alone.directivity == Piston(0.05)


def test_levels_and_powers(tmp_path: Path) -> None:
    kind = scene_of(tmp_path, ", sensitivity: 88dB, max_level: 105 dB, power: 100W").speaker_types["round"]
    assert (kind.sensitivity_db, kind.sensitivity_watts, kind.max_level_db, kind.power_watts) == (88, None, 105, 100)
    kind = scene_of(tmp_path, ", sensitivity: {level: 86dB, watts: 1}").speaker_types["round"]
    assert (kind.sensitivity_db, kind.sensitivity_watts) == (86, 1)
    kind = scene_of(tmp_path, "").speaker_types["round"]
    assert (kind.sensitivity_db, kind.max_level_db, kind.power_watts, kind.steers) == (None, None, None, "whole")


def test_a_subwoofer_plays_all_round_and_a_ceiling_into_half(tmp_path: Path) -> None:
    text = typed("") + "  sub: {mount: stand, aiming: fixed, subwoofer: true, coverage: 90deg}\n"
    types = read_scene(put(tmp_path, snug=text)).speaker_types
    assert np.all(directivity_of(types["sub"]).level_toward([-1.0, 0.0, 0.2]) == 0.0)
    assert radiates_within(types["sub"]) == math.pi
    assert radiates_within(types["round"]) == math.pi / 2


# --- what points where, band by band

STEERED = """\
speakers:
  - {name: one, type: round, at: {from_left: 3', from_front: 5'}, aim: {tilt: 15deg, toward: rear}}
"""


def test_a_tweeter_steers_above_the_crossover(tmp_path: Path) -> None:
    text = typed(", steers: tweeter, crossover: 2.5kHz").replace("fixed", "{pivoting: 15deg}") + STEERED
    (speaker,) = read_scene(put(tmp_path, snug=text)).speakers
    assert speaker.tilt == pytest.approx(math.radians(15))
    for bands in (OCTAVES, THIRDS):
        axes = axes_by_band(speaker, bands)
        assert axes.shape == (len(bands), 3)
        for axis, hertz in zip(axes, bands.exact, strict=True):
            np.testing.assert_array_equal(axis, speaker.normal if hertz < 2500 else speaker.axis)


def test_the_whole_steers_unless_it_says_otherwise(tmp_path: Path) -> None:
    text = typed(", crossover: 2.5kHz").replace("fixed", "{pivoting: 15deg}") + STEERED
    (speaker,) = read_scene(put(tmp_path, snug=text)).speakers
    np.testing.assert_array_equal(axes_by_band(speaker), np.tile(speaker.axis, (len(OCTAVES), 1)))


@pytest.mark.parametrize("aim", ["none", "{tilt: 15deg, toward: rear}", "{tilt: 12deg, toward: 35deg right of front}"])
def test_frames_are_right_handed_and_upright(tmp_path: Path, aim: str) -> None:
    text = typed(", steers: tweeter, crossover: 1kHz").replace("fixed", "{pivoting: 15deg}") + STEERED
    (speaker,) = read_scene(put(tmp_path, snug=text.replace("{tilt: 15deg, toward: rear}", aim))).speakers
    frames = frames_by_band(speaker)
    np.testing.assert_allclose(frames @ np.swapaxes(frames, 1, 2), np.broadcast_to(np.eye(3), frames.shape), atol=1e-12)
    np.testing.assert_allclose(frames[:, 0], axes_by_band(speaker), atol=1e-12)
    np.testing.assert_allclose(np.cross(frames[:, 0], frames[:, 2]), frames[:, 1], atol=1e-12)
    assert np.all(frames[:, 2] @ UP >= 0)
    off, _ = polar(frames @ speaker.normal)
    np.testing.assert_allclose(off, np.where(OCTAVES.exact < 995, 0.0, speaker.tilt), atol=1e-7)


def test_straight_down_up_is_the_front(tmp_path: Path) -> None:
    text = (typed("") + SPEAKERS).replace("{shape: shed, low: 8', high: 11', rises: left}", "{shape: flat, height: 8'}")
    (speaker,) = read_scene(put(tmp_path, snug=text)).speakers
    np.testing.assert_allclose(frames_by_band(speaker)[0], [-UP, RIGHT, FRONT], atol=1e-12)


# --- files


def test_a_table_stands_beside_the_scene(tmp_path: Path) -> None:
    table = put_table(tmp_path)
    scene = scene_of(tmp_path, ", directivity: {measured: horn.csv}")
    kind = scene.speaker_types["round"]
    assert isinstance(kind.directivity, Response)
    assert isinstance(directivity_of(kind), Symmetric)
    level = directivity_of(kind).level_toward([math.cos(0.5236), math.sin(0.5236), 0.0])[OCTAVES.index(4000)]
    assert level == pytest.approx(piston_levels(0.03, np.array([30.0]), np.array([4000.0]))[0, 0], abs=1e-4)
    assert table in files_of(tmp_path / "snug.yaml")


def test_a_table_that_changes_is_read_again(tmp_path: Path) -> None:
    put_table(tmp_path)
    first, again = (scene_of(tmp_path, ", directivity: {measured: horn.csv}").speaker_types["round"] for _ in range(2))
    assert first == again
    os.utime(put_table(tmp_path, radius=0.06), (1, 1))
    changed = scene_of(tmp_path, ", directivity: {measured: horn.csv}").speaker_types["round"]
    assert changed != first
    assert np.all(changed.directivity.levels[9] <= first.directivity.levels[9])


def test_a_catalog_s_table_stands_beside_the_catalog(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "home"))
    stock = tmp_path / "home" / "earshed"
    stock.mkdir(parents=True)
    text = "format: 1\ncatalog: Stock\nspeaker_types:\n  house: {mount: in-ceiling, aiming: fixed, coverage: 90deg, "
    put(stock, stock=text + "directivity: {measured: horn.csv}, sensitivity: 90dB}\n")
    table = put_table(stock)
    scene = put(tmp_path, snug=ROOM + "catalogs: [stock.yaml]\n" + SPEAKERS.replace("round", "house"))
    assert isinstance(read_scene(scene).speaker_types["house"].directivity, Response)
    assert read_scene(scene).speakers[0].type.sensitivity_db == 90
    assert {stock / "stock.yaml", table} <= set(files_of(scene))


def test_schemes_may_change_how_a_type_sounds(tmp_path: Path) -> None:
    table = put_table(tmp_path)
    schemes = "schemes:\n  as measured: {speaker_types: {round: {directivity: {measured: horn.csv}, power: 50W}}}\n"
    path = put(tmp_path, snug=typed(", directivity: {piston: {woofer: 6in}}, power: 80W") + schemes)
    base, measured = (read_scene(path, name).speaker_types["round"] for name in ("base", "as measured"))
    assert isinstance(base.directivity, Piston)
    assert isinstance(measured.directivity, Response)
    assert (base.power_watts, measured.power_watts) == (80, 50)
    assert table in files_of(path)


def test_a_file_that_cannot_be_used_is_told_with_its_row_and_the_line_that_names_it(tmp_path: Path) -> None:
    table = put_table(tmp_path)
    table.write_text(table.read_text(encoding="utf-8").replace("\n30,", "\n15,"), encoding="utf-8")
    path, mark = put_marked(tmp_path, snug=typed(", directivity: {measured: ¦horn.csv}"))
    with pytest.raises(SceneError, match=r"horn\.csv, row 5, column 1: 15 degrees comes after 20") as refused:
        read_scene(path)
    assert refused.value.mark == mark
    assert 'speaker type "round", directivity, measured' in refused.value.message


FILES = [
    ("measured: ../horn.csv", "../horn.csv is not a plain file name"),
    ("measured: /tmp/horn.csv", "/tmp/horn.csv is not a plain file name"),
    ("measured: ..", ".. is not a plain file name"),
    ("measured: gone.csv", "there is no file gone.csv in .*; there are horn.csv"),
    ("sofa: gone.sofa", "there is no file gone.sofa in"),
    ("sofa: horn.csv", "horn.csv cannot be read as AES69"),
]


@pytest.mark.parametrize(("said", "words"), FILES, ids=range(len(FILES)))
def test_files_that_are_not_there(tmp_path: Path, said: str, words: str) -> None:
    put_table(tmp_path)
    with pytest.raises(SceneError, match=words):
        scene_of(tmp_path, f", directivity: {{{said}}}")


# --- slips

SLIPS = [
    ("sensitivity: ¦0", "0 must be from 60 to 120, written like 88dB"),
    ("sensitivity: ¦900", "900 must be from 60 to 120, written like 88dB"),
    ("sensitivity: {level: ¦59dB}", "59dB must be from 60 to 120"),
    ("sensitivity: {level: 86dB, watts: ¦0}", "0 must be from 0.1 to 100, written like 1W"),
    ("sensitivity: ¦{watts: 1}", "needs `level`"),
    ("max_level: ¦loud", "loud must be from 60 to 150, written like 105dB"),
    ("power: ¦0W", "0W must be from 1 to 5000, written like 100W"),
    ("directivity: ¦narrow", "narrow must be nominal, {piston: {woofer: DIAMETER, ...}}, {measured: FILE.csv}"),
    ("directivity: ¦{}", "must be one of nominal, {piston"),
    ("directivity: ¦{measured: a.csv, sofa: b.sofa}", "must be one of nominal"),
    ("directivity: {¦pistons: {woofer: 6in}}", "`pistons` is not a key here; did you mean `piston`?"),
    ("directivity: {piston: ¦{tweeter: 1in, crossover: 2kHz}}", "needs `woofer`"),
    ("directivity: {piston: ¦{woofer: 6in, tweeter: 1in}}", "tweeter and crossover go together"),
    ("directivity: {piston: ¦{woofer: 6ft}}", "woofer must be from 1/2in to 24in across"),
    ("directivity: {piston: ¦{woofer: 1in, tweeter: 6in, crossover: 2kHz}}", "the tweeter must be smaller"),
    ("directivity: {piston: {woofer: 6in, tweeter: 1in, crossover: ¦80Hz}}", "80Hz must be from 200Hz to 10kHz"),
    ("steers: ¦woofer", "must be whole or tweeter, not woofer"),
]


@pytest.mark.parametrize(("said", "words"), SLIPS, ids=range(len(SLIPS)))
def test_slips_are_told_at_their_place(tmp_path: Path, said: str, words: str) -> None:
    path, mark = put_marked(tmp_path, snug=typed(f", {said}"))
    with pytest.raises(SceneError) as refused:
        read_scene(path)
    assert words in refused.value.message
    assert 'speaker type "round"' in refused.value.message
    assert refused.value.mark == mark


TOGETHER = [
    (", steers: tweeter, crossover: 2kHz", "steers: tweeter is for an angled or a pivoting type"),
    (", aiming: {angled: 20deg}, steers: tweeter", "steers: tweeter needs crossover"),
    (", crossover: 2kHz, directivity: {piston: {woofer: 6in}}", "crossover stands under piston, with tweeter"),
]


@pytest.mark.parametrize(("more", "words"), TOGETHER, ids=range(len(TOGETHER)))
def test_what_does_not_go_together(tmp_path: Path, more: str, words: str) -> None:
    text = typed(more)
    text = text.replace("aiming: fixed, ", "") if "aiming" in more else text
    with pytest.raises(SceneError, match=words):
        read_scene(put(tmp_path, snug=text))
