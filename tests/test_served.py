"""How loud and how even a speaker is, and what lies in its shadow: laws, closed forms, and what the commands tell."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earshed.model.aim_advice import WORTH_EVENING, advise
from earshed.model.scene import Scene
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.seating import AROUND_SEATS, Seat, main_seats
from earshed.model.shadows import seating_shadows
from earshed.model.sound.balance import balances
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import Drive
from earshed.model.sound.served import compared, served
from earshed.viewer.cli import run
from earshed.viewer.served_words import served_words, shadow_words

SCENES = sorted((Path(__file__).resolve().parent.parent / "scenes").glob("*.yaml"))
PLAIN = """\
format: 1
title: Plain
bare_lengths: m
print_units: mm
room: {{width: 6, length: 8, ceiling: {{shape: flat, height: 3}}}}
seats: [{{name: chair, at: {{from_left: 3, from_front: 4}}, ear_height: 1.1, main: true}}]
speaker_types: {{square: {{mount: in-wall, aiming: fixed, coverage: {{angle: 120, band: 4kHz}}, cutout: 0.2}}}}
speakers: [{{name: one, type: square, wall: front, from_left: 3, height: 1.1}}]
fixtures: [{fixtures}]
"""


def plain(fixtures: str = "") -> Scene:
    return scene_from_tree(parse_tree(PLAIN.format(fixtures=fixtures), "plain.yaml"))


# --- levels


@given(near=st.floats(0.2, 3.0), doublings=st.integers(1, 4))
def test_on_the_axis_twice_as_far_is_six_decibels_less(near, doublings):
    """20 lg 2 = 6.0206 dB, the inverse square law."""
    scene = plain()
    (speaker,) = scene.speakers
    seats = [Seat(f"s{n}", speaker.position + near * 2.0**n * speaker.axis) for n in range(doublings + 1)]
    found = served(scene, speaker, seats)
    assert found.spread == pytest.approx(6.0206 * doublings, abs=1e-4)
    assert found.spreads == pytest.approx([6.0206 * doublings] * 8, abs=1e-4)
    assert found.softest.seat is seats[-1]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_one_seat_has_no_spread_and_is_the_softest_and_the_dullest(path):
    scene = read_scene(path, None)
    for speaker in scene.judged:
        found = served(scene, speaker, scene.seats[:1])
        assert found.spread == 0.0
        assert np.all(found.spreads == 0.0)
        assert found.softest is found.dullest is found.seats[0]


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_it_is_what_levels_tells_of_the_main_seats(path):
    scene = read_scene(path, None)
    for one in balances(scene, Drive()):
        found = served(scene, one.speaker, main_seats(scene.seats))
        assert found.spread == pytest.approx(one.speech_spread, abs=1e-12)
        np.testing.assert_allclose(found.spreads, one.spreads, atol=1e-12)
        assert found.softest.speech == pytest.approx(min(at.speech for at in one.main), abs=1e-12)
        assert found.re_reference == pytest.approx(found.softest.speech - one.reference.speech, abs=1e-12)


def test_the_worst_band_is_one_from_500_hz_to_8_khz_and_the_dullest_seat_is_that_farthest_off_axis():
    scene = plain()
    (speaker,) = scene.speakers
    seats = [Seat("ahead", np.array([3.0, -4.0, 1.1])), Seat("aside", np.array([5.0, -4.0, 1.1]))]
    found = served(scene, speaker, seats)
    assert OCTAVES.nominal[found.worst_band] == 8000.0
    assert found.spreads[found.worst_band] < found.spreads[OCTAVES.index(16000)] + 1e-12
    assert found.dullest.seat.name == "aside"
    half = math.atan2(2, 4) / math.radians(60)
    assert found.dullest.tone[OCTAVES.index(4000)] == pytest.approx(-6 * half**2, abs=1e-9)


def test_seats_are_compared_upright_where_any_is():
    chair = Seat("chair", np.zeros(3))
    low = Seat("chair, reclined", np.zeros(3), reclined_from="chair")
    assert compared([chair, low]) == (chair,)
    assert compared([low]) == (low,)


# --- shadows


@pytest.mark.parametrize("from_left", [0.5, 3.0, 5.2])
def test_nothing_is_in_shadow_in_an_empty_convex_room(from_left):
    scene = plain()
    (speaker,) = scene.speakers
    moved = replace(speaker, position=np.array([from_left, 0.0, 1.1]))
    assert seating_shadows(scene, [speaker, moved]) == [{}, {}]


@settings(max_examples=25)
@given(aside=st.floats(-0.55, 0.55))
def test_behind_a_wall_lies_the_segment_of_the_circle_that_it_cuts_off(aside):
    """The area round one seat is a circle; a tall box whose edge is d beside the middle of it, as seen from the speaker
    straight ahead, hides a segment: (arccos x - x sqrt(1 - x²)) / pi, x = d / r, of it (plane geometry)."""
    edge = 3 + aside / 4 * 0.5  # half a metre from the speaker, four metres before the seat
    across = f"from_left: {edge!r}, from_front: 0.5, width: 2.4, length: 0.001"
    scene = plain(f"{{name: pier, kind: box, {across}, bottom: 0, height: 3}}")
    (hidden,) = seating_shadows(scene, scene.speakers)
    d = abs(aside) * math.cos(math.atan2(aside, 4))
    x = math.copysign(d, aside) / AROUND_SEATS
    share = (math.acos(x) - x * math.sqrt(1 - x * x)) / math.pi
    assert hidden["pier"] == pytest.approx(share, abs=0.015)
    assert shadow_words(hidden) == f"{hidden['pier']:.0%} of the seating area, behind pier"


def test_shadows_in_words():
    assert shadow_words({}) == "none of the seating area"
    assert shadow_words({"pier": 0.004}) == "under 1% of the seating area, behind pier"
    assert shadow_words({"pier": 0.3, "fan": 0.1}) == "40% of the seating area, behind pier (30%), fan (10%)"


# --- what is told


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_an_even_aim_is_told_where_it_is_worth_it_and_leaves_no_seat_out(path):
    for scheme in (None, *read_scene(path, None).schemes):
        scene = read_scene(path, scheme)
        for speaker in scene.judged:
            one = advise(scene, speaker, main_seats(scene.seats))
            if one.even is not None:
                assert one.even.served.spread <= one.served_best.spread - WORTH_EVENING
                assert one.even.worst.verdict != "outside"
                assert one.even.worst.off_axis >= one.worst_best.off_axis - 1e-9


def test_words_name_the_softest_seat_and_how_far_the_reference_position_is_over_it():
    scene = plain()
    (speaker,) = scene.speakers
    alone = served_words(served(scene, speaker, scene.seats))
    assert alone == "chair 76.0 dB at 2.83 V; 4 kHz 0.0 dB down at chair"
    far = Seat("far", np.array([3.0, -8.0, 1.1]))
    both = served_words(served(scene, speaker, [*scene.seats, far]))
    assert both == (
        "softest far 69.9 dB at 2.83 V, 6.0 dB under the reference position; spread 6.0 dB; 4 kHz 0.0 dB down at chair"
    )


def document(capsys: pytest.CaptureFixture[str], *line: object) -> dict:
    assert run([*map(str, line), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_json_of_aim_holds_what_is_printed(path, capsys):
    scheme = "proposed" if "proposed" in read_scene(path, None).schemes else "base"
    scene = read_scene(path, scheme)
    told = document(capsys, "aim", path, "--scheme", scheme)
    for one, speaker in zip(told["speakers"], scene.judged, strict=True):
        found = served(scene, speaker, main_seats(scene.seats))
        today = one["today"]["served"]
        assert today["softest_db"] == pytest.approx(found.softest.speech)
        assert today["speech_spread_db"] == pytest.approx(found.spread)
        assert today["worst_band"]["spread_db"] == max(
            spread for spread, hz in zip(today["spread_db"], today["bands_hz"], strict=True) if 500 <= hz <= 8000
        )
        assert one["shadow"]["share"] == pytest.approx(sum(part["share"] for part in one["shadow"]["by"]))
        assert set(one["best"]) >= {"axis", "tilt_deg", "heading_deg", "lands_m", "worst_off_axis_deg", "served"}
        if one["most_even"] is None:
            assert all(seat["most_even_deg"] is None for seat in one["seats"])
        else:
            assert set(one["most_even"]) == set(one["best"])
            worst = max(seat["most_even_deg"] for seat in one["seats"])
            assert one["most_even"]["worst_off_axis_deg"] == pytest.approx(worst)
