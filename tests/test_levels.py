"""Levels at seats: worked by hand, and laws that hold for any speaker in any of the shipped rooms."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.listener import listener_of
from earshed.model.scene_file.read import read_scene
from earshed.model.seating import Seat
from earshed.model.sound.air import air_loss
from earshed.model.sound.balance import balances
from earshed.model.sound.bands import OCTAVES, THIRDS
from earshed.model.sound.commissioning import expected
from earshed.model.sound.decibels import a_weighting
from earshed.model.sound.level import Air, Drive, axis_level, heard, loudest_level, toward, trims
from earshed.model.sound.of_type import axes_by_band
from earshed.model.speaker_type import Coverage, Fixed, SpeakerType
from earshed.viewer.cli import run
from earshed.viewer.level_words import read_air, read_drive
from earshed.viewer.sheets.commission_page import commission_sheets
from earshed.viewer.sheets.paper_size import PAPERS
from earshed.viewer.sheets.title_block import stamp
from tests.page_words import assert_apart, boxes_on
from tests.pdf_pages import pages_of

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
BONUS = next(path for path in SCENES if path.stem == "bonus-room")
KIND = SpeakerType("plain", "in-ceiling", Fixed(), Coverage(math.radians(90), 4000.0))


def rated(**facts) -> SpeakerType:
    return replace(KIND, **facts)


def one_speaker():
    return next(one for one in read_scene(BONUS, None).speakers if one.surface is not None)


def test_a_hundred_watts_at_three_and_a_half_metres_by_hand():
    """88 dB for a watt at a metre: 88 + 10 lg 100 - 20 lg 3.5 = 97.119."""
    kind = rated(sensitivity_db=88.0, sensitivity_watts=1.0, impedance=8.0)
    speaker = replace(one_speaker(), type=kind)
    seat = Seat("there", speaker.position + 3.5 * speaker.axis)
    assert heard(speaker, seat, Drive(None, 100.0)).levels == pytest.approx([97.119] * 8, abs=0.001)


def test_what_two_point_eight_three_volts_mean_at_four_ohm():
    """2.83 V are 2.0022 W into 4 ohm, so that a watt there gives 3.01 dB less than the rated volts."""
    kind = rated(sensitivity_db=88.0, impedance=4.0)
    assert axis_level(kind, Drive()) == 88.0
    assert axis_level(kind, Drive(None, 1.0)) == pytest.approx(88 - 3.015, abs=0.005)
    eight = rated(sensitivity_db=88.0, impedance=8.0)
    assert axis_level(eight, Drive(None, 1.0)) == pytest.approx(88.0, abs=0.01)


@given(st.floats(0.01, 100.0), st.floats(1.0, 8.0))
def test_ten_times_the_volts_are_twenty_decibels_and_twice_as_far_is_six(volts, distance):
    speaker = one_speaker()
    near, far = (Seat("there", speaker.position + way * distance * speaker.axis) for way in (1, 2))
    once, loud = (heard(speaker, near, Drive(v)).levels for v in (volts, 10 * volts))
    np.testing.assert_allclose(loud - once, 20.0, atol=1e-9)
    np.testing.assert_allclose(once - heard(speaker, far, Drive(volts)).levels, 20 * math.log10(2), atol=1e-9)


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_at_every_seat_level_is_axis_distance_direction_and_air(path):
    scene = read_scene(path, "proposed")
    air = Air(20.0, 50.0)
    for balance in balances(scene, Drive(), air):
        speaker = balance.speaker
        for at in balance.seats:
            distance = np.linalg.norm(at.seat.ear - speaker.position)
            lost = distance * air_loss(OCTAVES.exact, 20.0, 50.0)
            made = axis_level(speaker.type, Drive()) - 20 * np.log10(distance) + toward(speaker, at.seat.ear) - lost
            np.testing.assert_allclose(at.levels, made, atol=1e-9)
            assert at.levels[2:6].min() - 1e-9 <= at.speech <= at.levels[2:6].max() + 1e-9


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_turned_down_by_their_trims_all_are_within_half_a_step(path):
    found = balances(read_scene(path, None), Drive())
    even = [one.reference.speech + one.trim for one in found]
    assert max(even) - min(even) <= 0.5 + 1e-9
    assert max(one.trim for one in found) == 0.0


@given(st.lists(st.floats(40, 110), max_size=8), st.floats(-30, 30))
def test_trims_are_of_differences_alone_and_never_turn_up(levels, more):
    turned = trims(levels)
    assert all(trim <= 0.0 for trim in turned)
    assert turned == trims([level + round(more) for level in levels])


def test_on_the_axis_nothing_is_lost_and_off_it_something():
    speaker = one_speaker()
    np.testing.assert_allclose(toward(speaker, speaker.position + 2 * speaker.axis), 0.0, atol=1e-9)
    aside = np.cross(speaker.axis, [0.3, 0.5, 0.8])
    assert np.all(toward(speaker, speaker.position + speaker.axis + aside) < 0)


def test_bands_that_are_not_steered_fall_off_from_the_baffle():
    """A swivel tweeter: below the crossover the woofer stays square to its face."""
    scene = read_scene(BONUS, "proposed")
    tilted = next(one for one in scene.speakers if one.tilt > 0.2)
    split = replace(tilted, type=replace(tilted.type, steers="tweeter", crossover_hz=2500.0))
    axes = axes_by_band(split)
    np.testing.assert_allclose(axes[0], split.normal)
    np.testing.assert_allclose(axes[-1], split.axis)
    at_axis, at_normal = (toward(split, split.position + 2 * way) for way in (split.axis, split.normal))
    assert at_axis[-1] == pytest.approx(0.0, abs=1e-9)
    assert at_normal[0] == pytest.approx(0.0, abs=1e-9)
    assert at_axis[3] < 0
    assert at_normal[-1] < 0


def test_the_loudest_is_what_is_stated_or_what_the_power_gives():
    assert loudest_level(KIND) is None
    assert loudest_level(rated(max_level_db=104.0, power_watts=50.0)) == 104.0
    kind = rated(sensitivity_db=90.0, sensitivity_watts=1.0, impedance=8.0, power_watts=100.0)
    assert loudest_level(kind) == pytest.approx(110.0)


def test_json_holds_what_is_printed(capsys):
    assert run(["levels", str(BONUS), "--json", "--drive", "20W"]) == 0
    document = json.loads(capsys.readouterr().out)
    scene = read_scene(BONUS, None)
    assert document["drive"] == {"volts": None, "watts": 20.0}
    ear = listener_of(scene).ear
    for told, speaker in zip(document["speakers"], scene.judged, strict=True):
        assert told["distance_m"] == pytest.approx(np.linalg.norm(speaker.position - ear))
        assert len(told["reference"]["level_db"]) == len(document["bands_hz"]) == 8
    assert run(["levels", str(BONUS), "--drive", "50W"]) == 0
    printed = capsys.readouterr().out
    assert "recommended exposure (NIOSH), as information" in " ".join(printed.split())
    assert run(["levels", str(BONUS)]) == 0
    assert "NIOSH" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--drive", "0V"], "0V is no drive from 0.001 to 5000; write volts or watts"),
        (["--drive", "loud"], "loud is no drive"),
        (["--air", "20 degrees"], "20 degrees is no air of a room; write degrees and humidity"),
        (["--air", "20C 150%"], "is no air of a room"),
    ],
)
def test_slips_are_told_with_how_to_write_it(words, says, capsys):
    assert run(["levels", str(BONUS), *words]) == 2
    assert says in " ".join(capsys.readouterr().err.split())


def test_a_room_without_seats_or_speakers_says_what_to_add(tmp_path, capsys):
    path = tmp_path / "bare.yaml"
    path.write_text("format: 1\ntitle: Bare\nroom: {width: 3m, length: 4m, ceiling: {shape: flat, height: 2.5m}}\n")
    assert run(["levels", str(path)]) == 2
    assert "has no seats to listen from" in capsys.readouterr().err


def test_drives_and_air_are_read_as_they_are_written():
    assert read_drive("2.83V") == Drive(2.83)
    assert read_drive(" 20 watts") == Drive(None, 20.0)
    assert read_air("20C, 50%") == Air(20.0, 50.0)
    assert read_air("-5 °C 30 %") == Air(-5.0, 30.0)


def test_the_ohms_to_read_are_the_coil_and_the_cable_there_and_back():
    """Three quarters of 8 ohm are 6; with the scene's cable its loop besides."""
    scene = read_scene(BONUS, "proposed")
    bare = replace(scene, wiring=None)
    found = balances(scene, Drive())
    for one in expected(bare, found):
        assert one.ohm == pytest.approx(0.75 * (one.balance.speaker.type.impedance or 8.0))
        assert one.short < one.ohm < one.open
    for one, without in zip(expected(scene, found), expected(bare, found), strict=True):
        assert one.run is not None
        assert one.run.loss is not None
        assert one.ohm == pytest.approx(without.ohm + one.run.loss.loop)


