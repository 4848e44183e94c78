"""Checks on what holes and ways are near to: fixtures, beams, hatches, bare deck, fans. Each rule with a near twin."""

from __future__ import annotations

import math

import numpy as np
import pytest

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane, flat
from earshed.model.clearances import Clearances
from earshed.model.face_shape import round_shape
from earshed.model.near_block import block_gap
from earshed.model.plan import rectangle
from earshed.model.room import Room
from tests.test_checks import FLAT, GABLE, SEAT, findings, hang

# A hole at (2, 3) in a level ceiling at 2.6 m has a bezel of 0.24 m, so its rim is at 2.12; the ear is 1.5 m below.
DECK = FLAT.replace("{shape", "{finish: deck, shape")
TILES = FLAT.replace("{shape", "{finish: {tiles: 0.6 x 0.6, from_left: 0.2, from_front: 0.3}, shape")
SLOT = "slot: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90, band: 4kHz}, cutout: 0.2 x 0.5}"
TYPES = f"{{flush: {{mount: in-ceiling, aiming: fixed, coverage: {{angle: 90, band: 4kHz}}, cutout: 0.2}}, {SLOT}}}"


def thing(kind, left, front=3, keys="diameter: 0.2", clear=None):
    more = f", keep_clear: {clear}" if clear is not None else ""
    return f"[{{name: it, kind: {kind}, at: {{from_left: {left}, from_front: {front}}}, {keys}{more}}}]"


def fan(left, front=3, blades=1.0, drop=0.4):
    return thing("fan", left, front, f"blades: {blades}, drop: {drop}, canopy: 0.1")


def lamp(left, front=3, drop=1.0, clear=None):
    return thing("pendant", left, front, f"drop: {drop}, diameter: 0.3, height: 0.2, canopy: 0.1", clear)


def hearth(front):
    return f"[{{name: hearth, kind: fireplace, from_left: 0, from_front: {front}, width: 4, length: 0.5}}]"


def beam(keys):
    return f"[{{name: tie, kind: beam, runs: front-to-back, {keys}, width: 0.2}}]"


def hatch(left, front=2.9, size=0.5):
    place = f"from_left: {left}, from_front: {front}"
    return f"[{{name: hatch, wall: ceiling, {place}, width: {size}, length: {size}}}]"


def millimetres(metres):
    return f"{metres * 1000:.0f} mm"


CASE = "[{name: case, kind: box, from_left: 1, from_front: 0, bottom: 0, width: 0.8, length: 0.3, height: 2}]"


def in_wall(left):
    return f"[{{name: one, type: square, wall: front, from_left: {left}, height: 1.1}}]"


KEPT = Clearances()
VENT, DETECTOR = KEPT.of("vent"), KEPT.of("detector")
LOW_CHAIR = SEAT.replace("from_left: 2", "from_left: 3")

