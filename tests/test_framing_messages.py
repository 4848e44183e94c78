"""Slips in what is said of framing, cavities, hidden things, old holes and clearances: what is said, and where."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from earshed.model.checks.run import find_all
from earshed.model.clearances import USUAL
from earshed.model.pairs import seat_pairs
from earshed.model.scene_file.problem import SceneError
from earshed.model.scene_file.read import read_scene, scene_from_tree
from earshed.model.scene_file.tree import parse_tree
from tests.scene_files import facts, put, put_marked
from tests.test_scene_fuzz import DAMAGES, check_refusal, check_sound, damaged

DEN = """\
format: 1
title: Den
bare_lengths: m
room: {width: 4, length: 6, ceiling: {shape: gable, ridge: front-to-back, low: 2, peak: 3.5}}
framing:
  - name: rafters
    surface: ceiling
    member: 2x8
    spacing: 16in
    direction: up-slope
    first_center: 8in
    members: [{center: 1.1, sure: probed, surface: left slope}, {near_edge: 2, far_edge: 2.05}]
  - {name: straps, surface: ceiling, member: 1x3, laid: flat, spacing: 0.4, direction: level, first_edge: 0.2,
     under: rafters}
cavities:
  ceiling: {board: 0.0125, insulation: {batt: 0.09}, vent_gap: 0.025}
  walls: {depth: 0.09, insulation: none}
keep_outs:
  - {name: duct, kind: duct, at: {from_left: 1, from_front: 1.3}, diameter: 0.1, whole_bay: true}
  - {name: pipe, kind: pipe, between: [[0.5, 3], [3.5, 3]], width: 0.05, sure: 0.01}
  - {name: patch, kind: unknown, from_left: 1, from_front: 4, width: 0.3, length: 0.2}
  - {name: wire, kind: cable, wall: front, from_left: 1, bottom: 0.2, width: 0.05, height: 1}
existing_holes:
  - {name: old can, at: {from_left: 3, from_front: 4}, cutout: 0.15}
  - {name: slot, wall: rear, from_left: 2, height: 1, cutout: 0.1 x 0.2}
clearances: {saw: 0.02, can light: 0.1}
speaker_types:
  flush: {mount: in-ceiling, aiming: fixed, coverage: 90, cutout: 0.2, depth_from: back,
    clamps: {count: 4, reach: 0.02}}
