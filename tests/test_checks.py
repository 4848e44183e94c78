"""Checks: every rule has a scene that raises it and a near twin that does not, and its numbers are right.

A case is a change to one plain room in which nothing is wrong but what the case puts there.
"""

import math

import pytest

from earshed.model.checks.run import find_all
from earshed.model.finding import SEVERITIES
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.read import scene_from_tree
from earshed.model.scene_file.tree import parse_tree

# 4 m wide under a gable whose ridge runs front to back at 2 m: eaves 2.0 m, peak 3.5 m, 3-4-5 slopes 2.5 m long.
GABLE = "{width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}"
FLAT = "{width: 4, length: 6, ceiling: {shape: flat, height: 2.6}}"
ANGLE, BAND = 90, "band: 4kHz"
TYPES = f"""{{
  flush: {{mount: in-ceiling, aiming: fixed, coverage: {{angle: {ANGLE}, {BAND}}}, cutout: 0.2, bezel: 0.24}},
  square: {{mount: in-wall, aiming: fixed, coverage: {{angle: {ANGLE}, {BAND}}}, cutout: 0.2, bezel: 0.24}},
  box: {{mount: stand, aiming: fixed, coverage: {{angle: 170, {BAND}}}}},
  sub: {{mount: stand, aiming: fixed, subwoofer: true}}}}"""
SEAT = "[{name: chair, at: {from_left: 2, from_front: 3}, ear_height: 1.1, main: true}]"
OVER = "[{name: one, type: flush, at: {from_left: 2, from_front: 3}}]"


def scene(**sections):
    said = {"room": FLAT, "speaker_types": TYPES, "seats": SEAT, "speakers": OVER} | sections
    body = "".join(f"{key}: {value}\n" for key, value in said.items() if value is not None)
    text = f"format: 1\ntitle: Plain room\nbare_lengths: m\nprint_units: mm\n{body}"
    return scene_from_tree(parse_tree(text, "plain.yaml"))


def findings(**sections):
    made = scene(**sections)
    return find_all(made, seat_pairs(made))


def of_scene(text):
    made = scene_from_tree(parse_tree(text, "framed.yaml"))
    return find_all(made, seat_pairs(made))


def test_nothing_is_wrong_with_the_plain_room():
    assert findings() == []


# --- shorthands


def hang(*places, kind="flush", **keys):
    """Speakers `one`, `two`, ... of a type at [from left, from front]."""
    more = "".join(f", {key}: {value}" for key, value in keys.items())
    hung = [
        f"{{name: {name}, type: {kind}, at: {{from_left: {left}, from_front: {front}}}{more}}}"
        for name, (left, front) in zip(("one", "two"), places, strict=False)
    ]
    return f"[{', '.join(hung)}]"


def wall(along, height, wall="front", keys=""):
    return f"[{{name: one, type: square, wall: {wall}, from_left: {along}, height: {height}{keys}}}]"


def seat(left, front, ear=1.1, more=""):
    return f"[{{name: chair, at: {{from_left: {left}, from_front: {front}}}, ear_height: {ear}, main: true}}{more}]"


def box(left, front, width, length, bottom, height, name="shelf"):
    place = f"from_left: {left}, from_front: {front}, bottom: {bottom}"
    return f"[{{name: {name}, kind: box, {place}, width: {width}, length: {length}, height: {height}}}]"


def can(left, front, cutout=0.15, body=0.19):
    place = f"at: {{from_left: {left}, from_front: {front}}}"
    return f"[{{name: can, kind: can light, {place}, cutout: {cutout}, body: {body}}}]"


def opening(left, width=0.9, height=2.0):
    return f"[{{name: door, wall: front, from_left: {left}, sill: 0, width: {width}, height: {height}}}]"


def screen(center, bottom=0.8):
    return f"{{wall: front, width: 1.6, center_from_left: {center}, bottom: {bottom}}}"


def off(degrees):
    """A seat that far off a speaker straight over the chair's usual place, 1.5 m higher."""
    return seat(2, 3 + 1.5 * math.tan(math.radians(degrees)))


SLOPE = math.hypot(2, 1.5) / 2  # metres of slope to a metre of plan
AT_RIDGE = {"room": GABLE, "seats": None}
RIM = {"seats": SEAT, "room": FLAT}

