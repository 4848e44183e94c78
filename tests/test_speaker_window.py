"""Windows of direction in scenes: which one a channel gets, what a scene says itself, and what is told of it.

Systems and ranges: Rec. ITU-R BS.2051-3 (05/2022), Tables 1 and 3 to 12; pairs: section 3.1.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earshed.model.bs2051 import SYSTEMS
from earshed.model.checks.run import find_all
from earshed.model.finding import Finding
from earshed.model.layout import LAYOUTS
from earshed.model.pairs import seat_pairs
from earshed.model.proposal import propose
from earshed.model.scene import Scene
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from earshed.model.speaker_window import ASIDE, UP_AND_DOWN, partner_of, window_of, workable
from earshed.model.window import ANY_AZIMUTH, ANY_ELEVATION, Window
from tests.proposal_rooms import TYPES, Plain, plain_rooms
from tests.test_symmetry import as_it_is, in_the_mirror, read
from tests.window_rooms import PLACE, at_one_place, hung, scene_of

# --- which window, and which partner


@pytest.mark.parametrize(
    ("labels", "letter"),
    [
        ("M+030 M-030", "A"), ("M+030 M-030 M+000", "B"), ("M+030 M+110 U+030", "C"), ("M+110 U+030 U+110", "D"),
        ("B+000 U+110", "E"), ("M+090 UH+180", "F"), ("U+045 M+SC", "G"), ("M+060 U+045", "H"), ("M+090 M+135", "I"),
        ("M+030 M+000 U+045", "J"),  # F has as many channels, but the rear center overhead that few rooms have
        ("M+030 LFE1", "A"), ("U+045 LFE2 M+090", "J"),  # what has no direction is not asked after
        ("U+110 U+135 M+030", "D"), ("M+030 U+045 T+000 U+030", "J"),  # none has all: the first of J, D, C ... for each
    ],
)  # fmt: skip
def test_the_smallest_system_that_has_every_channel_is_taken(labels: str, letter: str) -> None:
    scene = at_one_place(*labels.split())
    asked = SYSTEMS[letter].allowed[labels.split()[0]]
    source = f"Rec. ITU-R BS.2051-3, system {letter}"
    azimuths, elevations = workable(asked.azimuths, ASIDE), workable(asked.elevations, UP_AND_DOWN)
    assert window_of(scene, scene.speakers[0]) == Window(azimuths, elevations, source)


@pytest.mark.parametrize("label", ["LFE1", "LFE2", "M+SC", "U+050"])
def test_no_window_where_the_standard_gives_no_direction(label: str) -> None:
    scene = at_one_place(label, "M+030")
    assert window_of(scene, scene.speakers[0]) is None
    assert window_of(scene, scene.speakers[1])


def test_no_window_and_no_partner_without_a_channel() -> None:
    scene = scene_of(f"{{name: one, type: flush, {PLACE}}}", f"{{name: two, type: flush, {PLACE}}}")
    assert [window_of(scene, speaker) for speaker in scene.speakers] == [None, None]
    assert [partner_of(scene, speaker) for speaker in scene.speakers] == [None, None]


def test_partners_carry_mirrored_labels() -> None:
    scene = at_one_place("U+045", "M+000", "U-045", "M+090", "M+180", "U+050", "U-050", "LFE1", "LFE2", "M+SC", "M-SC")
    partners = {s.channel.label: partner_of(scene, s) for s in scene.speakers}
    assert {label: partner and partner.channel.label for label, partner in partners.items()} == {
        "U+045": "U-045", "U-045": "U+045", "U+050": "U-050", "U-050": "U+050", "M+SC": "M-SC", "M-SC": "M+SC",
        "M+000": None, "M+090": None, "M+180": None, "LFE1": None, "LFE2": None,
    }  # fmt: skip


@given(st.lists(st.sampled_from(["U+045", "U-045", "M+090", "M-090", "M+000"]), min_size=1, max_size=7))
@settings(max_examples=30)
def test_a_partner_has_that_speaker_for_its_partner(labels: list[str]) -> None:
    scene = at_one_place(*labels)
    for speaker in scene.speakers:
        partner = partner_of(scene, speaker)
        assert partner is None or partner_of(scene, partner) is speaker
        alone = labels.count(speaker.channel.label) == 1 and labels.count(speaker.channel.mirrored.label) == 1
        assert (partner is not None) == (alone and speaker.channel.label != "M+000")


# --- the scene's own windows


@pytest.mark.parametrize(
    ("written", "right", "left", "low", "high"),
    [
        ("{azimuth: 30..45, elevation: 30..55}", 30, 45, 30, 55), ("{azimuth: -45deg .. -30deg}", -45, -30, -90, 90),
        ("{elevation: -15.5..20}", -180, 180, -15.5, 20), ("{azimuth: 170..-170}", 170, 190, -90, 90),
        ("{azimuth: -90..90}", -90, 90, -90, 90), ("{azimuth: 180..180}", 180, 180, -90, 90),
        ("{azimuth: -180..-170}", 180, 190, -90, 90),
        ("{azimuth: -180..180, elevation: 0..10}", -180, 180, 0, 10), ("{azimuth: 135..-45}", 135, 315, -90, 90),
        ("{azimuth: .5..1.5}", 0.5, 1.5, -90, 90), ("{elevation: 90..90}", -180, 180, 90, 90),
    ],
)  # fmt: skip
def test_a_speaker_may_bring_its_own_window(written, right, left, low, high) -> None:
    scene = at_one_place("U+045", more=f", window: {written}")
    found = window_of(scene, scene.speakers[0])
    assert np.degrees([*found.azimuths, *found.elevations]) == pytest.approx([right, left, low, high])
    assert (found.azimuths == ANY_AZIMUTH) == ((right, left) == (-180, 180))
    assert (found.elevations == ANY_ELEVATION) == ((low, high) == (-90, 90))


@pytest.mark.parametrize(
    ("written", "key", "words"),
    [
        ("{azimuth: 45..30}", "45..30", "45..30 is wider than half a circle, .* write 30..45"),
        ("{azimuth: -100..100}", "-100..100", "wider than half a circle"),
        ("{azimuth: 0..181}", "0..181", "0..181 is not two azimuths in degrees, .* neither past 180 degrees"),
        ("{azimuth: 30-45}", "30-45", "30-45 is not two azimuths in degrees, the right end first, such as 30..45"),
        ("{azimuth: 0...45}", "0...45", "0...45 is not two azimuths"),
        ("{azimuth: 30..45..60}", "30..45..60", "is not two azimuths"),
        ("{azimuth: 30..}", "30..}", "is not two azimuths"),
        ("{azimuth: [30, 45]}", "[30", "must be two azimuths in degrees, .* not a list"),
        ("{elevation: 55..30}", "55..30", "55..30 begins with the higher one; write the lower one first"),
        ("{elevation: 30..91}", "30..91", "is not two elevations in degrees, .* neither past 90 degrees"),
        ("{}", "{}", "needs azimuth, elevation or both, such as {azimuth: 30..45, elevation: 30..55}"),
        ("30..45", "30..45", "needs keys, such as {azimuth: ..., elevation: ...}"),
        ("{azimut: 30..45}", "azimut:", "`azimut` is not a key here; did you mean `azimuth`"),
    ],
)
def test_what_a_window_may_not_say(written: str, key: str, words: str) -> None:
    with pytest.raises(SceneError, match=words) as caught:
        at_one_place("U+045", more=f", window: {written}")
    line = f"  - {{name: 0, type: flush, channel: U+045, {PLACE}, window: {written}}}"
    assert 'speaker "0", window' in caught.value.words
    assert (caught.value.mark.line, caught.value.mark.column) == (7, line.index(key, line.index("window:")) + 1)


def test_a_scheme_replaces_a_window_whole() -> None:
    text = """format: 1