"""
SIZES = "at: {from_left: 1, from_front: 1.3}, diameter: 0.1, whole_bay: true"
RUN = "between: [[0.5, 3], [3.5, 3]], width: 0.05"
PATCH = "from_left: 1, from_front: 4, width: 0.3, length: 0.2"
ON_WALL = "wall: front, from_left: 1, bottom: 0.2, width: 0.05, height: 1"
OLD = "at: {from_left: 3, from_front: 4}, cutout: 0.15"
FOUND = "{center: 1.1, sure: probed, surface: left slope}"
LISTED = f"[{FOUND}, {{near_edge: 2, far_edge: 2.05}}]"
SPACED = "    spacing: 16in\n"
FIRST = "    first_center: 8in\n"

SLIPS = [
    # what to change, to what (¦ where the message must point), words that must be said
    # --- members found
    (FOUND, "¦{sure: seen}", 'framing "rafters", member 1', "needs center, or near_edge, far_edge or both"),
    (FOUND, "¦{center: 1, near_edge: 0.9}", "member 1", "needs center, or near_edge, far_edge or both"),
    ("{near_edge: 2, far_edge: 2.05}", "¦{near_edge: 2, far_edge: 2}", "member 2", "past the near edge"),
    ("{near_edge: 2, far_edge: 2.05}", "¦{near_edge: 2, far_edge: 2.1, member: 2x8}", "member 2", "leave member out"),
    ("center: 1.1", "center: ¦-1", "member 1, center", "-1", "at least 0"),
    ("sure: probed", "sure: ¦maybe", "member 1, sure", "one of seen, probed, scanned, assumed, or a length"),
    ("sure: probed", "sure: ¦-2in", "member 1, sure", "-2in must be one of seen"),
    (FOUND, "{¦middle: 1}", "member 1", "`middle`", "center"),
    ("surface: left slope", "surface: ¦rear wall", "member 1, surface", "rafters are not behind rear wall",
     "left slope, right slope"),
    (FOUND, "¦{center: 7}", "member 1", "it lies outside the room: past the end of the face"),
    (FOUND, "¦{far_edge: 0.01}", "member 1", "it lies outside the room"),
    (LISTED, "¦8in", "members", "must be a list, not 8in"),
    (LISTED, "¦[" + ", ".join(["{center: 1}"] * 201) + "]", "members", "more entries than the 200"),
    # --- runs
    ("    first_center: 8in\n", "    first_center: 8in\n    first_edge: 7in\n", "first_center or first_edge, not both"),
    (SPACED, "", "the first member without a spacing is one that was found", "members"),
    (f"{SPACED}    direction: up-slope\n{FIRST}    members: {LISTED}", "    direction: up-slope",
     "needs `spacing`, or the members that were found"),
    (f"{FIRST}    members: {LISTED}", "", "needs `first_center` (or first_edge)"),
    ("spacing: 16in", "spacing: ¦0", "spacing", "0 must be more than 0"),
    ("spacing: 16in", "spacing: ¦-4in", "spacing", "-4in must be more than 0"),
    ("spacing: 16in", "spacing: ¦1in", "spacing", "more than the thickness of a member"),
    ("ridge: front-to-back, low: 2, peak: 3.5}}\nframing:\n  - name: rafters\n    surface: ceiling\n    member: 2x8\n"
     "    spacing: 16in",
     "ridge: front-to-back, low: 2, peak: 3.5}}\nframing:\n  - name: rafters\n    surface: ceiling\n"
     "    member: 1mm x 2in\n    spacing: ¦1.5mm", "spacing", "more members than the 2000"),
    ("spacing: 0.4", "spacing: ¦2-1/2in", 'framing "straps", spacing', "more than the thickness of a member"),
    ("first_center: 8in\n    members: " + LISTED, "first_center: ¦30", "first_center",
     "all its members lie outside the room"),
    ("first_edge: 0.2", "first_edge: ¦30", "first_edge", "all its members lie outside the room"),
    ("direction: up-slope", "direction: ¦uphill", "direction", "front-to-back, side-to-side, up-slope or level"),
    ("surface: ceiling\n", "surface: ¦roof\n", "surface", "there is no face called roof"),
    ("laid: flat", "laid: ¦sideways", "laid", "must be on edge or flat, not sideways"),
    ("member: 2x8", "member: ¦2x7", "member", "2x7"),
    ("direction: up-slope\n", "direction: up-slope\n    tolerance: ¦-1in\n", "tolerance", "-1in", "at least 0"),
    ("under: rafters", "under: ¦raftes", 'framing "straps", under', "there is no other framing called raftes",
     "did you mean rafters?"),
    ("under: rafters", "under: ¦straps", "there is no other framing called straps"),
    ("name: straps, surface: ceiling", "name: straps, surface: front wall", "rafters are not behind the same face"),
    ("    first_center: 8in\n", "    first_center: 8in\n    under: ¦straps\n", "nailed under others themselves",
     "two layers at the most"),
    ("{name: straps", "¦{name: rafters", "rafters", "names are used once"),
    # --- cavities
    ("  ceiling: {board", "  ¦ceilling: {board", "there is no face called ceilling", "did you mean ceiling?"),
    ("depth: 0.09", "depth: ¦deep", 'cavity "walls", depth', "deep"),
    ("depth: 0.09", "depth: ¦0", 'cavity "walls", depth', "0 must be more than 0"),
    ("board: 0.0125", "board: ¦0", "board", "0 must be more than 0"),
    ("vent_gap: 0.025", "vent_gap: ¦-1in", "vent_gap", "-1in"),
    ("insulation: none", "insulation: ¦wool", 'cavity "walls"', "none, batt, blown or foam", "{batt: 3-1/2in}"),
    ("insulation: {batt: 0.09}", "insulation: ¦{batt: 0.09, foam: 0.01}", "insulation", "none, batt, blown or foam"),
    ("insulation: {batt: 0.09}", "insulation: {¦wool: 0.09}", "insulation", "wool"),
    ("insulation: {batt: 0.09}", "insulation: {batt: ¦0}", "insulation", "more than 0"),
    ("insulation: {batt: 0.09}", "insulation: ¦[batt]", "insulation", "must be none, batt, blown or foam"),
    ("walls: {depth: 0.09, insulation: none}", "walls: ¦0.09", 'cavity "walls"', "needs keys"),
    ("depth: 0.09", "¦deepness: 0.09", "`deepness`", "depth"),
    # --- keep-outs
    ("kind: duct", "kind: ¦drain", 'keep-out "duct", kind', "blocking, pipe, cable, duct, driver box or unknown"),
    ("name: duct, kind: duct", "name: duct", 'keep-out "duct"', "needs `kind`"),
    (SIZES, "diameter: 0.1", "needs at and diameter"),
    (SIZES, "at: {from_left: 1, from_front: 1}", "needs at and diameter, or between and width, or from_left"),
    (SIZES, "at: {from_left: 1, from_front: 1}, diameter: 0.1, width: 1", "a round one needs at and diameter"),
    (SIZES, "from_left: 1, from_front: 1, diameter: 0.1", "a round one needs at and diameter"),
    (RUN, "between: [[0.5, 3], [3.5, 3]]", 'keep-out "pipe"', "needs width"),
    (RUN, RUN + ", length: 1", "needs width, and nothing else of its place"),
    (RUN, "between: ¦[[0.5, 3], [0.5, 3]], width: 0.05", "between", "its two ends are the same place"),
    (RUN, "between: ¦[[0.5, 3]], width: 0.05", "between", "has 1 entries, and needs at least 2"),
    (RUN, "between: [[0.5, 3], ¦[3.5]], width: 0.05", "needs at least 2"),
    (PATCH, "from_left: 1, from_front: 4, width: 0.3", 'keep-out "patch"', "width and length of a patch"),
    (PATCH, "from_left: 1, width: 0.3, length: 0.2", "needs one of from_front, from_rear"),
    (ON_WALL, "wall: front, from_left: 1, width: 0.05, height: 1", 'keep-out "wire"', "a patch of a wall needs wall"),
    (ON_WALL, "wall: ¦north, from_left: 1, bottom: 0.2, width: 0.05, height: 1", "there is no wall north"),
    (ON_WALL, "wall: front, from_front: 1, bottom: 0.2, width: 0.05, height: 1", "needs one of from_left"),
    ("sure: 0.01", "sure: ¦surely", 'keep-out "pipe", sure', "must be one of seen"),
    ("sure: 0.01", "keep_clear: ¦-1in", "keep_clear", "-1in"),
    ("sure: 0.01", "behind: ¦0", "behind", "0 must be more than 0"),
    ("whole_bay: true", "whole_bay: ¦maybe", "whole_bay", "maybe"),
    ("from_front: 1.3}, diameter: 0.1, whole_bay: true", "from_front: 1.1}, diameter: 0.1, whole_bay: ¦true",
     "whole_bay", "its middle lies on one of the rafters, not in a bay"),
    ("at: {from_left: 1, from_front: 1.3}, diameter: 0.1, whole_bay: true",
     "at: {from_left: 30, from_front: 1.3}, diameter: 0.1, whole_bay: ¦true", "whole_bay",
     "its middle lies past the edge of the right slope, in no bay"),
    (ON_WALL, f"{ON_WALL}, whole_bay: ¦true", "whole_bay", "needs framing behind the front wall"),
    ("{name: pipe", "¦{name: duct", "duct", "names are used once"),
    ("{name: old can", "¦{name: pipe", "pipe", "names are used once"),
    # --- old holes
    (OLD, "cutout: 0.15", 'existing hole "old can"', "needs at: {from_left: ..., from_front: ...}; on a wall"),
    (OLD, "at: {from_left: 3, from_front: 4}", 'existing hole "old can"', "needs `cutout`"),
    (OLD, OLD + ", wall: rear, height: 1", "needs at"),
    (OLD, "at: {from_left: 3, from_front: 4}, cutout: ¦wide", "cutout", "wide"),
    (OLD, OLD + ", long_axis: ¦level", "long_axis", "a round hole has no long axis"),
    (OLD, "at: {from_left: 3, from_front: 4}, cutout: 0.1 x 0.2", "needs `long_axis`", "front-to-back, side-to-side"),
    ("cutout: 0.1 x 0.2", "cutout: 0.1 x 0.2, long_axis: ¦front-to-back", "long_axis", "stands square to its face"),
    # --- clearances
    ("saw: 0.02", "¦sawing: 0.02", "clearances", "`sawing`", "did you mean `saw`?"),
    ("saw: 0.02", "¦moon: 0.02", "clearances", "`moon`", "clamp", "tolerance"),
    ("saw: 0.02", "saw: ¦-1in", "clearances, saw", "-1in", "at least 0"),
    ("saw: 0.02", "saw: ¦none", "clearances, saw", "none"),
    ("clearances: {saw: 0.02, can light: 0.1}", "clearances: ¦2in", "clearances", "needs keys"),
    # --- clamps
    ("count: 4", "count: ¦0", "clamps, count", "0 must be a whole number from 1 to 99"),
    ("reach: 0.02", "reach: ¦0", "clamps, reach", "0 must be more than 0"),
    ("reach: 0.02}", "reach: 0.2}", "clamps", "more than 6 in"),
    ("clamps: {count: 4, reach: 0.02}", "clamps: ¦{count: 4}", "clamps", "count and reach go together"),
    ("clamps: {count: 4, reach: 0.02}", "clamps: ¦{count: 4, reach: 0.02, thinnest: 0.02, thickest: 0.01}", "clamps",
     "thinnest", "at most as thick as thickest"),
    ("depth_from: back", "depth_from: ¦front", "depth_from", "must be face or back, not front"),
]  # fmt: skip


def slipped(tmp_path: Path, text: str) -> SceneError:
    with pytest.raises(SceneError) as refused:
        read_scene(put(tmp_path, den=text.replace("¦", "")))
    return refused.value


@pytest.mark.parametrize(("before", "after", "words"), [(one, other, words) for one, other, *words in SLIPS])
def test_slip(tmp_path: Path, before: str, after: str, words: list[str]) -> None:
    assert DEN.count(before) == 1
    text = DEN.replace(before, after)
    error = slipped(tmp_path, text)
    for word in words:
        assert word in error.words
    if "¦" in after:
        _, mark = put_marked(tmp_path, den=text)
        assert error.mark == mark
    assert error.mark.line >= 4


def test_the_den_is_sound(tmp_path: Path) -> None:
    scene = read_scene(put(tmp_path, den=DEN))
    assert [len(part) for part in (scene.framing, scene.keep_outs, scene.existing_holes)] == [2, 5, 2]
    assert scene.clearances.own == {"saw": 0.02, "can light": 0.1}


@pytest.mark.parametrize("kind", USUAL)
def test_every_clearance_can_be_set(tmp_path: Path, kind: str) -> None:
    text = DEN.replace("{saw: 0.02, can light: 0.1}", f"{{{kind}: 0.123}}")
    assert read_scene(put(tmp_path, den=text)).clearances.of(kind) == 0.123


CHANGES = [
    # a change under a scheme or in an overlay, and the same written into the scene
    ("framing: {rafters: {spacing: 24in}}", [("spacing: 16in", "spacing: 24in")]),
    ("framing: {rafters: {members: []}}", [(LISTED, "[]")]),
    ("framing: {rafters: {first_edge: 7in}}", [("first_center: 8in", "first_edge: 7in")]),
    ("framing: {straps: {first_center: 0.3}}", [("first_edge: 0.2", "first_center: 0.3")]),
    ("cavities: {ceiling: {board: 0.016}}", [("board: 0.0125", "board: 0.016")]),
    ("cavities: {ceiling: {insulation: foam}}", [("{batt: 0.09}", "foam")]),
    ("cavities: {left slope: {depth: 0.2}}", [("  walls: {", "  left slope: {depth: 0.2}\n  walls: {")]),
    ("clearances: {saw: 0.03}", [("saw: 0.02", "saw: 0.03")]),
    ("clearances: {clamp: 0.03}", [("saw: 0.02", "saw: 0.02, clamp: 0.03")]),
    ("keep_outs: {duct: {between: [[1, 0.5], [1, 5]], width: 0.2, whole_bay: false}}",
     [(SIZES, "between: [[1, 0.5], [1, 5]], width: 0.2, whole_bay: false")]),
    ("keep_outs: {pipe: {at: {from_left: 1, from_front: 3}, diameter: 0.1}}",
     [(RUN, "at: {from_left: 1, from_front: 3}, diameter: 0.1")]),
    ("keep_outs: {patch: {at: {from_left: 1, from_front: 4}, diameter: 0.1}}",
     [(PATCH, "at: {from_left: 1, from_front: 4}, diameter: 0.1")]),
    ("keep_outs: {pipe: {from_left: 1, from_front: 3, width: 0.1, length: 0.4}}",
     [(RUN, "from_left: 1, from_front: 3, width: 0.1, length: 0.4")]),
    ("keep_outs: {pipe: {sure: seen}}", [("sure: 0.01", "sure: seen")]),
    ("existing_holes: {old can: {at: {from_left: 2.5, from_front: 4}}}", [("from_left: 3, ", "from_left: 2.5, ")]),
    ("keep_outs: {hatch: {kind: driver box, at: {from_left: 3, from_front: 1}, diameter: 0.2}}",
     [("existing_holes:", "  - {name: hatch, kind: driver box, at: {from_left: 3, from_front: 1}, diameter: 0.2}\n"
       "existing_holes:")]),
    ("remove: [pipe]", [(f"  - {{name: pipe, kind: pipe, {RUN}, sure: 0.01}}\n", "")]),
    ("remove: [old can]", [(f"  - {{name: old can, {OLD}}}\n", "")]),
    ("remove: [walls]", [("  walls: {depth: 0.09, insulation: none}\n", "")]),
    ("remove: [straps]",
     [("  - {name: straps, surface: ceiling, member: 1x3, laid: flat, spacing: 0.4, direction: level, first_edge: 0.2,"
       "\n     under: rafters}\n", "")]),
]  # fmt: skip


@pytest.mark.parametrize(("change", "written"), CHANGES)
def test_a_scheme_and_an_overlay_change_it_as_if_it_were_written_so(tmp_path: Path, change, written) -> None:
    text = DEN
    for before, after in written:
        assert text.count(before) == 1
        text = text.replace(before, after)
    wanted = facts(read_scene(put(tmp_path, written=text)))
    under = put(tmp_path, den=f"{DEN}schemes:\n  changed: {{{change}}}\n")
    assert facts(read_scene(under, "changed")) == wanted
    plain = f"format: 1\nbased_on: den.yaml\n{change}\n"
    assert facts(read_scene(put(tmp_path, up=plain, den=DEN))) == wanted


NEW = [
    ("keep_outs: {¦new: {at: {from_left: 1, from_front: 1}, diameter: 0.1}}", "kind"),
    ("existing_holes: {¦new: {at: {from_left: 1, from_front: 1}}}", "cutout"),
    ("framing: {¦new: {spacing: 16in}}", "member"),
    ("remove: [¦nothing]", "nothing is called nothing"),
    ("cavities: {ceiling: {board: ¦thick}}", "thick"),
    ("clearances: {¦sow: 1in}", "did you mean `saw`?"),
]


@pytest.mark.parametrize(("change", "word"), NEW)
def test_slips_in_a_scheme_point_at_it(tmp_path: Path, change: str, word: str) -> None:
    path, mark = put_marked(tmp_path, den=f"{DEN}schemes:\n  changed: {{{change}}}\n")
    with pytest.raises(SceneError) as refused:
        read_scene(path, "changed")
    assert word in refused.value.words
    assert refused.value.mark == mark


WHOLE = (
    DEN
    + """\