CASES = [
    # rule, severity, subject, what the message says, the scene that raises it, the twin that does not
    ("holes-meet", "error", "one", ["runs into it by 10 mm"],
     {"fixtures": thing("vent", 2.19)}, {"fixtures": thing("vent", 2.2001)}),
    ("rims-meet", "warning", "one", ["overlaps it by 10 mm"],
     {"fixtures": thing("detector", 2.21)}, {"fixtures": thing("detector", 2.2201)}),
    ("too-near", "warning", "one", ["50 mm from it (the vent)", f"{millimetres(VENT)} clear",
                                    f"{millimetres(VENT - 0.05)} short"],
     {"fixtures": thing("vent", 2.27)}, {"fixtures": thing("vent", 2.2201 + VENT)}),
    ("too-near", "warning", "one", ["30 mm from it (the detector)", f"{millimetres(DETECTOR - 0.03)} short"],
     {"fixtures": thing("detector", 2.25)}, {"fixtures": thing("detector", 2.2201 + DETECTOR)}),
    ("too-near", "warning", "one", ["20 mm from it", "40 mm clear", "20 mm short"],
     {"fixtures": thing("sprinkler", 2.24, clear=0.04)}, {"fixtures": thing("sprinkler", 2.2601, clear=0.04)}),
    ("too-near", "warning", "one", ["within it (the circle of its blades)"],
     {"fixtures": fan(2.5), "seats": LOW_CHAIR}, {"fixtures": fan(2.6201 + KEPT.of("fan")), "seats": LOW_CHAIR}),
    ("too-near", "warning", "one", ["30 mm from it (its shade)", "70 mm short"],
     {"fixtures": lamp(2.3, clear=0.1)}, {"fixtures": lamp(2.3701, clear=0.1)}),
    ("too-near", "warning", "one", ["80 mm from hearth (the fireplace)"],
     {"fixtures": hearth(3.2)}, {"fixtures": hearth(3.1201 + KEPT.of("fireplace"))}),
    ("through-hanging", "warning", "one", ["to chair goes through the blades of it", "chopped"],
     {"fixtures": fan(1.51)}, {"fixtures": fan(1.49)}),
    ("through-hanging", "warning", "one", ["it hangs between it and chair"],
     {"fixtures": lamp(2.14)}, {"fixtures": lamp(2.16)}),
    ("hanging-hits", "error", "it", ["would meet a wall by 100 mm"],
     {"fixtures": fan(0.4), "seats": None}, {"fixtures": fan(0.51), "seats": None}),
    ("hanging-hits", "error", "it", ["would meet the ceiling", "75 mm more drop"],
     {"room": GABLE, "fixtures": fan(1, drop=0.3), "seats": None},
     {"room": GABLE, "fixtures": fan(1, drop=0.3751), "seats": None}),
    ("hanging-hits", "error", "it", ["would meet tie"],
     {"fixtures": fan(1.5)[:-1] + ", " + beam("center_from_left: 2.09, bottom: 2.1")[1:], "seats": None},
     {"fixtures": fan(1.5)[:-1] + ", " + beam("center_from_left: 2.11, bottom: 2.1")[1:], "seats": None}),
    ("fixture-past-edge", "warning", "it", ["past the edge of the ceiling by 50 mm"],
     {"fixtures": thing("vent", 0.05)}, {"fixtures": thing("vent", 0.1001)}),
    ("fixture-past-edge", "warning", "it", ["past the edge of the left slope by 50 mm"],
     {"room": GABLE, "fixtures": thing("sprinkler", 1.96), "seats": None, "speakers": None},
     {"room": GABLE, "fixtures": fan(2, drop=0.6), "seats": None, "speakers": None}),
    ("cutout-past-edge", "error", "one", ["runs into case"],
     {"fixtures": CASE, "speakers": in_wall(0.95), "seats": None},
     {"fixtures": CASE, "speakers": in_wall(0.89), "seats": None}),
    ("fan-low", "warning", "it", ["2100 mm above", "2134 mm is usual"],
     {"fixtures": fan(1, drop=0.5), "seats": None}, {"fixtures": fan(1, drop=0.4664), "seats": None}),
    ("fixture-outside", "error", "it", ["beyond the walls"],
     {"fixtures": thing("vent", 4.3)}, {"fixtures": thing("vent", 3.7)}),
    ("cut-into-beam", "error", "one", ["it would be cut into tie"],
     {"fixtures": beam("center_from_left: 2, bottom: 2.3")}, {"fixtures": beam("center_from_left: 2.3, bottom: 2.3")}),
    ("cutout-past-edge", "error", "one", ["runs into tie by 50 mm"],
     {"fixtures": beam("center_from_left: 2.15, depth: 0.2")},
     {"fixtures": beam("center_from_left: 2.2001, depth: 0.2")}),
    ("in-opening", "error", "one", ["the opening hatch in the ceiling"],
     {"openings": hatch(2.05)}, {"openings": hatch(2.1001)}),
    ("opening-off-ceiling", "error", "hatch", ["past the edge of the ceiling"],
     {"openings": hatch(3.6)}, {"openings": hatch(3.5)}),
    ("opening-off-ceiling", "error", "hatch", ["past the edge of the left slope"],
     {"room": GABLE, "seats": None, "openings": hatch(1.7, 1)},
     {"room": GABLE, "seats": None, "openings": hatch(1.5, 1)}),
    ("no-cavity", "error", "one", ["the ceiling is bare deck", "no cavity"], {"room": DECK}, {"room": FLAT}),
    ("crosses-member", "error", "one", ["one of the tees of the ceiling by"],
     {"room": TILES, "speakers": hang((2, 3))}, {"room": TILES, "speakers": hang((2.3, 3))}),
    # a rectangular hole counts as it lies: 0.25 m each way along, 0.1 m across
    ("cutout-past-edge", "error", "one", ["the crease to the front wall by 50 mm"],
     {"speaker_types": TYPES, "speakers": hang((2, 0.2), kind="slot", long_axis="front-to-back"), "seats": None},
     {"speaker_types": TYPES, "speakers": hang((2, 0.2), kind="slot", long_axis="side-to-side"), "seats": None}),
    ("holes-meet", "error", "one", ["into that of two by 100 mm"],
     {"speaker_types": TYPES, "speakers": hang((2, 3), (2.4, 3), kind="slot", long_axis="side-to-side")},
     {"speaker_types": TYPES, "speakers": hang((2, 3), (2.4, 3), kind="slot", long_axis="front-to-back")}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "severity", "subject", "words", "raising", "quiet"), CASES)
