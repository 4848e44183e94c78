"""What to give up: the one thing that is in the way is named, by group and by name, with what it buys; nothing else."""

from __future__ import annotations

import math

import pytest

from earshed.model.search.ask import STEP, lines_through, picture_mirror
from earshed.model.search.asking import ask_of, in_order
from earshed.model.search.pair_search import PairSearch
from earshed.model.search.relax import LOOSE_STEP, ideal
from earshed.model.search.search import Search
from earshed.model.seating import main_seats
from earshed.model.window import ANY_AZIMUTH, Window
from tests.search_rooms import EAR, HEIGHT, LENGTH, WIDTH, answer_one, answer_pair, asked, read

OVER = Window(ANY_AZIMUTH, (math.radians(75), math.pi / 2), "by hand")
"""Right over the seat: a disc of H tan 15 degrees, 0.4 m."""
OVER_SEAT = f"at: {{from_center: 0, from_front: {200 * STEP}}}"
AT = f"from_left: {WIDTH / 2 - 0.6}, from_front: {200 * STEP - 0.6}"


def answer(more: str, **changes):
    search = Search(asked(read(more), types=changes.pop("types", ("flush",)), window=OVER, **changes))
    search.finish()
    return answer_one(search, 3)


def named(found):
    return {one.condition for one in found.helpful}


BLOCKERS = {
    "hidden": (f"keep_outs: [{{name: duct, kind: duct, {OVER_SEAT}, diameter: 0.9}}]", "duct"),
    "fixtures": (f"fixtures: [{{name: fan, kind: fan, {OVER_SEAT}, blades: 1.2, drop: 0.3}}]", "fan"),
    "old holes": (f"existing_holes: [{{name: old, {OVER_SEAT}, cutout: 0.9}}]", "old"),
    "openings": (f"openings: [{{name: hatch, wall: ceiling, {AT}, width: 1.2, length: 1.2}}]", "hatch"),
}
SPARE = {
    "hidden": "keep_outs: [{name: spare, kind: duct, at: {from_left: 0.3, from_front: 0.3}, diameter: 0.1}, ",
    "fixtures": "fixtures: [{name: spare, kind: can light, at: {from_left: 0.3, from_front: 0.3}, cutout: 0.1}, ",
    "old holes": "existing_holes: [{name: spare, at: {from_left: 0.3, from_front: 0.3}, cutout: 0.1}, ",
}
"""Another thing of the group, far away."""


@pytest.mark.parametrize("group", ["hidden", "fixtures", "old holes"])
def test_the_one_thing_in_the_way_is_named_by_group_and_by_name_and_no_other(group):
    text, name = BLOCKERS[group]
    found = answer(SPARE[group] + text.split("[", 1)[1])
    assert found.choices[0][0].off > 0
    assert named(found) == {group, name, "elevation"}
    for one in found.helpful:
        if one.condition in (group, name):
            assert one.best.off[0] == 0.0
            assert one.kind == ("group" if one.condition == group else "thing")
            assert one.worst < math.atan(LOOSE_STEP / (HEIGHT - EAR))  # it could sit right over the seat


@pytest.mark.parametrize("group", BLOCKERS)
def test_a_single_thing_in_the_way_is_named_once(group):
    assert named(answer(BLOCKERS[group][0])) == {group, "elevation"}


def test_nothing_is_named_where_all_is_well():
    found = answer("fixtures: [{name: can, kind: can light, at: {from_left: 0.3, from_front: 0.3}, cutout: 0.1}]")
    assert found.is_good
    assert found.helpful == ()
    assert found.ideal == pytest.approx(0.0, abs=1e-6)


def test_where_two_must_go_together_nothing_is_named():
    both = "\n".join(BLOCKERS[group][0] for group in ("hidden", "fixtures"))
    assert named(answer(both)) == {"elevation"}
    only = Window((1.0, 1.2), OVER.elevations, "by hand")
    assert named(answer(both, relaxed=frozenset({"elevation"}))) == set()
    search = Search(asked(read(both), types=("flush",), window=only))
    search.finish()
    assert "fixtures" not in named(answer_one(search, 1))


