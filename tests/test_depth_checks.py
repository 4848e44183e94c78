"""Checks on depth: what a type needs behind the board against what the cavity has, each with a near twin."""

from __future__ import annotations

import pytest

from earshed.model.cavity import USUAL_BOARD, CavitySpec, Insulation, cavity_behind
from earshed.model.framing import DRESSED
from earshed.model.units import INCH
from tests.test_checks import FLAT, GABLE, box, findings, hang, scene

MM = 0.001
BOARD = 0.0125
TYPES = """{{flush: {{mount: in-ceiling, aiming: fixed, coverage: {{angle: 90, band: 4kHz}}, cutout: 0.2, bezel: 0.24,
  mounting_depth: {depth}{more}}}}}"""
RUN = """{name: joists, surface: ceiling, member: 40mm x 200mm, spacing: 0.6, direction: front-to-back,
  first_center: 0.5}"""  # at 1.7 and 2.3


def typed(depth, more=""):
    return TYPES.format(depth=f"{depth:.5f}", more=more)


def deep(depth, more="", **sections):
    """Findings where a type of that depth hangs at (2, 3); its board is 12.5 mm where nothing else is said."""
    return findings(speaker_types=typed(depth, more), **sections)


def told(depth, more="", **sections):
    return [(one.severity, one.rule, one.message) for one in deep(depth, more, **sections)]


def ceiling(keys, name="ceiling"):
    return f"{{{name}: {{board: {BOARD}, {keys}}}}}"


CASES = [
    # what is there, its depth free behind the board, metres, and how a message tells the sum
    ({"cavities": ceiling("depth: 0.15")}, 0.15, "(as stated)"),
    ({"cavities": ceiling("depth: 0.15, vent_gap: 0.025")}, 0.125, "(as stated less a vent gap of 25 mm)"),
    ({"framing": f"[{RUN}]", "cavities": f"{{ceiling: {{board: {BOARD}}}}}"}, 0.2, "(joists)"),
    ({"framing": f"[{RUN}]", "cavities": ceiling("vent_gap: 0.05")}, 0.15, "(joists less a vent gap of 50 mm)"),
    ({"framing": f"[{RUN}]", "cavities": ceiling("depth: 0.1")}, 0.1, "(as stated)"),
    ({"framing": f"[{RUN}, {{name: straps, surface: ceiling, member: 20mm x 60mm, laid: flat, spacing: 1.1, "
                 "direction: side-to-side, first_center: 0.5, under: joists}]",
      "cavities": f"{{ceiling: {{board: {BOARD}}}}}"}, 0.22, "(joists and straps)"),
    ({"framing": f"[{RUN}, {{name: low joists, surface: ceiling, member: 40mm x 140mm, spacing: 3.5, "
                 "direction: side-to-side, first_center: 0.5}]",
      "cavities": f"{{ceiling: {{board: {BOARD}}}}}"}, 0.14, "(low joists)"),
    ({"framing": f"[{RUN.replace('surface', 'laid: flat, surface').replace('40mm x 200mm', '40mm x 90mm')}]",
      "cavities": f"{{ceiling: {{board: {BOARD}}}}}"}, 0.04, "(joists)"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "free", "words"), CASES)
def test_a_type_fits_what_is_free_behind_the_board(said, free, words):
    """A depth from the face goes through the board; a tenth of a millimetre decides."""
    assert deep(free + BOARD - MM / 10, **said) == []
    ((severity, rule, message),) = told(free + BOARD + 0.01, **said)
    assert (severity, rule) == ("error", "too-deep")
    assert f"it needs {(free + 0.01) * 1000:.0f} mm behind the board of the ceiling, square to it, and has " in message
    assert message.endswith(f"{free * 1000:.0f} mm {words}: 10 mm short; use a type that is less deep")