def test_rule(rule, severity, subject, words, raising, quiet):
    found = [finding for finding in findings(**raising) if finding.rule == rule]
    assert [(finding.severity, finding.subject) for finding in found] == [(severity, subject)]
    for word in words:
        assert word in found[0].message
    assert rule not in [finding.rule for finding in findings(**quiet)]


@pytest.mark.parametrize(("past", "met"), [(-0.21, False), (-0.19, True), (0.19, True), (0.21, False)])
def test_blades_on_the_way_count_at_their_height_alone(past, met):
    """Speaker at 2.6 m, ear at 1.1 m, 3 m apart in plan: at the blades' height, 2.2 m, the way is 0.8 m out."""
    far = SEAT.replace("from_front: 3", "from_front: 6")
    found = findings(seats=far, fixtures=fan(2, 3 + 0.8 + past, blades=0.4), speakers=hang((2, 3)))
    assert ("through-hanging" in [finding.rule for finding in found]) == met


def test_two_tile_bays_are_a_tile_less_a_tee_wide():
    """A tile of 0.6 m leaves 0.6 - 15/16 in between tees; a hole of 0.2 m moves that much less its own width."""
    clear = 0.6 - 15 / 16 * 0.0254
    middle = 0.2 + 0.6 * 3 + 0.3
    for off, crossing in ((clear / 2 - 0.1 - 1e-4, False), (clear / 2 - 0.1 + 1e-4, True)):
        rules = [f.rule for f in findings(room=TILES, speakers=hang((middle + off, 3.0)))]
        assert ("crosses-member" in rules) == crossing
    assert math.isclose(clear, 0.5762, abs_tol=1e-4)


def test_a_rectangular_hole_is_told_of_the_edge_that_it_crosses():
    """Long way front to back, 0.25 m each way: it crosses the front wall, 0.2 m off, though the left is nearer."""
    speakers = hang((0.15, 0.2), kind="slot", long_axis="front-to-back")
    (found,) = [f for f in findings(speaker_types=TYPES, speakers=speakers, seats=None) if f.severity == "error"]
    assert (
        "crosses the crease to the front wall by 50 mm: the center is 200 mm from it and needs 250 mm" in found.message
    )


# --- what is not on the face itself

LONG = "{slot: {mount: in-ceiling, aiming: fixed, coverage: {angle: 90, band: 4kHz}, cutout: 0.2 x 1.0}}"


def told(rule="too-near", **sections):
    return [finding.message for finding in findings(**sections) if finding.rule == rule]