title: Plain room
room: {width: 4m, length: 6m, ceiling: {shape: flat, height: 2.6m}}
speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 100mm}}
speakers:
  - {name: one, type: flush, at: {from_left: 1m, from_front: 2m}, window: {azimuth: 30..45, elevation: 30..55}}
schemes: {low: {speakers: {one: {window: {elevation: 20..30}}}}}
"""
    scene = scene_from_tree(parse_tree(text, "plain.yaml"), scheme="low")
    assert np.degrees(scene.speakers[0].window.azimuths).tolist() == [-180, 180]
    assert np.degrees(scene.speakers[0].window.elevations) == pytest.approx([20, 30])


# --- what is told


def told(scene: Scene, rule: str) -> list[Finding]:
    return [finding for finding in find_all(scene, seat_pairs(scene)) if finding.rule == rule]


@pytest.mark.parametrize(
    ("label", "azimuth", "elevation", "words"),
    [
        ("U+045", 24.1, 61, "24.1° to the left, 61.0° up; its channel (Rec. ITU-R BS.2051-3, system J) asks for 30° to "
         "45° to the left and 30° to 55° up: 5.9° too near the middle and 6.0° too high"),
        ("U-045", -24.1, 50, "5.9° too near the middle"), ("U-045", -60, 50, "15.0° too far to the right"),
        ("U+045", -10, 50, "40.0° too far to the right"), ("U+045", 120, 50, "75.0° too far back"),
        ("U+135", 95, 50, "5.0° too far forward"), ("U-135", -155, 50, "5.0° too far back"),
        ("U-135", 170, 50, "40.0° too far to the left"), ("U+000", 9, 40, "asks for 5° to the right to 5° to the "
         "left and 30° to 45° up: 4.0° too far to the left"), ("U+180", 170, 40, "5.0° too far forward"),
        ("U+180", -170, 40, "5.0° too far forward"), ("U+180", 30, 40, "145.0° too far forward"),
        ("T+000", 77, 70, "asks for 80° to 90° up: 10.0° too low"),
        ("M+090", 90, 40, "10° down to 10° up: 30.0° too high"),
    ],
)  # fmt: skip
def test_a_speaker_outside_its_window_is_told_by_how_much_and_which_way(label, azimuth, elevation, words) -> None:
    (found,) = told(scene_of(hung("one", label, azimuth, elevation)), "outside-window")
    assert (found.severity, found.subject) == ("note", "one")
    assert found.message.startswith("heard from ")
    assert found.message.endswith(words)


def test_a_speaker_inside_its_window_is_told_nothing() -> None:
    scene = scene_of(hung("one", "U+045", 30.1, 54.9), hung("two", "U-135", -149.9, 40))
    assert told(scene, "outside-window") == []


def test_past_the_scenes_own_window_is_a_warning_and_its_channels_is_no_longer_asked_for() -> None:
    own = ", window: {azimuth: 50..60, elevation: 30..40}"
    (found,) = told(scene_of(hung("one", "U+045", 40, 35, own)), "outside-window")
    assert (found.severity, found.subject) == ("warning", "one")
    assert found.message.endswith(
        "; the scene asks for 50° to 60° to the left and 30° to 40° up: 10.0° too near the middle"
    )
    assert told(scene_of(hung("one", "U+045", 55, 35, own)), "outside-window") == []
    (found,) = told(scene_of(hung("one", "U+045", 55, 35, ", window: {elevation: 40..50}")), "outside-window")
    assert found.message.endswith("; the scene asks for 40° to 50° up: 5.0° too low")


@pytest.mark.parametrize(
    ("left", "right", "words"),
    [
        (("U+045", 40, 40), ("U-045", -34, 40),
         "uneven by 6.0° sideways; keep a pair in front within 5° (common practice"),
        (("U+045", 40, 40), ("U-045", -36, 34), "uneven by 4.0° sideways and 6.0° in height; keep"),
        (("U+135", 120, 40), ("U-135", -109, 40),
         "by 11.0° sideways; such a pair may differ by 10° (Rec. ITU-R BS.2051-3"),
        (("U+045", 40, 40), ("U-045", -36, 40), ""), (("U+135", 120, 40), ("U-135", -111, 45), ""),
    ],
)  # fmt: skip
def test_an_uneven_pair_is_told_once(left, right, words) -> None:
    found = told(scene_of(hung("b", *left), hung("a", *right)), "pair-uneven")
    assert [(f.severity, f.subject) for f in found] == ([("note", "a")] if words else [])
    for finding in found:
        assert words in finding.message
        assert f"to the right, {right[2]}.0° up, but b from " in finding.message


SIDES = {"left": "right", "right": "left"}


def test_a_mirrored_scene_is_told_the_mirrored_words() -> None:
    here, there = read(as_it_is()), read(in_the_mirror())
    for rule in ("outside-window", "pair-uneven"):
        messages = [finding.message for finding in told(here, rule)]
        swapped = [re.sub("left|right", lambda side: SIDES[side[0]], message) for message in messages]
        assert [finding.message for finding in told(there, rule)] == swapped
        assert messages


@settings(max_examples=25)
@given(plain_rooms(), st.sampled_from(list(LAYOUTS)))
def test_what_a_layout_allows_is_inside_its_channels_windows(room: Plain, name: str) -> None:
    """A layout that finds a place for all its channels is known again by them; what it allows is then told nothing."""
    proposed = propose(room.scene, LAYOUTS[name], TYPES)
    scene = replace(room.scene, speakers=tuple(proposal.speaker for proposal in proposed.proposals))
    outside = {finding.subject for finding in told(scene, "outside-window")}
    assume(not proposed.left_out)
    for proposal in proposed.proposals:
        found = window_of(scene, proposal.speaker)
        asked = proposal.direction
        assert found.azimuths == workable(asked.azimuths, ASIDE)
        assert found.elevations == workable(asked.elevations, UP_AND_DOWN)
        assert not (proposal.allowed and proposal.speaker.name in outside)