def test_a_depth_is_from_the_face_unless_it_is_said_to_be_from_the_back():
    cavity = {"cavities": ceiling("depth: 0.15")}
    assert deep(0.15 + BOARD, **cavity) == []
    assert deep(0.15 + BOARD, ", depth_from: face", **cavity) == []
    assert deep(0.15, ", depth_from: back", **cavity) == []
    ((_, rule, message),) = told(0.15 + BOARD, ", depth_from: back", **cavity)
    assert rule == "too-deep"
    assert ": 12 mm short" in message or ": 13 mm short" in message


def test_depth_is_square_to_a_slope_not_plumb():
    """On a slope of 3 in 4 a rafter of 0.2 m is 0.25 m plumb (3, 4, 5); what counts is the 0.2."""
    run = "member: 40mm x 200mm, spacing: 0.6, direction: up-slope, first_center: 0.3"
    framing = f"[{{name: rafters, surface: ceiling, {run}}}]"
    said = {"room": GABLE, "seats": None, "framing": framing, "speakers": hang((1, 3.0))}
    said |= {"cavities": f"{{ceiling: {{board: {BOARD}}}}}"}
    assert [one for one in deep(0.2 + BOARD, **said) if one.subject == "one"] == []
    assert [one.rule for one in deep(0.21 + BOARD, **said) if one.subject == "one"] == ["too-deep"]


INSULATED = [
    # kind as written, needed behind the board, severity, how far into it
    ("batt", 0.1, "warning", 100), ("{batt: 0.09}", 0.1, "warning", 90), ("{batt: 0.09}", 0.05, "warning", 50),
    ("{blown: 0.15}", 0.1, "warning", 100), ("blown", 0.1, "warning", 100),
    ("foam", 0.1, "error", 100), ("{foam: 0.06}", 0.1, "error", 10),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "needed", "severity", "into"), INSULATED)
def test_insulation_gives_way_or_does_not(kind, needed, severity, into):
    """In a cavity of 150 mm; batts and what is blown in lie on the board, foam is on the far side."""
    ((got, rule, message),) = told(needed + BOARD, cavities=ceiling(f"depth: 0.15, insulation: {kind}"))
    assert (got, rule) == (severity, "insulation")
    assert f"it reaches {into} mm into the " in message
    assert ("back box" in message and "local code" in message) == (severity == "warning")


@pytest.mark.parametrize("kind", ["none", "{foam: 0.05}", "{foam: 0.049}"])
def test_what_stays_short_of_the_insulation_is_told_nothing(kind):
    assert deep(0.1 + BOARD, cavities=ceiling(f"depth: 0.15, insulation: {kind}")) == []


def test_too_deep_is_told_and_not_the_insulation_too():
    assert [rule for _, rule, _ in told(0.2, cavities=ceiling("depth: 0.15, insulation: batt"))] == ["too-deep"]


def test_an_open_cavity_takes_any_depth():
    assert deep(2, cavities=ceiling("depth: open")) == []
    ((severity, rule, message),) = told(0.2, cavities=ceiling("depth: open, insulation: {blown: 0.25}"))
    assert (severity, rule) == ("warning", "insulation")
    assert "reaches 188 mm into the blown" in message


def test_of_a_soffit_box_at_the_most_the_box_is_known():
    said = {"fixtures": box(1.5, 2.5, 1, 1, 2.4, 0.2, name="duct"), "seats": None}
    ((severity, rule, message), *_) = told(0.25, **said)
    assert (severity, rule) == ("error", "too-deep")
    assert "and has 200 mm at the most: 37 mm short" in message
    notes = [rule for _, rule, _ in told(0.15, **said)]
    assert "cavity-unknown" in notes
    assert "too-deep" not in notes


def test_an_unknown_cavity_is_noted_once_for_each_face_with_all_that_hang_in_it():
    found = told(0.1, speakers=hang((1.8, 3), (2.2, 3)))
    ((severity, rule, message),) = found
    assert (severity, rule) == ("note", "cavity-unknown")
    assert "nothing is said of the cavity behind the ceiling" in message
    assert "behind the board are needed: one 87 mm, two 87 mm" in message
    found = told(0.1, room=GABLE, seats=None, speakers=hang((1, 3), (3, 3)))
    behind = [message.split(",")[0].rpartition("behind ")[2] for _, rule, message in found if rule == "cavity-unknown"]
    assert sorted(behind) == ["the left slope", "the right slope"]


