"""Checks on what holes run into or crowd: each rule with a scene that raises it and a near twin that does not."""

from __future__ import annotations

import math

import pytest

from earshed.model.clearances import PRACTICE, USUAL, Clearances
from earshed.model.hidden import CAUTIONS
from earshed.model.units import INCH
from tests.test_checks import FLAT, GABLE, SLOPE, box, findings, hang, opening, screen, wall

# A hole at (2, 3) in a level ceiling is 0.2 m wide under a bezel of 0.24; lengths in metres, printed in millimetres.
KEPT = Clearances()
SAW, CLAMP, EDGE = KEPT.of("saw"), KEPT.of("clamp"), KEPT.of("edge")
HAIR = 0.0001


def joist(gap, sure="0", **keys):
    """One member found, 40 mm thick, with that gap to the hole at 2 m from the left."""
    said = "name: joists, surface: ceiling, member: 40mm x 200mm, direction: front-to-back"
    return f"[{{{said}, members: [{{center: {2.12 + gap}, sure: {sure}}}]}}]"


def hidden(kind, gap, keys="sure: 0"):
    return f"[{{name: it, kind: {kind}, at: {{from_left: {2.15 + gap}, from_front: 3}}, diameter: 0.1, {keys}}}]"


def old(left, front=3, cutout=0.1):
    return f"[{{name: old can, at: {{from_left: {left}, from_front: {front}}}, cutout: {cutout}}}]"


def thing(kind, left, front=3, keys="diameter: 0.1", name="it"):
    return f"[{{name: {name}, kind: {kind}, at: {{from_left: {left}, from_front: {front}}}, {keys}}}]"


def beam(left):
    return f"[{{name: tie, kind: beam, runs: front-to-back, center_from_left: {left}, depth: 0.2, width: 0.2}}]"


def clear(**kept):
    return f"{{{', '.join(f'{key}: {value}' for key, value in kept.items())}}}"


def mm(metres):
    return f"{metres * 1000:.0f} mm"


NO_CLAMPS = clear(clamp=0)
RIDGE = {"room": GABLE, "seats": None, "speakers": hang((2 - 0.15 / SLOPE, 3))}  # its rim is 30 mm from the ridge
WALL = {"speakers": wall(2, 1.1), "seats": None}


def of_one(**sections):
    return [one for one in findings(**sections) if one.subject == "one"]


HATCH = "[{name: hatch, wall: ceiling, from_left: %s, from_front: 2.9, width: 0.4, length: 0.4}]"