CASES = [
    # rule, severity, subject, what the message says, the scene that raises it, the twin that does not
    ("cutout-past-edge", "error", "one", ["crosses the crease to the right slope by 5 mm", "95 mm from it", "100 mm"],
     AT_RIDGE | {"speakers": hang((2 - 0.095 / SLOPE, 3))}, AT_RIDGE | {"speakers": hang((2 - 0.1001 / SLOPE, 3))}),
    ("cutout-past-edge", "error", "one", ["the crease to the front wall", "by 40 mm"],
     RIM | {"speakers": hang((2, 0.06))}, RIM | {"speakers": hang((2, 0.1001))}),
    ("bezel-past-edge", "warning", "one", ["laps the crease to the left slope by 10 mm"],
     AT_RIDGE | {"speakers": hang((2 + 0.11 / SLOPE, 3))}, AT_RIDGE | {"speakers": hang((2 + 0.1201 / SLOPE, 3))}),
    ("holes-meet", "error", "one", ["into that of two by 30 mm"],
     {"speakers": hang((2, 3), (2.17, 3))}, {"speakers": hang((2, 3), (2.2001, 3))}),
    ("holes-meet", "error", "one", ["into that of can by 25 mm"],
     {"fixtures": can(2.15, 3)}, {"fixtures": can(2.1951, 3)}),
    ("holes-meet", "error", "one", ["into the body of can by 5 mm"],
     {"fixtures": can(2.19, 3)}, {"fixtures": can(2.1951, 3)}),
    ("rims-meet", "warning", "one", ["overlaps two by 20 mm"],
     {"speakers": hang((2, 3), (2, 3.22))}, {"speakers": hang((2, 3), (2, 3.2401))}),
    ("rims-meet", "warning", "one", ["overlaps can by 15 mm"], {"fixtures": can(2.2, 3)}, {"fixtures": can(2.2151, 3)}),
    ("in-opening", "error", "one", ["the opening door in the front wall"],
     {"speakers": wall(1.0999, 1.1), "openings": opening(0.1)},
     {"speakers": wall(1.1001, 1.1), "openings": opening(0.1)}),
    ("in-opening", "error", "one", ["the opening door"],
     {"speakers": wall(0.5, 1.1), "openings": opening(0.1)},
     {"speakers": wall(0.5, 1.1, wall="rear"), "openings": opening(0.1)}),
    ("behind-screen", "warning", "one", ["behind the screen on the front wall"],
     {"speakers": wall(2, 1.1), "screen": screen(2)}, {"speakers": wall(2, 0.6999), "screen": screen(2)}),
    ("seat-outside", "error", "chair", ["250 mm beyond the walls"], {"seats": seat(4.25, 3)}, {"seats": seat(4, 3)}),
    ("seat-outside", "error", "chair", ["100 mm above the ceiling"],
     {"seats": seat(2, 3, 2.7)}, {"seats": seat(2, 3, 2.6)}),
    ("light-outside", "error", "can", ["300 mm beyond the walls"],
     {"fixtures": can(1, -0.3)}, {"fixtures": can(1, 0.3)}),
    ("speaker-outside", "error", "one", ["500 mm beyond the walls"],
     {"seats": None, "speakers": hang((-0.3, -0.4))}, {"seats": None, "speakers": hang((0.3, 0.4))}),
    ("speaker-outside", "error", "one", ["150 mm above the ceiling"],
     {"speakers": wall(2, 2.75)}, {"speakers": wall(2, 2.4999)}),
    ("speaker-outside", "error", "one", ["inside shelf"],
     {"speakers": hang((1, 1), kind="box", height=1.0, faces="rear"), "fixtures": box(0.5, 0.5, 1, 1, 0.9, 0.4)},
     {"speakers": hang((1, 1), kind="box", height=1.3, faces="rear"), "fixtures": box(0.5, 0.5, 1, 1, 0.9, 0.4)}),
    ("speaker-outside", "error", "one", ["below the floor"],
     {"speakers": hang((1, 1), kind="box", height=-0.2, faces="rear")},
     {"speakers": hang((1, 1), kind="box", height=0.2, faces="rear")}),
    ("opening-off-wall", "error", "door", ["past the edge of the front wall"],
     {"openings": opening(3.2)}, {"openings": opening(3.1)}),
    ("opening-off-wall", "error", "door", ["past the edge of the front wall"],
     {"room": GABLE, "openings": opening(0.1, 0.8, 2.1)}, {"room": GABLE, "openings": opening(0.14, 0.8, 2.1)}),
    ("screen-off-wall", "error", "screen", ["past the edge of the front wall"],
     {"screen": screen(0.79)}, {"screen": screen(0.8)}),
    ("box-past-wall", "warning", "shelf", ["outside the walls"],
     {"fixtures": box(3.5, 5, 0.6, 0.5, 0, 0.5)}, {"fixtures": box(3.4, 5, 0.6, 0.5, 0, 0.5)}),
    ("box-above-ceiling", "warning", "shelf", ["above the ceiling"],
     {"fixtures": box(3, 5, 0.6, 0.5, 2.61, 0.5)}, {"fixtures": box(3, 5, 0.6, 0.5, 2.59, 0.5)}),
    ("aim-unused", "note", "one", ["flush is fixed", "its aim changes nothing"],
     {"speakers": OVER.replace("}}]", "}, aim: {seats: main}}]")}, {"speakers": OVER}),
    ("no-seats", "note", "Plain room", ["no seats"], {"seats": None}, {}),
    ("no-main-seat", "note", "Plain room", ["all of them count"],
     {"seats": SEAT.replace("main: true", "main: false")}, {}),
    ("band-unknown", "note", "flush", ["without a band"], {"speaker_types": TYPES.replace(f", {BAND}", "")}, {}),
    ("seat-in-fringe", "note", "one", ["fringe, 31.8° to 45.0° off axis", "chair 40.0°"],
     {"seats": off(40)}, {"seats": off(30)}),
    ("borderline", "note", "one", ["chair is 31.0° off axis", "within 1° of the covered limit 31.8°"],
     {"seats": off(31)}, {"seats": off(30.8)}),
    ("seat-outside-coverage", "warning", "one", ["chair is 52.5° off axis", "limit 45.0° by 7.5°"],
     {"seats": off(52.5)}, {"seats": off(44.9)}),
    ("seat-blocked", "warning", "one", ["shelf stands between it and chair"],
     {"seats": seat(3, 3), "fixtures": box(2.4, 2.8, 0.2, 0.4, 1.8, 0.1)},
     {"seats": seat(3, 3), "fixtures": box(2.4, 2.8, 0.2, 0.4, 2.0001, 0.1)}),
    ("channel-side", "warning", "one", ["upper front left (U+045) belongs on the left", "on the right", "is LEFT"],
     {"speakers": hang((2.6, 2.5), channel="U+045")}, {"speakers": hang((1.4, 2.5), channel="U+045")}),
    ("channel-side", "warning", "one", ["upper side right (U-090) belongs on the right", "hangs on the left"],
     {"speakers": hang((1.6, 3), channel="U-090")}, {"speakers": hang((2.4, 3), channel="U-090")}),
    ("channel-side", "warning", "one", [],
     {"speakers": hang((1.9, 2.2), channel="U-045")}, {"speakers": hang((1.95, 2.2), channel="U-045")}),
    ("reading", "note", "Plain room", ["100 mm right of its own zero"],
     {"room": "{outline: [[0.1, 0], [4, 0], [4, 6], [0.1, 6]], ceiling: {shape: flat, height: 2.6}}"}, {}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "severity", "subject", "words", "raising", "quiet"), CASES)