@pytest.mark.parametrize("path", SCENES, ids=[path.stem for path in SCENES])
def test_the_commissioning_sheet_can_be_read_and_filled_in(path):
    scene = read_scene(path, "proposed")
    sheets = commission_sheets(scene, PAPERS["Letter"])
    stamp(sheets, scene, "2026-11-26")
    for sheet in sheets:
        sheet.figure.set_dpi(300)
        boxes = boxes_on(sheet.figure)
        assert_apart(list(boxes), boxes)
    words = [text.get_text() for sheet in sheets for text in sheet.axes.texts]
    for one in balances(scene, Drive()):
        assert any(word.startswith(one.speaker.name.split()[0]) for word in words)
        assert f"{one.trim:.1f} dB" in words


def test_levels_write_the_sheet(tmp_path, capsys):
    out = tmp_path / "c.pdf"
    assert run(["levels", str(BONUS), "--out", str(out), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [str(out)]
    assert "Commissioning" in pages_of(out, dpi=40)[0].text


def test_pink_noise_weighted_is_the_same_in_octaves_and_in_thirds_where_the_speaker_is_even():
    """On the axis all bands are alike, so only the weighting counts: a third of an octave is finer, not louder."""
    scene = read_scene(BONUS, "proposed")
    speaker = scene.judged[3]
    seat = Seat("on the axis", speaker.position + 2.0 * speaker.axis)
    fine, coarse = (heard(speaker, seat, Drive(), bands=bands) for bands in (THIRDS, OCTAVES))
    flat = float(coarse.levels[0])
    weights = a_weighting(OCTAVES.exact)
    assert coarse.a_weighted == pytest.approx(flat + 10 * math.log10(np.mean(10 ** (weights / 10))))
    assert fine.a_weighted == pytest.approx(coarse.a_weighted, abs=0.3)
    louder = heard(speaker, seat, Drive(2 * 2.83))
    assert louder.a_weighted - coarse.a_weighted == pytest.approx(20 * math.log10(2))


def test_thirds_are_told_band_by_band(capsys):
    assert run(["levels", str(BONUS), "--scheme", "proposed", "--bands", "thirds", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["bands_hz"] == list(THIRDS.nominal)
    for one in told["speakers"]:
        assert len(one["spread_db"]) == len(one["reference"]["level_db"]) == len(THIRDS)
    assert run(["levels", str(BONUS), "--scheme", "proposed", "--bands", "thirds"]) == 0
    printed = capsys.readouterr().out
    assert all(re.search(rf"(?m)^{name} ", printed) for name in THIRDS.names)
    spreads = next(line for line in printed.splitlines() if line.startswith("3.15 kHz")).split()[2:]
    band = THIRDS.index(3150)
    assert spreads == [f"{one['spread_db'][band]:.1f}" for one in told["speakers"]]