CASES = [
    # rule, severity, subject, what the message says, the scene that raises it, the twin that does not
    ("crosses-member", "error", ["into member 1 of joists by 10 mm", "slide it 42 mm towards the left to clear"],
     {"framing": joist(-0.01)}, {"framing": joist(HAIR)}),
    ("near-member", "error", ["10 mm from member 1 of joists", "19 mm is wanted for the saw and the bezel: 9 mm short"],
     {"framing": joist(0.01)}, {"framing": joist(SAW + HAIR)}),
    ("near-member", "warning", ["20 mm from", "known only to 6 mm; probe for its edge before you cut, or slide"],
     {"framing": joist(0.02, "scanned"), "clearances": NO_CLAMPS},
     {"framing": joist(SAW + INCH / 4 + HAIR, "scanned"), "clearances": NO_CLAMPS}),
    ("near-member", "error", ["8 mm is wanted", "4 mm short"],
     {"framing": joist(0.004), "clearances": clear(saw=0.008, clamp=0)},
     {"framing": joist(0.0081), "clearances": clear(saw=0.008, clamp=0)}),
    ("near-member", "warning", ["4 mm from member 1 of joists, but where that lies is known only to 6 mm"],
     {"framing": joist(0.004, "scanned"), "clearances": clear(saw=0, clamp=0)},
     {"framing": joist(0.0065, "scanned"), "clearances": clear(saw=0, clamp=0)}),
    ("clamp-short", "warning", ["25 mm from", "32 mm is wanted for its clamps: 7 mm short"],
     {"framing": joist(0.025)}, {"framing": joist(CLAMP + HAIR)}),
    ("clamp-short", "warning", ["35 mm from", "for its clamps, but where that lies is known only to 6 mm"],
     {"framing": joist(0.035, "scanned")}, {"framing": joist(CLAMP + INCH / 4 + HAIR, "scanned")}),
    ("clamp-short", "warning", ["20 mm from", "32 mm is wanted for its clamps: 12 mm short"],
     {"framing": joist(0.02, "scanned")}, {"framing": joist(0.04, "scanned")}),
    ("cuts-hidden", "error", ["runs into it (blocking) by 5 mm"],
     {"keep_outs": hidden("blocking", -0.005)}, {"keep_outs": hidden("blocking", HAIR)}),
    ("near-member", "error", ["9 mm from it (blocking)", "10 mm short"],
     {"keep_outs": hidden("blocking", 0.009)}, {"keep_outs": hidden("blocking", SAW + HAIR)}),
    ("near-member", "error", ["9 mm from it (blocking), where 12 mm is wanted for the saw and the bezel: 3 mm short"],
     {"keep_outs": hidden("blocking", 0.009), "clearances": clear(blocking=0.012, clamp=0)},
     {"keep_outs": hidden("blocking", 0.0121), "clearances": clear(blocking=0.012, clamp=0)}),
    ("near-member", "error", ["9 mm from it (blocking), where 12 mm is wanted"],
     {"keep_outs": hidden("blocking", 0.009, "sure: 0, keep_clear: 0.012")},
     {"keep_outs": hidden("blocking", 0.0121, "sure: 0, keep_clear: 0.012")}),
    ("clamp-short", "warning", ["20 mm from it (blocking)", "12 mm short"],
     {"keep_outs": hidden("blocking", 0.02)}, {"keep_outs": hidden("blocking", CLAMP + HAIR)}),
    ("near-hidden", "warning", ["27 mm from it (pipe), to be kept 25 mm clear, but where that lies"],
     {"keep_outs": hidden("pipe", 0.027, "sure: scanned")},
     {"keep_outs": hidden("pipe", INCH * 1.25 + HAIR, "sure: scanned")}),
    ("near-hidden", "warning", ["5 mm from it (pipe), to be kept 10 mm clear: 5 mm short"],
     {"keep_outs": hidden("pipe", 0.005, "sure: 0, keep_clear: 0.01")},
     {"keep_outs": hidden("pipe", 0.0101, "sure: 0, keep_clear: 0.01")}),
    ("near-hidden", "warning", ["5 mm from it (pipe), but where that lies is known only to 6 mm"],
     {"keep_outs": hidden("pipe", 0.005, "sure: scanned, keep_clear: 0")},
     {"keep_outs": hidden("pipe", 0.0065, "sure: scanned, keep_clear: 0")}),
    ("meets-old-hole", "error", ["runs into the old hole old can by 20 mm"],
     {"existing_holes": old(2.13)}, {"existing_holes": old(2.15 + HAIR)}),
    ("meets-old-hole", "error", ["into the old hole old can by 97 mm", "slide it 2 mm towards the right to clear"],
     {"existing_holes": old(2.053)}, {"existing_holes": old(2.0515)}),
    ("meets-old-hole", "error", ["lies in the larger old hole old can"],
     {"existing_holes": old(2, cutout=0.25)}, {"existing_holes": old(2, cutout=0.2)}),
    ("near-old-hole", "warning", ["20 mm from the old hole old can", "51 mm clear: 31 mm short"],
     {"existing_holes": old(2.17)}, {"existing_holes": old(2.15 + 2 * INCH + HAIR)}),
    ("near-edge", "warning", ["10 mm from the crease to the left wall", "15 mm short; slide it 16 mm towards"],
     {"speakers": hang((0.13, 3)), "seats": None}, {"speakers": hang((0.12 + EDGE + HAIR, 3)), "seats": None}),
    ("near-edge", "warning", ["10 mm from the crease", "4 mm short"],
     {"speakers": hang((0.13, 3)), "seats": None, "clearances": clear(edge=0.014)},
     {"speakers": hang((0.1341, 3)), "seats": None, "clearances": clear(edge=0.014)}),
    ("in-opening", "error", ["the opening door in the front wall by 20 mm", "towards the right"],
     WALL | {"speakers": wall(1.08, 1.1), "openings": opening(0.1)}, WALL | {"openings": opening(0.1)}),
    ("in-opening", "error", ["the opening hatch in the ceiling by 20 mm"],
     {"openings": HATCH % 2.08}, {"openings": HATCH % 2.1001}),
    ("too-near", "warning", ["10 mm from the opening door, to be kept 25 mm clear: 15 mm short"],
     WALL | {"speakers": wall(1.13, 1.1), "openings": opening(0.1)},
     WALL | {"speakers": wall(1.12 + INCH + HAIR, 1.1), "openings": opening(0.1)}),
    ("too-near", "warning", ["10 mm from the screen", "15 mm short; slide it 16 mm down to clear"],
     WALL | {"speakers": wall(2, 0.67), "screen": screen(2)},
     WALL | {"speakers": wall(2, 0.68 - INCH - HAIR), "screen": screen(2)}),
    ("too-near", "warning", ["10 mm from the bezel of two", "15 mm short"],
     {"speakers": hang((2, 3), (2.25, 3))}, {"speakers": hang((2, 3), (2.24 + INCH + HAIR, 3))}),
    ("too-near", "warning", ["10 mm from tie (the beam)", "15 mm short; slide it 16 mm towards the left to clear"],
     {"fixtures": beam(2.23)}, {"fixtures": beam(2.22 + INCH + HAIR)}),
    ("too-near", "warning", ["10 mm from shelf (the box)", "15 mm short"],
     {"fixtures": box(2.13, 2.8, 0.5, 0.5, 2.2, 0.4), "seats": None},
     {"fixtures": box(2.12 + INCH + HAIR, 2.8, 0.5, 0.5, 2.2, 0.4), "seats": None}),
    ("too-near", "warning", ["(the sprinkler on the right slope)", "305 mm clear", "a sprinkler is never moved"],
     RIDGE | {"fixtures": thing("sprinkler", 2.1)}, RIDGE | {"fixtures": thing("sprinkler", 2.45)}),
    ("too-near", "warning", ["(the vent)", "60 mm from", "(the vent), to be kept 70 mm clear: 10 mm short"],
     {"fixtures": thing("vent", 2.23), "clearances": clear(vent=0.07)},
     {"fixtures": thing("vent", 2.2401), "clearances": clear(vent=0.07)}),
    ("hidden-outside", "error", ["all of it lies outside the room"],
     {"keep_outs": "[{name: one, kind: pipe, at: {from_left: 5, from_front: 3}, diameter: 0.1}]", "speakers": None},
     {"keep_outs": "[{name: one, kind: pipe, at: {from_left: 4, from_front: 3}, diameter: 0.1}]", "speakers": None}),
    ("hole-past-edge", "error", ["past the edge of the ceiling by 20 mm"],
     {"existing_holes": old(0.03).replace("old can", "one"), "speakers": None},
     {"existing_holes": old(0.0501).replace("old can", "one"), "speakers": None}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "severity", "words", "raising", "quiet"), CASES)