def test_rule(rule, severity, subject, words, raising, quiet):
    found = [finding for finding in findings(**raising) if finding.rule == rule]
    assert [(finding.severity, finding.subject) for finding in found] == [(severity, subject)]
    for word in words:
        assert word in found[0].message
    assert rule not in [finding.rule for finding in findings(**quiet)]


def test_a_cut_out_past_an_edge_says_nothing_more_of_its_bezel():
    rules = [finding.rule for finding in findings(**AT_RIDGE, speakers=hang((1.95, 3)))]
    assert "cutout-past-edge" in rules
    assert "bezel-past-edge" not in rules


def test_findings_come_gravest_first():
    """Here a note on the type comes before the warning that a channel is on the wrong side, as they are found."""
    speakers = hang((0.06, 1), (3, 2), channel="U+045")
    found = findings(speakers=speakers, speaker_types=TYPES.replace(f", {BAND}", ""))
    ranks = [SEVERITIES.index(finding.severity) for finding in found]
    assert set(ranks) == {0, 1, 2}
    assert ranks == sorted(ranks)


# --- coverage findings: what is near a limit, what would do, who is asked


@pytest.mark.parametrize(
    ("degrees", "rule", "borderline"),
    [
        (20, None, False), (30.9, "borderline", True), (32.7, "seat-in-fringe", True), (33, "seat-in-fringe", False),
        (43.9, "seat-in-fringe", False), (44.1, "seat-in-fringe", True), (45.9, "seat-outside-coverage", True),
        (46.1, "seat-outside-coverage", False),
    ],
)  # fmt: skip
def test_borderline_is_said_within_one_degree_of_a_limit(degrees, rule, borderline):
    """The limits of a 90 degree cone are 45 / sqrt 2 = 31.82 and 45 degrees."""
    found = findings(seats=off(degrees))
    assert [finding.rule for finding in found] == ([rule] if rule else [])
    assert any("borderline" in finding.message for finding in found) == borderline