@pytest.mark.parametrize(("along", "back"), [(0.0, 0.0), (0.0, 0.31), (0.0, -0.47)])
def test_the_side_of_a_long_bezel_is_as_near_as_its_corners(along, back):
    """Its long side at 2.1 m from the left; a column with its near side at 2.11, anywhere along that side."""
    post = thing("column", 2.16, 3 + back, "diameter: 0.1")
    (found,) = told(fixtures=post, speaker_types=LONG, speakers=hang((2, 3), kind="slot", long_axis="front-to-back"))
    assert "its bezel is 10 mm from it (the column)" in found


def test_what_stands_under_the_middle_of_a_bezel_touches_it():
    """A box that ends 5 mm under the board, inside the bezel all round."""
    place = "from_left: 1.95, from_front: 2.95, width: 0.1, length: 0.1, bottom: 0, height: 2.595"
    case = f"[{{name: it, kind: box, {place}}}]"
    (found,) = told(fixtures=case, speaker_types=LONG, speakers=hang((2, 3), kind="slot", long_axis="level"))
    assert "its bezel is 5 mm from it (the box)" in found


@pytest.mark.parametrize("length", [0.2, 1.8])
def test_across_a_ridge_the_side_of_a_long_vent_is_as_near_as_that_of_a_short_one(length):
    """Slopes of 3 in 4 meet at an angle whose cosine is -0.28. The rim ends 0.18 m below the ridge along its slope, the
    vent begins 0.15 m below it along the other: sqrt(0.18^2 + 0.15^2 + 2 x 0.28 x 0.18 x 0.15) = 0.2646 m apart."""
    assert math.isclose(math.sqrt(0.18**2 + 0.15**2 + 2 * 0.28 * 0.18 * 0.15), 0.2646, abs_tol=5e-5)
    vent = thing("vent", 2 + 0.8 * 0.2, 3, f"size: 0.1 x {length}", clear=0.3)
    (found,) = told(room=GABLE, fixtures=vent, speakers=hang((2 - 0.8 * 0.3, 3)), seats=None)
    assert "its bezel is 265 mm from it (the vent on the right slope), to be kept 300 mm clear: 35 mm short" in found
    apart = thing("vent", 2 + 0.8 * 0.2, 3, f"size: 0.1 x {length}", clear=0.264)
    assert not told(room=GABLE, fixtures=apart, speakers=hang((2 - 0.8 * 0.3, 3)), seats=None)


def test_a_hole_cut_into_a_riser():
    """The cut-out of 0.2 m with its middle 0.35 m up ends 50 mm below the top of a riser of 0.3 m."""
    riser = "[{name: step, from_left: 0, from_front: 2, width: 4, length: 4, height: 0.3}]"
    kind = "{square: {mount: in-wall, aiming: fixed, coverage: {angle: 90, band: 4kHz}, cutout: 0.2}}"

    def at(height):
        one = f"[{{name: one, type: square, wall: left, from_front: 4, height: {height}}}]"
        return told("cutout-past-edge", risers=riser, speaker_types=kind, speakers=one, seats=None)

    (found,) = at(0.35)
    assert found == "its cut-out runs into step by 50 mm; slide it 50 mm up to clear"
    assert not at(0.4001)


@pytest.mark.parametrize("turned", [False, True])
def test_the_distance_to_a_block_is_square_to_its_slanted_underside(turned):
    """An underside that rises 3 in 4 from 1 m up: from the floor 2 m along, (1 + 1.5) x 4/5 = 2 m, with the foot of the
    perpendicular 0.8 m along; and from the floor 3 m before its low edge, sqrt(3^2 + 1^2)."""
    floor = Room(rectangle(9.0, 9.0), flat(8.0)).surface("floor")
    low, high = (-4.0, 0.0) if turned else (4.0, 8.0)
    rises = CeilingPlane("under", 0.75, 0.0, 1 - 0.75 * low)
    corners = np.array([[low, -6.0], [high, -6.0], [high, -2.0], [low, -2.0]])
    block = Block("block", corners, rises, 6.0)
    for along, away in ((2.0, 2.0), (-3.0, math.hypot(3.0, 1.0))):
        spot = round_shape(floor.to_face([low + along, -4.0, 0.0]), 0.002)
        assert math.isclose(block_gap(block, floor, spot), away, abs_tol=1.5e-3)