def test_rule(rule, severity, words, raising, quiet):
    found = [finding for finding in findings(**raising) if finding.rule == rule]
    assert [(finding.severity, finding.subject) for finding in found] == [(severity, "one")]
    for word in words:
        assert word in found[0].message
    assert rule not in [finding.rule for finding in findings(**quiet)]


@pytest.mark.parametrize("kind", ["pipe", "cable", "duct", "driver box", "unknown"])
def test_what_is_hidden_is_kept_clear_of(kind):
    wanted = KEPT.of(kind)
    (cut,) = [one for one in findings(keep_outs=hidden(kind, -0.01)) if one.subject == "one"]
    assert (cut.severity, cut.rule) == ("error", "cuts-hidden")
    assert (
        f"runs into it ({kind}) by 10 mm; slide it {math.ceil(10 + wanted * 1000)} mm towards the left" in cut.message
    )
    assert cut.message.endswith(f"({CAUTIONS[kind]})" if kind in CAUTIONS else "to clear")
    (near,) = [one for one in findings(keep_outs=hidden(kind, wanted - 0.01)) if one.subject == "one"]
    assert (near.severity, near.rule) == ("warning", "near-hidden")
    assert f"to be kept {mm(wanted)} clear: 10 mm short" in near.message
    assert findings(keep_outs=hidden(kind, wanted + HAIR)) == []