seats: [{name: chair, at: {from_left: 2, from_front: 4}, ear_height: 1, main: true}]
speakers:
  - {name: one, type: flush, at: {from_left: 1, from_front: 3}}
  - {name: two, type: flush, at: {from_left: 2.9, from_front: 3.9}}
"""
)


@pytest.mark.parametrize("kind", DAMAGES)
def test_damaged_dens(kind: str) -> None:
    """Whatever stands there, it ends in a scene that can be checked or in an error with a place."""
    rng = random.Random(f"{kind} 1958")
    for _ in range(60):
        broken = WHOLE
        for _ in range(rng.choice([1, 1, 2])):
            broken = damaged(rng, broken, kind) or "-"
        try:
            scene = scene_from_tree(parse_tree(broken, "den.yaml"))
            check_sound(scene)
            find_all(scene, seat_pairs(scene))
        except SceneError as refused:
            check_refusal(refused, broken, "den.yaml")


ROW = """format: 1
title: Row
bare_lengths: m
room: {{width: 4, length: 6, ceiling: {{shape: flat, height: 2.6}}}}
framing:
  - {{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: side-to-side, first_center: 8in,
     members: [{members}]}}
"""


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ("{near_edge: 79in, far_edge: 90in}", "more than 10 in apart"),
        ("{center: 81in}, {center: 82in}", "it would lie in member 1, which was found too; check the tape"),
        ("{center: 81in}, {center: 2in}, {near_edge: 80in}", "it would lie in member 1"),
    ],
)
def test_members_found_that_no_wood_can_be(members: str, words: str) -> None:
    with pytest.raises(SceneError, match=words):
        scene_from_tree(parse_tree(ROW.format(members=members), "row.yaml"))


def test_members_side_by_side_are_plies_and_not_one_in_another() -> None:
    """A doubled joist: two of 1-1/2 in that touch."""
    scene = scene_from_tree(parse_tree(ROW.format(members="{center: 81in}, {center: 82-1/2in}"), "row.yaml"))
    assert len(scene.framing[0].found) == 2