@pytest.mark.parametrize(("keys", "stated"), [
    ("depth: 0.15, insulation: {batt: 0.16}", "160 mm of batt, 10 mm more than the 150 mm that"),
    ("depth: 0.15, vent_gap: 0.05, insulation: {foam: 0.12}", "120 mm of foam and a vent gap of 50 mm, 20 mm more"),
    ("depth: 0.15, vent_gap: 0.2", "a vent gap of 200 mm, 50 mm more than the 150 mm that"),
])  # fmt: skip
def test_a_cavity_stated_to_hold_more_than_its_depth_is_noted_once(keys, stated):
    found = [one for one in told(0.01, cavities=ceiling(keys), speakers=hang((1.8, 3), (2.2, 3))) if "over" in one[1]]
    ((severity, rule, message),) = found
    assert (severity, rule) == ("note", "cavity-overfilled")
    assert f"behind the ceiling are stated {stated}" in message


@pytest.mark.parametrize("keys", [
    "depth: 0.15, vent_gap: 0.03, insulation: {foam: 0.12}", "depth: 0.15, insulation: batt",
    "depth: open, insulation: {blown: 0.5}", "insulation: {blown: 0.5}",
])  # fmt: skip
def test_a_cavity_that_holds_what_is_stated_is_not_noted(keys):
    assert "cavity-overfilled" not in [rule for _, rule, _ in told(0.01, cavities=ceiling(keys))]


def test_without_a_depth_of_the_type_nothing_is_noted():
    assert findings(cavities=ceiling("depth: 0.01")) == []


# --- what is behind the board, but some way behind

PIPE = "[{name: pipe, kind: pipe, at: {from_left: %s, from_front: 3}, diameter: 0.1, behind: 0.1, sure: %s}]"
WIDE = {"cavities": ceiling("depth: 0.3")}


def test_something_less_deep_goes_before_what_begins_behind():
    assert deep(0.1 + BOARD, keep_outs=PIPE % (2.0, 0), **WIDE) == []
    ((severity, rule, message),) = told(0.11 + BOARD, keep_outs=PIPE % (2.1, 0), **WIDE)
    assert (severity, rule) == ("error", "too-deep")
    assert "has 100 mm before pipe (pipe): 10 mm short; slide it 50 mm towards the left to clear" in message
    assert deep(0.11 + BOARD, keep_outs=PIPE % (2.1501, 0), **WIDE) == []


def test_what_may_be_nearer_than_it_was_found_is_a_warning():
    ((severity, rule, message),) = told(0.095 + BOARD, keep_outs=PIPE % (2.1, 0.01), **WIDE)
    assert (severity, rule) == ("warning", "too-deep")
    assert (
        "needs 95 mm behind the board, and pipe (pipe) begins at 100 mm there, but where that lies is known only to "
        "10 mm" in message
    )
    assert "probe before you cut, or slide it 60 mm towards the left" in message
    assert deep(0.0899 + BOARD, keep_outs=PIPE % (2.1, 0.01), **WIDE) == []


def test_what_may_reach_over_the_hole_is_a_warning():
    ((severity, _, message),) = told(0.2, keep_outs=PIPE % (2.155, 0.01), **WIDE)
    assert severity == "warning"
    assert "begins at 100 mm, 5 mm beside its cut-out, but where that lies is known only to 10 mm" in message
    assert deep(0.2, keep_outs=PIPE % (2.1601, 0.01), **WIDE) == []


def test_a_move_that_clears_another_thing_does_not_lead_under_it():
    """A joist sends the hole to the left, where something begins 100 mm behind the board; the note goes round it."""
    framing = (
        "[{name: joists, surface: ceiling, member: 40mm x 300mm, direction: front-to-back, members: [{center: 2.1}]}]"
    )
    found = deep(0.2, framing=framing, keep_outs=PIPE % (1.8, 0), **WIDE)
    assert sorted(one.rule for one in found) == ["clear-of-all", "crosses-member"]
    assert "to clear it alone" in found[0].message