@pytest.mark.parametrize("kind", ["pipe", "cable", "duct", "driver box", "unknown"])
@pytest.mark.parametrize("said", [0.003, 0.2])
def test_a_scene_says_what_is_kept_clear_of_hidden_things(kind, said):
    (near,) = [one for one in findings(keep_outs=hidden(kind, said - 0.002), clearances=clear(**{kind: said}))]
    assert f"to be kept {mm(said)} clear: 2 mm short" in near.message
    assert findings(keep_outs=hidden(kind, said + HAIR), clearances=clear(**{kind: said})) == []


@pytest.mark.parametrize("kind", ["vent", "detector", "sprinkler"])
@pytest.mark.parametrize("said", [0.003, 0.5])
def test_a_scene_says_what_is_kept_clear_of_fixtures(kind, said):
    """A fixture of 0.1 m in line with the hole: rims touch at 0.17."""
    (near,) = [one for one in findings(fixtures=thing(kind, 2.168 + said), clearances=clear(**{kind: said}))]
    assert f"to be kept {mm(said)} clear: 2 mm short" in near.message
    assert findings(fixtures=thing(kind, 2.17 + said + HAIR), clearances=clear(**{kind: said})) == []


def test_a_tolerance_of_the_scene_is_that_of_all_that_says_none():
    for tolerance, is_short in ((0.01, True), (0.004, False)):
        kept = clear(clamp=0, saw=0.02, tolerance=tolerance)
        framing = joist(0.025).replace(", sure: 0", "")
        assert bool(findings(framing=framing, clearances=kept)) == is_short
        pipe = hidden("pipe", 0.007, "keep_clear: 0")
        assert bool(findings(keep_outs=pipe, clearances=kept)) == (tolerance > 0.007)


def test_every_clearance_has_a_source_or_says_that_it_has_none():
    for kind, usual in USUAL.items():
        assert usual.distance > 0, kind
        assert PRACTICE in usual.source or "manual" in usual.source or usual.source == "as framing"


# --- ways to lie behind a face


def test_a_run_is_as_wide_as_it_is_along_all_of_its_length():
    run = "[{name: it, kind: duct, between: [[0.5, %s], [3.5, %s]], width: 0.2, sure: 0}]"
    (found,) = findings(keep_outs=run % (3.19, 3.19))
    assert "by 10 mm" in found.message
    assert findings(keep_outs=run % (3.2 + INCH + HAIR, 3.2 + INCH + HAIR)) == []


def test_a_run_across_a_ridge_lies_behind_both_slopes():
    run = "[{name: it, kind: pipe, between: [[0.5, 3], [3.5, 3]], width: 0.05}]"
    for left in (1, 3):
        for front, rules in ((3, ["cuts-hidden"]), (3.3, [])):
            found = findings(room=GABLE, seats=None, keep_outs=run, speakers=hang((left, front)))
            assert [one.rule for one in found if one.subject == "one"] == rules


def test_a_patch_is_measured_from_its_near_corner():
    patch = "[{name: it, kind: blocking, from_left: 2.09, from_front: 2.5, width: 0.3, length: 1, sure: 0}]"
    (found,) = [one for one in findings(keep_outs=patch) if one.rule == "cuts-hidden"]
    assert "by 10 mm" in found.message


def test_on_a_wall():
    patch = "[{name: it, kind: cable, wall: front, from_left: 2.09, bottom: 0.5, width: 0.05, height: 1, sure: 0}]"
    (found,) = of_one(keep_outs=patch, **WALL)
    assert (found.rule, "by 10 mm" in found.message) == ("cuts-hidden", True)
    spot = "[{name: it, kind: driver box, wall: front, from_left: 2, height: 1.24, diameter: 0.1, sure: 0}]"
    (found,) = of_one(keep_outs=spot, **WALL)
    assert (found.rule, "by 10 mm" in found.message) == ("cuts-hidden", True)
    assert of_one(keep_outs=spot.replace("front", "rear"), **WALL) == []