OTHERS = TYPES.replace(
    "square:", "tilted: {mount: in-ceiling, aiming: {angled: %s}, coverage: {angle: 90, band: 4kHz}}, square:"
)


def test_a_seat_outside_names_the_type_that_would_reach_it_and_how_well():
    """The seat is 60 degrees off straight down; 25 degrees of tilt leave 35, in the fringe; 10 stay 5 degrees short."""
    (found,) = findings(seats=off(60), speaker_types=OTHERS % 25)
    assert "tilted aimed from the same hole would reach: worst seat 35.0°, fringe" in found.message
    (found,) = findings(seats=off(60), speaker_types=OTHERS % 10)
    assert "no other type in the scene reaches from there: tilted comes nearest and stays 5.0° short" in found.message
    (found,) = findings(seats=off(60))
    assert found.message.endswith("by 15.0°")  # there is no other in-ceiling type


def test_a_type_that_fits_the_hole_is_named_before_one_that_needs_another():
    """Both reach; the one with a larger cut-out is nearer the axis, yet the hole is there already."""
    tilted = "{mount: in-ceiling, aiming: {angled: %s}, coverage: {angle: 90, band: 4kHz}, cutout: %s}"
    wide, same = tilted % (40, 0.25), tilted % (25, 0.2)
    (found,) = findings(seats=off(60), speaker_types=TYPES.replace("square:", f"wide: {wide}, same: {same}, square:"))
    assert "same aimed from the same hole would reach: worst seat 35.0°" in found.message
    (found,) = findings(seats=off(60), speaker_types=TYPES.replace("square:", f"wide: {wide}, square:"))
    assert "wide aimed from the same place, in a hole of 250 mm, would reach: worst seat 20.0°" in found.message


def test_a_type_that_the_cavity_or_the_hole_does_not_take_is_not_named_for_them():
    """It needs 0.3 m behind a board of 12.5 mm where there is 0.15; and a rim of 0.2 m laps no hole of 0.2."""
    tilted = "tilted: {mount: in-ceiling, aiming: {angled: 25}, coverage: {angle: 90, band: 4kHz}, cutout: 0.2"
    cavity = "{ceiling: {depth: 0.15, board: 0.0125}}"

    def told(more):
        types = TYPES.replace("square:", f"{tilted}{more}}}, square:")
        (found,) = findings(seats=off(60), speaker_types=types, cavities=cavity)
        return found.message

    assert "tilted aimed from the same hole would reach" in told(", bezel: 0.24, mounting_depth: 0.16")
    assert "tilted" not in told(", bezel: 0.24, mounting_depth: 0.3")
    assert "tilted" not in told(", bezel: 0.24, clamps: {thickest: 0.01}")
    assert "the same hole" not in told(", bezel: 0.2, mounting_depth: 0.16")