# --- boards that clamps hold

CLAMPS = ", clamps: {count: 4, reach: 0.02, thinnest: 0.01, thickest: 0.03}"


@pytest.mark.parametrize(
    ("board", "rule", "words"),
    [(0.0099, "board-too-thin", "its clamps need 10 mm at the least"), (0.01, None, ""), (0.03, None, ""),
     (0.0301, "board-too-thick", "its clamps take 30 mm at the most")],
)  # fmt: skip
def test_clamps_hold_boards_between_two_thicknesses(board, rule, words):
    found = deep(0.1, CLAMPS, cavities=f"{{ceiling: {{board: {board}, depth: 0.2}}}}")
    assert [one.rule for one in found] == ([rule] if rule else [])
    assert all(one.severity == "error" and words in one.message for one in found)


def test_of_a_board_of_which_nothing_is_said_clamps_are_told_nothing():
    assert deep(0.1, CLAMPS.replace("thinnest: 0.01", "thinnest: 0.02"), cavities="{ceiling: {depth: 0.2}}") == []


# --- which words count


def test_what_is_said_of_a_face_stands_over_what_is_said_of_its_kind():
    made = scene(
        room=GABLE, seats=None,
        cavities="{ceiling: {board: 0.015, depth: 0.2, vent_gap: 0.03}, left slope: {depth: 0.1},"
                 " walls: {depth: 0.09}}",
    )  # fmt: skip
    left, right, front, floor = (
        made.cavity(made.room.surface(name)) for name in ("left slope", "right slope", "front wall", "floor")
    )
    assert (left.free, left.board) == (pytest.approx(0.07), 0.015)
    assert (right.free, right.board) == (pytest.approx(0.17), 0.015)
    assert (front.free, front.board, front.board_known) == (pytest.approx(0.09), USUAL_BOARD, False)
    assert floor.free is None


def test_dressed_rafters_and_strapping_add_up():
    """PS 20: a 2x8 is 7-1/4 in; 1x3 strapping laid flat is 3/4 in thick. Together 8 in, less 1 in of vent gap, 7."""
    made = scene(
        room=GABLE, seats=None, cavities="{ceiling: {vent_gap: 1in}}",
        framing="[{name: rafters, surface: ceiling, member: 2x8, spacing: 16in, direction: up-slope,"
                "  first_center: 8in},"
                " {name: strapping, surface: ceiling, member: 1x3, laid: flat, spacing: 16in, direction: level,"
                "  first_center: 12in, under: rafters}]",
    )  # fmt: skip
    cavity = made.cavity(made.room.surface("left slope"))
    assert cavity.depth == pytest.approx(DRESSED["2x8"][1] + DRESSED["1x3"][0]) == pytest.approx(8 * INCH)
    assert (cavity.free, cavity.parts) == (
        pytest.approx(7 * INCH),
        (("rafters", 7.25 * INCH), ("strapping", 0.75 * INCH)),
    )


@pytest.mark.parametrize(("kind", "thickness", "before"), [
    ("batt", None, 0), ("batt", 0.05, 0), ("blown", 0.05, 0), ("foam", None, 0), ("foam", 0.05, 0.15), ("foam", 0.4, 0),
])  # fmt: skip
def test_what_is_free_before_the_insulation(kind, thickness, before):
    face = scene().room.surface("ceiling")
    spec = CavitySpec(depth=0.22, insulation=Insulation(kind, thickness), vent_gap=0.02)
    cavity = cavity_behind(face, {"ceiling": spec}, ())
    assert cavity.before_insulation == pytest.approx(before)
    assert cavity.free == pytest.approx(0.2)


def test_bare_deck_has_no_cavity_to_be_too_deep_for():
    found = deep(0.5, room=FLAT.replace("{shape", "{finish: deck, shape"))
    assert [one.rule for one in found] == ["no-cavity"]