BAYS = "[{name: joists, surface: ceiling, member: 2x8, spacing: 0.5, direction: front-to-back, first_center: 0.25}]"
OWNED = "[{name: it, kind: duct, at: {from_left: %s, from_front: 0.3}, diameter: 0.1, whole_bay: true}]"


@pytest.mark.parametrize(("left", "is_taken"), [(2, True), (1.8, True), (2.2, True), (1.5, False), (2.5, False)])
def test_a_duct_may_own_a_whole_bay(left, is_taken):
    """Members at 1.75 and 2.25; a hole at 2, far from where the duct was seen, is in the bay of those within."""
    rules = [one.rule for one in findings(framing=BAYS, keep_outs=OWNED % left)]
    assert ("cuts-hidden" in rules) == is_taken
    if not is_taken:
        assert rules == []


# --- clamps

CLAMPS = """{{four: {{mount: in-ceiling, aiming: {aiming}, coverage: {{angle: 170, band: 4kHz}}, cutout: 0.2,
  bezel: 0.24, clamps: {{count: 4, reach: 0.03, first: {first}}}}}}}"""


def clamped(first, gap=0.025, aiming="fixed", aim="", sure="0"):
    types = CLAMPS.format(aiming=aiming, first=first)
    speakers = f"[{{name: one, type: four, at: {{from_left: 2, from_front: 3}}{aim}}}]"
    return [
        one
        for one in findings(framing=joist(gap, sure), speaker_types=types, speakers=speakers)
        if one.rule == "clamp-short"
    ]


def test_a_member_that_known_clamps_miss_gives_no_warning():
    """Feet ahead, right, back and left reach 30 mm; turned by 45 degrees none comes within 40 mm of the member."""
    (found,) = clamped(0)
    assert found.severity == "warning"
    assert "a clamp would land on member 1 of joists by 5 mm; slide it 5 mm towards the left" in found.message
    assert clamped(45) == []
    assert clamped(90) != []
    assert clamped(0, gap=0.0301) == []


def test_where_a_clamp_lands_near_a_member_that_is_not_sure_is_told():
    (found,) = clamped(0, gap=0.033, sure="scanned")
    assert "a clamp lands 3 mm from member 1 of joists, but where that lies is known only to 6 mm" in found.message


@pytest.mark.parametrize(
    ("toward", "lands"), [("front", True), ("rear", True), ("left", True), ("45deg right of front", False)]
)
def test_clamps_turn_with_what_leans(toward, lands):
    """The first of four stands the way it leans: to the front, rear or left one lands to the right, else between."""
    assert bool(clamped(0, aiming="{angled: 20}", aim=f", aim: {{toward: {toward}}}")) == lands


ONE = CLAMPS.replace("count: 4", "count: 1")


@pytest.mark.parametrize(
    ("toward", "first", "lands"),
    [("front", 90, True), ("front", -90, False), ("rear", -90, True), ("rear", 90, False), ("right", 0, True),
     ("left", 180, True), ("left", 0, False)],
)  # fmt: skip
def test_turns_are_counted_the_same_way_round_whichever_way_it_leans(toward, first, lands):
    """One clamp, the member on the right: a quarter turn from the front, or one back from the rear."""
    types = ONE.format(aiming="{angled: 20}", first=first)
    speakers = f"[{{name: one, type: four, at: {{from_left: 2, from_front: 3}}, aim: {{toward: {toward}}}}}]"
    found = findings(framing=joist(0.025), speaker_types=types, speakers=speakers, seats=None)
    assert ("clamp-short" in [one.rule for one in found]) == lands


def test_a_lean_that_is_none_of_the_rims_leaves_all_places_to_the_clamps():
    """A plain in-ceiling type counts its clamps from the screen side of the rim: the first is towards the right."""
    assert clamped(90) != []
    types = ONE.format(aiming="fixed", first=-90)
    found = findings(framing=joist(0.025), speaker_types=types, speakers=hang((2, 3), kind="four"))
    assert "clamp-short" not in [one.rule for one in found]