def test_a_pivoting_type_left_straight_is_told_that_aiming_it_would_do():
    types = OTHERS.replace("angled", "pivoting") % 25
    (found,) = findings(seats=off(60), speaker_types=types, speakers=OVER.replace("flush", "tilted"))
    assert "it would reach them all, the worst 35.0° off axis" in found.message


def test_a_type_aimed_at_one_seat_is_told_that_aiming_it_at_both_would_do():
    """Main seats 5 and 60 degrees off straight down: midway both are 27.5 off, within what the type can do."""
    types = OTHERS.replace("angled", "pivoting") % 45
    near, far = (3 + 1.5 * math.tan(math.radians(angle)) for angle in (5, 60))
    couch = f", {{name: couch, at: {{from_left: 2, from_front: {near}}}, ear_height: 1.1, main: true}}"
    speakers = "[{name: one, type: tilted, at: {from_left: 2, from_front: 3}, aim: {seat: couch}}]"
    (found,) = findings(seats=seat(2, far, more=couch), speaker_types=types, speakers=speakers)
    assert "it would reach them all, the worst 27.5° off axis" in found.message


def test_only_main_seats_and_the_best_of_a_channel_are_asked():
    stool = ", {name: stool, at: {from_left: 3.9, from_front: 3}, ear_height: 1.1}"
    (other,) = findings(seats=seat(2, 3, more=stool))
    assert (other.severity, other.rule) == ("note", "other-seat-outside")
    assert "stool 51.7°" in other.message
    assert [f.rule for f in findings(speakers=hang((2, 3), (3.8, 3)))] == ["seat-outside-coverage"]
    found = findings(speakers=hang((1.9, 3), (0.2, 3), channel="U+090"))
    assert {(f.severity, f.rule) for f in found} == {("note", "shared-channel"), ("note", "outside-window")}


FRAMED = """format: 1
title: Framed
print_units: mm
room: {{width: 5m, length: 6m, ceiling: {{shape: shed, low: 2.4m, high: 4m, rises: right}}}}
fixtures: [{{name: duct, kind: box, from_left: 0, from_front: 0, bottom: 2m, width: 1m, length: 6m, height: 1m}}]
framing:
  - {{name: rafters, surface: {face}, member: 40mm x 200mm, spacing: 400mm,
     direction: side-to-side, first_center: 200mm}}
speaker_types: {{flush: {{mount: in-ceiling, aiming: fixed, coverage: 90, cutout: {cut}mm}}}}
speakers: [{{name: one, type: flush, at: {{from_left: {left}m, from_front: {front}mm}}}}]
"""


@pytest.mark.parametrize(("face", "left"), [("ceiling", 3), ("duct", 0.5)])
@pytest.mark.parametrize("off", [-181, -179, -90, 0, 90, 179, 181])
def test_a_hole_is_clear_of_the_members_within_the_travel_of_its_bay(face: str, left: float, off: int) -> None:
    """Members 40 mm thick every 400 mm leave 360 mm; a hole of 200 mm has (360 - 200) / 2 = 80 mm each way.

    To be clear with its clamps, 1-1/4 in, where a member may be 1/4 in off, it has 80 - 38.1 = 41.9 mm.
    """
    text = FRAMED.format(face=face, cut=200, left=left, front=2400 + off)
    found = [f for f in of_scene(text) if f.rule == "crosses-member"]
    assert bool(found) == (abs(off) > 80)
    for finding in found:
        assert finding.severity == "error"
        assert f"by {abs(off) - 80} mm" in finding.message
        way = "the rear" if off < 0 else "the front"
        assert f"slide it {math.ceil(abs(off) - 41.9)} mm towards {way} to clear" in finding.message


def test_a_hole_wider_than_every_bay_is_told_so() -> None:
    (found,) = [f for f in of_scene(FRAMED.format(face="ceiling", cut=380, left=3, front=2400)) if "member" in f.rule]
    assert "no bay between them is wide enough" in found.message


def test_a_subwoofer_has_no_verdict_but_must_be_in_the_room():
    assert findings(speakers=hang((3.9, 3), kind="sub", height=0.2, faces="front")) == []
    (found,) = findings(speakers=hang((4.1, 3), kind="sub", height=0.2, faces="front"))
    assert found.rule == "speaker-outside"