def test_bays_too_narrow_name_the_framing_and_what_it_buys():
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 9in, direction: side-to-side, "
    joists += "first_center: 1in}]"
    found = answer(joists)
    assert found.choices == ()
    assert named(found) == {"framing"}
    assert found.helpful[0].worst < math.radians(1)


def test_a_bay_too_narrow_by_the_tolerance_alone_names_it():
    """8 in and 1-1/4 in for clamps at both sides: 10-1/2 in. Bay of 10-3/4 in, but members sure only to 1/4 in; with
    3/4 in for a saw and 1/4 in at both sides it takes 10 in."""
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 12.25in, direction: side-to-side, "
    joists += "first_center: 1in}]"
    found = answer(joists)
    assert found.choices == ()
    assert named(found) == {"framing", "clamps", "tolerance"}


def test_what_leads_only_to_places_unlike_the_partner_is_not_named():
    """Joists too near each other everywhere, and a duct where the partner would be matched."""
    two = """{name: top, type: flush, channel: U+045, at: {from_left: 1, from_front: 1}},
    {name: right, type: flush, channel: U-045, at: {from_right: 0.5, from_front: 0.9}}"""
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 9in, direction: side-to-side, "
    joists += "first_center: 1in}]"
    duct = "keep_outs: [{name: duct, kind: duct, from_left: 0.1, from_front: 0.1, width: 1.2, length: 1.9}]"
    for text, helps in ((joists, {"framing"}), (f"{joists}\n{duct}", set())):
        search = Search(asked(read(text, speakers=two), types=("flush",), window=None))
        search.finish()
        assert named(answer_one(search, 1)) == helps


def test_a_cavity_too_shallow_names_the_depth():
    kinds = "speaker_types: {flush: {mount: in-ceiling, aiming: fixed, coverage: 90deg, cutout: 8in, bezel: 9in, "
    kinds += "mounting_depth: 6in}}"
    search = Search(asked(read("cavities: {ceiling: {depth: 4in}}", types=kinds), window=OVER))
    search.finish()
    found = answer_one(search, 1)
    assert found.choices == ()
    assert named(found) == {"depth"}


def test_an_alignment_that_leads_past_the_window_is_named():
    found = answer("", lines=lines_through([("can", [0.3, -0.3])]))
    assert "alignment" in named(found)
    assert "elevation" in named(found)
    assert "framing" not in named(found)


def test_what_reaches_no_seat_as_it_is_names_only_what_makes_it_better():
    """A seat in the corner, under an overhead window far off: in the window, but outside the coverage."""
    seats = f"{{name: a, at: {{from_left: 0.2, from_front: {LENGTH - 0.2}}}, ear_height: 2, main: true}}, "
    seats += "{name: b, at: {from_right: 0.2, from_front: 0.2}, ear_height: 2, main: true}"
    search = Search(asked(read(BLOCKERS["hidden"][0], seats=seats), types=("flush",)))
    search.finish()
    found = answer_one(search, 1)
    assert found.choices[0][0].worst.verdict == "outside"
    assert named(found) == set()


def test_partners_whose_bays_are_not_mirror_images_may_differ():
    joists = "framing: [{name: joists, surface: ceiling, member: 2x8, spacing: 16in, direction: front-to-back, "
    joists += "first_center: 8in}]"
    two = """{name: left, type: flush, channel: U+045, at: {from_left: 1, from_front: 1}},
    {name: right, type: flush, channel: U-045, at: {from_right: 1, from_front: 1}}"""
    scene = read(joists, speakers=two)
    both = in_order(scene.speakers)
    asks = [ask_of(scene, one, moving=both, seats=main_seats(scene.seats)) for one in both]
    search = PairSearch(*asks, picture_mirror(scene))
    search.finish()
    found = answer_pair(search, 2)
    assert found.choices == ()
    assert "partner" in named(found)
    assert "framing" in named(found)
    assert "depth" not in named(found)
    assert found.missed is not None
    assert found.missed.outside == 0


def test_the_ideal_is_the_best_with_nothing_in_the_way():
    assert ideal(asked(read(BLOCKERS["fixtures"][0]), types=("flush",), window=OVER)).worst[0] < 1e-6