@pytest.mark.parametrize(
    ("screen", "first"), [("", 90), ("front", 90), ("right", 0), ("rear", -90), ("left", 180)]
)  # fmt: skip
def test_clamps_are_counted_from_the_side_of_the_rim_that_is_nearest_the_picture(screen, first):
    """One clamp, the member on the right of the room: the quarter turns to it from where the picture is."""
    along = "center_from_front" if screen in ("left", "right") else "center_from_left"
    picture = f"{{wall: {screen}, diagonal: 1, aspect: 16:9, {along}: 1.5, bottom: 0.5}}" if screen else None

    def lands(turn):
        types, speakers = ONE.format(aiming="fixed", first=turn), hang((2, 3), kind="four")
        found = findings(framing=joist(0.025), speaker_types=types, speakers=speakers, screen=picture, seats=None)
        return "clamp-short" in [one.rule for one in found]

    assert [turn for turn in (-90, 0, 90, 180) if lands(turn)] == [first]


# --- one thing is told once


def test_a_pair_of_speakers_is_told_of_the_first():
    found = findings(speakers=hang((2, 3), (2.17, 3)))
    assert [(one.subject, one.rule) for one in found] == [("one", "holes-meet")]


def test_of_all_members_of_a_run_the_worst_is_told_once():
    close = (
        "[{name: joists, surface: ceiling, member: 2x8, spacing: 0.15, direction: front-to-back, first_center: 0.02}]"
    )
    rules = [one.rule for one in findings(framing=close, seats=None)]
    assert rules.count("crosses-member") == 1
    assert not {"near-member", "clamp-short"} & set(rules)


def test_no_conflict_needs_no_note():
    assert findings(framing=joist(0.2), keep_outs=hidden("pipe", 0.3), existing_holes=old(1.5)) == []


def test_members_of_a_slope_are_as_far_as_along_it():
    """Level members on a slope of 3 in 4: 0.1 m on the plan is 0.125 m along it."""
    run = "member: 40mm x 200mm, direction: level, members: [{center: 1.25, sure: 0}]"
    framing = f"[{{name: purlins, surface: left slope, {run}}}]"
    (found,) = [
        one
        for one in findings(room=GABLE, seats=None, framing=framing, speakers=hang((1.08, 2)))
        if "member" in one.rule
    ]
    assert "runs into member 1 of purlins by 20 mm; slide it 52 mm up the slope to clear" in found.message


def test_a_fan_over_a_low_soffit_takes_no_room_of_it():
    assert KEPT.of("fan") > 0
    low = box(2.4, 2.4, 1.2, 1.2, 1.7, 0.9)
    fan = thing("fan", 1.9, keys="blades: 0.8, drop: 0.3, canopy: 0.1")
    speakers = "[{name: one, type: flush, at: {from_left: 2.6, from_front: 3}}]"
    found = findings(fixtures=low[:-1] + ", " + fan[1:], speakers=speakers, seats=None, room=FLAT.replace("2.6", "2.9"))
    assert "too-near" not in [one.rule for one in found if one.subject == "one"]


def test_a_hole_wider_than_every_bay_is_told_once():
    close = "[{name: joists, surface: ceiling, member: 2x8, spacing: 0.15, direction: front-to-back, first_center: 0}]"
    (found,) = of_one(framing=close)
    assert found.message.endswith("no bay between them is wide enough for it: it needs a smaller type or another face")
    assert "clear-of-all" not in [one.rule for one in findings(framing=close)]


def test_two_things_that_leave_no_place_between_them_are_told_in_a_note():
    """Joists leave strips for the middle; ducts own all of the bays that they are in."""
    bays = "[{name: joists, surface: ceiling, member: 2x8, spacing: 0.5, direction: front-to-back, first_center: 0.25}]"
    ducts = ", ".join(
        f"{{name: duct {number}, kind: duct, at: {{from_left: {left}, from_front: 1}}, diameter: 0.1, whole_bay: true}}"
        for number, left in enumerate((0.1, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 3.9))
    )
    notes = [one.message for one in of_one(framing=bays, keep_outs=f"[{ducts}]") if one.rule == "clear-of-all"]
    assert notes == [
        "no place on the ceiling is clear of everything, nor is there one where it can be cut: it needs a smaller type "
        "or another face"
    ]


def test_an_old_hole_that_is_too_large_needs_a_wider_type():
    (found,) = of_one(existing_holes=old(2, cutout=0.3))
    assert found.message.endswith("to clear (or use a type whose cut-out takes all of it in)")
